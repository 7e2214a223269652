"""Replays a rebuild and says where it breaks a rule.

What is to be done follows from the state (`due`); what must come before what, pair by pair, from
the facts (`orders`). The replay itself looks at each step with what is on and made by then, and
`afterwards` at what has to wait: final tightening, checks, fluids, closures.
"""

from collections.abc import Iterator

from putback.logbook.state import State
from putback.planning.check.afterwards import after_faults
from putback.planning.check.cures import curing_faults
from putback.planning.check.droop import droop_faults, hoses
from putback.planning.check.due import Due
from putback.planning.check.fault import Fault, RebuildRule
from putback.planning.check.ground import Ground, Place, cost_faults, same_minutes
from putback.planning.check.hanging import hanging_faults
from putback.planning.check.left_in_air import Could, LeftInAir
from putback.planning.check.made_ready import ready_faults, wanted
from putback.planning.check.orders import Order, bound_order, orders_of
from putback.planning.check.price import minutes_of, place_of
from putback.planning.check.renewed import not_renewed
from putback.planning.check.staged import proof_faults, stage_faults
from putback.planning.check.steady import steady_faults
from putback.planning.check.threaded import slid_on_first
from putback.planning.check.when import NEVER, When, forced_order, leads_to
from putback.planning.plan import USUAL, Action, Plan, PlanSettings, Step
from putback.vehicle.facts import Phase
from putback.vehicle.ids import (
    AssemblyId,
    JobId,
    JointId,
    PartId,
    Ref,
    StandingId,
    job_ref,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle


def check_rebuild(
    vehicle: Vehicle,
    state: State,
    plan: Plan,
    settings: PlanSettings = USUAL,
) -> tuple[Fault, ...]:
    """Give everything that is wrong with a plan of the rebuild, in the order of its steps."""
    replay = _Rebuild(vehicle, state, plan, settings)
    for index, step in enumerate(plan.steps):
        replay.step(index, step)
    replay.end()
    return tuple(replay.faults)


class _Rebuild:
    """What is on, made and tight so far, and the faults found."""

    def __init__(self, vehicle: Vehicle, state: State, plan: Plan, settings: PlanSettings) -> None:
        self.vehicle = vehicle
        self.state = state
        self.plan = plan
        self.settings = settings
        self.due = Due(vehicle, state)
        self.when = When(self.due, plan)
        self.orders = orders_of(self.due, self.when)
        self.before: dict[Ref, list[Order]] = {}
        for order in self.orders:
            self.before.setdefault(order.then, []).append(order)
        self.forced = forced_order(self.due)
        self.bound = bound_order(self.due, self.orders)
        self.slid_on = slid_on_first(self.due, self.when, self.forced)
        self.ground = Ground(vehicle, state.standing.standing, plan)
        self.start = self.ground.standing
        self.expected = dict.fromkeys(self._expected())
        self.units = [what for action, what in self.expected if action is Action.PUT_ON]
        self.hoses = hoses(self.due)
        to_be_ready = list(wanted(self.due))
        self.ready: dict[str, set[str]] = {}
        """What has to be made ready, by kind."""
        for kind, identity in map(split_ref, to_be_ready):
            self.ready.setdefault(kind, set()).add(identity)
        self.air = LeftInAir(self.due, self.when, self.start, self.before, to_be_ready)
        self.could = Could(self._could_be_made, self._could_be_tightened)
        self.off = set(self.due.off)
        self.made: set[JointId] = set()
        self.done: set[tuple[Action, Ref]] = set()
        self.groups: list[frozenset[JointId]] = []
        """Joints that are all made before one of them is tightened."""
        self.changes: list[int] = []
        self.faults: list[Fault] = []
        self.index: int | None = None
        self.what = Ref("")
        for words in self.ground.start_faults(plan, self.off):
            self._fault(RebuildRule.STANDINGS, words)

    def _fault(self, rule: RebuildRule, words: str) -> None:
        self.faults.append(Fault(rule, self.index, self.what, words))

    def _name(self, ref: Ref) -> str:
        kind, identity = split_ref(ref)
        if kind == "assembly" and identity in self.vehicle.assemblies:
            return self.vehicle.assemblies[AssemblyId(identity)].name
        return self.state.name_of(ref)

    def _part(self, part: PartId) -> str:
        return self._name(part_ref(part))

    def _joint(self, joint: JointId) -> str:
        return self._name(joint_ref(joint))

    # -- from the first step to the last ----------------------------------------------------

    def step(self, index: int, step: Step) -> None:
        """Do one step."""
        self.index, self.what = index, step.what
        self.faults += self.air.faults(index, step, self.could)
        standing = self.ground.standing
        change, faults = self.ground.change(step, self.off)
        if self.ground.standing != standing:
            self.changes.append(index)
        for words in faults:
            self._fault(RebuildRule.STANDINGS, words)
        if not self._is_due(step):
            self._cost(step, step.minutes, change, Place.said_by(step))
            return
        self._cost(step, minutes_of(self.due, step), change, place_of(self.due, step))
        for order in self._outstanding(step):
            first, then = self._name(order.first), self._name(order.then)
            self._fault(order.rule, f"{first} comes before {then}: {order.why}")
        identity = split_ref(step.what)[1]
        match step.action:
            case Action.PUT_ON:
                self._put_on(step, self.when.unit(step.what))
            case Action.MAKE:
                self._make(JointId(identity))
                for words in not_renewed(self.due.joints[JointId(identity)], step):
                    self._fault(RebuildRule.RENEW, words)
            case Action.TIGHTEN:
                self._tighten(JointId(identity))
            case Action.DO:
                self._stands_right(self.vehicle.jobs[JobId(identity)].standings)
            case _:
                pass
        if not step.reasons:
            words = f"nothing says why {self._name(step.what)} is done here"
            self._fault(RebuildRule.RENEW, words)
        self.done.add((step.action, step.what))

    def end(self) -> None:
        """Look at the whole."""
        self.index, self.what = None, Ref("")
        for what, words in self._missing():
            self.faults.append(Fault(RebuildRule.COMPLETE, None, what, words))
        self._waiting()
        self.faults += hanging_faults(self.due, self.when, self.changes)
        for at, words in steady_faults(
            self.vehicle, self.state, self.plan, self.settings, Phase.REBUILD
        ):
            self.faults.append(Fault(RebuildRule.STANDS, at, self.plan.steps[at].what, words))
        self.faults += ready_faults(self.due, self.when)
        self.faults += stage_faults(self.due, self.when)
        self.faults += droop_faults(self.due, self.when)
        self.faults += curing_faults(self.due, self.when, self.settings.today)
        self.faults += proof_faults(self.due, self.when, self.before, self.forced)
        self.faults += after_faults(self.due, self.when, self._carrying())
        for words in cost_faults(self.plan):
            self._fault(RebuildRule.COST, words)

    # -- once and complete (1) --------------------------------------------------------------

    def _expected(self) -> Iterator[tuple[Action, Ref]]:
        """Give every step that the state asks for, but what can be done in more than one way."""
        inside = {part for parts in self.due.wholes.values() for part in parts}
        for part in sorted(self.due.back - inside):
            yield Action.PUT_ON, part_ref(part)
        for whole in self.due.wholes:
            yield Action.PUT_ON, Ref(f"assembly:{whole}")
        for joint in self.due.joints:
            if joint in self.due.make:
                yield Action.MAKE, joint_ref(joint)
            if joint in self.due.tighten:
                yield Action.TIGHTEN, joint_ref(joint)
        for job in sorted(self.due.jobs):
            yield Action.DO, job_ref(job)

    def _missing(self) -> Iterator[tuple[Ref, str]]:
        for action, what in self.expected:
            if (action, what) not in self.when.at:
                yield what, f"{action} {self._name(what)} is missing"

    def _is_due(self, step: Step) -> bool:
        """Whether the step is one that the state asks for, and was not done before."""
        kind, identity = split_ref(step.what)
        due = self.due
        may = {
            (Action.FINISH, "joint"): due.finish,
            (Action.CHECK, "joint"): due.check,
            (Action.CHECK, "part"): self.hoses,
            (Action.PREPARE, kind): self.ready.get(kind, ()),
            (Action.FILL, "fluid"): due.out,
            (Action.BLEED, "fluid"): due.to_bleed,
        }
        if (step.action, step.what) in self.done:
            words = "it is done already"
        elif step.what in due.waiting:
            words = "it has to wait"
        elif (step.action, step.what) in self.expected or identity in may.get(
            (step.action, kind), ()
        ):
            return True
        else:
            words = "the state does not ask for it"
        self._fault(RebuildRule.COMPLETE, f"{step.action} {self._name(step.what)}: {words}")
        return False

    def _waiting(self) -> None:
        """What waits is listed, and nothing else is."""
        listed = {each.what for each in self.plan.waiting}
        for what in sorted(listed - self.due.waiting):
            self._fault(RebuildRule.COMPLETE, f"{self._name(what)} need not wait")
        must = {ref for ref in self.due.waiting if self._would_be_due(ref)}
        for what in sorted(must - listed):
            self._fault(RebuildRule.COMPLETE, f"{self._name(what)} waits, and is not listed")

    def _would_be_due(self, ref: Ref) -> bool:
        kind, identity = split_ref(ref)
        if kind == "joint":
            joint = self.due.joints[JointId(identity)]
            return any(part in self.due.off for part in joint.parts)
        return kind == "part"

    # -- order of pairs (5, 6, 10) ----------------------------------------------------------

    def _outstanding(self, step: Step) -> Iterator[Order]:
        """Give the orders by which something should have been done before this step."""
        if step.action in (Action.PUT_ON, Action.MAKE, Action.DO):
            refs = [step.what]
            if step.action is Action.PUT_ON:
                refs = [part_ref(part) for part in self.when.unit(step.what)]
            for ref in refs:
                yield from self._not_yet(ref)

    def _not_yet(self, ref: Ref) -> Iterator[Order]:
        now = NEVER if self.index is None else self.index
        for order in self.before.get(ref, ()):
            if self.when.done(order.first) >= now:
                yield order

    # -- parts (3, 4, 12) -------------------------------------------------------------------

    def _put_on(self, step: Step, parts: tuple[PartId, ...]) -> None:
        self._touches(step.what, parts)
        for part in parts:
            for obstruction in self.vehicle.obstructions_of.get(part_ref(part), ()):
                if not set(obstruction.any_of) & set(parts):
                    self._way_is_clear(obstruction.any_of, obstruction.why)
            self._stands_right(self.due.part(part).standings, (part,))
            self._says_what_it_waits_for(step, part)
        self.off -= set(parts)
        held = {
            joint
            for part in parts
            for joint in self.vehicle.joints_of.get(part, ())
            if joint in self.due.make - self.made
            and self.off.isdisjoint(self.due.joints[joint].parts)
        }
        self.groups.append(frozenset(held))

    def _touches(self, unit: Ref, parts: tuple[PartId, ...]) -> None:
        touched = self._touched(parts)
        datums = {goal.datum for goal in self.vehicle.goals.values()}
        joints = any(self.vehicle.joints_of.get(part) for part in parts)
        if not joints or datums & set(parts) or not touched <= self.off:
            return
        if self._group(parts) <= self.off:
            return
        later = leads_to(self.bound, part_ref(parts[0]))
        rest = touched & self.due.back
        if rest and all(part_ref(part) in later for part in rest):
            return
        if any(self._could_be_put_on(other) for other in self.units if other != unit):
            self._fault(RebuildRule.PUT_ON, f"{self._name(unit)} touches nothing that is on")

    def _touched(self, parts: tuple[PartId, ...]) -> set[PartId]:
        """Give the other parts that these share a joint with."""
        joints = {joint for part in parts for joint in self.vehicle.joints_of.get(part, ())}
        return {part for joint in joints for part in self.due.joints[joint].parts} - set(parts)

    def _could_be_put_on(self, unit: Ref) -> bool:
        """Whether a unit that touches something on could go on there and then."""
        parts = self.when.unit(unit)
        return (
            (Action.PUT_ON, unit) not in self.done
            and not self._touched(parts) <= self.off
            and not any(order for part in parts for order in self._not_yet(part_ref(part)))
            and all(
                set(obstruction.any_of) & set(parts) or self._is_clear(obstruction.any_of)
                for part in parts
                for obstruction in self.vehicle.obstructions_of.get(part_ref(part), ())
            )
            and all(self._may_stand(self.due.part(part).standings, parts) for part in parts)
            and not any(self.ground.hides(part) or self.ground.carries(part) for part in parts)
            and not any(
                set(each.any_of) & set(parts) and self._is_pending(each.of)
                for each in self.vehicle.obstructions.values()
            )
        )

    def _is_pending(self, ref: Ref) -> bool:
        """Whether something is in the way of it still."""
        kind, identity = split_ref(ref)
        if kind == "joint":
            return (Action.TIGHTEN, ref) in self.expected and (
                Action.TIGHTEN,
                ref,
            ) not in self.done
        return identity in self.off

    def _group(self, parts: tuple[PartId, ...]) -> set[PartId]:
        """Give all that joints connect with these parts, near or far."""
        found, queue = set(parts), list(parts)
        while queue:
            for joint in self.vehicle.joints_of.get(queue.pop(), ()):
                new = set(self.due.joints[joint].parts) - found
                found |= new
                queue += new
        return found

    def _says_what_it_waits_for(self, step: Step, part: PartId) -> None:
        seen = self.state.parts.get(part)
        if seen is None or step.waits_for:
            return
        common = seen.common
        missing = seen.gone and not (seen.renewed or common.arrived or common.prepared)
        if common.sent_out or common.ordered or missing:
            words = f"does not say what the {self._part(part)} waits for"
            self._fault(RebuildRule.COMPLETE, words)

    def _way_is_clear(self, any_of: tuple[PartId, ...], why: str) -> None:
        if not self._is_clear(any_of):
            back = [self._part(part) for part in any_of if part in self.due.off]
            self._fault(RebuildRule.IN_THE_WAY, f"the {back[-1]} is in the way already: {why}")

    def _is_clear(self, any_of: tuple[PartId, ...]) -> bool:
        was_off = not self.due.off.isdisjoint(any_of)
        return not was_off or not self.off.isdisjoint(any_of)

    # -- joints (2, 4, 6, 12) ---------------------------------------------------------------

    def _bench(self, joint: JointId) -> AssemblyId | None:
        """Name the whole on the bench that the joint is worked on in."""
        whole = self.due.whole_of(joint)
        return whole if whole is not None and self.due.wholes[whole][0] in self.off else None

    def _make(self, joint: JointId) -> None:
        parts = self.due.joints[joint].parts
        missing = [part for part in parts if part in self.off]
        if missing and self._bench(joint) is None:
            self._fault(RebuildRule.MAKE, f"the {self._part(missing[0])} is not on yet")
        self._can_be_reached(joint)
        self.made.add(joint)

    def _tighten(self, joint: JointId) -> None:
        if not self._is_made(joint):
            self._fault(RebuildRule.MAKE, f"{self._joint(joint)} is not made yet")
        self._can_be_reached(joint)
        for other in self._loose_with(joint):
            if not self._is_made(other) and self._could_be_made(other):
                words = f"{self._joint(other)} could be made before it is tightened"
                self._fault(RebuildRule.LOOSE_FIRST, words)
                break

    def _is_made(self, joint: JointId) -> bool:
        return joint in self.made or joint not in self.due.make

    def _loose_with(self, joint: JointId) -> Iterator[JointId]:
        """Give the joints that are made before this one is tightened, as far as they can be."""
        for group in self.groups:
            if joint in group:
                yield from sorted(group - {joint})
        for run in self.vehicle.runs.values():
            ends = [end.joint for end in run.ends if end.joint in self.due.make]
            is_pipe = self.due.part(run.part).kind is PartKind.PIPE
            if is_pipe and joint in ends and not any(end.turns for end in run.ends):
                yield from (end for end in ends if end != joint)

    def _could_be_made(self, joint: JointId) -> bool:
        """Whether it could be made there and then, as the vehicle stands."""
        slides = self.slid_on.get(joint, frozenset()) & self.off
        return self._is_at_hand(joint) and not (slides or any(self._not_yet(joint_ref(joint))))

    def _could_be_tightened(self, joint: JointId) -> bool:
        """Whether it could be tightened there and then, with all that is made with it made."""
        others = self._loose_with(joint)
        return self._is_made(joint) and self._is_at_hand(joint) and all(map(self._is_made, others))

    def _is_at_hand(self, joint: JointId) -> bool:
        """Whether its parts are on, and a spanner gets at it as the vehicle stands."""
        record = self.due.joints[joint]
        return (
            self.off.isdisjoint(record.parts)
            and self._may_stand(record.standings, record.parts)
            and not any(self.ground.hides(part) for part in record.parts)
            and not any(self._joint_obstructions(joint))
        )

    def _can_be_reached(self, joint: JointId) -> None:
        record = self.due.joints[joint]
        for words in self._joint_obstructions(joint):
            self._fault(RebuildRule.IN_THE_WAY, words)
        if self._bench(joint) is None:
            self._stands_right(record.standings, record.parts)

    def _joint_obstructions(self, joint: JointId) -> Iterator[str]:
        """Say what is in the way of a joint by now."""
        whole = self._bench(joint)
        for obstruction in self.vehicle.obstructions_of.get(joint_ref(joint), ()):
            any_of = obstruction.any_of
            if whole is None:
                clear = self._is_clear(any_of)
            else:
                members = set(self.due.wholes[whole])
                at_start = all(self._is_held(part, joint, members, set()) for part in any_of)
                held = all(self._is_held(part, joint, members, self.made) for part in any_of)
                clear = not members.issuperset(any_of) or at_start or not held
            if not clear:
                yield f"the {self._part(any_of[-1])} is in the way already: {obstruction.why}"

    def _is_held(
        self, part: PartId, but: JointId, members: set[PartId], made: set[JointId]
    ) -> bool:
        """Whether another made joint inside the whole holds a part."""
        return any(
            joint != but
            and members.issuperset(self.due.joints[joint].parts)
            and (joint in made or joint not in self.due.make)
            for joint in self.vehicle.joints_of.get(part, ())
        )

    # -- standings (12) ---------------------------------------------------------------------

    def _stands_right(
        self, standings: tuple[StandingId, ...], parts: tuple[PartId, ...] = ()
    ) -> None:
        for part in parts:
            if self.ground.hides(part):
                self._fault(RebuildRule.STANDINGS, f"a support hides the {self._part(part)}")
        if not self._may_stand(standings, parts):
            words = f"{self._name(self.what)} is not reached in this standing"
            self._fault(RebuildRule.STANDINGS, words)

    def _may_stand(self, standings: tuple[StandingId, ...], parts: tuple[PartId, ...]) -> bool:
        """Whether this is one of the standings, as far as they can be entered and hide nothing."""
        return self.ground.standing in standings or not any(
            (each == self.start or not self._is_lost(each)) and not self._hides(each, parts)
            for each in standings
        )

    def _hides(self, standing: StandingId, parts: tuple[PartId, ...]) -> bool:
        record = self.vehicle.standings.get(standing)
        supports = record.supports if record else ()
        return any(not set(parts).isdisjoint(each.hides) for each in supports)

    def _is_lost(self, standing: StandingId) -> bool:
        record = self.vehicle.standings.get(standing)
        if record is None or record.wrong:
            return True
        bears = {each.bears_on for each in record.supports if not each.beside}
        never = self.due.off - self.due.back
        return not bears.isdisjoint(never) or not self.due.off.issuperset(record.needs_off)

    def _carrying(self) -> frozenset[StandingId]:
        """Give the standings on the wheels and on nothing else, as far as any can be entered."""
        found = []
        for standing in self.vehicle.standings.values():
            bears = [each.bears_on for each in standing.supports if not each.beside]
            wheels = [part for part in bears if self.due.part(part).kind is PartKind.WHEEL]
            if bears and len(wheels) == len(bears) and not standing.wrong:
                found.append(standing.id)
        return frozenset(each for each in found if each == self.start or not self._is_lost(each))

    # -- cost -------------------------------------------------------------------------------

    def _cost(self, step: Step, minutes: float, change: float | None, place: Place) -> None:
        for words in place.faults(step):
            self._fault(RebuildRule.COST, words)
        setup = self.ground.place(place, self.settings)
        if not same_minutes(step.minutes, minutes):
            self._fault(RebuildRule.COST, f"takes {minutes:g} minutes, not {step.minutes:g}")
        if change is not None and not same_minutes(step.setup_minutes, change + setup):
            self._fault(
                RebuildRule.COST,
                f"takes {change + setup:g} minutes to get to, not {step.setup_minutes:g}",
            )
