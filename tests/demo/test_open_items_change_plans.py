"""What a rule of open items points at changes a plan of the demo: before and after it is cleared.

The rules that the demo's own story has no case of (`ELSEWHERE` of
`test_every_open_item_counts`) are raised by entries of their own, on the demo as found. Two of
them are of the account only. *Tag on two bags* says that the books of two bags run together, *part
in two places* that somebody has to look for it: a plan asks whether a part is here and what its
joints want new, and no plan reads which bag or which shelf. A test shows that as well.
"""

import json
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta

import pytest

from putback.logbook.entries.base import Body, EntryId, canonical
from putback.logbook.entries.describing import Described
from putback.logbook.entries.judging import Choice, Decided, Hindrance, PutOff
from putback.logbook.entries.keeping import ContainerMade, Lost
from putback.logbook.entries.registry import decode
from putback.logbook.entries.working import Found, Measured, PartOff, StandingChanged
from putback.planning.ahead import Horizon, look_ahead
from putback.planning.plan import PlanSettings
from putback.planning.rebuild import plan_rebuild
from putback.planning.strip import plan_strip
from putback.vehicle.demo import demo_vehicle
from putback.vehicle.goal import Goal
from tests.demo.test_every_open_item_counts import ELSEWHERE
from tests.makers_logbook import Story

pytestmark = pytest.mark.slow

DEMO = demo_vehicle()
DATUM = next(iter(DEMO.goals.values())).datum

# Seats are in the carpet's way; the spare wheel has to do with neither.
SEATS, SQUAB, CARPET = "BS13", "BS14", "BS15"
SEAT_JOINT, SQUAB_JOINT = "J030", "J031"
SPARE_WHEEL = "WH05"


# -- plans --------------------------------------------------------------------------------------


def today(story: Story) -> PlanSettings:
    """Planned on the day of the last entry."""
    return PlanSettings(today=story.now.date())


def strip(story: Story) -> object:
    """How the cabin is cleared, and the boot."""
    goal = Goal("mini", "bare floor", DATUM, off=(SEATS, SQUAB, CARPET, SPARE_WHEEL))
    return plan_strip(story.state.vehicle, story.state, goal, today(story)).steps


def rebuild(story: Story) -> object:
    """How all that is apart goes back, and what has to wait."""
    plan = plan_rebuild(story.state.vehicle, story.state, today(story))
    return plan.steps, plan.waiting


def ahead(story: Story) -> object:
    """What to do now for the rebuild to come."""
    plan = plan_rebuild(story.state.vehicle, story.state, today(story))
    return look_ahead(story.state.vehicle, story.state, plan, Horizon(everything=True)).lines


def all_of_them(story: Story) -> object:
    """Every plan there is."""
    return strip(story), rebuild(story), ahead(story)


# -- what raises each rule, and what clears it --------------------------------------------------


@dataclass(frozen=True)
class Case:
    """What is logged, what then clears the item, and the plan that is another one for it."""

    logged: Callable[[Story], EntryId]
    cleared: Callable[[Story, EntryId], object]
    plan: Callable[[Story], object]


def says(*said: str | Body) -> Callable[..., EntryId]:
    """Log lines and bodies; give the last one's identity."""

    def log(story: Story, _: EntryId | None = None) -> EntryId:
        for each in said:
            last = story(each) if isinstance(each, str) else story.says("A", each)
        return last

    return log


def strike(story: Story, entry: EntryId) -> EntryId:
    """Strike out what was logged last."""
    return story.strike(entry)


def days_pass(story: Story, _: EntryId) -> None:
    """Nothing is logged; time alone clears it."""
    story.now += timedelta(days=3)


def put_off_until_tomorrow(story: Story) -> EntryId:
    """A job is put off, and the day comes."""
    tomorrow = (story.now + timedelta(days=1)).date().isoformat()
    body = PutOff(what=f"joint:{SEAT_JOINT}", why=Hindrance.STUCK, until=tomorrow)
    entry = story.says("A", body)
    story.now += timedelta(days=1)
    return entry


def decided_on_what_was_struck(story: Story) -> EntryId:
    """A new part for a crack that nobody found after all."""
    story(f"A: off {CARPET}")
    found = story.says("A", Found(of=f"part:{CARPET}", what="a tear"))
    decided = Decided(of=f"part:{CARPET}", choice=Choice.REPLACE, about=found)
    entry = story.says("A", decided)
    story.strike(found)
    return entry


def in_two_forms(story: Story) -> EntryId:
    """One identity for two joints that came undone, given by two phones."""
    entry = story(f"A: undone {SEAT_JOINT}")
    document = json.loads(story.entries[-1].raw)
    document["body"]["joint"] = SQUAB_JOINT
    story.fold.add([decode(canonical(document))])
    return entry


def unread(story: Story) -> EntryId:
    """The carpet is off, in a kind of entry that only a newer phone knows."""
    entry = story(f"A: off {CARPET}")
    document = json.loads(story.entries[-1].raw)
    story.strike(entry)
    other = EntryId(entry.replace("7000", "7001"))
    document |= {"id": other, "kind": "part beamed up"}
    story.fold.add([decode(canonical(document))])
    return other


