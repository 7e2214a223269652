"""What if: the state of something supposed is the state of the same thing logged."""

from dataclasses import fields, is_dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import BadInput, NotFound
from putback.logbook.common import Said
from putback.workshop.logbooks.ports import GARAGE, Role
from putback.workshop.logbooks.situation import situation_of
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.what_if import suppose
from tests.makers import standing, vehicle
from tests.stores import ANN, PHONE
from tests.workshop.lines import CAR, Lines

PUMP = vehicle(
    "lid - frame: 4 bolt M8 x 20; critical",
    "pump - frame: 2 bolt M6 x 16",
    "hose - pump - frame",
    "lid blocks pump",
    standing("wheels", "frame", stands=5.0),
    standing("stands", "frame", wheels=5.0),
    datum="frame",
)
LINES = (
    "off lid",
    "off pump",
    "on lid",
    "undone lid-frame 2/4 stuck=1",
    "undone lid-frame tag=3CAH",
    "undone pump-frame",
    "made lid-frame nipped",
    "bag 3CAH bolts",
    "put lid 3HNA",
    "standing stands rock_tested=yes",
    "found cracked lid",
    "note 'two washers here' pump",
    "off spare --new",
    "place Shelf",
)


def sheet_over(lines: Lines, *supposed: str) -> Workshop:
    """The workshop in which these lines have happened."""
    lines.watch.put_on(minutes=1)
    return suppose(lines.workshop, CAR, supposed, who=ANN, device=PHONE)


def written(lines: Lines) -> list[tuple[int, bytes]]:
    """All that is in the store, byte for byte."""
    store = lines.workshop.store
    return [(row.position, row.raw) for book in store.logbooks() for row in store.read(book.id, 0)]


def without_identities(value):
    """A state without what no two loggings share: the identities of entries, and their clocks."""
    if isinstance(value, Said):
        return value.who
    if is_dataclass(value):
        return {
            each.name: without_identities(getattr(value, each.name))
            for each in fields(value)
            if each.name not in {"entry", "doubles", "in_two_bags", "settled", "notes"}
        }
    if isinstance(value, (tuple, list)):
        return [without_identities(each) for each in value]
    if hasattr(value, "items"):
        return {str(key): without_identities(each) for key, each in value.items()}
    return value


@given(st.lists(st.sampled_from(LINES), max_size=6), st.integers(0, 6))
@settings(deadline=None)
def test_what_is_supposed_is_as_if_it_were_logged(said: list[str], logged_already: int):
    """State and open items are those of a logbook in which the lines were really logged."""
    plain, beneath = Lines(PUMP), Lines(PUMP)
    for line in said[:logged_already]:
        for each in (plain, beneath):
            each(line.removesuffix(" --new"), new=line.endswith("--new"))
    before = written(beneath)
    supposed = sheet_over(beneath, *said[logged_already:])
    for line in said[logged_already:]:
        shared = line.startswith("place")
        bodies = plain.read(line.removesuffix(" --new"), new=line.endswith("--new"))
        plain.workshop.log(GARAGE if shared else CAR, bodies, who=ANN, device=PHONE)
    assert without_identities(supposed.state(CAR)) == without_identities(plain.workshop.state(CAR))
    assert [each.words for each in opened(supposed)] == [
        each.words for each in opened(plain.workshop)
    ]
    assert written(beneath) == before


def opened(workshop: Workshop):
    """What is open."""
    from putback.logbook.open_items import open_items

    return open_items(situation_of(workshop, CAR))


def test_the_entries_supposed_fold_to_the_same_state_in_another_copy():
    """The very entries of the sheet, appended to a copy of the logbook, give the equal state."""
    lines = Lines(PUMP)
    lines("undone lid-frame 2/4")
    supposed = sheet_over(lines, "undone lid-frame", "off lid", "off pump")
    copy = Workshop(type(lines.workshop.store)(lines.watch), lines.workshop.photos, lines.watch)
    from putback.workshop.logbooks.look import read_entry

    copy.store.create_logbook(CAR, "copy", ANN)
    copy.take(CAR, [read_entry(row) for row in supposed.since(CAR)], received_from="sheet")
    assert copy.state(CAR) == supposed.state(CAR)
    assert copy.facts(CAR) == supposed.facts(CAR)


