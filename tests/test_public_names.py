"""The public names: documented, the same in all three places that list them, and light."""

import ast
import inspect
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

import putback

ROOT = Path(__file__).parent.parent
HEAVY = {"django", "numpy", "ortools", "pint", "psycopg", "pydantic", "rich", "scipy", "typer"}


def test_the_names_are_those_in_the_docs():
    """The table of names in docs/library.md is `__all__`, no more and no less."""
    table = (ROOT / "docs" / "library.md").read_text().partition("## All names")[2]
    rows = re.findall(r"^\| (`.*?`) \|", table, re.MULTILINE)
    named = [name for row in rows for name in re.findall(r"`(\w+)`", row)]
    assert sorted(named) == putback.__all__


def test_the_type_checker_sees_the_same_names():
    """What is imported for the type checker is what the running program loads, from there."""
    tree = ast.parse(Path(putback.__file__).read_text())
    (block,) = (
        node
        for node in tree.body
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING"
    )
    imports = [node for node in block.body if isinstance(node, ast.ImportFrom)]
    seen = {alias.asname: node.module for node in imports for alias in node.names}
    assert seen == putback._HOME_OF


@pytest.mark.parametrize("name", putback.__all__)
def test_every_name_is_there_and_says_what_it_is(name):
    """Each has a docstring of its own, and so has each of its public methods."""
    thing = getattr(putback, name)
    said = thing.__doc__ or ""
    assert said.strip()
    assert not said.startswith(f"{name}("), "a dataclass that nobody described"
    methods = inspect.getmembers(thing, inspect.isfunction) if inspect.isclass(thing) else []
    ours = [(each, method) for each, method in methods if method.__module__.startswith("putback")]
    assert [each for each, method in ours if each[0] != "_" and not inspect.getdoc(method)] == []


def test_a_name_that_is_not_there_is_refused():
    """A misspelt name fails as in any module, and `dir` lists the right ones."""
    with pytest.raises(AttributeError, match="module 'putback' has no attribute 'PartOf'"):
        putback.PartOf  # noqa: B018
    assert set(putback.__all__) <= set(dir(putback))


def loaded_by(program: str) -> set[str]:
    """Top-level modules that are loaded when a program has run in a fresh interpreter."""
    program += "\nimport json, sys; print(json.dumps(list(sys.modules)))"
    run = subprocess.run(
        [sys.executable, "-c", program], capture_output=True, text=True, check=True
    )
    return {module.partition(".")[0] for module in json.loads(run.stdout)}


def test_importing_loads_nothing_heavy():
    """`import putback` brings in none of the libraries it stands on."""
    assert loaded_by("import putback") & HEAVY == set()


def test_logging_loads_neither_database_nor_solver():
    """A vehicle in memory is begun, logged and asked without Django, OR-Tools or numpy."""
    program = """
import putback
van = putback.garage_in_memory().new_vehicle("Van")
van.log(putback.PartOff(part="radiator"))
van.open_items(), van.hardware_check(), van.state()
"""
    assert loaded_by(program) & HEAVY == {"pydantic"}
