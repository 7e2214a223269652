"""A part that slides on over a run: put on while an end of the run is free (rule 4)."""

from collections.abc import Iterable, Iterator, Mapping

from putback.logbook.came_off import came_off
from putback.planning.plan import Action, Because, Reason
from putback.planning.rebuild.edges import Edge, Strength, after_of, reached_from
from putback.planning.rebuild.work import Node, Work
from putback.planning.threaded import Threaded, threaded_through
from putback.vehicle.ids import JointId, Ref, joint_ref, part_ref


def slid_over_ends(work: Work, edges: Iterable[Edge]) -> Iterator[Edge]:
    """Put a part on before the last free end of a run through it is made, if nothing forbids."""
    after = None
    place = {ref: at for at, ref in enumerate(came_off(work.state))}
    for part, runs in threaded_through(work.vehicle).items():
        on = work.put_on(part)
        for each in runs if on is not None else ():
            for ends in _open_ends(work, each, place):
                if after is None:
                    after = after_of(e for e in edges if e.strength is not Strength.CUSTOM)
                begun = (Node(Action.MAKE, joint_ref(joint)) for joint in ends)
                later = next(
                    (node for node in begun if on not in reached_from([node], after)), None
                )
                if on is not None and later is not None:
                    run = work.name(part_ref(each.run))
                    words = f"it slides on over the {run}, which passes through {each.what}"
                    reason = Reason(Because.IN_THE_WAY, on.what, words)
                    yield Edge(on, later, reason, Strength.CUSTOM)


def _open_ends(work: Work, each: Threaded, place: Mapping[Ref, int]) -> Iterator[list[JointId]]:
    """The ends of a run that is on, over which a part can slide: the first undone comes first."""
    if each.run in work.off or each.run not in work.vehicle.parts:
        return
    for ends in each.ends:
        if all(joint in work.make or not _is_open(work, joint) for joint in ends):
            found = [joint for joint in ends if joint in work.make]
            yield sorted(found, key=lambda joint: place.get(joint_ref(joint), -1))


def _is_open(work: Work, joint: JointId) -> bool:
    """Whether it is apart now; one that is not made again stays free."""
    seen = work.state.joints.get(joint)
    apart = seen is not None and bool(seen.out)
    return apart or not work.off.isdisjoint(work.vehicle.joints[joint].parts)
