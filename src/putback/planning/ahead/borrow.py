"""Borrow: tools and lifting gear that not every garage has, in the order in which they are wanted.

The logbook keeps no list of tools, so what is everyday is told by words; what is not known to be
is listed. That one was used before on this vehicle is said.
"""

import re
from collections.abc import Iterator

from putback.planning.ahead.coming import Coming, View
from putback.planning.ahead.line import Line, Sort
from putback.planning.crew import Crews
from putback.planning.plan import Action, Step
from putback.vehicle.ids import AssemblyId, PartId, StandingId, split_ref

_SPECIAL = re.compile(
    r"puller|compressor|hoist|crane|press\b|extractor|splitter|slid(e|ing) hammer|impact|torch|"
    r"gauge|clock|jack|stand\b|beam|gantr|spreader|leveller|cradle|flaring|reamer|tap\b|die\b|"
    r"torque|multiplier|pipe-nut|trolley",
    re.IGNORECASE,
)
_EVERYDAY = re.compile(
    r"spanner|screwdriver|socket|plier|hammer|mallet|finger|hands?\b|allen|\bkey\b|\bbar\b|"
    r"brace|lever|cord|soap|knife|wrench|ratchet|brush|scraper|punch|chisel|file|saw|cutter|drill",
    re.IGNORECASE,
)
_LIFTING = frozenset({Action.TAKE_OFF, Action.PUT_ON})


def is_everyday(tool: str) -> bool:
    """Whether a tool is one that a garage has.

    Examples
    --------
    >>> is_everyday("spanner 1/2 AF"), is_everyday("hub puller"), is_everyday("frobnicator")
    (True, False, False)
    """
    return bool(_EVERYDAY.search(tool)) and not _SPECIAL.search(tool)


def borrow(view: View) -> Iterator[Line]:
    """Gather gear by its name, with the jobs that want it, in order of need."""
    wanted: dict[str, dict[str, list[Coming]]] = {}
    crews = Crews(view.vehicle)
    for coming in view.near(Sort.BORROW):
        for gear, purpose in dict.fromkeys(_gear_of(view, coming, crews)):
            wanted.setdefault(gear, {}).setdefault(purpose, []).append(coming)
    _join_unrated(wanted)
    used = _used_before(view)
    for gear, purposes in wanted.items():
        comings = [each for these in purposes.values() for each in these]
        names = list(purposes)
        more = f" and {len(names) - 3} more" if len(names) > 3 else ""
        why = f"needed for {', '.join(names[:3])}{more}"
        if gear in used:
            why += f"; used before, for {used[gear]}"
        yield view.line(Sort.BORROW, gear, why, comings)


def _join_unrated(wanted: dict[str, dict[str, list[Coming]]]) -> None:
    """Take gear of which one job says the rating for the same where another does not."""
    for gear in list(wanted):
        begins = f"{gear}, rated ".casefold()
        rated = next((each for each in wanted if each.casefold().startswith(begins)), None)
        if rated is not None:
            for purpose, comings in wanted.pop(gear).items():
                wanted[rated].setdefault(purpose, []).extend(comings)


def _gear_of(view: View, coming: Coming, crews: Crews) -> Iterator[tuple[str, str]]:
    """Give each piece of gear that a step wants, and what for."""
    step, job = coming.step, view.name(coming.step.what)
    if step.tool and not is_everyday(step.tool):
        yield step.tool, job
    if step.action in _LIFTING and (hoist := _hoist_of(view, step)):
        yield hoist, job
    elif step.action in _LIFTING and (mass_kg := _too_heavy_kg(view, step, crews)):
        yield "jack or hoist", f"{job} ({mass_kg:.0f} kg)"
    for support in view.vehicle.temporary_supports.values():
        if step.what == support.first:
            rated = f", rated {support.rating_kg:g} kg" if support.rating_kg else ""
            yield f"{support.kind}{rated}", job
    before = view.coming[coming.at - 1].step.standing if coming.at else view.plan.start
    if step.standing is not None and step.standing != before:
        stood = f"standing “{view.name(f'standing:{step.standing}')}”"
        yield from ((each, stood) for each in _stood_on(view, step.standing))


def _hoist_of(view: View, step: Step) -> str:
    kind, identity = split_ref(step.what)
    if kind == "assembly":
        whole = view.vehicle.assemblies.get(AssemblyId(identity))
        return whole.hoist if whole else ""
    part = view.vehicle.parts.get(PartId(identity))
    return part.hoist if part else ""


def _too_heavy_kg(view: View, step: Step, crews: Crews) -> float:
    """What a step lifts, if that is too heavy for hands and no gear is described, else 0 [kg]."""
    kind, identity = split_ref(step.what)
    whole = view.vehicle.assemblies.get(AssemblyId(identity)) if kind == "assembly" else None
    goes_on = step.action is Action.PUT_ON
    parts = [
        part
        for part in (whole.parts if whole else (PartId(identity),))
        if whole is None or (part in view.state.parts_off) == goes_on
    ]
    return crews.by_hand_kg(parts) if crews.is_no_lift(step.crew, parts) else 0.0


def _stood_on(view: View, standing: StandingId) -> Iterator[str]:
    """What is set up under the vehicle for a standing: so many of each kind, and their rating."""
    count: dict[str, int] = {}
    for support in view.vehicle.standings[standing].supports:
        part = view.vehicle.parts.get(support.bears_on)
        if part is None or part.kind != "wheel":
            rated = f", rated {support.rating_kg:g} kg each" if support.rating_kg else ""
            count[f"{support.kind}{rated}"] = count.get(f"{support.kind}{rated}", 0) + 1
    for kind, number in count.items():
        yield f"{number} × {kind}" if number > 1 else kind


def _used_before(view: View) -> dict[str, str]:
    """Tools of joints that were undone on this vehicle, each with one such joint."""
    joints = view.vehicle.joints
    return {
        joints[joint].tool: joints[joint].name
        for joint in sorted(view.state.undone_joints)
        if joint in joints and joints[joint].tool
    }
