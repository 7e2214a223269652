"""What is worked on off the vehicle lies on a bench, and keeps it while it is worked on."""

from dataclasses import replace
from datetime import date, datetime, timedelta

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from putback.errors import ImpossibleGoal
from putback.logbook.common import Away, Common
from putback.logbook.state import PartState
from putback.planning.check.timetable import check_blocks, check_timetable
from putback.planning.plan import Action, Plan, Step
from putback.planning.planned_days import (
    Arrival,
    Block,
    Booking,
    Person,
    Timetable,
)
from putback.planning.strip import plan_strip
from putback.planning.timetable import (
    BENCH,
    UP,
    blocks_of,
    forecast,
    make_timetable,
    read_hours,
)
from putback.planning.timetable.arrivals import find_arrivals
from putback.planning.timetable.at_bench import lie_on_benches, steps_at_bench
from putback.planning.timetable.blocks import Work
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import likely, said, state_of, table
from tests.planning.on_calendar import BEGIN, BOTH, LEAD, lamp, sent_out
from tests.strategies.planning import cases


@settings(max_examples=10)
@given(cases(), st.randoms(use_true_random=False))
def test_what_is_worked_on_off_the_vehicle_lies_on_a_bench(case, rnd):
    """Of drawn strips, wholes out already and jobs among them; and what is away is waited for."""
    case = replace(case, state=sent_out(case.state, rnd))
    try:
        plan = plan_strip(case.vehicle, case.state, case.goal)
    except ImpossibleGoal:
        assume(False)
    work = blocks_of(case.vehicle, case.state, plan, case.goal, LEAD)
    table, _, _ = make_timetable(work, BOTH[:1], BEGIN, benches=1, effort=0.01)
    assert check_blocks(case.vehicle, case.state, plan, table) == ()
    assert check_timetable(table) == ()


def gearbox_and_pump(**changes):
    """Two jobs on a gearbox at the bench, the second Bob's, who comes on Wednesdays; a pump's."""
    bench = frozenset({BENCH})
    ann, bob = (
        Block((), None, 60, 1, 1, kinds=frozenset({e}), uses=bench) for e in ("set", "bleed")
    )
    pump = replace(ann, minutes=40, before=(0,))
    blocks = [replace(ann, minutes=180), pump, replace(bob, **{"before": (0,), **changes})]
    parts = [frozenset(each) for each in ({"gearbox", "cover"}, {"pump"}, {"gearbox"})]
    blocks = lie_on_benches(blocks, parts, UP)
    away = (Arrival("part:seal", "seal", date(2031, 3, 4), True, 0.0),)
    work = Work(blocks, ((),) * 3, away, (), 0)
    ann, bob = (read_hours(each) for each in ("Mon-Fri 18-20", "Wed 18-21"))
    people = [Person("Ann", ann, frozenset({"set"})), Person("Bob", bob, frozenset({"bleed"}))]
    return work, people


def test_what_lies_on_the_bench_half_worked_on_keeps_it_overnight():
    """The pump waits until the gearbox is done, on Wednesday; with two benches it does not."""
    work, people = gearbox_and_pump()
    assert [each.lies for each in work.blocks] == [0, 1, 0]

    def days(benches: int | None):
        table, pieces, shifts = make_timetable(work, people, BEGIN, benches=benches, effort=0.3)
        assert check_timetable(table) == ()
        assert table.optimal
        assert forecast(work, table, pieces, shifts, runs=3).p95 <= table.finish
        return table, f"{table.finish:%a %H:%M}"

    one, ends = days(1)
    assert ends == "Wed 19:40"
    assert days(2)[1] == days(None)[1] == "Wed 19:00"
    # While nobody works at it, the checker sees what lies there.
    gearbox = [each for each in one.bookings if each.block == 0]
    night = datetime.fromisoformat("2031-03-03T21:00")
    pump = Booking(1, night, night + timedelta(hours=1), ("Ann",))
    rest = [each for each in one.bookings if each.block != 1]
    planted = replace(one, bookings=(*rest, pump))
    assert gearbox[0].ends < pump.begins < gearbox[-1].begins
    assert [each for each in check_timetable(planted) if "bench" in each] == [
        f"more than 1 × bench at {night}"
    ]


def test_a_unit_that_waits_for_a_part_is_put_away():
    """Nobody keeps a bench for weeks: what waits for a seal leaves it to the pump meanwhile."""
    for changes in ({"waits": (0,)}, {"not_before": date(2031, 3, 5)}, {"before": (0, 1)}):
        work, people = gearbox_and_pump(**changes)
        assert len({each.lies for each in work.blocks}) == 3
        table, _, _ = make_timetable(work, people, BEGIN, benches=1, effort=0.3)
        assert check_timetable(table) == ()
        assert f"{table.finish:%a %H:%M}" == "Wed 19:00"