def two_say(one: Body, other: Body) -> Callable[[Story], EntryId]:
    """Two people say otherwise, neither with what the other said; give what was said last."""

    def log(story: Story) -> EntryId:
        story.says("A", one)
        return story.says("B", other)

    return log


def read_anew(story: Story, entry: EntryId) -> EntryId:
    """Struck out, and logged so that it can be read."""
    story.strike(entry)
    return story(f"A: off {CARPET}")


OF_SEATS = DEMO.joints[SEAT_JOINT].fixing_count
BOLT = DEMO.joints[SEAT_JOINT].fixings[0].stack[0].spec.text
DUE_LATER = PutOff(what=f"joint:{SEAT_JOINT}", why=Hindrance.STUCK, until="2031-09-01")
OF_CREW = [Described(table="parts", id=SEATS, fields={"crew": each}) for each in (1, 3)]
HEAVY = Described(table="parts", id=SEATS, fields={"mass_kg": 30.0, "quantity": 1, "crew": 1})

CHANGES = {
    "curing": Case(
        says(
            f"A: undone {SQUAB_JOINT}",
            f"A: undone {SEAT_JOINT}",
            f"A: made {SEAT_JOINT} final, curing until 2031-05-04",
        ),
        days_pass,
        rebuild,
    ),
    "described twice": Case(two_say(*OF_CREW), strike, strip),
    "left over": Case(
        says(f"A: pieces {SEAT_JOINT}: 1 {BOLT} from not recorded to tag 3CAH"),
        says(f"A: undone {SEAT_JOINT} 1 of {OF_SEATS}, tag 3CAH"),
        rebuild,
    ),
    "lift too heavy": Case(
        says(HEAVY, f"A: undone {SEAT_JOINT}"),
        says(Described(table="parts", id=SEATS, fields={"hoist": "engine crane"})),
        strip,
    ),
    "out of order": Case(says(f"A: off {CARPET}"), says(f"A: off {SEATS}"), rebuild),
    "part gone": Case(
        says(f"A: off {CARPET}", Lost(part=CARPET)),
        says(Decided(of=f"part:{CARPET}", choice=Choice.REPLACE)),
        rebuild,
    ),
    "put off over": Case(put_off_until_tomorrow, says(DUE_LATER), strip),
    "reading outside": Case(
        says(
            f"A: off {CARPET}",
            Measured(of=f"part:{CARPET}", what="wear", value=9, unit="mm", high=3),
        ),
        says(Decided(of=f"part:{CARPET}", choice=Choice.REUSE)),
        ahead,
    ),
    "rests on struck": Case(decided_on_what_was_struck, strike, ahead),
    "same id two bodies": Case(in_two_forms, strike, rebuild),
    "standings disagree": Case(
        two_say(*(StandingChanged(standing=each) for each in ("WHEELS", "STANDS"))),
        strike,
        strip,
    ),
    "unread entries": Case(unread, read_anew, rebuild),
}
"""For each rule what raises it, what clears it, and the plan that tells the difference."""

OF_THE_ACCOUNT = {
    "part in two places": Case(
        two_say(*(PartOff(part=CARPET, place=each) for each in ("shed", "loft"))),
        strike,
        all_of_them,
    ),
    "tag on two bags": Case(
        says(
            f"A: undone {SEAT_JOINT}, tag 3CAH",
            ContainerMade(tag="3CAH", name="seat bolts"),
            ContainerMade(tag="3CAH", name="hinge bolts"),
        ),
        strike,
        all_of_them,
    ),
}
"""Rules that no plan can be otherwise for."""


@pytest.fixture(scope="module")
def as_found() -> Story:
    """The demo, described and standing on its wheels."""
    story = Story(DEMO)
    story.says("A", StandingChanged(standing="WHEELS", rock_tested=True, looked="B"))
    return story


def before_and_after(story: Story, rule: str, case: Case) -> tuple[object, object]:
    """The plan while the item is open, and when it was cleared."""
    story = story.copy()
    assert not story.open(rule)
    cause = case.logged(story)
    assert story.open(rule)
    before = case.plan(story)
    case.cleared(story, cause)
    assert not story.open(rule)
    return before, case.plan(story)


@pytest.mark.parametrize("rule", CHANGES)
def test_what_it_points_at_changes_a_plan(as_found, rule):
    """Nothing but the entry that clears it lies between two plans that differ."""
    before, after = before_and_after(as_found, rule, CHANGES[rule])
    assert before != after


@pytest.mark.parametrize("rule", OF_THE_ACCOUNT)
def test_what_is_of_the_account_only_changes_none(as_found, rule):
    """Strip, rebuild and look-ahead are the same before and after."""
    before, after = before_and_after(as_found, rule, OF_THE_ACCOUNT[rule])
    assert before == after


def test_every_rule_that_the_story_has_no_case_of_is_here():
    """Each either changes a plan or says why it cannot."""
    assert CHANGES.keys() | OF_THE_ACCOUNT.keys() == ELSEWHERE
    assert not CHANGES.keys() & OF_THE_ACCOUNT.keys()
