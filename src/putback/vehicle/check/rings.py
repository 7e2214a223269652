"""Facts that go round in a ring, so that nothing in it can ever be first.

What waits for what is not a plain graph: an *any of* is met by one member, and a part may come off
by itself or with an assembly. So all is done that can be done, until nothing more can; what is
left waits for itself, and following what it waits for leads round the rings.
"""

from collections import deque
from collections.abc import Iterable, Iterator, Mapping, Set
from dataclasses import dataclass

from putback.vehicle.assembly import Assembly
from putback.vehicle.check.fault import Fault, error
from putback.vehicle.check.graph import inner_joints
from putback.vehicle.facts import Before, Phase
from putback.vehicle.ids import AssemblyId, Ref, job_ref, joint_ref, part_ref, split_ref
from putback.vehicle.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class Need:
    """Something a piece of work waits for; any one of the ``ways`` will do, all of its members."""

    ways: tuple[tuple[Ref, ...], ...]
    why: str = ""
    """The fact that says so; empty where the joints do."""

    @property
    def members(self) -> Iterator[Ref]:
        """Everything that may help to meet it."""
        return (ref for way in self.ways for ref in way)


Needs = Mapping[Ref, list[Need]]
"""What each piece of work waits for: all of these."""

Ring = tuple[tuple[Ref, str], ...]
"""Work, each with the fact by which it waits for the next; the last waits for the first."""


def ring_in_the_strip(vehicle: Vehicle) -> Iterator[Fault]:
    """Find joints, parts and jobs that wait for each other in the strip."""
    for ring in _rings(_strip(vehicle)):
        yield _said(vehicle, ring, "the strip")


def ring_in_the_rebuild(vehicle: Vehicle) -> Iterator[Fault]:
    """Find befores of the rebuild that go against each other or against obstructions.

    Rings of obstructions alone are those of the strip backwards, and are not told again.
    """
    befores = {f"before {before.id!r}" for before in _befores(vehicle, Phase.REBUILD)}
    for ring in _rings(_rebuild(vehicle)):
        if any(why in befores for _, why in ring):
            yield _said(vehicle, ring, "the rebuild")


# --- what waits for what ------------------------------------------------------------------------


def _strip(vehicle: Vehicle) -> Needs:
    needs: dict[Ref, list[Need]] = {job_ref(job): [] for job in vehicle.jobs}
    needs |= {joint_ref(joint): [] for joint in vehicle.joints}
    in_the_way: dict[Ref, list[Need]] = {}
    for obstruction in vehicle.obstructions.values():
        ways = tuple((part_ref(part),) for part in obstruction.any_of)
        if ways:
            need = Need(ways, f"obstruction {obstruction.id!r}")
            in_the_way.setdefault(obstruction.of, []).append(need)
    for before in _befores(vehicle, Phase.STRIP):
        need = Need(((before.first,),), f"before {before.id!r}")
        in_the_way.setdefault(before.then, []).append(need)
    for fluid in vehicle.fluids.values():
        if fluid.drained_by is not None:
            need = Need(((job_ref(fluid.drained_by),),), f"fluid {fluid.id!r}")
            for part in fluid.leaks_if_off:
                in_the_way.setdefault(part_ref(part), []).append(need)
    for ref in needs:
        needs[ref] += in_the_way.get(ref, [])
    for assembly in vehicle.assemblies.values():
        for joint in inner_joints(vehicle, assembly):
            # On the bench, what was in the way on the vehicle is not.
            needs[joint_ref(joint)] = [
                Need((*need.ways, (_unit(assembly),)), need.why)
                if need.why.startswith("obstruction")
                else need
                for need in needs[joint_ref(joint)]
            ]
    for part in vehicle.parts:
        assemblies = [vehicle.assemblies[each] for each in vehicle.assemblies_of.get(part, ())]
        alone = Ref(f"alone:{part}")
        units = (alone, *(_unit(assembly) for assembly in assemblies))
        needs[part_ref(part)] = [Need(tuple((unit,) for unit in units))]
        joints = (Need(((joint_ref(joint),),)) for joint in vehicle.joints_of[part])
        needs[alone] = [*joints, *in_the_way.get(part_ref(part), [])]
    for assembly in vehicle.assemblies.values():
        needs[_unit(assembly)] = list(_needs_of_whole(vehicle, assembly, in_the_way))
    return needs


def _unit(assembly: Assembly) -> Ref:
    return Ref(f"assembly:{assembly.id}")


