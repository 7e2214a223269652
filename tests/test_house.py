"""Habits of the house that no linter knows: what files, locks and pages must have and must not."""

import ast
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.layers import LAYERS

ROOT = Path(__file__).parent.parent
SOURCE = ROOT / "src" / "putback"
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]

SOURCES = sorted(SOURCE.rglob("*.py"))
TESTS = sorted((ROOT / "tests").rglob("test_*.py"))
TEXTS = sorted(
    path
    for path in [
        *(path for path in ROOT.glob("*.*")
          if not path.name.startswith(".coverage") and path.name != ".git"),  # of a worktree
        ROOT / "Makefile",
        *(path for folder in (".ci", "docs", "scripts", "src", "tests", "benchmarks")
          for path in (ROOT / folder).rglob("*")),
    ]
    if path.is_file()
    and path.suffix in {"", ".csv", ".jsonl", ".lock", ".md", ".py", ".toml", ".txt", ".yaml"}
)  # fmt: skip

# Written so that the pattern does not find itself.
FOREIGN = {
    "a path on somebody's machine": r"(?<![\w.])/(?:[w]ork|[t]mp|[r]oot|[h]ome)/\w",
    "an unfinished corner": r"\b(?:T[O]DO|F[I]XME|X[X]X|H[A]CK)\b",
    "a talk about the work": r"(?i)\b[t]ranscript|\b[i]ssue #?\d",
    "where packages come from": r"(?i)py[p]i\.org|python[h]osted|--(?:extra-)?index-[u]rl[ =]h",
}

LONGEST = 500  # lines; a module beyond that holds more than one concept


def name_of(path: Path) -> str:
    """A file as a person names it."""
    return path.relative_to(ROOT).as_posix()


def requirements(*extras: str) -> dict[str, Requirement]:
    """What pyproject.toml declares, by canonical name."""
    lines = [*PROJECT["dependencies"]]
    for extra in extras:
        lines += PROJECT["optional-dependencies"][extra]
    return {canonicalize_name(Requirement(line).name): Requirement(line) for line in lines}


def locked(lock: str) -> dict[str, str]:
    """Name and version of every package that a lock file pins."""
    pins = re.findall(r"^([\w.-]+)==(\S+)", (ROOT / lock).read_text(), re.MULTILINE)
    return {canonicalize_name(name): version for name, version in pins}


@pytest.mark.parametrize("path", TESTS, ids=name_of)
def test_every_test_states_a_behaviour(path):
    """The docstring of a test is the behaviour it holds Putback to."""
    mute = [
        f"{name_of(path)}:{node.lineno}: {node.name}"
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef)
        and node.name.startswith("test_")
        and not (ast.get_docstring(node) or "").strip()
    ]
    assert not mute, "\n".join(mute)


@pytest.mark.parametrize("path", [p for p in SOURCES if "migrations" not in p.parts], ids=name_of)
def test_a_module_is_one_concept(path):
    """A module says what it is, and is short enough to be read at a sitting."""
    text = path.read_text()
    assert ast.get_docstring(ast.parse(text)), f"{name_of(path)} does not say what it is"
    lines = len(text.splitlines())
    assert lines <= LONGEST, f"{name_of(path)} has {lines} lines: split it by concept"


@pytest.mark.parametrize("what", FOREIGN)
def test_the_project_speaks_of_itself_alone(what):
    """No file that is handed on holds what means nothing to its reader."""
    found = [
        f"{name_of(path)}:{number}: {line.strip()[:80]}"
        for path in TEXTS
        for number, line in enumerate(path.read_text(errors="replace").splitlines(), 1)
        if re.search(FOREIGN[what], line)
    ]
    assert not found, f"{what}:\n" + "\n".join(found)


def test_no_rule_knows_the_demo():
    """The program never names a part, joint or job of the demo: it must not know the answer."""
    demo_id = r"\b(?:(?:BS|BT|CB|CH|EB|FE|FS|RA|ST|TR)\d\d[LR]?|[JT][01]\d\d[LR]?)\b"
    found = [
        f"{name_of(path)}: {match}"
        for path in SOURCES
        for match in re.findall(demo_id, path.read_text())
    ]
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    ("lock", "extras"),
    [("requirements.lock", ()), ("requirements-dev.lock", ("test", "types"))],
)
def test_the_lock_covers_what_is_declared(lock, extras):
    """Every dependency in pyproject.toml is pinned to a version that it allows."""
    pins = locked(lock)
    for name, requirement in requirements(*extras).items():
        assert name in pins, f"{lock} does not pin {name}: run `make lock`"
        assert requirement.specifier.contains(pins[name]), f"{name}=={pins[name]} in {lock}"


def test_tests_run_on_what_people_run_on():
    """Whatever both lock files pin, they pin to one version; the larger one holds the smaller."""
    run, dev = locked("requirements.lock"), locked("requirements-dev.lock")
    assert run.items() <= dev.items()


@pytest.mark.parametrize("lock", ["requirements.lock", "requirements-dev.lock"])
def test_a_lock_is_sealed(lock):
    """Every pin carries its hashes, and no address of any server."""
    text = (ROOT / lock).read_text()
    pins = re.split(r"^(?=[\w.-]+==)", text, flags=re.MULTILINE)[1:]
    assert pins
    assert [pin.split()[0] for pin in pins if "--hash=sha256:" not in pin] == []
    assert "://" not in text


def test_every_dependency_has_its_reason():
    """docs/dependencies.md says of each run-time dependency why it, and names no other."""
    run_time = (ROOT / "docs" / "dependencies.md").read_text().split("## For tests only")[0]
    reasons = re.findall(r"^- \*\*([\w-]+)\*\*.*?: +(\S.*)", run_time, re.MULTILINE)
    assert [name for name, _ in reasons] == sorted(requirements())


def test_the_budgets_of_all_layers_fit_the_time_that_ci_has():
    """A quarter of an hour on two cores; linters and setting up leave thirteen minutes of it."""
    assert sum(layer.all_s for layer in LAYERS.values()) <= 2 * 13 * 60


def test_every_layer_of_tests_has_its_time():
    """Each folder of tests has a budget, and tests/README.md shows the same figures."""
    folders = {path.parent.relative_to(ROOT / "tests").parts[:1] for path in TESTS}
    assert {"".join(folder) for folder in folders} <= set(LAYERS)

    table = re.findall(
        r"^\| `(?:(\w+)/)?`[^|]*\|[^|]*\| *(\d+) *\| *(\d+) *\|$",
        (ROOT / "tests" / "README.md").read_text(),
        re.MULTILINE,
    )
    said = {name: (int(each), int(all_)) for name, each, all_ in table}
    assert said == {name: (layer.each_s, layer.all_s) for name, layer in LAYERS.items()}


def test_a_wheel_is_complete(tmp_path):
    """The wheel holds every file of the package, data and type marker too, and the licence."""
    build = [sys.executable, "-m", "hatchling", "build", "--target", "wheel"]
    subprocess.run([*build, "--directory", str(tmp_path)], cwd=ROOT, check=True)
    (wheel,) = tmp_path.glob("*.whl")
    held = set(zipfile.ZipFile(wheel).namelist())
    wanted = {
        path.relative_to(SOURCE.parent).as_posix()
        for path in SOURCE.rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert wanted <= held, sorted(wanted - held)
    assert "putback/py.typed" in held
    assert any(name.endswith("licenses/LICENSE") for name in held)
    assert any(name.endswith("entry_points.txt") for name in held)
