"""What marks say that ran, held against what coverage.py sees when it is called at every line."""

import json
import sys
from collections.abc import Callable, Iterable
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from coverage import Coverage
from hypothesis import given
from hypothesis import strategies as st

import putback.units
from tests import measured
from tests.measured import MARKS, Measured, arcs, marked

WAYS = '''"""What a module is about."""

from __future__ import annotations

from contextlib import contextmanager, suppress
from dataclasses import dataclass

TABLE = {
    "a": [
        1,
        2,
    ],
}


@dataclass(frozen=True)
class Thing:
    """With a docstring."""

    number: int = 0

    @property
    def twice(self) -> int:
        return self.number * 2


@contextmanager
def opened(number):
    try:
        yield number
    finally:
        number += 1


def tests(number):
    """Conditions, with and without another way."""
    if number > 5:
        found = "large"
    elif number > 3:
        found = (
            "middling"
        )
    elif (
        number == 3
        and number
    ):
        pass
    else:
        found = "small"
        if number == 1:
            found = "one"
    if number == 2:
        return None
    return Thing(number).twice


def loops(number):
    found = []
    for each in range(number):
        if each == 2:
            continue
        if each == 4:
            break
        found.append(each)
    else:
        found.append(-1)
    while number > 0:
        number -= 2
    for each in found:
        found = [
            one
            for one in found
        ]
    while True:
        if number < 5:
            return number
        number -= 1


def patterns(number):
    match number:
        case 0 | 1:
            found = "few"
        case int() if number == 2:
            found = "a pair"
        case 3:
            found = "three"
    match number:
        case 4:
            return "four"
        case _:
            found = "another"
    return found


def errors(number):
    try:
        if number == 1:
            raise KeyError
        if number == 2:
            raise ValueError
    except KeyError:
        found = 1
    except (
        ValueError,
        TypeError,
    ):
        found = 2
    else:
        found = 3
    finally:
        number += 1
    with suppress(ValueError), opened(number) as same:
        if same == 4:
            raise ValueError
        found += 1
    return found


def within(number):
    global last

    def inner(more):
        nonlocal number
        number += more
        return number

    last = [each + 1 for each in range(number)]
    return (lambda: inner(1))() if number else inner(2)


def yields(number):
    yield 1
    if number:
        yield 2
    yield 3


def run(number):
    for each in tests, loops, patterns, errors, within:
        each(number)
    list(yields(number))
'''

BROKEN_OFF = """def fails():
    raise KeyError


def run(number):
    one = 1
    if number:
        two = 2
        fails()
        three = 3
        four = 4
    try:
        five = 5
        {}[number]
        six = 6
    except KeyError:
        seven = 7
        raise
"""


def reported(path: Path, tell: Callable[[Coverage], None]) -> dict[str, Any]:
    """What coverage.py reports of a module."""
    coverage = Coverage(data_file=None, branch=True, config_file=False, include=[str(path)])
    tell(coverage)
    told = path.with_suffix(".json")
    coverage.json_report(outfile=str(told))
    (found,) = json.loads(told.read_text())["files"].values()
    names = "executed_lines", "missing_lines", "executed_branches", "missing_branches"
    return {name: {json.dumps(each) for each in found[name]} for name in names}


def ran(code: Any, numbers: Iterable[int], **more: object) -> None:
    """Run a module, and its `run` with each of some numbers, whatever comes of it."""
    module: dict[str, Any] = {"__name__": __name__, **more}
    exec(code, module)
    for number in numbers:
        try:
            module["run"](number)
        except KeyError:
            continue


def by_marks(path: Path, numbers: Iterable[int]) -> dict[str, Any]:
    """What is reported by marks."""
    source = path.read_bytes()
    code, said = marked(source, str(path))
    marks = [0] * len(said)
    ran(code, numbers, **{MARKS: marks})
    told = {str(path): arcs(source, said, marks)}
    return reported(path, lambda coverage: coverage.get_data().add_arcs(told))


def by_calls(path: Path, numbers: Iterable[int]) -> dict[str, Any]:
    """What is reported where Python calls at every line."""

    def tell(coverage: Coverage) -> None:
        code = compile(path.read_bytes(), path, "exec")
        before = sys.gettrace()
        coverage.start()
        try:
            ran(code, numbers)
        finally:
            coverage.stop()
            sys.settrace(before)

    return reported(path, tell)


