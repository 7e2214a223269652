"""How a rule is tested: an item is planted, names its cause, and goes by what it asks for."""

from typing import Any

from putback.logbook.entries.base import Body
from putback.logbook.open_items import Danger, OpenItem
from tests.makers_logbook import Story


def only(story: Story, rule: str, danger: Danger, *causes: str, **settings: Any) -> OpenItem:
    """Give the one item of a rule; it is this dangerous and caused by exactly these entries."""
    items = story.open(rule, **settings)
    assert [item.words for item in items] == [items[0].words if items else "an item"]
    (item,) = items
    assert item.danger is danger, item
    assert set(item.causes) == set(causes), item
    assert item.clears
    assert item.kinds or not item.causes or rule == "curing"
    return item


def clear(story: Story, item: OpenItem, how: Body | str, **settings: Any) -> None:
    """Log what clears the item, an entry of a kind that it names, and see it gone."""
    _log(story, how)
    assert story.entries[-1].kind in item.kinds, f"{item.clears}: {item.kinds}"
    left = [each for each in story.open(item.rule, **settings) if each.subject == item.subject]
    assert not left, left


def _log(story: Story, how: Body | str) -> None:
    story(how) if isinstance(how, str) else story.says("A", how)