def test_the_checker_sees_what_leaves_its_bench_too_early_and_what_stays_too_long():
    """Two joints of a unit that is off, one after the other: they lie there together."""
    joints = (Joint(each, each, ("block", "head"), minutes=likely(30)) for each in "ab")
    v = Vehicle(
        About("cart", "cart"),
        parts=table(*(Part(name, name, "z") for name in ("block", "head"))),
        joints=table(*joints),
    )
    parts = {each: PartState(each, off=said()) for each in ("block", "head")}
    state = replace(state_of(v), parts=parts)
    plan = Plan(None, (Step(Action.UNDO, "joint:a"), Step(Action.UNDO, "joint:b")), 60, 0)
    block = Block((0,), None, 30, 1, 1, uses=frozenset({BENCH}), lies=0)
    then = replace(block, steps=(1,), before=(0,))

    def told(*blocks: Block) -> tuple[str, ...]:
        days = Timetable((), BEGIN, blocks, (), (), {}, BEGIN, BEGIN)
        return check_blocks(v, state, plan, days)

    assert told(block, then) == ()
    assert told(block, replace(then, lies=1)) == ("block 1 leaves the bench of block 0",)
    assert told(block, replace(then, lies=None)) == ("block 1 lies nowhere",)
    late = date(2031, 3, 5)
    assert told(block, replace(then, not_before=late)) == ("block 1 lies where it cannot lie yet",)
    assert told(block, replace(then, not_before=late, lies=1)) == ()
    between = Block((), None, 10, 1, 1, before=(0,))
    assert told(block, between, replace(then, before=(1,))) == (
        "block 2 lies where it cannot lie yet",
    )


def test_a_job_on_what_is_off_is_done_at_a_bench():
    """A repair of a lamp that is off; not while it is on, nor where the vehicle has to stand."""
    state = lamp()
    for job, lies in [
        (Job("fix", "fix", JobKind.REPAIR, parts=("lamp",)), True),
        (Job("fix", "fix", JobKind.REPAIR, joints=("screw",)), False),
        (Job("fix", "fix", JobKind.REPAIR, parts=("lamp",), standings=("wheels",)), False),
        (Job("fix", "fix", JobKind.CURE, parts=("lamp",)), False),
        (Job("fix", "fix", JobKind.REPAIR), False),
    ]:
        vehicle = replace(state.vehicle, jobs=table(job))
        step = Step(Action.DO, "job:fix", None, None, "", 5.0, 0.0, 1)
        back = replace(step, action=Action.PUT_ON, what="part:lamp")
        assert steps_at_bench(vehicle, state, [step, back, step]) == (lies, False, False)


def test_what_is_worked_on_off_the_vehicle_is_waited_for_in_a_strip_too():
    """A head is at the machinist's: what ties it to its block is undone once it is back."""
    v = Vehicle(
        About("cart", "cart"),
        parts=table(*(Part(name, name, "z") for name in ("block", "head"))),
        joints=table(Joint("studs", "studs", ("block", "head"), minutes=likely(30))),
        jobs=table(Job("skim", "skim", JobKind.REPAIR, parts=("head",), minutes=likely(40))),
    )
    out = Common(sent_out=Away(said(), "the machinist", due="2031-03-20"))
    parts = {"block": PartState("block", off=said()), "head": PartState("head", out, off=said())}
    state = replace(state_of(v), parts=parts)
    steps = (Step(Action.UNDO, "joint:studs"), Step(Action.DO, "job:skim"))
    found, waits = find_arrivals(v, state, steps, LEAD)
    assert [(each.what, each.expected) for each in found] == [("part:head", date(2031, 3, 20))]
    assert waits == ((0,), (0,))
    back = replace(state, parts={**parts, "head": PartState("head", off=said())})
    assert find_arrivals(v, back, steps, LEAD) == ((), ((), ()))
    on = replace(state, parts={"head": parts["head"]})  # the joint is undone, and not logged
    assert find_arrivals(v, on, steps, LEAD)[1] == ((), (0,))
    bench = frozenset({BENCH})
    blocks = tuple(Block((n,), None, 30, 1, 1, waits=(0,), uses=bench, lies=0) for n in range(2))
    days = Timetable((), BEGIN, blocks, (), found, {}, BEGIN, BEGIN)
    plan = Plan(None, steps, 60, 0)
    assert check_blocks(v, state, plan, days) == ()
    hasty = replace(days, blocks=(blocks[0], replace(blocks[1], waits=(), lies=1)))
    assert check_blocks(v, state, plan, hasty) == ("block 1 does not wait for head",)
