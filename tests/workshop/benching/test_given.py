"""What was put in, as typed and as understood."""

from putback.workshop.benching.every import EVERY
from putback.workshop.benching.given import given


def told(name: str, typed: dict[str, str]) -> dict[str, tuple[str, str, bool]]:
    """By its name: typed, understood, whether it is usual."""
    return {each.name: (each.typed, each.understood, each.is_usual)
            for each in given(EVERY[name], typed)}  # fmt: skip


def test_what_was_typed_stands_beside_what_it_was_taken_for():
    """Under another name as well; what was left out has its usual value or is not there."""
    said = told("thread", {"od": " 0.309 in", "tpi": "24"})
    assert said["major"] == ("0.309 in", "7.849 mm (0.309 in)", False)
    assert said["tpi"] == ("24", "24 tpi (1.0583 mm)", False)
    assert said["wear"] == ("0.1 mm", "0.1 mm (0.0039 in)", True)
    assert "minor" not in said


def test_what_is_no_measure_is_only_told_again_where_it_was_understood_otherwise():
    """A choice by another word is; a size in words and lines are as typed, lines one by one."""
    said = told("bolt", {"size": "M10", "grade": "8.8", "into": "aluminum"})
    assert said["size"] == ("M10", "", False)
    assert said["into"] == ("aluminum", "aluminium", False)
    assert told("bend", {"points": "0 0 0 | 9 0 0"})["points"] == ("0 0 0\n9 0 0", "", False)
