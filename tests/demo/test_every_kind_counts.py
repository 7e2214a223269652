"""Every kind of fact changes a plan of the demo as it should: with it and without it."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from putback.errors import ImpossibleGoal
from putback.logbook.state import OpeningState
from putback.planning.check import check_rebuild, check_strip
from putback.planning.check.fault import RebuildRule, StripRule
from putback.planning.plan import Action, Plan, Step
from putback.planning.reach import reach
from putback.planning.rebuild import plan_rebuild
from putback.planning.strip import plan_strip
from putback.vehicle.demo import demo_vehicle
from putback.vehicle.facts import Phase
from putback.vehicle.goal import Goal
from putback.vehicle.ids import part_ref
from putback.vehicle.joint import Does, FinalWhen, Joint, Tightening, WhenUndone
from putback.vehicle.vehicle import Vehicle
from tests.planning.hand_made import state_of

pytestmark = pytest.mark.slow

DEMO = demo_vehicle()
DATUM = next(iter(DEMO.goals.values())).datum
ON_WHEELS, ON_STANDS = "WHEELS", "STANDS"


def but(vehicle: Vehicle, table: str, identity: str, **changed) -> Vehicle:
    """The vehicle with one record changed."""
    records = getattr(vehicle, table)
    return vehicle.with_records(
        **{table: {**records, identity: replace(records[identity], **changed)}}
    )


def less(vehicle: Vehicle, table: str, *identities: str) -> Vehicle:
    """The vehicle without some records."""
    kept = {n: r for n, r in getattr(vehicle, table).items() if n not in identities}
    return vehicle.with_records(**{table: kept})


def to_reach(vehicle: Vehicle, ref: str) -> set[str]:
    """All that must be undone, done and taken off to get at a thing; parts of wholes by name."""
    state = state_of(vehicle, standing=ON_WHEELS)
    whats = {step.what for step in reach(vehicle, state, ref).steps}
    for whole in (w for w in vehicle.assemblies.values() if f"assembly:{w.id}" in whats):
        whats |= set(map(part_ref, whole.parts))
    return whats


def strip_of(vehicle: Vehicle, *off: str, jobs=(), on=()) -> Plan:
    """The strip that takes some parts off, from the wheels."""
    goal = Goal("mini", "some off", DATUM, off=off, on=on, jobs=jobs)
    return plan_strip(vehicle, state_of(vehicle, standing=ON_WHEELS), goal)


def one(plan: Plan, what: str, action: Action | None = None) -> Step:
    """The one step that names a thing."""
    (step,) = (s for s in plan.steps if s.what == what and (action is None or s.action is action))
    return step


def first_joint(wanted: Callable[[Joint], bool]) -> Joint:
    """A representative: the first joint of the demo of which something is so."""
    return next(joint for joint in DEMO.joints.values() if wanted(joint))


# -- what comes before what: the least that must be done to get at a thing ----------------------


def test_a_joint_that_holds_is_undone_for_its_part():
    """Without the record nothing holds it there, and nobody undoes it."""
    joint = first_joint(lambda j: DATUM in j.parts[1:])
    loose = without_facts(less(DEMO, "joints", joint.id), f"joint:{joint.id}")
    part = f"part:{joint.parts[0]}"
    assert f"joint:{joint.id}" in to_reach(DEMO, part)
    assert f"joint:{joint.id}" not in to_reach(loose, part)


def without_facts(vehicle: Vehicle, ref: str) -> Vehicle:
    """The vehicle without all facts that speak of a thing."""
    befores = (n for n, b in vehicle.befores.items() if ref in (b.first, b.then))
    ways = (n for n, o in vehicle.obstructions.items() if o.of == ref)
    harder = (n for n, h in vehicle.harder_afters.items() if ref in (h.job, h.after))
    vehicle = less(less(vehicle, "befores", *befores), "obstructions", *ways)
    return less(vehicle, "harder_afters", *harder)


@pytest.mark.parametrize("several", [False, True], ids=["one", "any of several"])
def test_what_is_in_the_way_comes_off_first(several):
    """The thing is reached with less once it is not in the way: for some fact of each sort."""
    for fact in DEMO.obstructions.values():
        if (len(fact.any_of) > 1) == several:
            with_it = to_reach(DEMO, fact.of)
            without = to_reach(less(DEMO, "obstructions", fact.id), fact.of)
            if without < with_it:
                assert with_it & set(map(part_ref, fact.any_of))
                return
    pytest.fail("no fact of this sort changes anything")


@pytest.mark.parametrize("phase", [Phase.STRIP, Phase.BOTH])
def test_what_comes_before_is_done_first(phase):
    """The thing is reached with less without it: for some fact of each phase."""
    for fact in DEMO.befores.values():
        if fact.phase is phase:
            with_it = to_reach(DEMO, fact.then)
            assert fact.first in with_it
            if fact.first not in to_reach(less(DEMO, "befores", fact.id), fact.then):
                return
    pytest.fail("no fact of this phase changes anything")


def test_what_a_standing_needs_off_comes_off():
    """A joint that could only be reached as the vehicle stands then would ask for it."""
    standing = next(s for s in DEMO.standings.values() if s.needs_off)
    joint = first_joint(lambda j: DATUM in j.parts and not j.standings and not j.crack_in)
    needed = set(map(part_ref, standing.needs_off))
    free = less(DEMO, "befores", *DEMO.befores)
    free = but(free, "joints", joint.id, standings=(standing.id,))
    assert needed <= to_reach(free, f"joint:{joint.id}")
    other = but(free, "standings", standing.id, needs_off=())
    assert not needed & to_reach(other, f"joint:{joint.id}")


def test_a_whole_is_taken_out_as_one_only_where_it_is_declared():
    """Without assemblies every part comes off by itself."""
    whole = next(iter(DEMO.assemblies.values()))
    parts = [f"part:{part}" for part in whole.parts]
    assert any(f"assembly:{w}" in to_reach(DEMO, ref) for w in DEMO.assemblies for ref in parts)
    apart = less(DEMO, "assemblies", *DEMO.assemblies)
    assert not any("assembly" in what for ref in parts for what in to_reach(apart, ref))


def test_what_is_kept_on_is_in_the_way_for_good():
    """The goal is impossible with it, and names it; without, it is planned."""
    fact = next(
        o
        for o in DEMO.obstructions.values()
        if len(o.any_of) == 1 and o.of.startswith("part:") and o.any_of[0] != DATUM
    )
    part, kept = fact.of.removeprefix("part:"), fact.any_of[0]
    with pytest.raises(ImpossibleGoal) as refused:
        strip_of(DEMO, part, on=(kept,))
    assert f"{DEMO.parts[kept].name} is to stay on" in refused.value.reasons
    assert one(strip_of(DEMO, part), f"part:{part}").action is Action.TAKE_OFF


# -- how it stands ------------------------------------------------------------------------------


def test_a_joint_is_cracked_first_where_it_asks_for_it():
    """On the wheels, before it is undone on the stands."""
    joint = first_joint(lambda j: j.crack_in is not None and j.standings == (ON_STANDS,))
    plan = strip_of(DEMO, joint.parts[0])
    assert one(plan, f"joint:{joint.id}", Action.CRACK).standing == joint.crack_in
    vehicle = but(DEMO, "joints", joint.id, crack_in=None)
    vehicle = less(vehicle, "jobs", *(j.id for j in DEMO.jobs.values() if joint.id in j.joints))
    vehicle = less(vehicle, "befores", *(
        n for n, b in DEMO.befores.items() if not {b.first, b.then} <= _refs(vehicle)
    ))  # fmt: skip
    without = strip_of(vehicle, joint.parts[0])
    assert not any(
        s.action is Action.CRACK and s.what == f"joint:{joint.id}" for s in without.steps
    )


def _refs(vehicle: Vehicle) -> set[str]:
    return {
        f"{kind}:{name}"
        for kind, table in (("part", "parts"), ("joint", "joints"), ("job", "jobs"))
        for name in getattr(vehicle, table)
    }


@pytest.mark.parametrize(
    ("table", "kind"), [("joints", "joint"), ("parts", "part"), ("jobs", "job")]
)
def test_a_standing_to_work_in_is_held_against_a_step(table, kind):
    """Done as the vehicle stands otherwise, the step is at fault for that alone."""
    record = next(
        r
        for r in getattr(DEMO, table).values()
        if r.standings and ON_WHEELS not in r.standings and getattr(r, "phase", 0) != "rebuild"
    )
    action = {"joint": Action.UNDO, "part": Action.TAKE_OFF, "job": Action.DO}[kind]
    step = Step(action, f"{kind}:{record.id}", ON_WHEELS)
    gone = only_with(but(DEMO, table, record.id, standings=()), step)
    assert [fault.rule for fault in gone] == [
        StripRule.TAKE_OFF if kind == "part" else StripRule.UNDO
    ]


def only_with(without: Vehicle, *steps: Step, standing: str = ON_WHEELS):
    """The faults of steps that are gone without a fact."""
    goal = Goal("g", "nothing", DATUM)

    def faults(vehicle):
        plan = Plan("g", steps, 0.0, 0.0, start=steps[0].standing)
        state = state_of(vehicle, standing=standing)
        return check_strip(vehicle, state, goal, plan)

    left = faults(without)
    return [f for f in faults(DEMO) if f not in left and f.rule is not StripRule.COST]


def test_what_a_support_bears_on_cannot_come_off_there():
    """A wheel on which the vehicle stands."""
    standing = DEMO.standings[ON_WHEELS]
    part = standing.supports[0].bears_on
    beside = tuple(replace(s, beside=s.bears_on == part) for s in standing.supports)
    gone = only_with(
        but(DEMO, "standings", ON_WHEELS, supports=beside),
        Step(Action.TAKE_OFF, f"part:{part}", ON_WHEELS),
    )
    assert StripRule.UNDER in {fault.rule for fault in gone}


def test_what_a_support_hides_cannot_be_got_at_there():
    """The joint of a pipe behind a stand."""
    standing = DEMO.standings[ON_STANDS]
    hidden = next(s.hides[0] for s in standing.supports if s.hides)
    joint = first_joint(lambda j: hidden in j.parts)
    bare = tuple(replace(s, hides=()) for s in standing.supports)
    gone = only_with(
        but(DEMO, "standings", ON_STANDS, supports=bare),
        Step(Action.UNDO, f"joint:{joint.id}", ON_STANDS),
        standing=ON_STANDS,
    )
    assert [fault.rule for fault in gone] == [StripRule.UNDER] * len(gone) != []


def test_nothing_on_a_jack_sees_a_change_of_standing():
    """From the first to the last thing of a temporary support."""
    support = next(
        s for s in DEMO.temporary_supports.values() if "job:" in s.first and s.first != s.last
    )
    what = support.last
    action = Action.TAKE_OFF if what.startswith("part") else Action.UNDO
    steps = Step(Action.DO, support.first, ON_STANDS), Step(action, what, ON_WHEELS)
    gone = only_with(less(DEMO, "temporary_supports", support.id), *steps, standing=ON_STANDS)
    assert StripRule.HANGING in {fault.rule for fault in gone}


def test_jobs_of_one_sitting_see_no_change_of_standing():
    """The one on the stands, the other on the wheels is a fault."""
    job = next(j for j in DEMO.jobs.values() if j.same_sitting_as)
    steps = (
        Step(Action.DO, f"job:{job.id}", ON_STANDS),
        Step(Action.DO, f"job:{job.same_sitting_as}", ON_WHEELS),
    )
    gone = only_with(but(DEMO, "jobs", job.id, same_sitting_as=None), *steps, standing=ON_STANDS)
    assert [fault.rule for fault in gone] == [StripRule.HANGING]


# -- what a step tells --------------------------------------------------------------------------


def test_what_falls_is_propped_as_described():
    """The words of the description stand before the step."""
    joint = first_joint(lambda j: j.when_undone.does is Does.FALLS and j.when_undone.prop_first)
    words = joint.when_undone.prop_first
    undone = f"joint:{joint.id}"
    assert one(strip_of(DEMO, joint.parts[0]), undone, Action.UNDO).prop_first == words
    bare = but(DEMO, "joints", joint.id, when_undone=WhenUndone())
    assert one(strip_of(bare, joint.parts[0]), undone, Action.UNDO).prop_first != words


USUAL = {"crew": 1, "hoist": "", "cautions": ()}
"""What a part has of each where nobody said anything."""


@pytest.fixture(scope="module")
def told_and_bare():
    """For each of these a part that has it, and its steps with it and without: two plans."""
    in_wholes = {part for whole in DEMO.assemblies.values() for part in whole.parts}
    alone = [p for p in DEMO.parts.values() if p.id not in in_wholes and p.id != DATUM]
    parts = {
        field: next(part for part in alone if getattr(part, field) != usual)
        for field, usual in USUAL.items()
    }
    bare = DEMO
    for field, part in parts.items():
        bare = but(bare, "parts", part.id, **{field: USUAL[field]})
    off = dict.fromkeys(part.id for part in parts.values())
    plans = [strip_of(vehicle, *off) for vehicle in (DEMO, bare)]
    return {
        field: (part, *(one(plan, f"part:{part.id}") for plan in plans))
        for field, part in parts.items()
    }


@pytest.mark.parametrize("field", USUAL)
def test_who_lifts_it_and_what_can_hurt_are_told(told_and_bare, field):
    """People, lifting gear and cautions of a part are those of its step."""
    part, told, bare = told_and_bare[field]
    if field == "crew":
        assert (told.crew, bare.crew) == (part.crew, 1)
        assert told.setup_minutes >= bare.setup_minutes
        return
    said = (part.hoist,) if field == "hoist" else part.cautions
    assert all(any(words in each for each in told.cautions) for words in said)
    assert not any(words in each for words in said for each in bare.cautions)


RECORDED = {"marks": "mark: ", "photos": "photograph: ", "measures": "measure: "}
"""What a part wants recorded while it is on, and how its step says so."""


@pytest.mark.parametrize("field", RECORDED)
def test_what_to_record_is_told_before_the_part_comes_off(field):
    """Marks, photos and measures are notes of the step that takes it off."""
    in_wholes = {part for whole in DEMO.assemblies.values() for part in whole.parts}
    part = next(p for p in DEMO.parts.values() if getattr(p, field) and p.id not in in_wholes)

    def told(vehicle):
        found = reach(vehicle, state_of(vehicle, standing=ON_WHEELS), f"part:{part.id}").steps
        (notes,) = (step.notes for step in found if step.what == f"part:{part.id}")
        return [note for note in notes if note.startswith(RECORDED[field])]

    assert told(DEMO)
    assert not told(but(DEMO, "parts", part.id, **{field: ()}))


def test_an_end_is_closed_by_the_step_that_opens_it_and_opened_by_the_one_that_makes_it():
    """With the closure that the opening names; without the opening nobody is told."""
    wanted = (o for o in DEMO.openings.values() if o.closed_with and o.ends == len(o.joints) == 1)
    opening = next(wanted)
    (joint,) = opening.joints
    close = f"close {opening.name} with {opening.closed_with}"

    def notes(vehicle):
        found = reach(vehicle, state_of(vehicle, standing=ON_WHEELS), f"joint:{joint}").steps
        return [note for step in found for note in step.notes]

    assert close in notes(DEMO)
    assert close not in notes(less(DEMO, "openings", opening.id))
    closed = {opening.id: OpeningState(opening.id, closed=opening.ends)}
    state = replace(state_of(DEMO, undone=[joint], standing=ON_WHEELS), openings=closed)
    steps = about(plan_rebuild(DEMO, state), joint)
    assert any(opening.name in line for step in steps for line in step.take_out)


# -- the rebuild --------------------------------------------------------------------------------


def rebuilt(vehicle: Vehicle, *joints: str) -> Plan:
    """How a few joints that were undone are made again."""
    return plan_rebuild(vehicle, state_of(vehicle, undone=joints, standing=ON_WHEELS))


def about(plan: Plan, joint: str) -> list[Step]:
    """The steps of one joint."""
    return [step for step in plan.steps if step.what == f"joint:{joint}"]


@pytest.mark.parametrize("final", [each for each in FinalWhen if each is not FinalWhen.AS_FITTED])
def test_final_tightening_waits_for_what_it_waits_for(final):
    """A step or a declared job finishes it later; tightened as fitted there is none."""
    joint = first_joint(lambda j: j.final_when is final and not j.by_position)
    named = {f"job:{j.id}" for j in DEMO.jobs.values() if joint.id in j.joints}

    def later(plan):
        finish = [s for s in about(plan, joint.id) if s.action is Action.FINISH]
        return finish or [s for s in plan.steps if s.what in named]

    assert later(rebuilt(DEMO, joint.id))
    fitted = but(DEMO, "joints", joint.id, final_when=FinalWhen.AS_FITTED)
    assert not [s for s in about(rebuilt(fitted, joint.id), joint.id) if s.action is Action.FINISH]


def test_what_may_be_closed_by_position_waits_for_nothing():
    """Held at its laden angle it is finished at once; without the maker's word it waits."""
    joint = first_joint(lambda j: j.by_position)
    free = {j.id for j in DEMO.jobs.values() if joint.id in j.joints}
    vehicle = DEMO
    for job in free:
        left = tuple(j for j in DEMO.jobs[job].joints if j != joint.id)
        vehicle = but(vehicle, "jobs", job, joints=left)
    waiting = but(vehicle, "joints", joint.id, by_position=False)
    finished = {s.action for s in about(rebuilt(vehicle, joint.id), joint.id)}
    assert Action.FINISH not in finished
    assert Action.FINISH in {s.action for s in about(rebuilt(waiting, joint.id), joint.id)}