def _needs_of_whole(
    vehicle: Vehicle, assembly: Assembly, in_the_way: Mapping[Ref, list[Need]]
) -> Iterator[Need]:
    """Say what an assembly waits for to come out as one: nothing that is part of it."""
    within = {part_ref(part) for part in assembly.parts}
    inner = set(inner_joints(vehicle, assembly))
    for part in assembly.parts:
        for joint in vehicle.joints_of.get(part, ()):
            if joint not in inner:
                yield Need(((joint_ref(joint),),))
        for need in in_the_way.get(part_ref(part), ()):
            if within.isdisjoint(need.members):
                yield need


def _rebuild(vehicle: Vehicle) -> Needs:
    needs: dict[Ref, list[Need]] = {
        ref: [] for ref in (*map(part_ref, vehicle.parts), *map(job_ref, vehicle.jobs))
    }
    for joint in vehicle.joints.values():
        needs[joint_ref(joint.id)] = [Need(((part_ref(part),),)) for part in joint.parts]
    for obstruction in vehicle.obstructions.values():
        if len(obstruction.any_of) == 1 and part_ref(obstruction.any_of[0]) in needs:
            need = Need(((obstruction.of,),), f"obstruction {obstruction.id!r}")
            needs[part_ref(obstruction.any_of[0])].append(need)
    for before in _befores(vehicle, Phase.REBUILD):
        if before.then in needs:
            needs[before.then].append(Need(((before.first,),), f"before {before.id!r}"))
    return needs


def _befores(vehicle: Vehicle, phase: Phase) -> Iterator[Before]:
    return (each for each in vehicle.befores.values() if each.phase in (phase, Phase.BOTH))


# --- going round --------------------------------------------------------------------------------


def _rings(needs: Needs) -> Iterator[Ring]:
    """Go round every ring once; through each fact that is in one, the shortest."""
    waiting = _never_done(needs)
    edges = {
        ref: {
            member: need.why
            for need in reversed(needs[ref])
            if not _is_met(need, waiting)
            for member in need.members
            if member in waiting
        }
        for ref in needs
        if ref in waiting
    }
    told: set[frozenset[Ref]] = set()
    for ref, following in edges.items():
        for member, why in following.items():
            back = _shortest(edges, member, ref) if why else None
            if back is not None and frozenset(back) not in told:
                told.add(frozenset(back))
                ring = [ref, *back[:-1]]
                yield tuple((one, edges[one][two]) for one, two in zip(ring, back, strict=True))


def _never_done(needs: Needs) -> set[Ref]:
    """Do all that can be done; what nobody described is no hindrance, and another rule's fault."""
    waiting_for: dict[Ref, list[Ref]] = {}
    for ref, those in needs.items():
        for member in (member for need in those for member in need.members):
            waiting_for.setdefault(member, []).append(ref)
    left = set(needs)
    queue = deque(needs)
    while queue:
        ref = queue.popleft()
        if ref in left and all(_is_met(need, left) for need in needs[ref]):
            left.discard(ref)
            queue.extend(waiting_for.get(ref, ()))
    return left


def _is_met(need: Need, left: Set[Ref]) -> bool:
    return any(left.isdisjoint(way) for way in need.ways)


def _shortest(edges: Mapping[Ref, Iterable[Ref]], start: Ref, end: Ref) -> list[Ref] | None:
    """Find the shortest way along the edges, both ends included."""
    came_from: dict[Ref, Ref | None] = {start: None}
    queue = deque([start])
    while queue:
        ref = queue.popleft()
        if ref == end:
            way = [ref]
            while (before := came_from[way[-1]]) is not None:
                way.append(before)
            return way[::-1]
        for following in edges[ref]:
            if following not in came_from:
                came_from[following] = ref
                queue.append(following)
    return None


def _said(vehicle: Vehicle, ring: Ring, phase: str) -> Fault:
    """Say a ring in words, the facts that make it beside each step."""
    steps: list[tuple[Ref, str]] = []
    for ref, why in ring if split_ref(ring[0][0])[0] != "alone" else (*ring[1:], ring[0]):
        if split_ref(ref)[0] == "alone":  # how a part comes off is no step beside its coming off
            steps[-1] = (steps[-1][0], why)
        else:
            steps.append((ref, why))
    first, *others = (_name(vehicle, ref) for ref, _ in steps)
    facts = (f" ({why})" if why else "" for _, why in steps)
    waits = " which waits for ".join(
        f"{name}{fact}," for name, fact in zip((*others, f"{first} again"), facts, strict=True)
    )
    kind, identity = split_ref(steps[0][0])
    message = f"in {phase}, {first} waits for {waits.removesuffix(',')}"
    return error(kind, identity, message, "leave one of these facts out, or give another way")


def _name(vehicle: Vehicle, ref: Ref) -> str:
    kind, identity = split_ref(ref)
    if kind == "assembly":
        return f"assembly {vehicle.assemblies[AssemblyId(identity)].name!r}"
    return f"{kind} {vehicle.name_of(ref)!r}"
