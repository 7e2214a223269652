"""What comes before what in a rebuild, and why.

Each rule of ``docs/planning-rules.md`` that orders two steps is a method of `_Facts` here; its
number stands beside it. Some edges only say what is usual: they give way where facts contradict
them.
"""

from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise
from types import MappingProxyType

from putback.planning.known import with_why
from putback.planning.plan import Action, Because, Reason
from putback.planning.rebuild.edges import (
    Edge,
    Either,
    Facts,
    Strength,
    after_of,
    reached_from,
)
from putback.planning.rebuild.never_run import last_of_all
from putback.planning.rebuild.proven import proven_order
from putback.planning.rebuild.sliding import slid_over_ends
from putback.planning.rebuild.stages import is_painting
from putback.planning.rebuild.stands import Stands
from putback.planning.rebuild.unbled import opened_brakes
from putback.planning.rebuild.waiting import PREPARING
from putback.planning.rebuild.work import (
    AFTER_RUN,
    CARRIED,
    FINISHING,
    Node,
    Work,
    do,
)
from putback.vehicle.facts import Obstruction, Phase
from putback.vehicle.ids import (
    JointId,
    PartId,
    Ref,
    job_ref,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.job import JobKind
from putback.vehicle.joint import FinalWhen, Joint
from putback.vehicle.part import PartKind
from putback.vehicle.usual_cautions import is_of_brakes


def find_facts(
    work: Work,
    stands: Stands,
    off_bench: frozenset[JointId],
    *,
    pairwise: bool = False,
    taken: Mapping[Either, tuple[Edge, ...]] = MappingProxyType({}),
) -> Facts:
    """Find what orders the steps.

    Joints of ``off_bench`` are made after their whole is on. With ``pairwise``, each pair of the
    proven order has an edge of its own, so that one can give way without the others. ``taken`` are
    ways that hold as facts do, each instead of its choice.
    """
    facts = _Facts(work, stands, off_bench)
    edges = dict.fromkeys(
        edge
        for rule in (
            facts.stages,
            facts.parts_on,
            facts.befores,
            facts.preparing,
            facts.made_ready,
            facts.droop_and_bump,
            facts.run_ends,
            facts.passages,
            facts.final_tightening,
            facts.second_checks,
            facts.accounts,
            facts.curing,
            facts.fluids,
            facts.standings,
        )
        for edge in rule()
        if edge.first != edge.then
    )
    eithers: list[Either] = []
    for either in facts.in_the_way():
        if len(either.ways) == 1:
            edges |= dict.fromkeys(either.ways[0])
        elif either in taken:
            edges |= dict.fromkeys(taken[either])
        elif either.ways:
            eithers.append(either)
    edges |= dict.fromkeys(proven_order(work, edges, eithers, pairwise=pairwise))
    edges |= dict.fromkeys(slid_over_ends(work, edges))
    edges |= dict.fromkeys(facts.runs_last(edges))
    return Facts(tuple(edges), tuple(eithers))


class _Facts:
    def __init__(self, work: Work, stands: Stands, off_bench: frozenset[JointId]) -> None:
        self.work = work
        self.vehicle = work.vehicle
        self.stands = stands
        self.off_bench = off_bench
        self.nodes = frozenset(work.nodes)
        self.name = work.name
        self.weights: dict[FinalWhen, tuple[tuple[Node, Reason], ...]] = {}

    def _steps(self, joint: JointId) -> tuple[Node, ...]:
        """What is done to a joint, in its order."""
        ref = joint_ref(joint)
        stages = (Action.MAKE, Action.TIGHTEN, Action.FINISH, Action.CHECK)
        return tuple(node for node in (Node(each, ref) for each in stages) if node in self.nodes)

    def _first(self, joint: JointId) -> Node | None:
        return self.work.begin(joint_ref(joint))

    def _last(self, joint: JointId) -> Node | None:
        """The step after which a spanner need not get at it for now."""
        return self.work.done(joint_ref(joint))

    def _is_bench(self, joint: JointId) -> Ref | None:
        return None if joint in self.off_bench else self.work.whole_of(joint)

    # -- a joint and its parts (2, 7) ---------------------------------------------------------

    def stages(self) -> Iterator[Edge]:
        """Put made before tightened, tightened before finished, finished before checked."""
        for joint in self.work.joints.values():
            ref = joint_ref(joint.id)
            words = {
                Action.TIGHTEN: (Because.LOOSE_FIRST, "all its fixings go in loose first"),
                Action.FINISH: (
                    Because.FINAL_WHEN,
                    f"it is tightened for good {joint.final_when}",
                ),
                Action.CHECK: (Because.SECOND_CHECK, "a second person looks at what is finished"),
            }
            steps = self._steps(joint.id)
            for first, then in pairwise(steps):
                because, said = words[then.action]
                yield Edge(first, then, Reason(because, ref, said))
            if joint.id in self.work.finished_by:
                job = do(self.work.finished_by[joint.id])
                for step in steps:
                    if step.action is Action.CHECK:
                        said = words[Action.CHECK][1]
                        yield Edge(job, step, Reason(Because.SECOND_CHECK, job.what, said))

    def parts_on(self) -> Iterator[Edge]:
        """Put parts on before their joints are made, and make what is made on the bench first."""
        for joint in self.work.joints.values():
            first, last = self._first(joint.id), self._last(joint.id)
            if first is None:
                continue
            whole = self._is_bench(joint.id)
            if whole is not None and last is not None:
                said = f"it is made on the bench, before the {self.name(whole)} goes on"
                reason = Reason(Because.HOLDS, joint_ref(joint.id), said)
                yield Edge(last, Node(Action.PUT_ON, whole), reason, Strength.BENCH)
                continue
            for part in joint.parts:
                if on := self.work.put_on(part):
                    said = f"the {self.name(part_ref(part))} has to be there"
                    yield Edge(on, first, Reason(Because.HOLDS, on.what, said))

    # -- in the way, turned round (4) ---------------------------------------------------------

    def in_the_way(self) -> Iterator[Either]:
        """Put what is in the way on after what it is in the way of."""
        for fact in self.vehicle.obstructions.values():
            kind, identity = split_ref(fact.of)
            if kind == "joint":
                joint = JointId(identity)
                last = self._last(joint)
                if last is None:
                    continue
                whole = self._is_bench(joint)
                yield from (
                    self._round(last, fact) if whole is None else self._inside(last, fact, whole)
                )
            elif (on := self.work.put_on(PartId(identity))) is not None:
                together = any(self.work.put_on(part) == on for part in fact.any_of)
                yield from () if together else self._round(on, fact)

    def _round(self, of: Node, fact: Obstruction) -> Iterator[Either]:
        """At least one of what is off goes on later; what never goes on is no trouble."""
        off = [part for part in fact.any_of if part in self.work.off]
        later = [self.work.put_on(part) for part in off]
        if None in later:
            return
        if ways := [
            (Edge(of, on, self._in_the_way(of, fact, part)),)
            for part, on in zip(off, later, strict=True)
            if on is not None
        ]:
            yield Either(of, tuple(dict.fromkeys(ways)))

    def _inside(self, of: Node, fact: Obstruction, whole: Ref) -> Iterator[Either]:
        """On the bench a part is in the way once a joint inside the whole holds it."""
        inside = set(self.work.unit_parts(whole))
        if not inside.issuperset(fact.any_of):
            return
        ways = []
        for part in fact.any_of:
            joints = self._inner_joints(part, inside) - {of.what}
            if not joints:
                return  # nothing holds it there, so it can be kept aside
            begun = [self.work.begin(ref) for ref in sorted(joints)]
            reason = self._in_the_way(of, fact, part)
            if None not in begun:
                ways.append(tuple(Edge(of, node, reason) for node in begun if node is not None))
        yield Either(of, tuple(ways))  # no way at all: all were held from the start

    def _inner_joints(self, part: PartId, inside: set[PartId]) -> set[Ref]:
        joints = self.vehicle.joints_of.get(part, ())
        return {
            joint_ref(joint)
            for joint in joints
            if inside.issuperset(self.work.joints[joint].parts)
        }

    def _in_the_way(self, of: Node, fact: Obstruction, part: PartId) -> Reason:
        words = f"the {self.name(part_ref(part))} is in the way of the {self.name(of.what)}"
        return Reason(Because.IN_THE_WAY, of.what, with_why(words, fact.why), fact.id)

    # -- declared facts and jobs (5) ----------------------------------------------------------

    def befores(self) -> Iterator[Edge]:
        """Keep the facts of the rebuild."""
        for fact in self.vehicle.befores.values():
            if fact.phase is Phase.STRIP:
                continue
            first, then = self.work.done(fact.first), self.work.begin(fact.then)
            if first and then:
                words = with_why(f"{self.name(fact.first)} comes first", fact.why)
                yield Edge(first, then, Reason(Because.BEFORE, fact.first, words, fact.id))

    def preparing(self) -> Iterator[Edge]:
        """Prepare, prove and repair before anything is put together for good."""
        for job in self.work.jobs_of(*PREPARING):
            reason = Reason(Because.BEFORE, job_ref(job.id), f"{job.name} comes first")
            begun = [self._first(joint) for joint in job.joints if joint in self.work.make]
            for then in (*begun, *map(self.work.put_on, job.parts)):
                if then is not None:
                    yield Edge(do(job.id), then, reason)

    def made_ready(self) -> Iterator[Edge]:
        """Make ready what went through something before it goes back (15)."""
        for ref in self.work.calls:
            kind, identity = split_ref(ref)
            if kind == "part":
                joints = self.vehicle.joints_of.get(PartId(identity), ())
                on = self.work.put_on(PartId(identity))
            else:
                joints, on = (JointId(identity),), None
            begun = [self._first(each) for each in joints if each in self.work.make]
            ready = Node(Action.PREPARE, ref)
            words = f"the {self.name(ref)} is made ready first"
            for then in (on, *begun):
                if then is not None:
                    yield Edge(ready, then, Reason(Because.PREPARED, ref, words))

    # -- runs (6) -----------------------------------------------------------------------------

    def droop_and_bump(self) -> Iterator[Edge]:
        """Look at hoses once they are tight, and what moves them is together (17)."""
        for hose in self.work.hoses:
            yield from self._look_at(hose, Node(Action.CHECK, part_ref(hose)), Strength.FACT)
        for job in self.work.jobs_of(JobKind.CHECK):
            for part in job.parts:
                record = self.vehicle.parts.get(part)
                if record is not None and record.kind is PartKind.HOSE:
                    yield from self._look_at(part, do(job.id), Strength.CUSTOM)

    def _look_at(self, hose: PartId, look: Node, strength: Strength) -> Iterator[Edge]:
        laden = [j.id for j in self.work.joints.values() if j.final_when is FinalWhen.LADEN]
        for joint in dict.fromkeys((*self.vehicle.joints_of[hose], *laden)):
            if (last := self._last(joint)) is not None:
                words = f"the {self.name(last.what)} is tight, so that it can be moved"
                yield Edge(last, look, Reason(Because.HOLDS, last.what, words), strength)

    def run_ends(self) -> Iterator[Edge]:
        """Start every end of a pipe before tightening one; fit a hose's turning end first."""
        for run in self.vehicle.runs.values():
            name = self.name(part_ref(run.part))
            ends = list(dict.fromkeys(end.joint for end in run.ends))
            turning = {end.joint for end in run.ends if end.turns}
            part = self.vehicle.parts.get(run.part)
            for one in ends:
                for other in ends:
                    first, last = self._first(one), self._last(one)
                    begun = Node(Action.MAKE, joint_ref(other))
                    if one == other or begun not in self.nodes:
                        continue
                    if one in turning and other not in turning and last is not None:
                        words = f"the end that turns is fitted before the {name} is held elsewhere"
                        reason = Reason(Because.LOOSE_FIRST, last.what, words)
                        yield Edge(last, begun, reason, Strength.LOOSE)
                    elif part and part.kind is PartKind.PIPE and not turning and last and first:
                        words = f"every end of the {name} is started before one is tightened"
                        reason = Reason(Because.LOOSE_FIRST, begun.what, words)
                        yield Edge(begun, last, reason, Strength.LOOSE)

    def passages(self) -> Iterator[Edge]:
        """Draw a run through what is there."""
        for run in self.vehicle.runs.values():
            on = self.work.put_on(run.part)
            for passage in run.passages:
                there = self.work.put_on(passage.part) if passage.part else None
                if on and there:
                    words = f"it is drawn through the {passage.what}"
                    reason = Reason(Because.HOLDS, there.what, words)
                    yield Edge(there, on, reason, Strength.CUSTOM)

    # -- final tightening and second checks (7, 8) --------------------------------------------

    def final_tightening(self) -> Iterator[Edge]:
        """Finish each joint when it can be finished."""
        for job in self.work.jobs_of(*FINISHING):
            for each in job.joints:
                if (last := self._last(each)) is not None:
                    words = f"{job.name}: nipped first"
                    reason = Reason(Because.FINAL_WHEN, last.what, words)
                    yield Edge(last, do(job.id), reason)
        for joint in self.work.joints.values():
            if joint.id in self.work.finish or joint.id in self.work.finished_by:
                finished = self.work.finished(joint.id)
                if finished is None:
                    continue
                if joint.final_when in CARRIED:
                    yield from self._weight_on(finished, joint.final_when)
                elif joint.final_when in AFTER_RUN:
                    yield from self._after_a_run(finished, joint)
                elif finished.action is Action.FINISH:
                    yield from self._last_of_its_part(finished, joint.parts[0])

    def _weight_on(self, finished: Node, when: FinalWhen) -> Iterator[Edge]:
        """Edges from all that has to be there; so many that their reasons are made once."""
        if when not in self.weights:
            self.weights[when] = tuple(self._weights(when))
        return (Edge(first, finished, reason) for first, reason in self.weights[when])

    def _weights(self, when: FinalWhen) -> Iterator[tuple[Node, Reason]]:
        weighings = list(self.work.jobs_of(JobKind.WEIGH))
        for job in weighings:
            words = f"{when}: after {job.name}"
            yield do(job.id), Reason(Because.FINAL_WHEN, job_ref(job.id), words)
        if not weighings:
            heavy = (part for part in self.work.back if self.work.parts[part].mass_kg)
            for on in dict.fromkeys(map(self.work.put_on, heavy)):
                if on is not None:
                    words = f"{when}: with all its weight on"
                    yield on, Reason(Because.FINAL_WHEN, on.what, words)

    def _after_a_run(self, finished: Node, joint: Joint) -> Iterator[Edge]:
        if run := self.work.after_run.get(joint.id):
            yield Edge(
                do(run), finished, Reason(Because.FINAL_WHEN, job_ref(run), joint.final_when)
            )

    def _last_of_its_part(self, finished: Node, part: PartId) -> Iterator[Edge]:
        for other in self.vehicle.joints_of.get(part, ()):
            last = self._last(other)
            if last is not None and last.what != finished.what:
                words = f"the last of the {self.name(part_ref(part))}: when the gaps are right"
                yield Edge(last, finished, Reason(Because.FINAL_WHEN, last.what, words))

    def second_checks(self) -> Iterator[Edge]:
        """Let a declared second check come after what it looks at is finished."""
        for joint, jobs in self.work.checked_by.items():
            finished = self.work.finished(joint)
            words = f"the {self.name(joint_ref(joint))} is finished first"
            reason = Reason(Because.SECOND_CHECK, joint_ref(joint), words)
            if finished is not None:
                yield from (Edge(finished, do(job), reason) for job in jobs)

    def accounts(self) -> Iterator[Edge]:
        """Account for what closed an opening when it can be out: once its joint is made (11)."""
        for job in self.work.jobs_of(JobKind.CHECK):
            named = (self.vehicle.openings[o] for o in job.openings if o in self.vehicle.openings)
            for joint in dict.fromkeys(joint for each in named for joint in each.joints):
                if joint in self.work.make:
                    words = f"what closed the {self.name(joint_ref(joint))} can be counted then"
                    reason = Reason(Because.TEMPORARY, joint_ref(joint), words)
                    made = Node(Action.MAKE, joint_ref(joint))
                    yield Edge(made, do(job.id), reason, Strength.CUSTOM)

    def curing(self) -> Iterator[Edge]:
        """Let what a joint is made with cure once it is made, unless facts say otherwise (18)."""
        for job in self.work.jobs_of(JobKind.CURE):
            for each in () if is_painting(job) else job.joints:
                if (last := self._last(each)) is not None:
                    words = f"the {self.name(last.what)} is made: then it can cure"
                    reason = Reason(Because.FINAL_WHEN, last.what, words)
                    yield Edge(last, do(job.id), reason, Strength.CUSTOM)

    # -- fluids and first start (9) -----------------------------------------------------------

    def fluids(self) -> Iterator[Edge]:
        """Fill when nothing leaks, bleed when it is full."""
        for fluid in self.vehicle.fluids.values():
            fills = self.work.fills.get(fluid.id, ())
            bleeds = self.work.bleeds.get(fluid.id, ())
            tight = [
                last for each in self.work.fluid_joints(fluid.id) if (last := self._last(each))
            ]
            holding = [
                on for each in (fluid.part, *fluid.leaks_if_off) if (on := self.work.put_on(each))
            ]
            for fill in fills:
                for first in (*holding, *tight):
                    words = f"nothing may leak: the {self.name(first.what)} comes first"
                    yield Edge(first, fill, Reason(Because.FLUID, first.what, words))
                if fluid.part not in self.vehicle.parts:
                    yield from self._when_all_is_back(fill)
                elif is_of_brakes(fluid) and not self.work.fluid_joints(fluid.id):
                    yield from self._when_brakes_are_shut(fill)
            for bleed in bleeds:
                for first in (*fills, *tight):
                    words = f"the circuit is closed and full: {self.name(first.what)} comes first"
                    yield Edge(first, bleed, Reason(Because.FLUID, first.what, words))

    def _when_all_is_back(self, fill: Node) -> Iterator[Edge]:
        """Fill what nobody said the place of when all is back that it might run out of."""
        back = [self.work.put_on(part) for part in self.work.back]
        for first in filter(None, (*back, *map(self._last, self.work.joints))):
            words = f"nobody said where it belongs: the {self.name(first.what)} comes first"
            reason = Reason(Because.FLUID, first.what, words)
            yield Edge(first, fill, reason, Strength.CUSTOM)

    def _when_brakes_are_shut(self, fill: Node) -> Iterator[Edge]:
        """Fill the brakes, where nobody described their circuit, when all of that name is shut."""
        for ref in opened_brakes(self.work):
            if (first := self.work.done(ref)) is not None:
                words = f"nothing may leak: the {self.name(first.what)} comes first"
                yield Edge(first, fill, Reason(Because.FLUID, first.what, words), Strength.CUSTOM)

    def runs_last(self, edges: Iterable[Edge]) -> Iterator[Edge]:
        """Start the engine, or count on its having run, when all else is done."""
        runs = [do(job.id) for job in self.work.jobs_of(JobKind.RUN)]
        runs += sorted(last_of_all(self.work))
        if not runs:
            return
        after = after_of(edge for edge in edges if edge.strength is not Strength.CUSTOM)
        late = reached_from(runs, after)
        for node in self.work.nodes:
            if node not in late:
                yield from (Edge(node, run, None, Strength.CUSTOM) for run in runs)

    # -- standings (12) -----------------------------------------------------------------------

    def standings(self) -> Iterator[Edge]:
        """What a standing rests on is put on before; what it needs off, after."""
        for node in self.work.nodes:
            allowed = self.stands.allowed(node)
            if not allowed:
                continue
            for part in sorted(self.stands.needed_on(allowed)):
                on = self.work.put_on(part)
                if on is not None:
                    words = f"it stands on the {self.name(part_ref(part))} while this is done"
                    yield Edge(on, node, Reason(Because.STANDING, on.what, words))
            for part in sorted(self.stands.needed_off(allowed)):
                on = self.work.put_on(part)
                if on is not None:
                    words = "it can only be done as the vehicle stands without it"
                    yield Edge(node, on, Reason(Because.STANDING, node.what, words))