def test_a_critical_joint_is_checked_by_a_second_person():
    """Not critical, nobody looks again."""
    joint = first_joint(lambda j: j.critical)
    vehicle = DEMO
    for job in DEMO.jobs.values():  # so that no declared check stands in for the step
        if job.phase is not Phase.STRIP:
            vehicle = without_facts(less(vehicle, "jobs", job.id), f"job:{job.id}")

    def is_checked(vehicle):
        return Action.CHECK in {s.action for s in about(rebuilt(vehicle, joint.id), joint.id)}

    assert is_checked(vehicle)
    assert not is_checked(but(vehicle, "joints", joint.id, critical=False))


@pytest.mark.parametrize("what", ["single use", "torque", "shims", "consumables"])
def test_what_a_joint_is_made_with_is_told(what):
    """New pieces, the figure, the pack and what is used up are lines of its steps."""
    wanted: dict[str, Callable[[Joint], object]] = {
        "single use": lambda j: any(p.single_use for f in j.fixings for p in f.stack),
        "torque": lambda j: j.tightening.torque_nm,
        "shims": lambda j: j.shims,
        "consumables": lambda j: j.consumables,
    }
    joint = first_joint(lambda j: bool(wanted[what](j)))
    often = tuple(
        replace(f, stack=tuple(replace(p, single_use=False) for p in f.stack))
        for f in joint.fixings
    )
    bare = {
        "single use": {"fixings": often},
        "torque": {"tightening": Tightening()},
        "shims": {"shims": ()},
        "consumables": {"consumables": ()},
    }[what]

    def told(vehicle):
        return [(s.renew, s.torque, s.notes) for s in about(rebuilt(vehicle, joint.id), joint.id)]

    assert told(DEMO) != told(but(DEMO, "joints", joint.id, **bare))