@pytest.fixture(scope="module")
def folder(tmp_path_factory) -> Path:
    """A folder with both modules."""
    folder: Path = tmp_path_factory.mktemp("marked")
    (folder / "ways.py").write_text(WAYS)
    (folder / "broken_off.py").write_text(BROKEN_OFF)
    return folder


@given(numbers=st.sets(st.integers(0, 8), max_size=4))
def test_marks_say_what_coverage_would_have_seen(folder, numbers):
    """Of all ways of Python to go on that our modules know, whichever of them are gone."""
    path = folder / "ways.py"
    assert by_marks(path, numbers) == by_calls(path, numbers)


@pytest.mark.parametrize("numbers", [(), (0,), (1,), (0, 1)])
def test_where_an_error_breaks_off_no_more_is_said_than_ran(folder, numbers):
    """What stands behind it did not run, and what is said to be missing is no less."""
    path = folder / "broken_off.py"
    said, seen = by_marks(path, numbers), by_calls(path, numbers)
    for name in ("executed_lines", "executed_branches"):
        assert said[name] <= seen[name]
    for name in ("missing_lines", "missing_branches"):
        assert said[name] >= seen[name]


def test_a_compiled_function_is_left_as_it_is():
    """The compiler knows no marks; those around it are marked."""
    source = "@compiled\ndef loop(n):\n    return n\n\n\ndef plain(n):\n    return n\n"
    code, _ = marked(source.encode(), "module.py")
    names = {each.co_name: each.co_names for each in code.co_consts if hasattr(each, "co_name")}
    assert names == {"loop": (), "plain": (MARKS,)}


@pytest.mark.parametrize(
    ("name", "is_marked"),
    [
        ("putback", True),
        ("putback.units", True),
        ("putback.units.parse", True),
        ("putback.web", False),
        ("putback.cli.main", False),
        ("hypothesis", False),
    ],
)
def test_only_our_own_modules_are_marked_and_not_what_the_figure_leaves_out(name, is_marked):
    """Web and command line are checked through their pages and commands."""
    path = putback.__path__ if name.count(".") == 1 else putback.units.__path__
    found = measured._Finder().find_spec(name, path if "." in name else None)
    assert isinstance(found and found.loader, measured._Loader) is is_marked


class Looking:
    """A coverage that only says whether it looks, among others that do."""

    running: list["Looking"]

    def __init__(self) -> None:
        self.told: dict[str, set[tuple[int, int]]] = {}

    def start(self) -> None:
        self.running.append(self)

    def stop(self) -> None:
        self.running.remove(self)

    def get_data(self) -> "Looking":
        return self

    def add_arcs(self, told: dict[str, set[tuple[int, int]]]) -> None:
        self.told |= told

    @classmethod
    def current(cls) -> "Looking | None":
        return cls.running[-1] if cls.running else None


def test_nothing_is_called_at_every_line_and_the_latest_is_told(monkeypatch, folder):
    """Of several, as in a worker of xdist, the one that was begun last counts; asked twice too."""
    path = folder / "broken_off.py"
    _, said = marked(path.read_bytes(), str(path))
    monkeypatch.setattr(measured, "Coverage", Looking)
    monkeypatch.setattr(measured, "loaded", {str(path): (said, [1] * len(said))})
    beneath, latest = Looking.running = [Looking(), Looking()]
    counts = Measured()
    for _ in range(2):
        counts.look_away()
        assert Looking.running == []
    counts.tell()
    assert beneath.told == {}
    assert (1, 1) in latest.told[str(path)]


def test_where_the_python_of_compiled_functions_runs_it_looks_itself(monkeypatch):
    """And no longer, though the test fail; where nothing measures, nothing looks."""
    monkeypatch.setattr(measured, "Coverage", Looking)
    Looking.running = [Looking()]
    counts = Measured()
    counts.look_away()
    with suppress(ZeroDivisionError), counts.looking():
        assert Looking.running == [counts.counts]
        raise ZeroDivisionError
    assert Looking.running == []
    with Measured().looking():
        assert Looking.running == []


def test_where_nothing_measures_nothing_is_marked(monkeypatch):
    """Without `--cov` modules are loaded as they are."""
    before = [*sys.meta_path]
    monkeypatch.setattr(sys, "meta_path", [*before])
    monkeypatch.setattr(measured, "Coverage", Looking)
    Looking.running = []
    measured.marking()
    assert sys.meta_path == before
    Looking.running = [Looking()]
    measured.marking()
    assert isinstance(sys.meta_path[0], measured._Finder)
