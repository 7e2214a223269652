"""The rebuild as far as somebody wants to look: the end of a stage, or until a thing is back on.

Everything goes back in one order. What is looked at is its beginning, so that it stays right; a
pure function of the steps.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from putback.errors import NotFound
from putback.logbook.state import State
from putback.planning.plan import Action, Step
from putback.vehicle.ids import AssemblyId, JointId, PartId, Ref, split_ref
from putback.vehicle.nearest import find
from putback.workshop.saying.names import find_subject

_FASTENING = frozenset({Action.MAKE, Action.TIGHTEN})


@dataclass(frozen=True, slots=True)
class Milestone:
    """How far one may want to look; ``id`` is a stage's name, or a part or whole."""

    id: str
    words: str


def milestones(state: State, steps: Sequence[Step]) -> tuple[Milestone, ...]:
    """List the stages that come before the last one, then what goes back as one."""
    stages = dict.fromkeys(str(step.stage) for step in steps if step.stage is not None)
    last = str(steps[-1].stage) if steps else ""
    wholes = dict.fromkeys(
        step.what
        for step in steps
        if step.action is Action.PUT_ON and split_ref(step.what)[0] == "assembly"
    )
    return (
        *(Milestone(stage, f"{stage} done") for stage in stages if stage != last),
        *(back_on(state, whole) for whole in wholes),
    )


def back_on(state: State, what: Ref) -> Milestone:
    """Look until a part or whole is back on."""
    return Milestone(what, f"{state.name_of(what)} back on")


def end_called(state: State, steps: Sequence[Step], named: str) -> Milestone:
    """Find how far somebody wants to look: a stage by its name, else an assembly or a part.

    Raises
    ------
    NotFound
        If nothing is called so; with the nearest names.
    SeveralMeant
        If more than one thing is.
    """
    stages = dict.fromkeys(str(step.stage) for step in steps if step.stage is not None)
    try:
        stage = find("stage", {each: (f"{each} done",) for each in stages}, named)
        return Milestone(stage, f"{stage} done")
    except NotFound as no_stage:
        try:
            return back_on(state, Ref(find_subject(state, named, ("part", "assembly"))))
        except NotFound as error:
            near = (*no_stage.nearest, *error.nearest)
            raise NotFound("stage, assembly or part", named, near) from None


def as_far_as(state: State, steps: Sequence[Step], end: str) -> tuple[Step, ...]:
    """Give the steps up to a milestone or until a part is back on and fastened.

    Nothing if none of the steps leads there.
    """
    return tuple(steps[: max(_ends(state, steps, end), default=0)])


def _ends(state: State, steps: Sequence[Step], end: str) -> Iterator[int]:
    """How many steps there are until then, step by step that belongs to it."""
    parts = _parts_of(state, end)
    for at, step in enumerate(steps, start=1):
        if step.stage is not None and end == step.stage:
            yield at
        if step.action is Action.PUT_ON and not parts.isdisjoint(_parts_of(state, step.what)):
            yield at + _fastened_by(state, steps[at:], _parts_of(state, step.what))


def _fastened_by(state: State, after: Sequence[Step], parts: frozenset[PartId]) -> int:
    """How many steps follow at once that fasten what was put on (rule 19)."""
    for number, step in enumerate(after):
        if step.action not in _FASTENING:
            return number
        joint = state.vehicle.joints.get(JointId(split_ref(step.what)[1]))
        if joint is None or parts.isdisjoint(joint.parts):
            return number
    return len(after)


def _parts_of(state: State, what: str) -> frozenset[PartId]:
    kind, colon, identity = what.partition(":")
    if kind == "assembly":
        whole = state.vehicle.assemblies.get(AssemblyId(identity))
        return frozenset(whole.parts if whole else ())
    return frozenset({PartId(identity)} if kind == "part" and colon else ())