def test_a_mark_and_the_way_of_a_run_are_told_as_it_goes_back():
    """On the step that puts it on: where it sat, and how it was drawn."""
    marked = next(part for part in DEMO.parts.values() if part.marks)
    run = next(each for each in DEMO.runs.values() if each.route)

    def told(vehicle, part):
        state = state_of(vehicle, off=[part], order=[f"part:{part}"], standing=ON_WHEELS)
        return one(plan_rebuild(vehicle, state), f"part:{part}", Action.PUT_ON).notes

    assert any(note.startswith("mark: ") for note in told(DEMO, marked.id))
    bare = but(DEMO, "parts", marked.id, marks=())
    assert not any(note.startswith("mark: ") for note in told(bare, marked.id))
    assert any(note.startswith("way: ") for note in told(DEMO, run.part))
    bare = but(DEMO, "runs", run.part, route=())
    assert not any(note.startswith("way: ") for note in told(bare, run.part))


def test_the_hose_end_that_turns_is_made_first():
    """Both ends undone: it is tight before the other is made, and no plan may have it last."""
    run = next(r for r in DEMO.runs.values() if any(e.turns for e in r.ends) and len(r.ends) > 1)
    turning = next(e.joint for e in run.ends if e.turns)
    others = [e.joint for e in run.ends if not e.turns]

    plan = rebuilt(DEMO, turning, *others)
    lines = [(s.action, s.what) for s in plan.steps]
    tight = lines.index((Action.TIGHTEN, f"joint:{turning}"))
    assert all(tight < lines.index((Action.MAKE, f"joint:{each}")) for each in others)
    made = sorted(plan.steps, key=lambda s: s.what == f"joint:{turning}")
    other = replace(plan, steps=tuple(made))
    ends = tuple(replace(end, turns=False) for end in run.ends)
    state = state_of(DEMO, undone=[turning, *others], standing=ON_WHEELS)
    rules = [
        {fault.rule for fault in check_rebuild(vehicle, replace(state, vehicle=vehicle), other)}
        for vehicle in (DEMO, but(DEMO, "runs", run.part, ends=ends))
    ]
    assert RebuildRule.LOOSE_FIRST in rules[0] - rules[1]


