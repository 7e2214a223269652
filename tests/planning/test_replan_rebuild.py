"""Planning the rebuild again: the rest stays as it was, and every difference is told, with why.

What differs is counted here from the two plans alone; the plans are held against the checker.
"""

from collections import Counter
from dataclasses import replace

from hypothesis import assume, given
from hypothesis import strategies as st

from putback.logbook.entries.judging import Hindrance, PutOff, SentOut
from putback.logbook.entries.rebuilding import JointMade, PartOn, Tightness
from putback.logbook.entries.working import JointUndone, PartOff
from putback.planning.again.changes import Change, Sort
from putback.planning.again.changes_back import changes_back
from putback.planning.again.since import Since
from putback.planning.check import check_rebuild
from putback.planning.plan import Action, Plan, Step
from putback.planning.replan import Replanned, Steadiness
from putback.planning.replan_rebuild import replan_rebuild
from putback.vehicle.assembly import Assembly
from putback.vehicle.facts import Before, Phase
from putback.vehicle.ids import FactId, Ref
from tests.makers import vehicle
from tests.makers_logbook import Story
from tests.planning.rebuilding import apart, carried_out, plan_of
from tests.strategies.rebuilds import torn_vehicles


def again(car, state, last: Plan, **more) -> Replanned:
    """Planned again, and held against the rules."""
    found = replan_rebuild(car, state, last, **more)
    assert check_rebuild(car, state, found.plan) == ()
    plan = found.plan
    assert plan.bound_minutes is None or plan.bound_minutes <= plan.total_minutes + 1e-6
    return found


def told(changes: tuple[Change, ...], *sorts: Sort) -> Counter[str]:
    """How often each thing is named by changes of these sorts."""
    return Counter(what for each in changes if each.sort in sorts for what in each.what)


def keys(plan: Plan) -> list[tuple[str, str]]:
    """What is done, in its order."""
    return [(step.action, step.what) for step in plan.steps]


@given(torn_vehicles(), st.integers(1, 4))
def test_who_does_what_is_planned_keeps_the_rest_of_the_order(torn, deeds):
    """After each planned step all that is left stands as it stood, and nothing is told."""
    car, state = torn
    plan = plan_of(car, state)
    for done in range(1, min(deeds, len(plan.steps)) + 1):
        found = again(car, carried_out(state, plan, done), plan, steadiness=PINNED)
        assert keys(found.plan) == keys(plan)[done:]
        assert (found.changes, found.kept) == ((), True)


PINNED = Steadiness(minutes=1e9)


@given(torn_vehicles(), st.data())
def test_every_difference_is_told_once_and_nothing_else(torn, data):
    """Between any order of some of the steps and the plan, with steps that nobody wants any more.

    What only one of the two has is told as more or fewer; the rest, but for what is told to come
    earlier or later, is in one order in both.
    """
    car, state = torn
    now = plan_of(car, state)
    assume(now.steps)
    steps = data.draw(st.permutations(now.steps))
    cut = data.draw(st.integers(0, len(steps)))
    strange = Step(Action.DO, Ref("job:nobody's"))
    last = Plan(None, (*steps[cut:], strange), 0.0, 0.0)
    changes = changes_back(last, now, state, Since((), (), state))
    assert told(changes, Sort.MORE) == Counter(step.what for step in steps[:cut])
    assert told(changes, Sort.FEWER) == Counter(["job:nobody's"])
    moved = told(changes, Sort.EARLIER, Sort.LATER)
    left = [key for key in keys(last) if key[1] not in moved and key[1] != strange.what]
    assert left == [key for key in keys(now) if key in left]


# -- why ----------------------------------------------------------------------------------------

CAR = vehicle(
    "lid - frame: 4 bolt M8 x 20; 5 min",
    "pump - frame: 2 bolt M6 x 16; 5 min",
    "box - frame: 2 bolt M6 x 16; 5 min",
    datum="frame",
)


TWO_ZONES = vehicle(
    *(f"{zone}{n} - frame: 1 bolt M8 x 20; zone {zone}; 5 min" for n in (1, 2) for zone in "ab"),
    datum="frame",
)


def stripped() -> Story:
    """All of it off, in the order of the alphabet."""
    story = Story(CAR)
    for part in ("box", "lid", "pump"):
        story.says("A", JointUndone(joint=f"{part}-frame"))
        story.says("A", PartOff(part=part))
    return story


def since(story: Story, last: Plan, *bodies) -> Replanned:
    """The plan after these are logged."""
    logged = [story.says("A", body) for body in bodies]
    return again(CAR, story.state, last, since=story.entries[-len(logged) :])


def words(found: Replanned) -> list[str]:
    """The changes, in words."""
    return [str(each) for each in found.changes]


def test_what_comes_off_meanwhile_is_told_as_more_and_names_the_entry():
    """Off again, it has to go back again."""
    story = stripped()
    first = plan_of(CAR, story.state).steps[0].what.removeprefix("part:")
    story.says("A", PartOn(part=first))
    story.says("A", JointMade(joint=f"{first}-frame", tightness=Tightness.FINAL))
    last = plan_of(CAR, story.state)
    found = since(story, last, JointUndone(joint=f"{first}-frame"), PartOff(part=first))
    assert sorted(words(found)) == [
        f"1 job more: {first}: logged: took off {first}",
        f"2 jobs more: {first}-frame: logged: undid {first}-frame",
    ]


