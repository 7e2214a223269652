"""Write each step in full: what it takes, what to look at, what to take out, and why here."""

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from putback.logbook.came_off import LOOK_FIRST, parts_aside, parts_laid_away
from putback.logbook.common import Away, Common
from putback.logbook.entries.judging import Choice
from putback.logbook.moments import moment_words
from putback.planning.crew import unsure_once
from putback.planning.held.lifting import Lifting
from putback.planning.held.telling import stays
from putback.planning.known import with_why
from putback.planning.plan import Action, Because, PlanSettings, Reason, Step
from putback.planning.rebuild.bearing import Bearing
from putback.planning.rebuild.bleeding import bleeding_notes
from putback.planning.rebuild.curing import curing, curing_beside
from putback.planning.rebuild.droop import CAUTION, LOOK
from putback.planning.rebuild.edges import Edge
from putback.planning.rebuild.fastening import Fastenings
from putback.planning.rebuild.levels import levels_to_look_at
from putback.planning.rebuild.mostly_together import mostly_together
from putback.planning.rebuild.never_run import NOTE, last_of_all
from putback.planning.rebuild.new_fixings import new_fixings
from putback.planning.rebuild.placed import Order
from putback.planning.rebuild.price import crew_of, minutes_of, place_of
from putback.planning.rebuild.propping import propping
from putback.planning.rebuild.stages import stages_of
from putback.planning.rebuild.torque import torque_words
from putback.planning.rebuild.unbled import Unbled
from putback.planning.rebuild.work import FINISHING, Node, Work, do
from putback.units.show import length_text
from putback.vehicle.facts import Obstruction
from putback.vehicle.ids import (
    AssemblyId,
    FluidId,
    JobId,
    JointId,
    PartId,
    Ref,
    StandingId,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Does, Joint
from putback.vehicle.usual_cautions import (
    RUN,
    cautions_for,
    cautions_of_fluid,
)


def waits_for(work: Work, node: Node) -> str:
    """Say what a step waits for that is not here yet; nothing if all is here."""
    kind, identity = split_ref(node.what)
    if node.action is Action.PREPARE:
        return _not_here(work, PartId(identity)) if kind == "part" else ""
    if node.action is Action.PUT_ON:
        each = (_not_here(work, part) for part in work.unit_parts(node.what))
        return "; ".join(filter(None, each))
    if node.action is Action.MAKE and kind == "joint":
        seen = work.state.joints.get(JointId(identity))
        return _on_its_way(seen.common) if seen else ""
    return ""


def _not_here(work: Work, part: PartId) -> str:
    seen = work.state.parts.get(part)
    if seen is None:
        return ""
    common = seen.common
    words = _on_its_way(common)
    if not words and not common.arrived and not common.prepared:
        if common.choice is Choice.MAKE:
            words = "to be made"
        elif common.choice is Choice.REPLACE:
            words = "a new one, not on order yet"
    return f"{work.name(part_ref(part))}: {words}" if words else ""


def _on_its_way(common: Common) -> str:
    words = []
    if (out := common.sent_out) is not None:
        where = f"at {out.whither.removeprefix('to ')}" if out.whither else "out for work"
        words.append(f"{where}{f' for {out.what}' if out.what else ''}{_due(out)}")
    words += [
        f"on order{f' from {order.whither}' if order.whither else ''}{_due(order)}"
        for order in common.ordered
    ]
    return "; ".join(words)


def _due(away: Away) -> str:
    return f", due {away.due}" if away.due else ""


class StepWriter:
    """Writes the steps of an order."""

    def __init__(
        self,
        work: Work,
        edges: Iterable[Edge],
        order: Order,
        trial: frozenset[Node],
        settings: PlanSettings,
        fastenings: Fastenings,
    ) -> None:
        self.work = work
        self.vehicle = work.vehicle
        self.order = order
        self.reasons: dict[Node, dict[tuple[Because, Ref, str], Reason]] = {}
        for edge in edges:
            if edge.reason is not None:
                key = (edge.reason.because, edge.reason.first, edge.reason.fact)
                self.reasons.setdefault(edge.then, {}).setdefault(key, edge.reason)
        nodes = [placed.node for placed in order.placed]
        self.take_out = _TakingOut(work, nodes).lines()
        self.stages = stages_of(work, nodes, trial)
        self.laid_away = parts_laid_away(work.state)
        self.never_run = last_of_all(work)
        self.lifting = Lifting(work.vehicle)
        self.props = propping(fastenings, order, self.lifting)
        self.cures = curing(work.vehicle, work.state, settings.today)
        self.bearing = Bearing(work, settings.least_margin_m)
        self.standing = order.start
        self.levels = tuple(levels_to_look_at(work.vehicle, work.state))
        """What the first run is warned of."""
        self.unbled = Unbled(work)
        self.on = set(work.vehicle.parts) - work.off

    def steps(self) -> tuple[Step, ...]:
        """Write them all."""
        written: list[Step] = []
        told = zip(self.order.placed, self.stages, self.props, strict=True)
        for placed, stage, prop in told:
            node = placed.node
            zone, tool = place_of(self.work, node)
            written.append(
                Step(
                    action=node.action,
                    what=node.what,
                    standing=placed.standing,
                    zone=zone,
                    tool=tool,
                    minutes=minutes_of(self.work, node),
                    setup_minutes=placed.setup_minutes,
                    crew=crew_of(self.work, node),
                    reasons=self._reasons(node, written),
                    cautions=(*self._cautions(node), *prop.cautions),
                    prop_first="; ".join(filter(None, (self._prop(node), *prop.prop_first))),
                    prop_people=prop.people,
                    add_support="; ".join(
                        filter(None, (*prop.add_support, self._add_support(node, placed.standing)))
                    ),
                    renew=tuple(self._renew(node)),
                    take_out=tuple(self.take_out.get(node, ())),
                    waits_for=waits_for(self.work, node),
                    torque=self._torque(node),
                    notes=tuple(self._notes(node)),
                    stage=stage,
                )
            )
            if node.action is Action.PUT_ON:
                self.on.update(self.work.unit_parts(node.what))
        return unsure_once(self.vehicle, written)

    def _joint(self, node: Node) -> Joint | None:
        kind, identity = split_ref(node.what)
        return self.work.joints[JointId(identity)] if kind == "joint" else None

    # -- why ----------------------------------------------------------------------------------

    def _reasons(self, node: Node, before: Sequence[Step]) -> tuple[Reason, ...]:
        found = list(self.reasons.get(node, {}).values())
        loose = self.order.loose.get(node, ())
        if loose:
            first = next(ref for ref in map(joint_ref, loose) if ref != node.what)
            words = f"the {len(loose)} joints that hold it now are all made loose first"
            found.append(Reason(Because.LOOSE_FIRST, first, words))
        if self._is_run_job(node) and before:
            words = "all that need not wait for it is done first"
            found.append(Reason(Because.BEFORE, before[-1].what, words))
        if not found:
            found.append(Reason(Because.GOAL, node.what, self._goal(node)))
        return tuple(found)

    def _is_run_job(self, node: Node) -> bool:
        kind, identity = split_ref(node.what)
        return kind == "job" and self.vehicle.jobs[JobId(identity)].kind is JobKind.RUN

    def _goal(self, node: Node) -> str:
        match node.action:
            case Action.DO:
                return "the rebuild asks for it"
            case Action.PUT_ON:
                is_aside = split_ref(node.what)[1] in parts_aside(self.work.state)
                return f"it {'hangs aside' if is_aside else 'came off'}, so it goes back"
            case Action.FILL | Action.BLEED:
                return "it is out, so it goes in again"
            case Action.PREPARE:
                return "the logbook says what it went through"
            case _:
                return "it is not yet as it shall be"

    # -- with care ----------------------------------------------------------------------------

    def _cautions(self, node: Node) -> Iterator[str]:
        kind, identity = split_ref(node.what)
        if node.action is Action.PREPARE:
            yield from self.work.calls[node.what].cautions
        elif node.action is Action.CHECK and kind == "part":
            yield CAUTION
        elif node.action is Action.PUT_ON:
            unit = self.work.unit_parts(node.what)
            whole = self.vehicle.assemblies[AssemblyId(identity)] if kind == "assembly" else None
            described = whole or self.work.parts[unit[0]]
            lift = (described.crew, unit, described.hoist)
            crews = self.work.crews
            yield from filter(None, (crews.why(*lift), crews.unsure(*lift)))
            yield from whole.cautions if whole else ()
            for part in unit:
                yield from cautions_for(self.work.parts[part])
        elif node.action in (Action.FILL, Action.BLEED):
            yield from cautions_of_fluid(self.vehicle.fluids[FluidId(identity)])
        elif kind == "job":
            job = self.vehicle.jobs[JobId(identity)]
            yield from job.cautions
            fluid = self.vehicle.fluids.get(job.fluid) if job.fluid else None
            yield from cautions_of_fluid(fluid) if fluid else ()
            yield from self._not_here_to_prove(job) if job.kind is JobKind.PROVE else ()
            if job.kind is JobKind.RUN:
                yield from self.levels
                self.levels = ()
                yield from () if job.cautions else (RUN,)
        elif node.action is Action.MAKE:
            joint = self.work.joints[JointId(identity)]
            if joint.when_undone.does is Does.FLIES:
                detail = joint.when_undone.detail or "it lets go at once"
                yield f"a spring is under load: {detail}"
        yield from self.unbled.caution(node)
        yield from self._cures(node)
        for fact in self.vehicle.obstructions_of.get(node.what, ()):
            if node.action in (Action.MAKE, Action.PUT_ON) and self._came_back_too_soon(fact):
                names = " and ".join(
                    f"the {self.work.name(part_ref(each))}" for each in fact.any_of
                )
                yield with_why(f"{names} may have to come off again, being in the way", fact.why)

    def _cures(self, node: Node) -> Iterator[str]:
        """Say what must not be loaded yet, and would be by this step."""
        kind, identity = split_ref(node.what)
        parts: set[PartId] = set()
        if kind == "joint" and node.action in (Action.MAKE, Action.TIGHTEN):
            parts.update(self.work.joints[JointId(identity)].parts)
        elif node.action is Action.PUT_ON:
            for part in self.work.unit_parts(node.what):
                for joint in self.vehicle.joints_of.get(part, ()):
                    parts.update(self.vehicle.joints[joint].parts)
        for each, until in curing_beside(self.vehicle, self.cures, parts, identity).items():
            name = self.work.name(joint_ref(each))
            yield f"the {name} cures until {moment_words(until)}: no load on it before"

    def _not_here_to_prove(self, job: Job) -> Iterator[str]:
        """Name what is away while it should be offered up."""
        named = [*job.parts]
        for joint in job.joints:
            named += self.work.joints[joint].parts if joint in self.work.joints else ()
        for part in dict.fromkeys(named):
            seen = self.work.state.parts.get(part)
            if seen is not None and seen.common.sent_out is not None:
                words = _on_its_way(replace(seen.common, ordered=()))
                name = self.work.name(part_ref(part))
                yield f"the {name} is not here to be offered up: {words}"

    def _came_back_too_soon(self, fact: Obstruction) -> bool:
        seen = [self.work.state.parts.get(part) for part in fact.any_of]
        on_again = any(each is not None and each.on for each in seen)
        return on_again and self.work.off.isdisjoint(fact.any_of)

    def _prop(self, node: Node) -> str:
        """What has to hold a unit up until its joints are made, to what is on by then."""
        if node.action is not Action.PUT_ON:
            return ""
        found: dict[str, None] = {}
        unit = self.work.unit_parts(node.what)
        for part in unit:
            for each in self.vehicle.joints_of.get(part, ()):
                record = self.vehicle.joints[each]
                undone = record.when_undone
                holds_it = not self.on.isdisjoint(set(record.parts).difference(unit))
                moves = undone.does is not Does.STAYS and undone.prop_first
                if each in self.work.make and holds_it and moves:
                    found[undone.prop_first] = None
        return "; ".join(found) or self._lift(
            [part for part in unit if part not in self.work.loose.runs]
        )

    def _lift(self, parts: Sequence[PartId]) -> str:
        """How to lift what is heavy, and to hold it until it is held."""
        if self.lifting.is_light(parts):
            return ""
        if self._is_held_by(parts):
            return f"{self.lifting.held(parts)} until its joints are made"
        return self.lifting.held(parts, "lift") if self.lifting.is_too_heavy(parts) else ""

    def _is_held_by(self, parts: Collection[PartId]) -> bool:
        """Whether joints that are still to be made hold a unit, and it does not rest without."""
        joints = {each for part in parts for each in self.vehicle.joints_of.get(part, ())}
        return any(
            not set(record.parts).issubset(parts)
            and not stays(record)
            and record.id not in self.work.loose.joints
            for record in (self.vehicle.joints[each] for each in joints & self.work.make)
        )

    def _add_support(self, node: Node, standing: StandingId | None) -> str:
        """Follow how the vehicle stands, and say what to add where that is too near to tipping."""
        entered = self.standing is not None and standing != self.standing
        self.standing = standing
        return self.bearing.add_support(node, standing, entered=entered)

    def _renew(self, node: Node) -> Iterator[str]:
        joint = self._joint(node)
        if joint is None or node.action is not Action.MAKE:
            return
        count: Counter[str] = Counter()
        for fixing in joint.fixings:
            for piece in fixing.stack:
                if piece.single_use:
                    count[piece.spec.text] += fixing.count * piece.per_fixing
        for spec, pieces in count.items():
            yield f"{pieces} × {spec}"

    def _torque(self, node: Node) -> str:
        joint = self._joint(node)
        if joint is None or node.action not in (Action.TIGHTEN, Action.FINISH, Action.CHECK):
            return ""
        words = torque_words(joint)
        ref = joint_ref(joint.id)
        waits = self.work.finished(joint.id) != Node(Action.TIGHTEN, ref)
        if node.action is Action.TIGHTEN and waits:
            return f"nip only; for good {joint.final_when}{f': {words}' if words else ''}"
        return words

    # -- what to look at ----------------------------------------------------------------------

    def _notes(self, node: Node) -> Iterator[str]:
        kind, identity = split_ref(node.what)
        if node in self.never_run:
            yield NOTE
        match node.action:
            case Action.PUT_ON:
                for part in self.work.unit_parts(node.what):
                    if part in self.laid_away:
                        yield LOOK_FIRST
                    yield from self._marks(part)
                    yield from self._drawing(part)
            case Action.CHECK if kind == "part":
                yield LOOK
            case Action.PREPARE:
                yield from self.work.calls[node.what].lines
            case Action.MAKE:
                yield from _fitting(self.work.joints[JointId(identity)])
                yield from new_fixings(self.work, JointId(identity))
            case Action.TIGHTEN | Action.FINISH:
                joint = self.work.joints[JointId(identity)]
                if joint.tightening.sequence:
                    yield joint.tightening.sequence
                if joint.by_position and joint.id not in self.work.finish:
                    yield "closed by position: propped at its laden angle while it is tightened"
                later = (*self.work.finish, *self.work.finished_by)
                is_last = node.action is Action.FINISH or joint.id not in later
                if joint.tightening.retorque_after and is_last:
                    yield f"tighten it again after: {joint.tightening.retorque_after}"
            case Action.DO:
                job = self.vehicle.jobs[JobId(identity)]
                if job.target:
                    yield job.target
                yield from mostly_together(self.work, job)
                if job.kind in FINISHING:
                    for each in job.joints:
                        named = self.work.joints.get(each)
                        if named is None or each not in self.work.finished_by:
                            continue
                        yield f"{named.name}: {torque_words(named) or named.final_when}"
                        if named.tightening.retorque_after:
                            again = named.tightening.retorque_after
                            yield f"{named.name}: tighten it again after: {again}"
                if job.kind is JobKind.BLEED and job.fluid and not job.target:
                    yield from bleeding_notes(self.vehicle, job.fluid)
            case Action.BLEED:
                yield from bleeding_notes(self.vehicle, FluidId(identity))

    def _marks(self, part: PartId) -> Iterator[str]:
        seen = self.work.state.parts.get(part)
        made = seen.marks if seen else ()
        for mark in made or self.work.parts[part].marks:
            where = f" at {mark.where}" if mark.where else ""
            yield f"mark: {mark.how}{where}{f', {mark.record}' if mark.record else ''}"

    def _drawing(self, part: PartId) -> Iterator[str]:
        run = self.vehicle.runs.get(part)
        if run is None:
            return
        if run.comes_out:
            why = f" ({run.why})" if run.why else ""
            yield f"drawn in from where it came out: {run.comes_out}{why}"
        if run.route:
            yield f"way: {'; '.join(run.route)}"
        if run.fit_order:
            yield f"fit: {'; '.join(run.fit_order)}"


def _fitting(joint: Joint) -> Iterator[str]:
    """What goes where: heads, the order of a stack, shims, and what is used up."""
    said: dict[str, list[str]] = {}
    for fixing in joint.fixings:
        if fixing.head:
            lead = "" if "head" in fixing.head else "heads: "
            said.setdefault(f"{lead}{fixing.head}", []).append(fixing.id)
        if len(fixing.stack) > 2:
            stack = " → ".join(piece.spec.text for piece in fixing.stack)
            said.setdefault(f"in this order: {stack}", []).append(fixing.id)
    for words, fixings in said.items():
        is_all = len(fixings) == len(joint.fixings)
        yield words if is_all else f"{words} ({', '.join(fixings)})"
    for pack in joint.shims:
        shims = " + ".join(length_text(shim.thickness_m) for shim in pack.shims)
        yield f"shims {pack.at}: {shims or 'none'}{f', {pack.order}' if pack.order else ''}"
    for used in joint.used_up:
        yield f"{used.what}{f', {used.how}' if used.how else ''}"


class _TakingOut:
    """Which step takes which closure or temporary fit out."""

    def __init__(self, work: Work, order: Sequence[Node]) -> None:
        self.work = work
        self.state = work.state
        self.order = order
        self.place = {node: index for index, node in enumerate(order)}
        self.found: dict[Node, list[str]] = {}

    def lines(self) -> Mapping[Node, list[str]]:
        """Give the lines of each step that has any."""
        if self.order:
            for line, wanted in (*self._closures(), *self._fits()):
                node = min((*wanted, self._before_a_run()), key=self.place.__getitem__)
                self.found.setdefault(node, []).append(line)
        return self.found

    def _before_a_run(self) -> Node:
        """The last step before anything runs."""
        runs = {do(job.id) for job in self.work.jobs_of(JobKind.RUN)} | last_of_all(self.work)
        first = next((i for i, node in enumerate(self.order) if node in runs), None)
        return self.order[max(0, first - 1) if first is not None else -1]

    def _making(self, joints: Iterable[JointId]) -> list[Node]:
        nodes = (Node(Action.MAKE, joint_ref(joint)) for joint in joints)
        return [node for node in nodes if node in self.place]

    def _closures(self) -> Iterator[tuple[str, list[Node]]]:
        for opening, seen in self.state.openings.items():
            described = self.work.vehicle.openings.get(opening)
            ends = described.ends if described else 1
            closed = ends if seen.all_closed else seen.closed
            if closed:
                what = (described.closed_with if described else "") or "closure"
                name = self.state.name_of(f"opening:{opening}")
                joints = described.joints if described else ()
                yield f"{closed} × {what}: {name}", self._making(joints)

    def _fits(self) -> Iterator[tuple[str, list[Node]]]:
        for fit, seen in self.state.fits.items():
            if seen.fitted and not seen.off:
                yield seen.what or fit, self._stood_in_for(seen.on or "")

    def _stood_in_for(self, subject: str) -> list[Node]:
        kind, _, identity = subject.partition(":")
        match kind:
            case "part":
                on = self.work.put_on(PartId(identity))
                if on is not None:
                    return [on]
                joints = self.work.vehicle.joints_of.get(PartId(identity), ())
                return self._making(joints)
            case "joint":
                return self._making([JointId(identity)])
            case "opening":
                openings = self.work.vehicle.openings
                named = [each.joints for each in openings.values() if each.id == identity]
                return self._making(joint for joints in named for joint in joints)
            case _:
                node = self.work.done(Ref(subject)) if subject else None
                return [node] if node else []
