"""Open items on what is awaited or undecided, and on the logbook itself."""

import json
from datetime import timedelta

import pytest

from putback.logbook.entries.base import Subject, canonical
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import Described
from putback.logbook.entries.judging import (
    Arrived,
    CameBack,
    Choice,
    Decided,
    Hindrance,
    Ordered,
    PutOff,
    SentOut,
)
from putback.logbook.entries.registry import decode
from putback.logbook.entries.working import (
    Found,
    JobDone,
    Measured,
    NoteMade,
    PhotoTaken,
    TakenInHand,
)
from putback.logbook.open_items import Danger
from tests.logbook.planted import clear, only
from tests.makers import vehicle
from tests.makers_logbook import FIRST_DAY, Story


@pytest.fixture
def story():
    """A lid on a frame."""
    return Story(vehicle("lid - frame"))


def test_an_order_past_its_day_is_late_until_it_arrives(story):
    """Promised for the third, and on the tenth nothing is here."""
    ordered = story.says(
        "A", Ordered(what="part:lid", item="lid seal", supplier="Firm", due="2031-05-03")
    )
    assert not story.open("late")
    later = {"at": FIRST_DAY + timedelta(days=9)}
    item = only(story, "late", Danger.NOW, ordered, **later)
    assert item.words == "lid seal from Firm is 7 days late (promised for 2031-05-03)"
    clear(story, item, Arrived(what="part:lid", order=ordered), **later)


def test_work_sent_out_is_late_until_it_comes_back(story):
    """The plater's promise is a promise too."""
    sent = story.says("A", SentOut(what=("part:lid",), firm="Plater", due="2031-05-03"))
    later = {"at": FIRST_DAY + timedelta(days=3)}
    item = only(story, "late", Danger.NOW, sent, **later)
    assert item.words == "lid is 1 day late at Plater (promised for 2031-05-03)"
    clear(story, item, CameBack(what=("part:lid",)), **later)


@pytest.mark.parametrize("due", ["", "soon"])
def test_what_nobody_promised_a_day_for_is_not_late(story, due):
    """Without a day that can be read there is nothing to be late for."""
    story.says("A", SentOut(what=("part:lid",), firm="Plater", due=due))
    assert not story.open("late", at=FIRST_DAY + timedelta(days=900))


def test_what_was_put_off_is_asked_for_again_on_its_day(story):
    """Until the third, and on the third the helper may be there."""
    said = story.says(
        "A",
        PutOff(what="part:lid", why=Hindrance.NO_HELPER, note="by two", until="2031-05-03"),
    )
    assert not story.open("put off over", at=FIRST_DAY + timedelta(days=1))
    there = {"at": FIRST_DAY + timedelta(days=2)}
    item = only(story, "put off over", Danger.NOW, said, **there)
    assert item.words == (
        "lid was put off until 3 May 2031 (no helper: by two), and the day is here"
    )
    clear(story, item, TakenInHand(what="part:lid"), **there)
    story.says("A", PutOff(what="part:lid", why=Hindrance.STUCK, until="2031-05-03"))
    (item,) = story.open("put off over", **there)
    clear(story, item, PutOff(what="part:lid", why=Hindrance.STUCK, until="2031-05-04"), **there)


@pytest.mark.parametrize("until", ["", "2031-02-31"])
def test_what_is_put_off_without_a_day_is_not_asked_for(story, until):
    """Nor is it on a day that no calendar has."""
    story.says("A", PutOff(what="part:lid", why=Hindrance.STUCK, until=until))
    assert not story.open("put off over", at=FIRST_DAY + timedelta(days=900))


def test_what_did_not_come_back_is_history_once_the_part_is_on(story):
    """Somebody made do, or the hardware accounts know better."""
    story("A: off lid")
    story.says("A", CameBack(what=("part:lid",), missing="two clips"))
    (item,) = story.open("did not come back")
    clear(story, item, "A: on lid")


def test_what_did_not_come_back_is_open_until_it_did(story):
    """The firm is asked on the day."""
    back = story.says("A", CameBack(what=("part:lid",), missing="two clips"))
    item = only(story, "did not come back", Danger.NOW, back)
    assert item.words == "lid came back without two clips"
    clear(story, item, CameBack(what=("part:lid",)))


@pytest.mark.parametrize(
    ("value", "words"),
    [(0.1, "wear of lid is 0.1 mm, below 0.2 mm"), (3.5, "wear of lid is 3.5 mm, above 3 mm")],
)
def test_a_reading_outside_its_limits_is_open_until_decided(story, value, words):
    """Worn beyond its limit: somebody decides."""
    reading = Measured(of="part:lid", what="wear", value=value, unit="mm", low=0.2, high=3)
    measured = story.says("A", reading)
    item = only(story, "reading outside", Danger.NOW, measured)
    assert item.words == words
    clear(story, item, Decided(of="part:lid", choice=Choice.REPLACE, about=measured))


