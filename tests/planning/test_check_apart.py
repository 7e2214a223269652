"""The checker and the planners share nothing but the records of a plan."""

import ast
from pathlib import Path

import pytest

import putback.planning
from putback.planning.check import RebuildRule, StripRule

FOLDER = Path(putback.planning.__file__).parent
CHECKER = sorted((FOLDER / "check").glob("*.py"))
PLANNERS = sorted(set(FOLDER.rglob("*.py")) - set(CHECKER))
RULES = (FOLDER.parents[2] / "docs" / "planning-rules.md").read_text()


def imported(path: Path) -> set[str]:
    """Every module that a file imports from, wherever in it."""
    found = set()
    for node in ast.walk(ast.parse(path.read_text())):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            found |= {node.module or ""} | {f"{node.module}.{alias.name}" for alias in node.names}
    return found


@pytest.mark.parametrize("path", CHECKER, ids=lambda path: path.stem)
def test_the_checker_knows_no_planner(path):
    """Of the planning floor it reads the records of a plan, and itself."""
    planning = {name for name in imported(path) if name.startswith("putback.planning")}
    allowed = ("putback.planning.plan", "putback.planning.check")
    assert {name for name in planning if not name.startswith(allowed)} == set()


@pytest.mark.parametrize("path", PLANNERS, ids=lambda path: str(path.relative_to(FOLDER)))
def test_no_planner_knows_the_checker(path):
    """A planner that asked the checker would be judged by itself."""
    assert {name for name in imported(path) if "planning.check" in name} == set()


@pytest.mark.parametrize("rule", [*StripRule, *RebuildRule], ids=str)
def test_every_rule_is_one_of_the_document(rule):
    """The number of a rule is that of a paragraph in the document, for strip and rebuild each."""
    part, _, number = rule.replace(",", "").partition(" ")
    strip, _, rebuild = RULES.partition("## The rebuild")
    text = strip if part == "strip" else rebuild
    assert ("\n**Cost**" if number == "cost" else f"\n{number}. ") in text
