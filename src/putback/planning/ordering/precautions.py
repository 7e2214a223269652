"""What a step of a plan needs besides the work: what to prop first, which support to add."""

from collections.abc import Iterator
from dataclasses import dataclass

from putback.logbook.fluids import pours_of
from putback.planning.held.guard import Guard
from putback.planning.held.telling import Drop, Fate, Telling, ground_of
from putback.planning.ordering.price import Priced
from putback.planning.search.field import Rules
from putback.planning.weight.add_support import support_to_add
from putback.planning.weight.poise import must_add_support
from putback.vehicle.ids import JobId, PartId, StandingId, part_ref, split_ref

_LET_GO = frozenset({Fate.FALLS, Fate.HANGS})


@dataclass(frozen=True, slots=True)
class Precaution:
    """What to do first, and what no step does after; empty where there is nothing."""

    prop_first: str = ""
    prop_people: int = 1
    add_support: str = ""
    notes: tuple[str, ...] = ()


class Precautions:
    """Goes along a plan, step by step, and says what each needs."""

    def __init__(self, rules: Rules, start: StandingId | None) -> None:
        """Begin as it is at the start, standing so."""
        self.rules = rules
        self.vehicle = rules.problem.vehicle
        self.guard = Guard(rules.guarded, start)
        self.full = rules.problem.fluids
        """The fluids that are in."""
        self.pours = pours_of(self.vehicle)
        self.telling = Telling(self.vehicle, rules.guarded.links, fluids=self.full)
        self.done: set[int] = set()
        self.off: set[PartId] = set(rules.problem.parts_off)
        self.told: set[PartId] = set()
        """The parts of which it was said that no step takes them off."""
        self.held = self._held()
        """The parts that were held before the first step."""

    def next(self, each: Priced) -> Precaution:
        """Say what the next step needs, and go past it."""
        entered = each.standing != self.guard.standing
        held_up = "; ".join(self._enter(each.standing)) if entered else ""
        if each.move < 0:
            return Precaution(add_support=self._stood(None, entered, held_up))
        drop = self._drop(each)
        add_support = self._stood(each.move, entered, held_up)
        self.done.add(each.move)
        self._pour(each.move)
        if drop is None:
            return Precaution(add_support=add_support)
        return Precaution(drop.prop_first, drop.people, add_support, tuple(self._never_off(drop)))

    def _pour(self, index: int) -> None:
        """Let out what a job drains."""
        kind, identity = split_ref(self.rules.nodes[index].what)
        if kind == "job":
            self.full = self.pours.after(JobId(identity), self.full)
            self.telling.lifting.hold(self.full)

    # -- rule 11 ------------------------------------------------------------------------------

    def _held(self) -> frozenset[int]:
        """The parts that are held now, the runs left out."""
        hold = self.guard.hold
        solid = (p for p in range(len(hold.on)) if hold.on[p] and not hold.links.is_run[p])
        return frozenset(part for part in solid if hold.is_held(part))

    def _enter(self, standing: StandingId | None) -> Iterator[str]:
        """Stand otherwise, and say what has to be held up meanwhile."""
        dropped = self._not_held()
        self.guard.stand(standing)
        dropped |= self._not_held()
        if dropped:
            links = self.guard.hold.links
            names = " and ".join(
                self.vehicle.name_of(part_ref(links.parts[part])) for part in sorted(dropped)
            )
            yield f"hold up {names} while the standing changes: nothing else holds it"

    def _not_held(self) -> set[int]:
        hold = self.guard.hold
        if not hold.ground:
            return set()
        return {part for part in self.held if hold.on[part] and not hold.is_held(part)}

    def _drop(self, each: Priced) -> Drop | None:
        """What becomes of things with a step that undoes a joint on the vehicle."""
        index, guard = each.move, self.guard
        joint = guard.watch.joint_of.get(index)
        if joint is None:
            return None
        hold = guard.borne_after(index, self.done)
        ground = ground_of(self.vehicle, hold.links, self.off, each.standing)
        lets_go = None
        if hold.ground:
            lets_go = guard.lets_go(index, joint, self.done)
        else:
            hold.rest_on(hold.links.numbers(ground.parts))
        return self.telling.of(hold, hold.links.joints[joint], ground, lets_go)

    def _never_off(self, drop: Drop) -> Iterator[str]:
        """Name what is let go here and wants holding, but is taken off by no step of the plan."""
        watch, lifting = self.guard.watch, self.telling.lifting
        pieces = [] if drop.is_said_to_stay else drop.pieces
        for part in (p for each in pieces if each.fate in _LET_GO for p in each.parts):
            at = watch.links.part_at[part]
            is_left = at not in watch.taken_off_by and not watch.links.is_run[at]
            if is_left and part not in self.told and not lifting.is_light([part]):
                self.told.add(part)
                name = self.vehicle.name_of(part_ref(part))
                yield f"no step of this plan takes the {name} off: lift it away as well"

    # -- rule 12 ------------------------------------------------------------------------------

    def _stood(self, index: int | None, entered: bool, held_up: str) -> str:
        """Do the step, and say which support has to be added for it."""
        guard = self.guard
        before = guard.footing()
        if index is not None:
            parts = self.rules.takes_off(index)
            guard.do(index, parts, self.done)
            self.off |= parts
        after, least = guard.footing(), self.rules.least_margin_m
        told = [held_up] if held_up else []
        if must_add_support(before, after, least, entered=entered) and guard.poise is not None:
            added = support_to_add(guard.poise, guard.standing, guard.is_one, least)
            told += [added.words] if added is not None else []
        return "; ".join(told)
