"""Reading the logbook."""

import pytest

from putback.errors import BadInput, NotFound
from putback.logbook.entries.base import EntryId, Subject
from putback.logbook.entries.working import NoteMade
from putback.workshop.things.book import (
    A_PAGE,
    Wanted,
    history_lines,
    late_note,
    read_book,
    tell_entry,
)
from tests.makers import vehicle
from tests.stores import ANN, BEN, PHONE
from tests.workshop.lines import CAR, Lines


@pytest.fixture
def lines():
    """Four things that happened, by two people."""
    lines = Lines(vehicle("lid - frame: 4 bolt M8 x 20", "pump - frame: 2 bolt M6 x 16"))
    lines("undone lid-frame 4/4 tag=3CAH")
    lines("off lid", who=BEN)
    lines('note "smells of mice" lid')
    lines("off pump")
    return lines


def told(lines: Lines, **wanted: str) -> list[str]:
    return [
        each.sentence
        for each in read_book(lines.workshop, CAR, Wanted(**wanted)).lines
        if each.kind != "described"
    ]


def test_the_newest_comes_first(lines):
    """Entries stand in the order of the logbook, turned round."""
    assert told(lines) == ["took off pump", "noted: smells of mice", "took off lid", UNDID]


UNDID = "undid lid-frame: 4 of 4 out"


def test_it_is_narrowed_by_kind_person_day_thing_and_words(lines):
    """Each narrows alone, and together they narrow further."""
    assert told(lines, kind="part off") == ["took off pump", "took off lid"]
    assert told(lines, person=BEN) == ["took off lid"]
    assert told(lines, thing="part:lid") == ["noted: smells of mice", "took off lid"]
    assert told(lines, words="MICE smells") == ["noted: smells of mice"]
    assert told(lines, kind="part off", thing="part:lid") == ["took off lid"]
    day = lines.workshop.clock.now().date().isoformat()
    assert len(told(lines, day=day)) == 4
    assert told(lines, day="1999-01-01") == []


def test_a_struck_entry_stays_in_its_place_and_says_why(lines):
    """It is shown struck out, with the reason and the entry that strikes it; so are its words."""
    (off,) = [each for each in read_book(lines.workshop, CAR).lines if each.who == BEN]
    lines.workshop.strike(CAR, off.id, who=ANN, device=PHONE, why="the wrong car")
    line = read_book(lines.workshop, CAR, Wanted(thing="part:lid")).lines[1]
    assert (line.id, line.is_struck, line.why) == (off.id, True, "the wrong car")
    lines.workshop.strike(CAR, EntryId(line.struck_by), who=ANN, device=PHONE)
    line = read_book(lines.workshop, CAR, Wanted(thing="part:lid")).lines[1]
    assert (line.id, line.is_struck, line.struck_by) == (off.id, False, "")


def test_pages_hold_every_entry_once(lines):
    """No entry is lost between two pages; a page beyond the last is the last."""
    for number in range(A_PAGE):
        lines(f"note {number}")
    first = read_book(lines.workshop, CAR)
    second = read_book(lines.workshop, CAR, page=2)
    both = (*first.lines, *second.lines)
    assert len({each.id for each in both}) == len(both)
    assert sum(1 + each.more for each in both) == lines.workshop.facts(CAR).entries
    assert first.pages == 2
    assert read_book(lines.workshop, CAR, page=99).page == 2


def test_descriptions_of_one_act_are_one_line_until_they_are_asked_for(lines):
    """A vehicle that was described at once is one line; by their kind, each is read."""
    (about,) = [each for each in read_book(lines.workshop, CAR).lines if each.more]
    every = read_book(lines.workshop, CAR, Wanted(kind="described"))
    assert about.more + 1 == every.found == len(every.lines)


def test_who_came_from_elsewhere_is_as_claimed(lines):
    """An entry that another device sent on is marked; one of this device is not."""
    other = Lines()
    act = other("note hello")
    (entry,) = act.entries
    lines.workshop.store.append(CAR, [entry], "a bundle")
    claimed = {each.sentence: each.is_claimed for each in read_book(lines.workshop, CAR).lines}
    assert claimed["noted: hello"]
    assert not claimed["took off pump"]


def test_an_entry_tells_all_that_came_with_it(lines):
    """Its act, what it speaks of, when it was received and its document."""
    act = lines.workshop.log(
        CAR, [NoteMade(text="one"), NoteMade(text="two")], who=ANN, device=PHONE
    )
    entry, mates = tell_entry(lines.workshop, CAR, act.entries[0].id)
    assert entry.line.sentence == "noted: one"
    assert [each.sentence for each in mates] == ["noted: two"]
    assert entry.raw["body"]["text"] == "one"
    with pytest.raises(NotFound):
        tell_entry(lines.workshop, CAR, EntryId("nothing"))


def test_a_late_note_goes_behind_the_entry_it_belongs_after(lines):
    """Its day is that on which it happened, and it stands right after what is named."""
    (lid,) = [each for each in read_book(lines.workshop, CAR).lines if each.who == BEN]
    day = lid.happened_at[:10]
    body, at, after = late_note(
        lines.workshop, CAR, text=" two washers ", day=day, after=lid.id, thing="part:lid"
    )
    lines.workshop.log(CAR, [body], who=ANN, device=PHONE, happened_at=at, after=after)
    assert told(lines) == [
        "took off pump",
        "noted: smells of mice",
        "noted: two washers",
        "took off lid",
        UNDID,
    ]
    assert history_lines(lines.workshop, CAR, Subject("part:lid"))[1].sentence == (
        "noted: two washers"
    )


def test_a_late_note_must_be_one(lines):
    """Nothing said, a day that is none or still to come, an entry that is not there: refused."""
    said = {"text": "x", "day": "", "after": "", "thing": ""}
    for wrong, fault in (
        ({"text": " "}, "the note is empty"),
        ({"day": "soon"}, "'soon' is no day"),
        ({"day": "2999-01-01"}, "2999-01-01 is still to come"),
    ):
        with pytest.raises(BadInput, match=fault):
            late_note(lines.workshop, CAR, **(said | wrong))
    with pytest.raises(NotFound):
        late_note(lines.workshop, CAR, **(said | {"after": "nothing"}))