def test_what_a_run_passes_through_is_on_before_it_is_drawn():
    """Loom and shell are off: the shell with its grommet comes first, and the step says why."""
    run = next(r for r in DEMO.runs.values() if any(each.part for each in r.passages))
    passage = next(each for each in run.passages if each.part)
    off = [run.part, passage.part]

    def told(vehicle):
        state = state_of(vehicle, off=off, order=[f"part:{p}" for p in off], standing=ON_STANDS)
        plan = plan_rebuild(vehicle, state)
        return {reason.words for step in plan.steps for reason in step.reasons}

    words = f"it is drawn through the {passage.what}"
    assert words in told(DEMO)
    assert words not in told(but(DEMO, "runs", run.part, passages=()))


def test_a_fluid_that_is_out_is_filled_and_what_is_hydraulic_bled():
    """Its drain job done: a step fills it; of a fluid that nobody described none does."""
    drained = [f for f in DEMO.fluids.values() if f.drained_by]
    state = state_of(DEMO, done=[f.drained_by for f in drained], standing=ON_WHEELS)
    plan = plan_rebuild(DEMO, state)
    filled = {s.what for s in plan.steps if s.action is Action.FILL}
    jobs = {f"job:{j.id}" for j in DEMO.jobs.values() if j.kind in ("fill", "bleed")}
    assert filled | {s.what for s in plan.steps if s.what in jobs}
    dry = DEMO.with_records(fluids={})
    assert not [s for s in plan_rebuild(dry, replace(state, vehicle=dry)).steps
                if s.action is Action.FILL]  # fmt: skip
