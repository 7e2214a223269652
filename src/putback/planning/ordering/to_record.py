"""What to record while it is still there, and to look for: the notes of a strip's steps.

Once a part is off, nobody can mark where it sat, photograph how it lay or measure what it kept
apart; an end that is opened is closed then and there; and a run is drawn out as it will have to go
back in.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from putback.logbook.came_off import LOOK_FIRST, parts_laid_away
from putback.logbook.state import OpeningState, State
from putback.planning.name_says import parts_in
from putback.planning.plan import Action, Step
from putback.vehicle.ids import AssemblyId, JointId, OpeningId, PartId, joint_ref, split_ref
from putback.vehicle.vehicle import Vehicle


def noting_what_to_record(
    vehicle: Vehicle, state: State, steps: Sequence[Step]
) -> tuple[Step, ...]:
    """Note on every step which marks, photos and measures it wants first, and which ends to close.

    What the logbook has already is not asked for again; an end is closed at the first step that
    opens it. The first end of a run says in which order they are undone, the run how it comes out.
    """
    noting = _Noting(vehicle, state)
    return tuple(replace(step, notes=(*step.notes, *noting.notes(step))) for step in steps)


class _Noting:
    """What is still to be recorded, step by step."""

    def __init__(self, vehicle: Vehicle, state: State) -> None:
        self.vehicle = vehicle
        self.state = state
        self.opened_by: dict[JointId, list[OpeningId]] = {}
        for opening in vehicle.openings.values():
            for joint in opening.joints if opening.needs_closing else ():
                self.opened_by.setdefault(joint, []).append(opening.id)
        self.laid_away = parts_laid_away(state)
        self.told: set[OpeningId] = set()
        self.run_of = {end.joint: run for run in vehicle.runs.values() for end in run.ends}
        self.named_for = _named_for(vehicle, state)
        self.begun: set[PartId] = set()
        """Runs of which the order of ends is told."""

    def notes(self, step: Step) -> Iterator[str]:
        """Give the notes of a step; the steps before it were given before."""
        kind, identity = split_ref(step.what)
        if step.action is Action.TAKE_OFF and kind == "assembly":
            for part in self.vehicle.assemblies[AssemblyId(identity)].parts:
                if part not in self.state.parts_off:
                    yield from self._of_part(part, of_whole=True)
        elif step.action is Action.TAKE_OFF:
            yield from self._of_part(PartId(identity), of_whole=False)
        elif step.action is Action.UNDO:
            yield from self._order_of_ends(JointId(identity))
            yield from self._ends(JointId(identity))

    def _of_part(self, identity: PartId, *, of_whole: bool) -> Iterator[str]:
        part, seen = self.vehicle.parts.get(identity), self.state.parts.get(identity)
        if part is None:
            return  # only named, by a joint
        of = f" ({part.name})" if of_whole else ""
        if identity in self.laid_away:
            yield f"{LOOK_FIRST}{of}"
        for held_by in self.named_for.get(identity, ()):
            yield f"by its name this holds it, undo it first: {held_by}{of}"
        for mark in () if seen and seen.marks else part.marks:
            where = f" at {mark.where}" if mark.where else ""
            yield f"mark: {mark.how}{where}{f', {mark.record}' if mark.record else ''}{of}"
        if part.photos and not (seen and seen.common.photos):
            yield f"photograph: {'; '.join(part.photos)}{of}"
        if part.measures and not (seen and seen.common.readings):
            yield f"measure: {'; '.join(part.measures)}{of}"
        run = self.vehicle.runs.get(identity)
        if run and run.before_drawing:
            yield f"before it is drawn: {run.before_drawing}{of}"
        if run and run.comes_out:
            yield f"it comes out: {run.comes_out}{f' ({run.why})' if run.why else ''}{of}"

    def _order_of_ends(self, joint: JointId) -> Iterator[str]:
        run = self.run_of.get(joint)
        if run and run.undo_order and run.part not in self.begun:
            self.begun.add(run.part)
            yield f"in this order: {'; '.join(run.undo_order)}"

    def _ends(self, joint: JointId) -> Iterator[str]:
        for opening in map(self.vehicle.openings.__getitem__, self.opened_by.get(joint, ())):
            seen = self.state.openings.get(opening.id) or OpeningState(opening.id)
            ends = 0 if seen.all_closed else opening.ends - seen.closed
            if ends > 0 and opening.id not in self.told:
                self.told.add(opening.id)
                count = f"{ends} ends of " if ends > 1 else ""
                closure = f" with {opening.closed_with}" if opening.closed_with else ""
                yield f"close {count}{opening.name}{closure}"


def _named_for(vehicle: Vehicle, state: State) -> Mapping[PartId, Sequence[str]]:
    """Name what still holds a part by its name alone, and how far that is undone.

    Whoever logs *cracked "propshaft to gearbox flange"* of a vehicle of which nobody described
    what is fixed to what has said which parts a joint holds: so much is worth a look.
    """
    named: dict[PartId, list[str]] = {}
    parts = {part: each.name for part, each in vehicle.parts.items()}
    for joint in dict.fromkeys((*vehicle.joints, *state.joints)):
        about, seen = vehicle.joints.get(joint), state.joints.get(joint)
        if (about and about.parts) or (seen and seen.is_undone):
            continue
        name = state.name_of(joint_ref(joint))
        so_far = f" ({seen.out} of {seen.of} out)" if seen and seen.out else ""
        held = parts_in(name, parts)
        for part in held if state.parts_off.isdisjoint(held) else ():
            named.setdefault(part, []).append(f"{name}{so_far}")
    return named
