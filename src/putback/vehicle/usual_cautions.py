"""What is usually to beware of with a part of which nobody described any: by its kind and name.

Whoever begins with a list of names has described no cautions, and a plan must not send them to a
petrol tank without a word. All of it is *common practice*, and says that nobody described it; who
describes a caution has thought of the part, and only that is told then.
"""

import re
from collections.abc import Collection

from putback.vehicle.opening import Fluid, speaks_of_fuel
from putback.vehicle.part import Part, PartKind

_SAID = " (usual; nobody described it)"
FUEL = f"fuel: no flame, no spark, air the place; drained before it comes off{_SAID}"
GLASS = f"glass: gloves and eye protection; two people carry it{_SAID}"
SPRING = (
    "a spring may be under load, coming off and going back: nobody in line, and the load off "
    f"before the last fixing goes{_SAID}"
)
BATTERY = f"battery: earth lead off first, back on last; acid, so keep it upright{_SAID}"
LININGS = f"old linings may hold asbestos: wet them, never blow them out, mask on{_SAID}"
BRAKE_FLUID = f"brake fluid strips paint and harms skin: gloves, wash off with water{_SAID}"
AIRBAG = f"it fires: battery off, wait, and go by the maker's data alone{_SAID}"
GAS = f"gas under pressure: never open, heat or drill it{_SAID}"
REFRIGERANT = f"refrigerant under pressure: whoever is licensed lets it out first{_SAID}"

POURED = f"fuel: no flame, no spark, air the place{_SAID}"
UNBLED = f"if brakes or clutch were opened here, bleed them before anything moves{_SAID}"
RUN = (
    "extinguisher at hand, the place aired, out of gear and chocked; brakes and steering are "
    f"tried at a walking pace before it goes out{_SAID}"
)

_HOLDS = re.compile(
    r"\b(?:tank|pump|pipe|hose|line|rail|injector)s?\b|leitung|schlauch|pumpe", re.IGNORECASE
)
"""What of a fuel system has fuel in it; an air cleaner has none."""
_BRAKE = r"\b(?:brake|clutch)\b.*\b"
_HYDRAULIC = (
    rf"{_BRAKE}(?:cylinder|pipe|hose|union|caliper|reservoir)s?\b|bremszylinder|bremsleitung|"
    r"bremsschl[aä]uch|bremssattel"
)
_OF_BRAKES = re.compile(
    r"\b(?:brake|clutch)\b.*\bfluid\b|\bDOT[ -]?(?:[345]|5[.,]1)\b|(?:brems|kupplungs)fl[uü]",
    re.IGNORECASE,
)
"""By what it is for, or by its grade (49 CFR 571.116 names DOT 3, DOT 4, DOT 5 and DOT 5.1)."""
_BY_NAME = tuple(
    (caution, re.compile(words, re.IGNORECASE), re.compile(unless or "$^", re.IGNORECASE))
    for caution, words, unless in (
        (FUEL, r"\bcarburett?ors?\b|vergaser", ""),
        (
            GLASS,
            r"\bwind(?:screen|shield)|\brear screen|\bquarter ?light|"
            r"windschutzscheibe|(?:heck|seiten|front|tür)scheibe",
            r"wip|wash|wisch|wasch|rubber|seal|gummi|dicht|frame|rahmen|motor|trim",
        ),
        (
            SPRING,
            r"\b(?:coil|leaf|road) springs?\b|\btorsion bars?\b|(?:blatt|schrauben)feder|drehstab",
            r"bracket|hanger|shackle|seat|mount|lager|halter|bush",
        ),
        (BATTERY, r"\bbatter(?:y|ies)\b|batterie", r"cable|lead|tray|box|kabel|kasten|halter"),
        (
            LININGS,
            rf"{_BRAKE}(?:drum|shoe|lining|pad|plate|disc|cover)s?\b|bremstrommel|bremsback|"
            r"(?:brems|kupplungs)bel[aä]g|kupplungsscheibe",
            r"pedal",
        ),
        (BRAKE_FLUID, _HYDRAULIC, ""),
        (AIRBAG, r"\bair ?bag|pretensioner|gurtstraffer", ""),
        (GAS, r"\bgas (?:strut|spring)s?\b|\baccumulator\b|gasfeder|gasdruck|druckspeicher", ""),
        (REFRIGERANT, r"\bair.?con|refrigerant|klimaanlage|klimakompressor|kältemittel", ""),
    )
)
_BY_KIND = {PartKind.GLASS: GLASS, PartKind.SPRING: SPRING}


def opens_brakes(name: str) -> bool:
    """Whether a joint of this name is one of the hydraulics of brakes or clutch.

    Examples
    --------
    >>> opens_brakes("brake pipe to master cylinder"), opens_brakes("brake drum to hub")
    (True, False)
    """
    return re.search(_HYDRAULIC, name, re.IGNORECASE) is not None


def is_of_brakes(fluid: Fluid) -> bool:
    """Whether a fluid is that of brakes or clutch, by its name.

    Examples
    --------
    >>> from putback.vehicle.ids import FluidId
    >>> [is_of_brakes(Fluid(FluidId("f"), name, "")) for name in ("DOT 5.1", "engine oil")]
    [True, False]
    """
    return _OF_BRAKES.search(fluid.name) is not None


def cautions_of_fluid(fluid: Fluid) -> tuple[str, ...]:
    """Give what is to beware of as a fluid is poured or let out: as described, else what burns."""
    if fluid.hazard:
        return (fluid.hazard,)
    return (POURED,) if fluid.burns else ()


def cautions_for(part: Part, burning: Collection[str] = ()) -> tuple[str, ...]:
    """Give what is to beware of with a part: as described, else what is usual.

    Parameters
    ----------
    part : Part
        Of which a caution is wanted.
    burning : collection of str
        The parts that hold a fluid which burns.

    Examples
    --------
    >>> from putback.vehicle.ids import PartId, ZoneId
    >>> cautions_for(Part(PartId("a"), "Windscreen wiper", ZoneId("z")))
    ()
    >>> cautions_for(Part(PartId("a"), "Bremstrommel", ZoneId("z")))  # doctest: +ELLIPSIS
    ('old linings may hold asbestos: wet them, ...',)
    """
    if part.cautions:
        return part.cautions
    found = [_BY_KIND[part.kind]] if part.kind in _BY_KIND else []
    is_of_fuel = speaks_of_fuel(part.system) and _HOLDS.search(part.name)
    if part.id in burning or speaks_of_fuel(part.name) or is_of_fuel:
        found.append(FUEL)
    found += (
        caution
        for caution, words, unless in _BY_NAME
        if words.search(part.name) and not unless.search(part.name)
    )
    return tuple(dict.fromkeys(found))
