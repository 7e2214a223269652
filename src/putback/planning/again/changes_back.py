"""What changed from one plan of the rebuild to the next, and why."""

from putback.logbook.entries.base import EntryId, of_ref
from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.state import State
from putback.planning.again.changes import Change, Telling
from putback.planning.again.since import Since
from putback.planning.plan import Action, Plan, Step
from putback.vehicle.ids import AssemblyId, FluidId, JointId, PartId, split_ref

_TIGHT = frozenset({Tightness.TIGHTENED, Tightness.SET, Tightness.FINAL})


def changes_back(
    last: Plan, plan: Plan, state: State, since: Since, *, anew: Change | None = None
) -> tuple[Change, ...]:
    """Compare what is left of the last plan of the rebuild with a plan from the present state.

    What was done is no change. With ``anew`` that is told, and not what comes earlier or later.
    """
    return _TellingBack(last, plan, state, since).all_of_it(anew)


class _TellingBack(Telling):
    """Two plans of a rebuild, and what is known to explain their difference."""

    def __init__(self, last: Plan, plan: Plan, state: State, since: Since) -> None:
        super().__init__(last, plan, state, since)
        self.waiting = {each.what: each.why for each in plan.waiting}

    def why_not(self, step: Step) -> tuple[str, EntryId | None] | None:
        """Say why a step is not wanted any more; ``None`` if it was done itself."""
        if self._is_done(step):
            return None
        if step.what in self.waiting:
            return f"it waits: {self.waiting[step.what]}", self.about(step.what)[1]
        whole = self.instead(step.what, Action.PUT_ON)
        if whole:
            return f"it goes on with {whole} now", self.about(step.what)[1]
        return self.not_needed(step.what)

    def _is_done(self, step: Step) -> bool:
        kind, identity = split_ref(step.what)
        state = self.state
        joint = state.joints.get(JointId(identity)) if kind == "joint" else None
        common = state.common_of(of_ref(step.what))
        match step.action:
            case Action.PUT_ON if kind == "assembly":
                whole = state.vehicle.assemblies.get(AssemblyId(identity))
                parts = whole.parts if whole else ()
                return any(map(self._is_on, parts)) and not any(
                    # What came off by itself goes on by itself.
                    part in state.parts_off and state.parts[part].whole == identity
                    for part in parts
                )
            case Action.PUT_ON:
                return self._is_on(PartId(identity))
            case Action.MAKE | Action.TIGHTEN:
                return joint is not None and joint.made is not None and not joint.is_undone
            case Action.FINISH:
                return joint is not None and joint.tightness in _TIGHT
            case Action.CHECK if joint is not None:
                return bool(joint.checks)
            case Action.CHECK | Action.PREPARE:
                return common is not None and bool(common.prepared)
            case Action.FILL | Action.BLEED:
                fluid = state.fluids.get(FluidId(identity))
                filled = step.action is Action.FILL
                return fluid is not None and bool(fluid.filled if filled else fluid.bled)
            case _:
                return identity in state.jobs_done

    def _is_on(self, part: PartId) -> bool:
        seen = self.state.parts.get(part)
        return seen is not None and seen.on is not None and not seen.is_off
