"""The order of a logbook: late notes, imprecise dates and skewed clocks spoil no proven order."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.logbook.came_off import came_off
from putback.logbook.entries.base import Entry, EntryId
from putback.logbook.entries.judging import Arrived, Choice, Decided, Ordered
from putback.logbook.entries.rebuilding import Checked, JointMade
from putback.logbook.entries.registry import encode
from putback.logbook.entries.working import Found, JointUndone, NoteMade, PartOff
from putback.logbook.fold import fold
from putback.logbook.moments import happened_ms, instant_ms
from tests.strategies.entries import act_of, id_of


def entry(number: int, happened: str, body=None, *, logged: str = "", clock=None, after=None):
    """One entry; clock and moment of logging are when it happened, unless said otherwise."""
    logged = logged or happened
    return encode(
        id=id_of(number),
        act=act_of(number + 1),
        logbook="v",
        happened_at=happened,
        after=None if after is None else id_of(after),
        logged_at=logged,
        clock=(instant_ms(logged) if clock is None else clock, 0),
        device="phone",
        who="ann",
        body=body or NoteMade(text=str(number)),
    )


def order(*entries: Entry) -> list[int]:
    """The numbers of the entries in the order of the logbook, whichever came first."""
    numbers = {id_of(number): number for number in range(20)}
    found = [numbers[each.id] for each in fold(entries).standing_entries()]
    assert found == [numbers[each.id] for each in fold(entries[::-1]).standing_entries()]
    return found


def test_what_happened_first_stands_first_however_late_it_was_logged():
    """The moment decides, not the clock of the phone or when it was sent."""
    noon = entry(1, "2031-05-02T12:00:00Z")
    late = entry(2, "2031-05-02T08:00:00Z", logged="2031-05-02T20:00:00Z")
    assert order(noon, late) == [2, 1]


def test_one_moment_is_ordered_by_clock_and_then_by_identity():
    """Phones that met agree who was first; else the identity decides, on every copy alike."""
    same = "2031-05-02T12:00:00Z"
    assert order(entry(1, same, clock=7), entry(2, same, clock=5)) == [2, 1]
    ids = sorted((id_of(number), number) for number in (1, 2, 3))
    three = [entry(number, same) for number in (1, 2, 3)]
    assert order(*three) == [number for _, number in ids]


def test_moments_are_compared_across_zones():
    """Ten in the morning in London is after ten in the morning in Berlin."""
    assert order(entry(1, "2031-05-02T10:00:00Z"), entry(2, "2031-05-02T10:00:00+01:00")) == [2, 1]


@pytest.mark.parametrize(
    ("happened", "logged", "stands_at"),
    [
        ("2031-05-01", "2031-05-02T20:00:00Z", "2031-05-01T23:59:59.999Z"),
        ("2031-05-01", "2031-05-02T20:00:00+02:00", "2031-05-01T23:59:59.999+02:00"),
        ("2031-05-02", "2031-05-02T20:00:00Z", "2031-05-02T20:00:00Z"),
        ("2031-04", "2031-05-02T20:00:00Z", "2031-04-30T23:59:59.999Z"),
        ("2028-02", "2031-05-02T20:00:00Z", "2028-02-29T23:59:59.999Z"),
        ("2031-05", "2031-05-02T20:00:00Z", "2031-05-02T20:00:00Z"),
        ("", "2031-05-02T20:00:00Z", "2031-05-02T20:00:00Z"),
    ],
)
def test_an_imprecise_moment_stands_at_its_end(happened, logged, stands_at):
    """Yesterday is after all that was done yesterday, today is now, in the phone's own zone."""
    assert happened_ms(happened, logged) == instant_ms(stands_at)


# -- late entries and the proven order ------------------------------------------------------------


def strip() -> list[Entry]:
    """A radiator, a fan and a pump come off, one after the other."""
    return [
        entry(1, "2031-05-01T09:00:00Z", PartOff(part="radiator")),
        entry(2, "2031-05-01T10:00:00Z", PartOff(part="fan")),
        entry(3, "2031-05-01T11:00:00Z", PartOff(part="pump")),
    ]


def order_of(*entries: Entry) -> list[str]:
    """The proven order of the strip."""
    found = [ref.partition(":")[2] for ref in came_off(fold(entries).state())]
    assert found == [r.partition(":")[2] for r in came_off(fold(entries[::-1]).state())]
    return found


def test_a_late_note_stands_right_behind_what_it_came_after():
    """Yesterday, after the radiator: it is told two days later and spoils nothing."""
    hose = entry(4, "2031-05-01", PartOff(part="hose"), logged="2031-05-03T20:00:00Z", after=1)
    assert order_of(*strip(), hose) == ["radiator", "hose", "fan", "pump"]


def test_without_it_a_day_stands_behind_all_of_that_day():
    """Nothing says that the hose was in the way of anything that came off that day."""
    hose = entry(4, "2031-05-01", PartOff(part="hose"), logged="2031-05-03T20:00:00Z")
    assert order_of(*strip(), hose) == ["radiator", "fan", "pump", "hose"]
    later = entry(5, "2031-05-02T09:00:00Z", PartOff(part="lamp"))
    assert order_of(*strip(), hose, later)[-2:] == ["hose", "lamp"]


