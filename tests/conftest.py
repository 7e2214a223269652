"""What every test stands on: time limits by layer, Hypothesis' profiles, the database server."""

import gc
import os
import tempfile
from collections import defaultdict
from collections.abc import Generator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from tests.layers import COSTLY, LAYERS, layer_of
from tests.measured import Measured, marking

marking()
pytest_plugins = ["tests.postgres"]

MEMORY = Path("/dev/shm")
"""Where Linux keeps files in memory."""
ROOMY = 2 * 1024**3
"""Free bytes that a whole run, of which some tests fail, is not going to fill."""


def _work_in_memory() -> None:
    """Let temporary files lie in memory, unless somebody chose another place for them.

    Every act and every job is put onto the disk before it is acknowledged, and tests wait longer
    for that than for all else that stores do. Programs and servers still ask for it as they
    always do; no test stops the machine itself, which alone could tell one place from the other.
    """
    if "TMPDIR" in os.environ or not MEMORY.is_dir():
        return
    found = os.statvfs(MEMORY)
    roomy = found.f_bavail * found.f_frsize >= ROOMY
    if roomy and os.access(MEMORY, os.W_OK) and not found.f_flag & os.ST_NOEXEC:
        os.environ["TMPDIR"] = str(MEMORY)  # for the programs that tests start as well
        tempfile.tempdir = None  # asks anew


_work_in_memory()

# No deadlines and no complaint of slowness: both measure the machine, which is shared.
settings.register_profile(
    "dev", max_examples=50, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.register_profile("ci", settings.get_profile("dev"), max_examples=60, print_blob=True)
for _profile in ("dev", "ci"):
    _quick = settings.get_profile(_profile)
    settings.register_profile(f"{_profile}, costly", _quick, max_examples=_quick.max_examples // 2)
settings.register_profile("soak", settings.get_profile("ci"), max_examples=5_000)

PROFILE = os.environ.get("HYPOTHESIS_PROFILE", "ci" if os.environ.get("CI") else "dev")
settings.load_profile(PROFILE)

PATIENCE = 60 if PROFILE == "soak" else 1  # a soak may take hours where the layers allow minutes


_spent_s: dict[str, float] = defaultdict(float)


_measured = Measured()


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, Any, Any]:
    """Let nothing be called at every line of what pytest loads, nor of what tests run."""
    _measured.look_away()
    return (yield)


@pytest.hookimpl(wrapper=True, trylast=True)
def pytest_runtestloop() -> Generator[None, Any, Any]:
    """Tell what the tests ran before pytest-cov reports of it."""
    done = yield
    _measured.tell()
    return done


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Generator[None, Any, Any]:
    """Let coverage.py look itself where the Python of compiled functions runs."""
    if item.get_closest_marker("twins") is None:
        return (yield)
    with _measured.looking():
        return (yield)


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report(collector: pytest.Collector) -> Generator[None, Any, Any]:
    """Let the properties of a module try as many examples as its layer can afford.

    A property takes the profile that is loaded while its module is.
    """
    if PROFILE in ("dev", "ci") and isinstance(collector, pytest.Module):
        costly = layer_of(collector.path) in COSTLY
        settings.load_profile(f"{PROFILE}, costly" if costly else PROFILE)
    return (yield)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Stop a test that hangs after its layer's time, unless it names its own."""
    for item in items:
        if item.get_closest_marker("timeout") is None:
            limit_s = LAYERS[layer_of(item.path)].each_s * PATIENCE
            item.add_marker(pytest.mark.timeout(limit_s))


def pytest_collection_finish() -> None:
    """Spare the garbage collector what thousands of tests are made of, which never goes away."""
    gc.collect()
    gc.freeze()


def pytest_runtest_logreport(report: pytest.TestReport) -> None:
    """Add up what each layer takes."""
    _spent_s[layer_of(report.nodeid.partition("::")[0])] += report.duration


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Name the layers that took more than their budget: to be mended, not to fail."""
    for layer, spent_s in sorted(_spent_s.items()):
        budget_s = LAYERS[layer].all_s * PATIENCE
        if spent_s > budget_s:
            terminalreporter.write_line(
                f"tests/{layer} took {spent_s:.0f} s; its budget is {budget_s} s", yellow=True
            )
