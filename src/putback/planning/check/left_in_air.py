"""Says where a rebuild leaves something in the air without need, or without a word (rule 19)."""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from putback.planning.check.aloft import Hung
from putback.planning.check.due import Due
from putback.planning.check.fault import Fault, RebuildRule
from putback.planning.check.orders import Order
from putback.planning.check.when import NEVER, START, When
from putback.planning.plan import Action, Step
from putback.vehicle.ids import (
    JointId,
    PartId,
    Ref,
    StandingId,
    joint_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.joint import Does

_PLAIN = (Action.PUT_ON, Action.MAKE, Action.TIGHTEN)
"""Steps that can change places with no more than a look at parts and joints."""


@dataclass(frozen=True, slots=True)
class Could:
    """What could be done before the step that the replay has come to, as the vehicle stands."""

    make: Callable[[JointId], bool]
    tighten: Callable[[JointId], bool]


class LeftInAir:
    """Looks at each step of a replay, before it is done."""

    def __init__(
        self,
        due: Due,
        when: When,
        start: StandingId | None,
        before: Mapping[Ref, Sequence[Order]],
        ready: Iterable[Ref],
    ) -> None:
        self.due = due
        self.when = when
        self.hung = Hung(due, when, start)
        self.steps = when.plan.steps
        self.after: dict[Ref, list[Ref]] = {}
        """What orders put directly after each thing."""
        for orders in before.values():
            for each in orders:
                self.after.setdefault(each.first, []).append(each.then)
        self.ready_at = {ref: when.at.get((Action.PREPARE, ref), NEVER) for ref in ready}
        """When each thing is made ready."""
        self.air: set[PartId] = set()
        """What is in the air after the step before."""
        self.told: set[PartId] = set()
        """What was told not to be fastened next: it is told once."""
        self.named = {
            ref
            for support in due.vehicle.temporary_supports.values()
            for ref in (support.first, support.last)
        }

    def faults(self, index: int, step: Step, could: Could) -> Iterator[Fault]:
        """Look at a step; what could be done is asked as it is before it."""
        hung, here = self.hung, self.hung.standing(index - 1)
        if index == 0:
            self.air = hung.in_air(here, START)
            yield from self._at_the_start(step)
        told = list(self._next(index, step, could)) if self.air else []
        if here is not None and step.standing != here:
            told += self._change(index, step, could)
        told += self._after(index, step)
        for words in told:
            yield Fault(RebuildRule.IN_THE_AIR, index, step.what, words)

    def _after(self, index: int, step: Step) -> Iterator[str]:
        """Say what the step leaves in the air, and look at what it tells about that."""
        hung, before, here = self.hung, self.air, self.hung.standing(index - 1)
        may_lift = step.action is Action.PUT_ON or step.standing != here
        if before or may_lift or self.due.vehicle.temporary_supports:
            self.air = hung.in_air(step.standing, index)
        if step.action is Action.PUT_ON and self.air:
            yield from self._put_on(index, step, before)
        if step.action is Action.MAKE and self.air:
            yield from self._hung_up(index, step)

    def _name(self, part: PartId) -> str:
        return self.due.state.name_of(part_ref(part))

    def _joint(self, joint: JointId) -> str:
        return self.due.state.name_of(joint_ref(joint))

    def _names(self, parts: Iterable[PartId]) -> str:
        return " and the ".join(map(self._name, sorted(parts)))

    # -- fastened next (a) --------------------------------------------------------------------

    def _next(self, index: int, step: Step, could: Could) -> Iterator[str]:
        hand = {part for part in self.air if self.hung.in_hand(part)} - self.told
        found = self._fastening(index, hand, could)
        if (
            found
            and (step.action, step.what) not in found
            and not self._fastens(index, step, hand)
        ):
            self.told |= hand
            action, what = min(found)
            names = self._names(hand)
            yield f"the {names} is in the air: {action} {self.due.state.name_of(what)} comes next"

    def _fastens(self, index: int, step: Step, air: set[PartId]) -> bool:
        """Whether a step fastens something that is in the air, with which a support may end."""
        held = self.hung.held(self.hung.standing(index - 1), index - 1)
        return any(
            joint in self.hung.stiff and other in held and step.what == joint_ref(joint)
            for part in air
            for joint, other in self.hung.ways.get(part, ())
            if self.hung.holds_at[joint] == index
        )

    def _fastening(self, index: int, air: set[PartId], could: Could) -> set[tuple[Action, Ref]]:
        """Give what could be done next to fasten something that is in the air."""
        hung, at, found = self.hung, index - 1, set()
        held = hung.held(hung.standing(at), at) if air else frozenset[PartId]()
        for part in air:
            for joint, other in hung.ways.get(part, ()):
                ref = joint_ref(joint)
                if joint not in hung.stiff or other not in held or ref in self.named:
                    continue
                if hung.holds_at[joint] <= at:
                    continue
                if hung.made_at[joint] > at:
                    if joint in self.due.make and could.make(joint) and self._is_ready(joint, at):
                        found.add((Action.MAKE, ref))
                elif joint in self.due.tighten and could.tighten(joint):
                    found.add((Action.TIGHTEN, ref))
        return found

    def _is_ready(self, joint: JointId, at: float) -> bool:
        """Whether nothing of it is still to be made ready (15)."""
        refs = (joint_ref(joint), *map(part_ref, self.due.joints[joint].parts))
        return all(self.ready_at.get(ref, START) <= at for ref in refs)

    # -- propped (b) --------------------------------------------------------------------------

    def _at_the_start(self, step: Step) -> Iterator[Fault]:
        looked: set[PartId] = set()
        for part in sorted(self.air - looked):
            if part in looked:
                continue
            piece = self.hung.piece(part, START)
            looked |= piece
            heavy = self.hung.is_heavy(piece - self.hung.runs)
            if heavy and not step.prop_first and not self._all_stay(piece, START):
                words = f"nothing holds the {self._name(part)}, and nobody is told to prop it"
                yield Fault(RebuildRule.IN_THE_AIR, 0, step.what, words)

    def _put_on(self, index: int, step: Step, before: set[PartId]) -> Iterator[str]:
        unit = set(self.when.unit(step.what)) - self.hung.runs
        left = unit & self.air
        if not left or step.prop_first or self._all_stay(unit, index):
            return
        held = self._held_again(index, left, before)
        own = {joint_ref(joint) for part in unit for joint, _ in self.hung.ways.get(part, ())}
        others = [
            each
            for each in self.steps[index + 1 : held + 1]
            if each.action not in (Action.MAKE, Action.TIGHTEN)
            or each.what not in own
            or each.standing != self.steps[index].standing
        ]
        if others or held == len(self.steps) or self.hung.is_heavy(unit):
            yield f"nothing holds the {self._names(left)} yet, and nobody is told to prop it"

    def _held_again(self, index: int, parts: set[PartId], before: Collection[PartId] = ()) -> int:
        """The first step after which none of some parts is in the air; the end, if none is.

        Nor one in one piece with what was there ``before``, for that is propped already.
        """
        for at in range(index + 1, len(self.steps)):
            air = self.hung.in_air(self.hung.standing(at), at)
            propped = air.intersection(before)
            if all(self.hung.piece(part, at) & propped for part in parts & air):
                return at
        return len(self.steps)

    def _all_stay(self, unit: set[PartId], at: float) -> bool:
        """Whether every joint that is still to hold a unit stays undone, as described."""
        joints = {
            joint
            for part in unit
            for joint, other in self.hung.ways.get(part, ())
            if joint in self.hung.stiff and other not in unit and self.hung.holds_at[joint] > at
        }
        whens = [self.due.joints[joint].when_undone for joint in joints]
        return bool(whens) and all(when.does is Does.STAYS and when.detail for when in whens)

    # -- not on a run (c) ---------------------------------------------------------------------

    def _hung_up(self, index: int, step: Step) -> Iterator[str]:
        hung, joint = self.hung, JointId(split_ref(step.what)[1])
        after = hung.hanging(step.standing, index)
        before = hung.hanging(step.standing, index - 1) if after else {}
        fresh = after.keys() - before.keys()
        if not fresh:
            return
        ties = set[Ref]().union(*(after[part] for part in fresh))
        runs = " and the ".join(self.due.state.name_of(tie) for tie in sorted(ties))
        if not step.prop_first:
            yield f"the {self._names(fresh)} hangs on the {runs}, and nobody is told to prop it"
        held = self._held_again(index, set(fresh))
        if joint not in hung.stiff and held < len(self.steps) and self._could_wait(joint, held):
            yield f"the {self._names(fresh)} hangs on the {runs}: that end is made later"

    def _could_wait(self, joint: JointId, until: int) -> bool:
        """Whether a joint could have been made just after a later step."""
        record, ref = self.due.joints[joint], joint_ref(joint)
        index = int(self.when.make(joint))
        between = self.steps[index + 1 : until + 1]
        shared = {
            joint_ref(other)
            for part in record.parts
            for other, _ in self.hung.ways.get(part, ())
            if other != joint
        }
        runs = {
            joint_ref(other)
            for part in record.parts
            if part in self.hung.runs
            for other, _ in self.hung.ways.get(part, ())
            if other != joint
        }
        asked = {*self._in_the_way(ref), *runs}
        return (
            ref not in self.named
            and all(each.action in _PLAIN for each in between)
            and not any(each.action is Action.TIGHTEN and each.what in shared for each in between)
            and not asked & self._refs(between)
            and not any(self._is_begun(then, index, until) for then in self.after.get(ref, ()))
            and self._may_be_in(record.standings, record.parts, self.hung.standing(until))
        )

    # -- not over a change (d) ----------------------------------------------------------------

    def _change(self, index: int, step: Step, could: Could) -> Iterator[str]:
        hung, at = self.hung, index - 1
        if found := self._fastening(index, self.air, could):
            names = self._names(self.air)
            what = self.due.state.name_of(min(found)[1])
            yield f"the standing changes before {what} is made, and the {names} is in the air"
        air = self.air | hung.in_air(step.standing, at)
        if air and not step.add_support:
            yield f"the standing changes while nothing holds the {self._names(air)}"
        for unit in dict.fromkeys(filter(None, map(self._unit_of, sorted(air)))):
            if self._could_go_on_later(unit, index, step.standing):
                yield f"the standing changes over the {self._names(unit)}, which could wait"
        yield from self._on_slack(index, step, could)

    def _unit_of(self, part: PartId) -> tuple[PartId, ...]:
        at = self.when.on(part)
        return () if at in (START, NEVER) else self.when.unit(self.steps[int(at)].what)

    def _could_go_on_later(
        self, unit: tuple[PartId, ...], index: int, standing: StandingId | None
    ) -> bool:
        put_on = int(self.when.on(unit[0]))
        between = self.steps[put_on + 1 : index]
        beside = {
            ref
            for part in unit
            for joint, other in self.hung.ways.get(part, ())
            for ref in (joint_ref(joint), part_ref(other))
        }
        blocking = {ref for part in unit for ref in self._in_the_way(part_ref(part))}
        afterwards = [then for part in unit for then in self.after.get(part_ref(part), ())]
        stood = {standing, *(each.standing for each in between)}
        feet = set[PartId]().union(*map(self.hung.feet, stood))
        return (
            all(each.action in _PLAIN for each in between)
            and not (beside | blocking) & self._refs(between)
            and not any(self._is_begun(then, put_on, index - 1) for then in afterwards)
            and all(self._touches(at) for at in range(put_on + 1, index))
            and feet.isdisjoint(unit)
            and all(
                self._may_be_in(self.due.part(part).standings, (part,), standing) for part in unit
            )
        )

    def _touches(self, at: int) -> bool:
        """Whether a step puts nothing on, or what shares a joint with something on (rule 3)."""
        step = self.steps[at]
        return step.action is not Action.PUT_ON or any(
            self.hung.on(other, at - 1)
            for part in self.when.unit(step.what)
            for _, other in self.hung.ways.get(part, ())
        )

    # -- not on slack fixings (e) -------------------------------------------------------------

    def _on_slack(self, index: int, step: Step, could: Could) -> Iterator[str]:
        hung, at = self.hung, index - 1
        here = hung.standing(at)
        place = {part for part in hung.has_place(here) if hung.on(part, at)}
        slack = (place & hung.held(here, at)) - hung.held(here, at, hung.tight_at)
        while slack:
            first = min(slack)
            piece = hung.piece(first, at, hung.tight_at) - hung.runs
            slack -= piece
            joints = {
                joint
                for part in piece
                for joint, other in hung.ways.get(part, ())
                if joint in hung.stiff and other not in piece and hung.on(other, at)
                if hung.holds_at[joint] <= at < hung.tight_at[joint]
            }
            if not joints or not hung.is_heavy(piece):
                continue
            able = [j for j in sorted(joints) if j in self.due.tighten and could.tighten(j)]
            if able:
                name = f"{self._joint(able[0])} could be tightened before the standing changes"
                yield f"{name}: it holds the {self._name(first)}"
            elif not any(self._joint(j) in said for said in step.cautions for j in joints):
                yield f"nobody is told that the {self._name(first)} is on slack fixings only"

    # -- what could change places -------------------------------------------------------------

    def _refs(self, steps: Iterable[Step]) -> set[Ref]:
        """All that some steps speak of, a whole by its parts."""
        found = set()
        for step in steps:
            is_on = step.action is Action.PUT_ON
            found |= set(map(part_ref, self.when.unit(step.what))) if is_on else {step.what}
        return found

    def _in_the_way(self, ref: Ref) -> Iterator[Ref]:
        """What is in the way of a thing."""
        for fact in self.due.vehicle.obstructions_of.get(ref, ()):
            yield from map(part_ref, fact.any_of)

    def _is_begun(self, ref: Ref, after: int, until: int) -> bool:
        return after < self.when.begun(ref) <= until

    def _may_be_in(
        self,
        named: tuple[StandingId, ...],
        parts: tuple[PartId, ...],
        standing: StandingId | None,
    ) -> bool:
        """Whether a standing is one of those named, and hides none of the parts."""
        record = self.due.vehicle.standings.get(standing) if standing else None
        hidden = {part for support in record.supports for part in support.hides} if record else ()
        return (not named or standing in named) and not set(hidden) & set(parts)