def test_late_notes_may_come_after_each_other():
    """A chain stands behind its beginning, in its own order, however their own moments lie."""
    told = "2031-05-03T20:00:00Z"
    clip = entry(5, "2031-05-01", PartOff(part="clip"), logged=told, after=4)
    hose = entry(4, "2031-05-01", PartOff(part="hose"), logged="2031-05-03T21:00:00Z", after=1)
    cap = entry(6, "1999-01-01T00:00:00Z", PartOff(part="cap"), logged=told, after=5)
    assert order_of(cap, clip, hose, *strip()) == [
        *("radiator", "hose", "clip", "cap", "fan", "pump")
    ]


def test_what_it_came_after_may_arrive_later():
    """Until then the note stands by its own moment; then it takes its place."""
    hose = entry(4, "2031-05-01", PartOff(part="hose"), logged="2031-05-03T20:00:00Z", after=1)
    assert order_of(*strip()[1:], hose) == ["fan", "pump", "hose"]
    assert order_of(hose, *strip()) == ["radiator", "hose", "fan", "pump"]


def test_a_ring_of_late_notes_is_broken_alike_everywhere():
    """Entries that claim to come after each other stand by their own moments."""
    one = entry(1, "2031-05-01T09:00:00Z", PartOff(part="one"), after=3)
    two = entry(2, "2031-05-01T10:00:00Z", PartOff(part="two"), after=1)
    three = entry(3, "2031-05-01T11:00:00Z", PartOff(part="three"), after=2)
    self_named = entry(4, "2031-05-01T12:00:00Z", PartOff(part="four"), after=4)
    behind = entry(5, "2031-05-01T00:00:00Z", PartOff(part="behind two"), after=2)
    assert order_of(one, two, three, self_named, behind) == [
        *("one", "two", "behind two", "three", "four")
    ]


@given(st.permutations(range(1, 9)))
def test_a_long_chain_holds_in_whatever_order_it_arrives(arrival):
    """Each comes after the one before; their clocks run backwards."""
    chain = {
        number: entry(
            number, f"2031-05-01T{20 - number}:00:00Z", after=number - 1 if number > 1 else None
        )
        for number in range(1, 9)
    }
    assert order(*(chain[number] for number in arrival)) == [*range(1, 9)]


def test_a_chain_as_long_as_a_logbook_is_no_trouble():
    """No recursion: two thousand notes, each after the one before."""
    entries = [
        encode(
            id=EntryId(f"{number:08x}-0000-7000-8000-000000000000"),
            act=act_of(1),
            logbook="v",
            happened_at="",
            after=EntryId(f"{number - 1:08x}-0000-7000-8000-000000000000") if number else None,
            logged_at="2031-05-01T09:00:00Z",
            clock=(0, 0),
            device="phone",
            who="ann",
            body=NoteMade(text=""),
        )
        for number in range(2_000)
    ]
    assert [each.id for each in fold(entries[::-1]).standing_entries()] == [e.id for e in entries]


# -- judging --------------------------------------------------------------------------------------

BEHIND = "2031-05-02T12:00:00Z"
AHEAD = "2031-05-02T03:00:00Z"
"""By the clock of a phone that is nine hours slow."""


def test_a_check_follows_what_it_looked_at_however_its_clock_runs():
    """The joint was made before it was checked, whatever the second phone believes."""
    made = entry(1, BEHIND, JointMade(joint="j", tightness="final"))
    checked = entry(2, AHEAD, Checked(joint="j", of=id_of(1)))
    assert order(made, checked) == [1, 2]
    assert len(fold([checked, made]).state().joints["j"].checks) == 1


def test_a_decision_settles_what_it_speaks_of_however_its_clock_runs():
    """A finding that was decided on is settled."""
    found = entry(1, BEHIND, Found(what="worn", of="part:pump"))
    decided = entry(2, AHEAD, Decided(of="part:pump", choice=Choice.REPLACE, about=id_of(1)))
    assert order(found, decided) == [1, 2]
    (finding,) = fold([decided, found]).state().parts["pump"].common.findings
    assert finding.settled == decided.id


def test_what_was_ordered_arrives_after_it_was_ordered():
    """However the clock of whoever took it in runs."""
    ordered = entry(1, BEHIND, Ordered(what="part:pump"))
    arrived = entry(2, AHEAD, Arrived(what="part:pump", order=id_of(1)))
    assert order(ordered, arrived) == [1, 2]
    assert fold([arrived, ordered]).state().parts["pump"].common.ordered == ()


def test_a_judgement_that_is_later_anyway_stays_where_it_is():
    """It is placed after what it speaks of only if it would else stand before it."""
    made = entry(1, "2031-05-01T09:00:00Z", JointMade(joint="j", tightness="final"))
    between = entry(2, "2031-05-01T10:00:00Z", JointUndone(joint="k"))
    checked = entry(3, "2031-05-01T11:00:00Z", Checked(joint="j", of=id_of(1)))
    assert order(made, between, checked) == [1, 2, 3]


def test_a_phone_whose_clock_cannot_be_right_is_told():
    """Clock and calendar that disagree, or news from the future, are flagged and folded."""
    moment = "2031-05-02T12:00:00Z"
    right = entry(1, moment)
    slow = entry(2, moment, clock=instant_ms(moment) - 3_600_000)
    future = entry(3, "2031-05-03T12:00:00Z", logged=moment)
    log = fold([right, slow, future]).log()
    assert set(log.skewed) == {slow.id, future.id}
    assert log.entries == 3