def test_nothing_supposed_reaches_the_store():
    """Position, bytes and snapshots stay; the workshop beneath knows nothing of it."""
    lines = Lines(PUMP)
    lines("off lid")
    before, position = written(lines), lines.workshop.store.position(CAR)
    supposed = sheet_over(lines, "off pump", "place Shelf")
    assert "pump" in supposed.state(CAR).parts_off
    assert "pump" not in lines.workshop.state(CAR).parts_off
    assert (written(lines), lines.workshop.store.position(CAR)) == (before, position)
    assert [each.id for each in lines.workshop.store.logbooks()] == [CAR]


def test_what_others_log_meanwhile_is_not_mixed_in():
    """The sheet shows the moment at which it was laid over the store."""
    lines = Lines(PUMP)
    supposed = sheet_over(lines, "off pump")
    lines("off lid")
    assert supposed.state(CAR).parts_off == {"pump"}
    assert [row.position for row in supposed.since(CAR)] == list(
        range(1, supposed.store.position(CAR) + 1)
    )
    assert "".join(str(row.position) for row in supposed.since(CAR)) == "".join(
        str(row.position) for row in reversed([*supposed.store.read(CAR, newest_first=True)])
    )


def test_one_supposition_can_rest_on_another():
    """A sheet over a sheet."""
    lines = Lines(PUMP)
    once = sheet_over(lines, "off lid")
    twice = suppose(once, CAR, ["off pump"], who=ANN, device=PHONE)
    assert twice.state(CAR).parts_off == {"lid", "pump"}
    assert once.state(CAR).parts_off == {"lid"}


@pytest.mark.parametrize(
    "write",
    [
        lambda each: each.log(CAR, Lines(PUMP).read("off lid"), who=ANN, device=PHONE),
        lambda each: each.undo(CAR, who=ANN, device=PHONE),
        lambda each: each.new_vehicle("another", who=ANN, device=PHONE),
        lambda each: each.reserve_tags(PHONE, 2),
        lambda each: each.photos.put(b"picture"),
        lambda each: each.store.grant(CAR, ANN, Role.OWNER),
        lambda each: each.store.revoke(CAR, ANN),
    ],
)
def test_a_sealed_sheet_takes_nothing_more(write):
    """Whatever would write is refused, and says how to go on."""
    lines = Lines(PUMP)
    lines("off pump")
    supposed = sheet_over(lines, "off lid")
    with pytest.raises(BadInput, match="never written; leave --suppose away"):
        write(supposed)
    assert supposed.state(CAR).parts_off == {"lid", "pump"}


@pytest.mark.parametrize(
    ("line", "error"),
    [
        ("off lidd", NotFound),
        ("off 'lid", BadInput),
        ("", BadInput),
        ("photo picture.jpg lid", BadInput),
        ("struck lid", BadInput),
    ],
)
def test_a_line_that_cannot_be_meant_is_refused(line: str, error: type[Exception]):
    """As after ``putback log``; what has a command of its own cannot be supposed."""
    with pytest.raises(error):
        sheet_over(Lines(PUMP), line)


def test_a_snapshot_beneath_is_used(monkeypatch):
    """A long logbook is not read from its beginning to suppose one line more."""
    from putback.workshop.logbooks import look

    monkeypatch.setattr(look, "SNAPSHOT_AFTER", 1)
    lines = Lines(PUMP)
    lines("off pump")
    lines.workshop.state(CAR)
    end = lines.workshop.store.position(CAR)
    asked = []
    read = lines.workshop.store.read
    monkeypatch.setattr(
        lines.workshop.store,
        "read",
        lambda book, after=0, **more: asked.append(after) or read(book, after, **more),
    )
    assert sheet_over(lines, "off lid").state(CAR).parts_off == {"lid", "pump"}
    assert asked
    assert set(asked) == {end}