def test_where_nothing_was_planned_all_of_it_is_told_at_once():
    """The first plan after an empty one: not each job by itself, with its entry."""
    story = Story(CAR)
    last = plan_of(CAR, story.state)
    assert last.steps == ()
    parts = ("box", "lid", "pump")
    undone = [each for p in parts for each in (JointUndone(joint=f"{p}-frame"), PartOff(part=p))]
    (found,) = since(story, last, *undone).changes
    assert str(found).startswith("9 jobs more: ")
    assert str(found).endswith(" and 3 more: nothing was planned before")
    assert {*found.what} == {f"part:{p}" for p in parts} | {f"joint:{p}-frame" for p in parts}


def test_what_is_put_off_is_told_to_come_later():
    """With its reason, and by the entry."""
    story = stripped()
    last = plan_of(CAR, story.state)
    first = last.steps[0].what
    found = since(story, last, PutOff(what=first, why=Hindrance.NO_HELPER))
    name = first.removeprefix("part:")
    (moved,) = words(found)
    assert moved.startswith(f"{name} and {name}-frame come after ")
    assert moved.endswith(f"-frame now: {name} is put off, no helper")


def test_what_is_out_for_work_is_told_to_come_later():
    """It waits for the plater."""
    story = stripped()
    last = plan_of(CAR, story.state)
    first = last.steps[0].what
    found = since(story, last, SentOut(what=(first,), firm="Plater"))
    name = first.removeprefix("part:")
    moved, more = words(found)
    assert moved.startswith(f"{name} and {name}-frame come after ")
    assert more == f"1 job more: {name}: logged: sent {name} to Plater"


def test_a_strike_takes_jobs_away():
    """What was said to be off never was."""
    story = Story(CAR)
    story.says("A", JointUndone(joint="lid-frame"))
    off = story.says("A", PartOff(part="lid"))
    last = plan_of(CAR, story.state)
    story.strike(off)
    entries = story.entries[-1:]
    found = again(CAR, story.state, last, since=entries, struck=story.entries)
    assert words(found) == ["1 job less: lid: struck out: took off lid"]


def test_done_out_of_order_the_rest_is_planned_and_nothing_is_told_as_less():
    """What was done itself is no change."""
    story = stripped()
    last = plan_of(CAR, story.state)
    late = last.steps[-1].what.removeprefix("joint:")
    found = since(
        story,
        last,
        PartOn(part=late.removesuffix("-frame")),
        JointMade(joint=late, tightness=Tightness.FINAL),
    )
    assert not told(found.changes, Sort.FEWER, Sort.MORE)


def test_an_order_that_a_new_fact_forbids_is_not_kept_to():
    """The same steps are left, and still they are planned anew; the fact is named."""
    story = stripped()
    last = plan_of(CAR, story.state)
    first, then = last.steps[0].what, last.steps[-1].what
    story.describe("befores", Before(FactId("sound"), then, first, "sound first", Phase.REBUILD))
    found = again(story.fold.state().vehicle, story.state, last, since=story.entries[-1:])
    assert not found.kept
    assert keys(found.plan)[0] != keys(last)[0]
    assert any("sound first" in each for each in words(found))


def test_what_came_off_a_whole_by_itself_does_not_keep_the_whole_from_being_on():
    """The tap came off the tank first and goes on later: the tank as one is on all the same."""
    car = vehicle("tap - tank", "tank - frame", "cap - tank", datum="frame")
    car = replace(car, assemblies={"unit": Assembly("unit", "unit", ("tank", "cap", "tap"))})
    state = apart(car, "tap-tank", "tap", "tank-frame", "unit=tank+cap")
    plan = plan_of(car, state)
    at = keys(plan).index((Action.PUT_ON, "assembly:unit"))
    assert (Action.PUT_ON, "part:tap") in keys(plan)[at:]
    found = again(car, carried_out(state, plan, at + 1), plan, steadiness=PINNED)
    assert (keys(found.plan), found.changes) == (keys(plan)[at + 1 :], ())


def test_a_fresh_plan_is_followed_only_if_it_saves_enough():
    """Else the rest stays as it was; what is saved is said."""
    story = Story(TWO_ZONES)
    for part in ("a1", "b1", "a2", "b2"):
        story.says("A", JointUndone(joint=f"{part}-frame"))
        story.says("A", PartOff(part=part))
    plan = plan_of(TWO_ZONES, story.state)
    by_name = {
        part: [s for s in plan.steps if part in s.what] for part in ("a1", "b1", "a2", "b2")
    }
    walks = [
        replace(step, setup_minutes=60.0 if step.what.startswith("part") else 0.0)
        for part in ("a1", "b1", "a2", "b2")
        for step in by_name[part]
    ]
    last = Plan(None, tuple(walks), plan.work_minutes, 240.0)
    kept = replan_rebuild(TWO_ZONES, story.state, last, steadiness=PINNED)
    assert (keys(kept.plan), kept.changes) == (keys(last), ())
    fresh = replan_rebuild(TWO_ZONES, story.state, last)
    assert not fresh.kept
    assert [each.sort for each in fresh.changes] == [Sort.NEW_ORDER]
    assert fresh.plan.total_minutes < kept.plan.total_minutes
