"""A walk-round before a lift: what each line says, and ticking it off in the logbook."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from putback.errors import BadInput
from putback.logbook.entries.base import Body, Subject
from putback.logbook.entries.working import JointUndone, SeenFree
from putback.logbook.state import State
from putback.planning.ties import Along, Ties
from putback.planning.tying.walk import Tick, Tie
from putback.units.show import duration_text
from putback.vehicle.ids import JointId, PartId, joint_ref, part_ref
from putback.vehicle.joint import Does

_MOST_LOOSE = 12
"""Of a vehicle of which no joint is described yet every part is loose."""
_TICKS = {
    Tick.MADE: "holds",
    Tick.HALF_UNDONE: "half undone",
    Tick.UNDONE: "undone in the logbook; look at it",
    Tick.SEEN_FREE: "seen free",
}


@dataclass(frozen=True, slots=True)
class TieLine:
    """One line of the walk-round, and the entry that ticks it off."""

    joint: JointId
    name: str
    between: str
    """What it ties."""
    tick: Tick
    words: str
    """How it stands, in words."""
    work: str
    """Tool and minutes, while it holds."""
    details: tuple[str, ...]
    is_advised: bool
    is_done: bool
    """Whether somebody looked at it, and it is free."""
    kind: str
    """Of the entry that says so."""
    fields: tuple[tuple[str, str], ...]
    """Of that entry, besides its kind: name and value."""


@dataclass(frozen=True, slots=True)
class WalkStop:
    """The lines of one zone."""

    zone: str
    lines: tuple[TieLine, ...]


@dataclass(frozen=True, slots=True)
class WalkRound:
    """A walk-round in words; mass in [kg]."""

    lift: str
    apart_from: str
    """Names; empty where it is lifted off all the rest."""
    untied: str
    """What to say where there is no line."""
    stops: tuple[WalkStop, ...]
    further: int
    """Ties further off, by way of other parts, that are not shown."""
    holding: int
    to_look_at: int
    seen_free: int
    mass_kg: float
    unweighed: int
    """Parts of the lift whose mass nobody knows."""
    along: tuple[tuple[str, str], ...]
    """What goes along: a heading, and names."""
    cut: str
    """What would free it, as advice; empty where nothing is to be undone."""
    cut_details: tuple[str, ...]

    @property
    def lines(self) -> int:
        """How many lines there are, those further off left out."""
        return sum(len(stop.lines) for stop in self.stops)


def walk_round(state: State, found: Ties, *, everything: bool = False) -> WalkRound:
    """Put the ties of a lift into words; with ``everything`` those further off, too."""
    stops: list[WalkStop] = []
    further = 0
    for stop in found.walk:
        shown = [tie for tie in stop.ties if everything or tie.is_listed]
        further += len(stop.ties) - len(shown)
        if shown:
            lines = tuple(_line(state, found, tie) for tie in shown)
            stops.append(WalkStop(stop.name or "No zone", lines))
    return WalkRound(
        lift=", ".join(state.name_of(ref) for ref in found.lift),
        apart_from=apart_from(state, found),
        untied=nothing_ties(state, found),
        stops=tuple(stops),
        further=further,
        holding=len(found.left),
        to_look_at=len(found.to_look_at),
        seen_free=len(found.ties) - len(found.left) - len(found.to_look_at),
        mass_kg=found.mass_kg,
        unweighed=len(found.unweighed),
        along=tuple(going_along(state, found, everything=everything)),
        cut=_cut(found),
        cut_details=tuple(_cut_details(state, found)),
    )


def _line(state: State, found: Ties, tie: Tie) -> TieLine:
    (body,) = ticked(state, found, [tie.joint])
    said: Mapping[str, Any] = body.model_dump(mode="json", exclude_defaults=True)
    half = f": {tie.out} of {tie.of} out" if tie.tick is Tick.HALF_UNDONE else ""
    stuck = f", {tie.stuck} stuck" if tie.stuck else ""
    work = (tie.tool, duration_text(tie.minutes) if tie.minutes else "") if tie.holds else ()
    return TieLine(
        joint=tie.joint,
        name=tie.name,
        between=" – ".join(state.name_of(part_ref(part)) for part in tie.parts),
        tick=tie.tick,
        words=f"{_TICKS[tie.tick]}{half}{stuck}",
        work=" · ".join(filter(None, work)),
        details=tuple(details_of(state, tie)),
        is_advised=tie.advised,
        is_done=tie.tick is Tick.SEEN_FREE,
        kind=body.KIND,
        fields=tuple((name, str(value)) for name, value in said.items()),
    )


def details_of(state: State, tie: Tie) -> Iterator[str]:
    """Say what is to be known of a tie besides how it stands."""
    if tie.seen_by:
        unlogged = ", but not logged undone" if tie.holds else ""
        yield f"seen free by {state.people.get(tie.seen_by, tie.seen_by)}{unlogged}"
    if put_off := state.put_off.get(Subject(joint_ref(tie.joint))):
        note = f": {put_off.note}" if put_off.note else ""
        yield f"was put off ({put_off.why}{note})"
    if tie.holds and tie.prop_first:
        yield f"prop first: {tie.prop_first}"
    if tie.holds and tie.lets_go is not Does.STAYS:
        yield f"when it goes, something {tie.lets_go}"
    if tie.holds and tie.standings and state.standing.standing not in tie.standings:
        names = (state.name_of(f"standing:{each}") for each in tie.standings)
        stood = " or ".join(f"“{each}”" for each in names)
        yield f"reached only: {stood}"
    if tie.openings:
        names = (state.name_of(f"opening:{each}") for each in tie.openings)
        yield f"close after it: {', '.join(dict.fromkeys(names))}"


def going_along(
    state: State, found: Ties, *, everything: bool = False
) -> Iterator[tuple[str, str]]:
    """Say what goes along with a lift, and what else to look at: a heading, and names."""
    for rests, listed, heading in (
        (False, True, "Goes along"),
        (False, False, "Goes along, on no list, not to be forgotten"),
        (True, True, "Only sits on it, and goes along"),
        (True, False, "Only sits on it, on no list, not to be forgotten"),
    ):
        these = [each for each in found.along if (each.rests, each.listed) == (rests, listed)]
        if these:
            yield heading, "; ".join(_along(state, each) for each in these)
    for heading, subjects in (
        ("Nobody said what these joints hold", map(joint_ref, found.unknown)),
        ("Hung aside, look on what", map(part_ref, found.hung)),
        ("Fitted for now, and still in", (f"fit:{each}" for each in found.fits)),
        ("Still full of", (f"fluid:{each}" for each in found.fluids)),
    ):
        if still := ", ".join(map(state.name_of, subjects)):
            yield heading, still
    if found.loose:
        most = None if everything else _MOST_LOOSE
        named = part_names(state, found.loose, most)
        yield "Held by nothing that is described, look where they lie", named


def _along(state: State, each: Along) -> str:
    mass = f" ({each.mass_kg:g} kg)" if each.mass_kg is not None else ""
    return f"{state.name_of(part_ref(each.part))}{mass}"


def _cut(found: Ties) -> str:
    number = len(found.cut.joints)
    if not number:
        return ""
    long = f", {duration_text(found.cut.minutes)}" if found.cut.minutes else ""
    joints = f"{number} joint{'' if number == 1 else 's'}"
    return f"{joints}{long}, marked as advised, would free it"


def _cut_details(state: State, found: Ties) -> Iterator[str]:
    yield from (f"before: {each.words}" for each in found.cut.first_off)
    if found.cut.then_along:
        yield f"goes along as well then: {part_names(state, found.cut.then_along)}"


def part_names(state: State, parts: Iterable[PartId], most: int | None = 8) -> str:
    """Name the first few parts; of more, how many."""
    names = [state.name_of(part_ref(part)) for part in parts]
    shown = names[:most]
    more = f" and {len(names) - len(shown)} more" if len(names) > len(shown) else ""
    return ", ".join(shown) + more


def apart_from(state: State, found: Ties) -> str:
    """Name what it is lifted off; nothing where that is all the rest: no list is clearer."""
    ours = {*found.parts, *found.apart_from, *state.parts_off}
    is_all = len(found.apart_from) > 1 and ours.issuperset(state.vehicle.parts)
    return "" if is_all else part_names(state, found.apart_from)


def nothing_ties(state: State, found: Ties) -> str:
    """Say that nothing ties a lift, only where anybody described what it is fixed to."""
    if any(state.vehicle.joints_of.get(part) for part in found.parts):
        return "nothing that is described ties it"
    return (
        "nobody described what it is fixed to, so what ties it is not known: look all round for"
        " mountings, pipes, hoses, cables, earth straps and linkages, and log each as you undo it"
    )


def ticked(state: State, found: Ties, joints: Iterable[JointId]) -> tuple[Body, ...]:
    """Say in entries that these ties are free, each once.

    What still held in the logbook is logged as undone; what was undone already was looked at,
    and is logged as seen free before this lift.

    Raises
    ------
    BadInput
        If a joint is no tie of the lift.
    """
    ties = {tie.joint: tie for tie in found.ties}
    bodies: list[Body] = []
    for joint in dict.fromkeys(joints):
        if joint not in ties and joint not in found.unknown:
            lift = ", ".join(map(state.name_of, found.lift))
            raise BadInput(
                f"{state.name_of(joint_ref(joint))!r} does not tie {lift}",
                mend="name joints of the walk-round; nothing was logged",
            )
        if joint not in ties or ties[joint].holds:
            bodies.append(JointUndone(joint=joint))
        else:
            bodies.append(SeenFree(joint=joint, before=found.lift[0]))
    return tuple(bodies)
