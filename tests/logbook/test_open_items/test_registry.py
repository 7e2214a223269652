"""Every rule is registered, planted in a test, documented, and shown in a stable order."""

import pkgutil
import re
from importlib import import_module
from pathlib import Path

import pytest

from putback.logbook import open_items as package
from putback.logbook.entries.registry import KINDS
from putback.logbook.open_items import RULES, STANDING_RULES, Danger, OpenItem, open_items
from tests.makers import vehicle
from tests.makers_logbook import Story

ROOT = Path(__file__).parents[3]
EVERY = {**RULES, **STANDING_RULES}


def test_every_module_with_a_rule_is_registered():
    """A rule that nobody asks finds nothing."""
    modules = [
        import_module(f"{package.__name__}.{each.name}")
        for each in pkgutil.iter_modules(package.__path__)
    ]
    assert {module.rule for module in modules if hasattr(module, "rule")} == set(EVERY.values())


@pytest.mark.parametrize("name", EVERY)
def test_every_rule_is_planted(name):
    """Each rule is made to fire somewhere beside this file."""
    here = Path(__file__)
    texts = [path.read_text() for path in here.parent.glob("test_*.py") if path != here]
    assert any(re.search(rf'(?:only|ahead)\(\w+, "{name}"', text) for text in texts)


@pytest.mark.parametrize("name", EVERY)
def test_every_rule_has_its_line_in_the_docs(name):
    """docs/open-items.md says of each what it finds and what clears it."""
    lines = (ROOT / "docs" / "open-items.md").read_text().splitlines()
    (line,) = [line for line in lines if line.startswith(f"| {name} |")]
    assert len([cell for cell in line.strip("|").split("|") if cell.strip()]) == 4


def test_the_docs_name_no_rule_that_is_not():
    """A rule that went is not described."""
    text = (ROOT / "docs" / "open-items.md").read_text()
    rows = re.findall(r"^\| ([a-z][^|]*?) \|", text, re.MULTILINE)
    assert sorted(set(rows) - {"item"}) == sorted(EVERY)


def test_dangers_come_first():
    """Three are shown at a time, so the order is what people see."""
    story = Story(vehicle("wheel - hub: 4 wheel nut M12; critical", "lid - frame"))
    story("A: undone lid-frame 1 of 1, tag 3CAH", "A: off lid", "A: undone wheel-hub 2 of 4")
    items = story.open()
    assert [item.danger.rank for item in items] == sorted(item.danger.rank for item in items)
    assert items[0].danger is Danger.DANGER
    assert open_items(story.situation()) == tuple(items)


def test_an_item_names_kinds_of_entry_that_exist():
    """What clears it can be logged."""
    story = Story(vehicle("wheel - hub: 4 wheel nut M12; critical"))
    story("A: undone wheel-hub 2 of 4")
    for item in story.open():
        assert isinstance(item, OpenItem)
        assert set(item.kinds) <= set(KINDS)
        assert item.rule in RULES
