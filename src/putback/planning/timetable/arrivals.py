"""What a plan waits for, and when it can be reckoned with."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from putback.logbook.common import Away, Common
from putback.logbook.moments import moment_at
from putback.logbook.state import State
from putback.planning.plan import Step
from putback.planning.planned_days import Arrival
from putback.planning.timetable.at_bench import off_before, worked_on
from putback.vehicle.ids import AssemblyId, JointId, PartId, Ref, joint_ref, part_ref, split_ref
from putback.vehicle.vehicle import Vehicle

LEAD_DAYS = 28.0
"""How long what nobody promised a day for takes to come [days]; a convention of this project."""

LATE_SHARE = 0.5
"""Of what comes late, how late by the mean, as a share of the whole lead [-]; a convention."""

ON_TIME = 0.5
"""How often something comes on its day [-]; a convention."""


@dataclass(frozen=True, slots=True)
class LeadTimes:
    """How long things take to come where nobody promised a day [days], from today on."""

    today: date
    days: float = LEAD_DAYS


def find_arrivals(
    vehicle: Vehicle, state: State, steps: Sequence[Step], lead: LeadTimes
) -> tuple[tuple[Arrival, ...], tuple[tuple[int, ...], ...]]:
    """Find what the steps wait for, and which of it each step waits for.

    What goes on, and, in a strip as well, what is worked on while it is off.
    """
    found: dict[Ref, Arrival] = {}
    waits: list[list[Ref]] = []
    for step, off in zip(steps, off_before(vehicle, state, steps), strict=True):
        refs = list(_missing(vehicle, state, step)) if step.waits_for else []
        if step.waits_for and not refs:
            refs = [step.what]
        refs += [ref for ref in _out_of_hand(vehicle, state, step, off) if ref not in refs]
        for ref in refs:
            found.setdefault(ref, _arrival(state, ref, lead))
        waits.append(refs)
    number = {ref: at for at, ref in enumerate(found)}
    return tuple(found.values()), tuple(tuple(number[ref] for ref in refs) for refs in waits)


def _common(state: State, ref: Ref) -> Common:
    kind, identity = split_ref(ref)
    if kind == "part" and PartId(identity) in state.parts:
        return state.parts[PartId(identity)].common
    if kind == "joint" and JointId(identity) in state.joints:
        return state.joints[JointId(identity)].common
    return Common()


def _missing(vehicle: Vehicle, state: State, step: Step) -> Iterator[Ref]:
    """The things of a step that are not here: all of a whole's parts are looked at."""
    kind, identity = split_ref(step.what)
    refs = [step.what]
    if kind == "assembly" and AssemblyId(identity) in vehicle.assemblies:
        refs = [part_ref(part) for part in vehicle.assemblies[AssemblyId(identity)].parts]
    elif kind == "joint":
        refs = [joint_ref(JointId(identity))]
    for ref in refs:
        common = _common(state, ref)
        wanted = common.choice is not None and not (common.arrived or common.prepared)
        if common.sent_out is not None or common.ordered or (wanted and len(refs) == 1):
            yield ref


def _out_of_hand(
    vehicle: Vehicle, state: State, step: Step, off: frozenset[PartId]
) -> Iterator[Ref]:
    """What a step works on that is off and away; of a joint only where all of it is off.

    Where one side of a joint is on, the joint is undone already, or the other side goes on first.
    """
    parts = dict.fromkeys(worked_on(vehicle, step))
    if split_ref(step.what)[0] == "joint" and not off.issuperset(parts):
        return
    for part in parts:
        common = _common(state, part_ref(part))
        if part in off and (common.sent_out is not None or common.ordered):
            yield part_ref(part)


def _arrival(state: State, ref: Ref, lead: LeadTimes) -> Arrival:
    """The last of what is out or on order for a thing; what is overdue takes a while yet."""
    common = _common(state, ref)
    aways = [*([common.sent_out] if common.sent_out else []), *common.ordered]
    name = state.name_of(ref)
    if not aways:
        expected = lead.today + timedelta(days=lead.days)
        words = f"{name}: not on order yet"
        return Arrival(ref, words, expected, False, LATE_SHARE * lead.days)
    days = [(_due(each), each) for each in aways]
    promised = all(due is not None for due, _ in days)
    expected, late = lead.today, 1.0
    for due, away in days:
        begun = datetime.fromtimestamp(away.said.key[-1][0] / 1000, UTC).date()
        day = due or max(begun + timedelta(days=lead.days), lead.today)
        expected = max(expected, day)
        late = max(late, LATE_SHARE * max((day - begun).days, 1), (lead.today - day).days)
    where = ", ".join(each.whither for each in aways if each.whither)
    return Arrival(ref, f"{name}{f': {where}' if where else ''}", expected, promised, float(late))


def _due(away: Away) -> date | None:
    """The day promised; ``None`` if nobody promised one that can be read."""
    moment = moment_at(away.due) if away.due else None
    return moment.date() if moment is not None else None
