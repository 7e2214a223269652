"""Goals: whether what they ask for can be had."""

from collections.abc import Iterator

from putback.vehicle.check.fault import Fault, doubt, error, named, named_part
from putback.vehicle.check.graph import reached_from
from putback.vehicle.facts import Obstruction, Phase
from putback.vehicle.goal import Goal
from putback.vehicle.ids import PartId, Ref, joint_ref, part_ref
from putback.vehicle.vehicle import Vehicle


def parts_off(vehicle: Vehicle, goal: Goal) -> frozenset[PartId]:
    """Say which parts a goal wants off."""
    kept = {goal.datum, *goal.on}
    rest = vehicle.parts.keys() - kept if goal.off_rest else frozenset()
    return frozenset({*rest, *goal.off} - {goal.datum})


def off_and_on(vehicle: Vehicle) -> Iterator[Fault]:
    """Find parts that a goal wants off and on, its datum off included."""
    for goal in vehicle.goals.values():
        for part in {*goal.off} & {*goal.on}:
            message = f"goal {named(goal)} wants part {named_part(vehicle, part)} both off and on"
            yield error("goal", goal.id, message, "leave one out")
        if goal.datum in goal.off:
            message = f"goal {named(goal)} wants its datum {named_part(vehicle, goal.datum)} off"
            yield error("goal", goal.id, message, "off means parted from the datum: name another")


def asks_for_nothing(vehicle: Vehicle) -> Iterator[Fault]:
    """Find goals that take nothing off and do nothing."""
    for goal in vehicle.goals.values():
        if not parts_off(vehicle, goal) and not goal.jobs:
            message = f"goal {named(goal)} takes nothing off"
            yield doubt("goal", goal.id, message, "say what is to come off")


def kept_in_the_way(vehicle: Vehicle) -> Iterator[Fault]:
    """Find parts that are to stay on and are in the way of what must come off.

    What must come undone is a joint between a part that is to be off and one that is to stay;
    with an *any of*, one member that may come off is enough.
    """
    for goal in vehicle.goals.values():
        kept, off = {goal.datum, *goal.on} - {*goal.off}, parts_off(vehicle, goal)
        must: set[Ref] = {part_ref(part) for part in off}
        must |= {
            joint_ref(joint.id)
            for joint in vehicle.joints.values()
            if off & {*joint.parts} and kept & {*joint.parts}
        }
        for obstruction in vehicle.obstructions.values():
            in_the_way = {*obstruction.any_of}
            if obstruction.of in must and in_the_way and in_the_way <= kept:
                yield _in_the_way(vehicle, goal, obstruction)


def _in_the_way(vehicle: Vehicle, goal: Goal, obstruction: Obstruction) -> Fault:
    parts = " and ".join(named_part(vehicle, part) for part in obstruction.any_of)
    return error(
        "goal",
        goal.id,
        f"goal {named(goal)} keeps {parts} on, in the way of {vehicle.name_of(obstruction.of)!r}, "
        f"which must come off or undone",
        "let it come off, or mend the obstruction",
    )


def kept_in_the_air(vehicle: Vehicle) -> Iterator[Fault]:
    """Find parts that are to stay on while all that holds them is to come off.

    Of a part without a joint nobody said what holds it, which is a doubt of its own.
    """
    for goal in vehicle.goals.values():
        staying = vehicle.parts.keys() - parts_off(vehicle, goal)
        held = reached_from(vehicle, [goal.datum], among=staying)
        for part in goal.on:
            if part in staying and part not in held and vehicle.joints_of.get(part):
                what = f"keeps {named_part(vehicle, part)} on"
                message = f"goal {named(goal)} {what}, and nothing would hold it"
                yield error("goal", goal.id, message, "keep on what it is fixed to")


def after_itself(vehicle: Vehicle) -> Iterator[Fault]:
    """Find goals that come after each other in a ring."""
    told: set[str] = set()
    for goal in vehicle.goals.values():
        seen = [goal]
        after = goal.after
        while after is not None and after in vehicle.goals and vehicle.goals[after] not in seen:
            seen.append(vehicle.goals[after])
            after = seen[-1].after
        if after == goal.id and goal.id not in told:
            told.update(each.id for each in seen)
            ring = " after ".join(named(each) for each in (*seen, goal))
            yield error("goal", goal.id, f"goals go in a ring: {ring}", "leave one 'after' out")


def job_of_the_rebuild(vehicle: Vehicle) -> Iterator[Fault]:
    """Find goals of the strip that ask for jobs done only in the rebuild."""
    for goal in vehicle.goals.values():
        for job in (vehicle.jobs[each] for each in goal.jobs if each in vehicle.jobs):
            if job.phase is Phase.REBUILD:
                message = f"goal {named(goal)} asks for job {named(job)}, which is of the rebuild"
                yield error("goal", goal.id, message, "leave it out, or mend the job's phase")