def test_a_later_reading_inside_its_limits_takes_its_place(story):
    """Measured again and right, nothing is open."""
    worn = Measured(of="part:lid", what="wear", value=4, unit="mm", high=3)
    story.says("A", worn)
    (item,) = story.open("reading outside")
    clear(story, item, worn.model_copy(update={"value": 2}))


def test_a_finding_is_open_until_decided(story):
    """A crack in the frame waits for a decision, without pressing."""
    found = story.says("A", Found(of="part:lid", what="a crack"))
    item = only(story, "finding undecided", Danger.LATER, found)
    assert item.words == "found on lid: a crack"
    clear(story, item, Decided(of="part:lid", choice=Choice.RECONDITION))


def test_what_is_logged_before_it_is_described_is_named_later(story):
    """A part that only the logbook knows is complete, and asked for without haste."""
    first, second = story("A: off thing"), story("A: moved part:thing to shelf")
    item = only(story, "undescribed", Danger.LATER, first, second)
    assert item.words == "part thing is logged and not described yet"
    fields = {"name": "Thing", "zone": "here"}
    clear(story, item, Described(table="parts", id="thing", fields=fields))


@pytest.mark.parametrize("kind", ["joint", "opening", "fluid", "job"])
def test_whatever_is_not_described_is_named_later(story, kind):
    """Joints, openings, fluids and jobs as well, by a note or a photo alone."""
    subject = Subject(f"{kind}:x")
    noted = story.says("A", NoteMade(text="?", of=(subject,)))
    story.says("A", PhotoTaken(photo="0" * 64, of=(subject,)))
    item = only(story, "undescribed", Danger.LATER, noted)
    assert item.words == f"{kind} x is logged and not described yet"


def test_one_entry_in_two_forms_is_open_until_somebody_looked(story):
    """Two devices gave one identity to different things; a note on the entry answers it."""
    off = story("A: off lid")
    document = json.loads(story.entries[-1].raw) | {"who": "somebody else"}
    story.fold.add([decode(canonical(document))])
    item = only(story, "same id two bodies", Danger.NOW, off)
    assert item.words == "one entry came in 2 forms; one of them counts, all are kept"
    clear(story, item, NoteMade(text="looked at", of=(Subject(f"entry:{off}"),)))


def test_entries_that_cannot_be_read_are_one_item(story):
    """A newer phone's entries are kept; striking them out or a note on each answers it."""
    unread = []
    for _ in range(2):
        entry = story("A: off lid")
        document = json.loads(story.entries[-1].raw) | {"kind": "part beamed up"}
        story.entries.pop()
        story.fold.add([decode(canonical(document | {"id": entry.replace("7000", "7001")}))])
        unread.append(entry.replace("7000", "7001"))
        story.strike(entry)
    item = only(story, "unread entries", Danger.LATER, *unread)
    assert item.words.startswith("2 entries cannot be read here")
    story.strike(unread[0])
    assert len(story.open("unread entries")[0].causes) == 1
    clear(story, item, NoteMade(text="looked at", of=(Subject(f"entry:{unread[1]}"),)))


def test_entries_with_impossible_times_are_one_item(story):
    """A phone whose clock is a year off skews all it logs."""
    skewed = [
        story.says("A", JobDone(job="job"), clock=(1_000, 0)),
        story.says("A", JobDone(job="job"), clock=(2_000, 0)),
    ]
    item = only(story, "clock skewed", Danger.LATER, *skewed)
    assert item.words == "2 entries bear times that cannot be right"
    story.strike(skewed[0])
    (one,) = story.open("clock skewed")
    assert one.words == "1 entry bears times that cannot be right"
    clear(story, item, NoteMade(text="right order", of=(Subject(f"entry:{skewed[1]}"),)))


def test_what_rests_on_a_struck_entry_is_offered(story):
    """A decision on a finding that was struck out stands, and is pointed at."""
    found = story.says("A", Found(of="part:lid", what="a crack"))
    decided = story.says("A", Decided(of="part:lid", choice=Choice.REPLACE, about=found))
    story.strike(found)
    item = only(story, "rests on struck", Danger.LATER, decided)
    clear(story, item, Struck(entry=decided))


@pytest.mark.parametrize(
    ("days", "danger", "words"),
    [
        (None, Danger.LATER, "no backup elsewhere is known"),
        (31, Danger.NOW, "not backed up elsewhere for 31 days"),
    ],
)
def test_a_backup_is_asked_for_after_a_month(story, days, danger, words):
    """The only copy in the garage is no copy."""
    when = None if days is None else story.now - timedelta(days=days)
    item = only(story, "no backup", danger, backed_up_at=when)
    assert item.words == words
    assert not story.open("no backup", backed_up_at=story.now - timedelta(days=30))


def test_an_empty_logbook_needs_no_backup():
    """There is nothing to lose yet."""
    assert not Story(vehicle()).open(backed_up_at=None)
