"""How a stretch ends: what is left open and must be closed, what hangs, and how it stands."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from putback.logbook.fluids import fluids_in, pours_of
from putback.logbook.state import State
from putback.planning.held.holding import Hold, Links
from putback.planning.held.telling import Ground, Telling
from putback.planning.known import made_joints
from putback.planning.plan import Action, PlanSettings, Step
from putback.planning.stretch.walk import Walk
from putback.planning.weight.anchored import Anchored
from putback.planning.weight.poise import Footing, Poise, must_add_support, poise_of
from putback.vehicle.ids import FluidId, JobId, JointId, OpeningId, PartId, StandingId, split_ref
from putback.vehicle.vehicle import Vehicle

CLOSING_MINUTES = 1.0
"""To close one end with its cap or plug [minutes]; a convention of this project."""


@dataclass(frozen=True, slots=True)
class Closing:
    """An opening that a stretch opens, and closes again before it ends [minutes]."""

    opening: OpeningId
    ends: int
    closed_with: str
    minutes: float


class Prop(NamedTuple):
    """What to hold first, and how many people that takes."""

    words: str
    people: int


class Ending:
    """Judges how the vehicle is left after some steps of a plan."""

    def __init__(
        self,
        vehicle: Vehicle,
        state: State,
        walk: Walk,
        settings: PlanSettings,
        people: int | None = None,
    ) -> None:
        """Read how it is before the first step, for so many people, or for as many as it takes."""
        self._vehicle = vehicle
        self._state = state
        self._walk = walk
        self._settings = settings
        self._people = people
        self._made = frozenset(made_joints(vehicle, state))
        made_in_plan = (
            JointId(split_ref(step.what)[1]) for step in walk.steps if step.action is Action.MAKE
        )
        self._may_hold = self._made.union(made_in_plan).intersection(vehicle.joints)
        self._may_be_on = frozenset(
            part
            for at, step in enumerate(walk.steps)
            if step.action is Action.PUT_ON
            for part in walk.moves[at]
        )
        known = (joint for joint in vehicle.joints if joint in self._may_hold)
        self._links = Links(vehicle, known, state.parts_off - self._may_be_on)
        self._telling = Telling(vehicle, self._links)
        self._full = fluids_in(vehicle, state)
        self._begun = self._hold(self._made, state.parts_off, walk.start)
        self._poise = poise_of(vehicle, state)
        self._opened_by: dict[JointId, list[OpeningId]] = {}
        for opening in vehicle.openings.values():
            if opening.needs_closing:
                for joint in opening.joints:
                    self._opened_by.setdefault(joint, []).append(opening.id)
        self._pours = pours_of(vehicle)

    # -- closed -------------------------------------------------------------------------------

    def closings(self, places: Iterable[int]) -> tuple[Closing, ...]:
        """Give the openings to close: opened by the steps, and not closed yet."""
        opened: dict[OpeningId, None] = {}
        for at in places:
            step = self._walk.steps[at]
            if step.action is Action.UNDO:
                joint = JointId(split_ref(step.what)[1])
                opened.update(dict.fromkeys(self._opened_by.get(joint, ())))
        return tuple(closing for each in opened for closing in self._closing(each))

    def _closing(self, opening: OpeningId) -> Iterator[Closing]:
        record, seen = self._vehicle.openings[opening], self._state.openings.get(opening)
        closed = (record.ends if seen.all_closed else seen.closed) if seen else 0
        if closed < record.ends:
            ends = record.ends - closed
            yield Closing(opening, ends, record.closed_with, ends * CLOSING_MINUTES)

    # -- held ---------------------------------------------------------------------------------

    def left_hanging(self, places: Sequence[int]) -> frozenset[PartId]:
        """Give the parts that were held, or were put on, and that nothing stiff holds now.

        Only what a step touched can have lost its hold, unless the vehicle stands otherwise.
        """
        made, off = set(self._made), set(self._state.parts_off)
        touched: set[PartId] = set()
        for at in places:
            step, moved = self._walk.steps[at], self._walk.moves[at]
            kind, identity = split_ref(step.what)
            if step.action is Action.UNDO:
                made.discard(JointId(identity))
            elif step.action is Action.MAKE and kind == "joint":
                made.add(JointId(identity))
            elif step.action is Action.PUT_ON:
                off -= moved
            else:
                off |= moved
            touched |= moved
            if kind == "joint" and identity in self._vehicle.joints:
                touched.update(self._vehicle.joints[JointId(identity)].parts)
            for part in moved:
                for joint in self._vehicle.joints_of.get(part, ()):
                    touched.update(self._vehicle.joints[joint].parts)
        standing = self._walk.steps[places[-1]].standing if places else self._walk.start
        now = self._hold(frozenset(made), off, standing)
        if not now.ground or not self._begun.ground:
            return frozenset()
        links = self._links
        everything = range(len(links.parts))
        asked = links.numbers(touched) if now.ground == self._begun.ground else everything
        hanging: set[int] = set()
        for number in asked:
            if now.on[number] and not links.is_run[number] and number not in hanging:
                hanging |= now.unheld(number) or set()
        return frozenset(
            links.parts[each]
            for each in hanging
            if not links.is_run[each] and (not self._begun.on[each] or self._begun.is_held(each))
        )

    def props(self, places: Sequence[int]) -> dict[int, Prop] | None:
        """Say what to prop at steps where it differs here from what the plan says.

        What the plan took off before may still be on. Where something more holds than in the plan,
        its words stay: to hold what would not fall hurts nobody.
        ``None`` if something would hang on a run that the plan frees first (11), or there are not
        people enough to hold it.
        """
        told: dict[int, Prop] = {}
        for place, hold, number, pieces in self._undoing(places):
            if _hangs(hold, number, pieces) and place not in self._hang_in_plan:
                return None
            step = self._walk.steps[place]
            ground = self._links.under(step.standing)
            if ground:
                rests_on = Ground(frozenset(self._links.parts[part] for part in ground))
                joint = self._links.joints[number]
                drop = self._telling.of(hold, joint, rests_on, pieces)
                if self._people is not None and drop.people > self._people:
                    return None
                if drop.prop_first not in ("", step.prop_first):
                    told[place] = Prop(drop.prop_first, drop.people)
        return told

    @cached_property
    def _hang_in_plan(self) -> frozenset[int]:
        """The steps after which something hangs on a run in the plan already, told to be held."""
        return frozenset(
            place
            for place, hold, number, pieces in self._undoing(range(len(self._walk.steps)))
            if _hangs(hold, number, pieces)
        )

    def _undoing(self, places: Iterable[int]) -> Iterator[tuple[int, Hold, int, list[set[int]]]]:
        """Do some steps, and give those that undo a joint, with how it is held and what goes.

        Where that is nothing, something may swing on what is left.
        """
        links, full = self._links, self._full
        hold = self._hold(self._made, self._state.parts_off, self._walk.start)
        for place in places:
            step = self._walk.steps[place]
            ground = links.under(step.standing)
            if ground != hold.ground:
                hold.rest_on(ground)
            number = links.joint_at.get(JointId(split_ref(step.what)[1]))
            if step.action is Action.UNDO and number is not None:
                on_the_vehicle = any(hold.on[part] for part in links.parts_of[number])
                self._telling.lifting.hold(full)
                if on_the_vehicle:
                    yield place, hold, number, hold.lets_go(number)
                hold.undo(links.joints[number])
            elif step.action is Action.TAKE_OFF:
                hold.take_off(self._walk.moves[place])
            elif step.action is Action.DO:
                full = self._pours.after(JobId(split_ref(step.what)[1]), full)

    def _hold(
        self, made: frozenset[JointId], off: Iterable[PartId], standing: StandingId | None
    ) -> Hold:
        """What holds with these joints made and these parts off; no ground if nobody knows it."""
        hold = Hold(self._links)
        for joint in self._may_hold - made:
            hold.undo(joint)
        hold.take_off(off)
        hold.rest_on(self._links.under(standing))
        return hold

    # -- standing -----------------------------------------------------------------------------

    def stands(self, places: Sequence[int]) -> bool:
        """Whether it stands surely after every step, and at the end (12)."""
        vehicle, state = self._vehicle, self._state
        poise = self._poise.copy()
        one_with = Anchored(vehicle, self._made, state.parts_off, poise.anchor)
        standing = self._walk.start
        begun = footing = poise.footing(standing, one_with)
        for at in places:
            step = self._walk.steps[at]
            entered = step.standing != standing
            if entered:
                standing = step.standing
                footing = poise.footing(standing, one_with)
            self._move(at, step, poise, one_with)
            after = poise.footing(standing, one_with)
            must = must_add_support(footing, after, self._settings.least_margin_m, entered=entered)
            if must and not step.add_support:
                return False
            footing = after
        return footing.holds(self._settings.least_margin_m) or _no_worse(begun, footing)

    def _move(self, at: int, step: Step, poise: Poise, one_with: Anchored) -> None:
        kind, identity = split_ref(step.what)
        if step.action is Action.UNDO:
            one_with.undo(JointId(identity))
        elif step.action is Action.MAKE and kind == "joint" and identity in self._vehicle.joints:
            one_with.make(JointId(identity))
        for part in sorted(self._walk.moves[at]):
            if step.action is Action.PUT_ON:
                poise.put_on(part)
                one_with.put_on(part)
            else:
                poise.take_off(part)
                one_with.take_off(part)
        if kind == "job":
            for fluid in self._pours.drains.get(JobId(identity), ()):
                poise.drain(fluid)
            for fluid in self._pours.fills.get(JobId(identity), ()):
                poise.fill(fluid)
        elif step.action is Action.FILL:
            poise.fill(FluidId(identity))
        one_with.hold_to(poise.anchor)


def _hangs(hold: Hold, joint: int, pieces: Iterable[set[int]]) -> bool:
    """Whether something that comes away with a joint hangs on a run then."""
    return any(hold.hangs_on(each, joint) for each in pieces)


def _no_worse(begun: Footing, ended: Footing) -> bool:
    """Whether it stands no less surely than it did, though neither is as sure as it should be."""
    if ended.margin_m is None:
        return True
    was = begun.margin_m if begun.margin_m is not None else 0.0
    return ended.margin_m >= was and set(ended.overloaded) <= set(begun.overloaded)
