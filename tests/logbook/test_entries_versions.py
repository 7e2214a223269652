"""Old versions of entries are read for ever, one step at a time."""

from typing import ClassVar

import pytest

from putback.logbook.cells import description
from putback.logbook.entries import registry, upcast
from putback.logbook.entries.base import Unread
from putback.logbook.entries.describing import Described
from putback.logbook.entries.registry import read_body
from putback.logbook.entries.working import NoteMade
from putback.vehicle.codec import FieldFault, RecordFaults, from_plain
from tests.strategies.entries import Draft


class NoteOfThree(NoteMade):
    """A note as two later versions might write it: ``words``, then ``said``."""

    VERSION: ClassVar[int] = 3
    text: str = ""
    said: str


@pytest.fixture
def later(monkeypatch):
    """A program in which the note has its third version."""
    monkeypatch.setattr(registry, "KINDS", {**registry.KINDS, "note": NoteOfThree})
    monkeypatch.setattr(
        upcast,
        "STEPS",
        {
            ("note", 1): lambda body: {"words": body["text"]},
            ("note", 2): lambda body: {"said": body["words"].upper()},
        },
    )


@pytest.mark.usefixtures("later")
@pytest.mark.parametrize(
    ("version", "body"), [(1, {"text": "abc"}), (2, {"words": "abc"}), (3, {"said": "ABC"})]
)
def test_every_version_is_read_as_the_newest(version, body):
    """Each step brings a body one version on; the newest needs none."""
    assert read_body("note", version, body) == NoteOfThree(said="ABC")


@pytest.mark.usefixtures("later")
def test_a_version_later_than_ours_is_kept_unread():
    """What a newer program wrote is not guessed at."""
    assert read_body("note", 4, {"said": "ABC"}) == Unread("unknown version", "note version 4")


def test_fields_that_do_not_hold_together_fall_back_to_those_that_do(monkeypatch):
    """Each could be read when it was said; the last said gives way, and no fold ever fails."""

    def strict(table, plain):
        if plain.get("mass_kg") == 7 and plain.get("name") == "lid":
            raise RecordFaults(table, (FieldFault("mass_kg", "does not go with that name"),))
        return from_plain(table, plain)

    monkeypatch.setattr(description, "from_plain", strict)
    said = [
        Draft(Described(table="parts", id="p", fields=fields), act=number).entry(number)
        for number, fields in enumerate([{"mass_kg": 7}, {"crew": 2}, {"name": "lid"}], start=1)
    ]
    part = description.fold_record("parts", "p", [((), entry) for entry in said])
    assert (part.mass_kg, part.crew, part.name) == (7, 2, description.UNNAMED)


def test_a_table_that_cannot_be_read_at_all_is_our_own_mistake(monkeypatch):
    """Nothing is left to fall back to: that is told rather than hidden."""
    monkeypatch.setattr(description, "_NEEDED", {})
    entry = Draft(Described(table="parts", id="p"), act=1).entry(1)
    with pytest.raises(RecordFaults, match="is missing"):
        description.fold_record("parts", "p", [((), entry)])
