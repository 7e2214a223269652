"""Soak now: joints to come that will not come undone willingly, and where oil or heat is wrong.

What is told rests on words of the description and the logbook. Where these say nothing of fuel,
rubber or brakes, that is no promise that there is none: whoever holds the can looks first.
"""

import re
from collections.abc import Iterator

from putback.planning.ahead.coming import Coming, View
from putback.planning.ahead.line import Line, Sort
from putback.planning.plan import Action
from putback.vehicle.fastener_kind import FastenerKind
from putback.vehicle.ids import JobId, JointId, joint_ref, part_ref, split_ref
from putback.vehicle.job import JobKind
from putback.vehicle.joint import Joint
from putback.vehicle.opening import speaks_of_fuel
from putback.vehicle.part import Part, PartKind

_UNDOING = frozenset({Action.CRACK, Action.UNDO})
_NO_RISK = frozenset({"", "no", "none", "low", "never"})
_SAYS_TIGHT = re.compile(
    r"\b(seiz|rust|corro|stuck|very tight|brittle|soak|penetrat|rounded)", re.IGNORECASE
)
_SAYS_HOW = re.compile(r"\b(heat|oil|flame|spark|hot work|weld|soak)", re.IGNORECASE)
_BRAKE = re.compile(r"\b(brake|lining|shoe|caliper|brake disc|drum|clutch)", re.IGNORECASE)
_RUBBER = re.compile(r"\b(rubber|bush|boot|gaiter|seal|hose|tyre|belt)", re.IGNORECASE)

_TAKES_OIL = frozenset(
    {
        FastenerKind.CLEVIS_PIN,
        FastenerKind.COTTER,
        FastenerKind.ROLL_PIN,
        FastenerKind.DOWEL,
        FastenerKind.KEY,
        FastenerKind.TAPER,
        FastenerKind.SPLINE,
        FastenerKind.PRESS_FIT,
        FastenerKind.SLEEVE,
        FastenerKind.BUSH,
        FastenerKind.LOCKNUT,
    }
)
"""What holds without a thread, and comes easier for oil: *common practice*."""
_RUBBERS = frozenset(
    {
        FastenerKind.GLAZING_RUBBER,
        FastenerKind.RUBBER,
        FastenerKind.RUBBER_PAD,
        FastenerKind.RUBBER_STRAP,
        FastenerKind.RUBBER_SLEEVE,
        FastenerKind.BONDED_BUSH,
        FastenerKind.BONDED_MOUNTING,
        FastenerKind.O_RING,
        FastenerKind.OIL_SEAL,
    }
)

FUEL = "fuel here: no heat, no flame, no spark; air it first"
BRAKES = "brakes or clutch here: no oil on linings, drums, discs or seals"
RUBBER = "rubber here: oil swells it and heat ruins it; shield it, or undo it dry"
WIRES = "wires here: no oil on contacts, no heat; earth lead off first"
"""What is usual in the trade (*common practice*); what the maker says of the vehicle wins."""


def soak(view: View) -> Iterator[Line]:
    """Find joints coming up that are likely seized, each once, the soonest first."""
    seen: set[JointId] = set()
    for coming in view.near(Sort.SOAK):
        if coming.step.action not in _UNDOING and not _is_cracking(view, coming):
            continue
        for joint in view.joints_of(coming.step):
            if joint not in seen and joint not in view.state.undone_joints:
                yield from _line(view, coming, view.vehicle.joints[joint])
                seen.add(joint)


def _is_cracking(view: View, coming: Coming) -> bool:
    kind, identity = split_ref(coming.step.what)
    return kind == "job" and view.vehicle.jobs[JobId(identity)].kind is JobKind.CRACK


def _line(view: View, coming: Coming, joint: Joint) -> Iterator[Line]:
    said = list(dict.fromkeys(_evidence(view, joint)))
    if said:
        yield view.line(
            Sort.SOAK,
            joint.name,
            "; ".join(said),
            [coming],
            where=_where(view, joint),
            cautions=tuple(dict.fromkeys(_cautions(view, joint))),
            not_yet=_not_yet(view, joint),
        )


def _evidence(view: View, joint: Joint) -> Iterator[str]:
    """Say what speaks for its being seized: what was met with, what is feared, what is tight."""
    seen = view.state.joints.get(joint.id)
    if seen is not None and seen.stuck:
        yield f"{seen.stuck} of {seen.of} stuck"
    for ref in (joint_ref(joint.id), *map(part_ref, joint.parts)):
        common = view.state.common_of(ref)  # type: ignore[arg-type]
        for finding in common.findings if common else ():
            if _SAYS_TIGHT.search(finding.what):
                yield f"found: {finding.what}"
    if not _takes_oil(joint):
        return
    for text in (joint.note, joint.access, joint.when_undone.detail):
        if _SAYS_TIGHT.search(text):
            yield text
    for part in _described(view, joint):
        if part.seize_risk.casefold() not in _NO_RISK:
            yield f"{part.name}: likely seized ({part.seize_risk})"
    if joint.crack_in is not None and not (seen is not None and seen.cracked):
        yield "to be cracked before it is undone"


def _takes_oil(joint: Joint) -> bool:
    """Whether oil does anything for it; where nobody described the fixings, it may."""
    kinds = {piece.spec.kind for fixing in joint.fixings for piece in fixing.stack}
    return not kinds or any(kind.is_threaded or kind in _TAKES_OIL for kind in kinds)


def _described(view: View, joint: Joint) -> Iterator[Part]:
    for part in joint.parts:
        if part in view.vehicle.parts:
            yield view.vehicle.parts[part]


def _where(view: View, joint: Joint) -> str:
    zones = (joint.zone, *(part.zone for part in _described(view, joint)))
    described = view.vehicle.zones
    return next((described[each].name for each in zones if each and each in described), "")


def _not_yet(view: View, joint: Joint) -> str:
    """Say why an oil can does not get there yet; nothing if it does."""
    now = view.state.standing.standing
    if joint.standings and now in view.vehicle.standings and now not in joint.standings:
        names = " or ".join(f"“{view.name(f'standing:{each}')}”" for each in joint.standings)
        return f"reached only {names}"
    off = view.state.parts_off
    for obstruction in view.vehicle.obstructions_of.get(joint_ref(joint.id), ()):
        if off.isdisjoint(obstruction.any_of):
            names = " or ".join(view.name(part_ref(part)) for part in obstruction.any_of)
            return f"{names} is in the way"
    return ""


# -- where oil and heat are wrong -----------------------------------------------------------------


def _cautions(view: View, joint: Joint) -> Iterator[str]:
    off = view.state.parts_off
    parts = tuple(part for part in _described(view, joint) if part.id not in off)
    for part in parts:
        yield from (each for each in part.cautions if _SAYS_HOW.search(each))
    if any(_holds_fuel(view, part) for part in parts):
        yield FUEL
    if any(_BRAKE.search(f"{part.system} {part.name}") for part in parts):
        yield BRAKES
    kinds = {piece.spec.kind for fixing in joint.fixings for piece in fixing.stack}
    soft = (part.kind is PartKind.HOSE or _RUBBER.search(part.name) for part in parts)
    if not kinds.isdisjoint(_RUBBERS) or any(soft) or _RUBBER.search(joint.note):
        yield RUBBER
    if any(part.kind is PartKind.LOOM for part in parts):
        yield WIRES


def _holds_fuel(view: View, part: Part) -> bool:
    fluids = (each for each in view.vehicle.fluids.values() if each.part == part.id)
    return speaks_of_fuel(f"{part.system} {part.name}") or any(each.burns for each in fluids)
