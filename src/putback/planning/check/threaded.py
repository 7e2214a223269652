"""Whether a part comes away that a run still goes through (strip 3, rebuild 4)."""

from collections.abc import Collection, Iterator, Mapping, Set

from putback.planning.check.due import Due
from putback.planning.check.fault import Fault, RebuildRule
from putback.planning.check.orders import orders_of
from putback.planning.check.when import When, leads_to
from putback.vehicle.ids import JointId, PartId, Ref, joint_ref, part_ref
from putback.vehicle.run import Run
from putback.vehicle.vehicle import Vehicle


def still_threaded(
    vehicle: Vehicle, part: PartId, away: Collection[PartId], undone: Collection[JointId]
) -> Iterator[str]:
    """Name the runs that are not ``away`` and hold a part on a string; ends are ``undone``."""
    for run in runs_through(vehicle, part):
        if run.part not in away and not is_free(run, vehicle, undone):
            name = vehicle.name_of(part_ref(run.part))
            yield f"{name} still passes through the {vehicle.name_of(part_ref(part))}"


def runs_through(vehicle: Vehicle, part: PartId) -> Iterator[Run]:
    """Give the runs that pass through a part."""
    for run in vehicle.runs.values():
        if run.part != part and any(each.part == part for each in run.passages):
            yield run


def is_free(run: Run, vehicle: Vehicle, undone: Collection[JointId]) -> bool:
    """Whether what it passes through can be slid off: one end of two, or all that pass of more."""
    ends = {end.joint: False for end in run.ends if end.joint in vehicle.joints}
    for end in run.ends:
        if end.passes and end.joint in ends:
            ends[end.joint] = True
    free = [joint in undone for joint, passes in ends.items() if passes]
    return any(free) if len(ends) <= 2 else bool(free) and all(free)


def sliding_faults(due: Due, when: When, forced: Mapping[Ref, Set[Ref]]) -> Iterator[Fault]:
    """Give the parts that go on when no end of a run through them is free to slide over."""
    for part, run, able in _sliding(due, when, forced):
        on = when.on(part)
        if all(when.make(joint) < on for joint in able):
            name = due.state.name_of(part_ref(run.part))
            words = f"no end of the {name} is free, which passes through it"
            yield Fault(RebuildRule.IN_THE_WAY, int(on), part_ref(part), words)


def slid_on_first(
    due: Due, when: When, forced: Mapping[Ref, Set[Ref]]
) -> Mapping[JointId, Set[PartId]]:
    """Give what has to slide on before each end of a run is made; of several ends, the last."""
    found: dict[JointId, set[PartId]] = {}
    for part, _, able in _sliding(due, when, forced):
        found.setdefault(max(able, key=when.make), set()).add(part)
    return found


def _sliding(
    due: Due, when: When, forced: Mapping[Ref, Set[Ref]]
) -> Iterator[tuple[PartId, Run, list[JointId]]]:
    """Give each part that goes on over a run, and the ends of which one has to wait for it."""
    passed = {each.part for run in due.vehicle.runs.values() for each in run.passages}
    after = {ref: set(those) for ref, those in forced.items()}
    for order in orders_of(due, when) if not passed.isdisjoint(due.back) else ():
        after.setdefault(order.first, set()).add(order.then)
    for part in sorted(due.back):
        for run in runs_through(due.vehicle, part):
            if run.part in due.off or run.part not in due.vehicle.parts:
                continue
            free = {each.joint for each in run.ends if each.passes} & due.vehicle.joints.keys()
            many = len({each.joint for each in run.ends} & due.vehicle.joints.keys()) > 2
            for ends in [{each} for each in free] if many else [free]:
                able = [
                    joint
                    for joint in sorted(ends & due.make)
                    if not _comes_before(due, joint, part, after)
                ]
                if able and not any(joint_ref(joint) in due.waiting for joint in ends):
                    yield part, run, able


def _comes_before(due: Due, joint: JointId, part: PartId, after: Mapping[Ref, Set[Ref]]) -> bool:
    """Whether a joint must be made before a part is on, by facts or by how it must stand."""
    named = [due.vehicle.standings[each] for each in due.joints[joint].standings]
    bound = bool(named) and all(part in each.needs_off for each in named)
    return bound or part_ref(part) in leads_to(after, joint_ref(joint))
