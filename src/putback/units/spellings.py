"""The trade's spellings of units, each with its exact factor to SI.

This table stands in front of pint, which reads ``25 Nm`` as a unit of yarn and ``18 lb ft`` as a
mass times a length. A spelling is compared without regard to case, spaces, dots and hyphens, so
``lbf ft``, ``lbf·ft`` and ``LBF-FT`` are one; within one quantity no two spellings collide.

The factors follow from five exact definitions (inch, pound, standard gravity, the two gallons);
tests hold them against NIST SP 811 and against pint.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

INCH = Fraction("0.0254")  # [m], exact since 1959
POUND = Fraction("0.45359237")  # [kg], exact since 1959
GRAVITY = Fraction("9.80665")  # [m/s²], the standard value, exact
IMPERIAL_GALLON = Fraction("0.00454609")  # [m³], exact by UK statute
US_GALLON = 231 * INCH**3  # [m³], exact
FOOT = 12 * INCH
POUND_FORCE = POUND * GRAVITY
KILOGRAM_FORCE = GRAVITY
MERCURY = Fraction("13595.1") * GRAVITY  # [Pa/m], the conventional column of mercury

_SILENT = str.maketrans("", "", " .·-*")


def key_of(spelling: str) -> str:
    """Give the form under which a spelling is looked up."""
    return spelling.casefold().translate(_SILENT)


@dataclass(frozen=True, slots=True)
class Quantity:
    """One kind of quantity: what it is called, how it is written, which spellings it knows."""

    name: str
    """With its article, as an error says it."""
    si: str
    """The SI unit as pint spells it."""
    example: str
    """Two ways of writing one, as an error shows them."""
    factors: Mapping[str, Fraction]
    """Spelling to the size of its unit in SI."""
    ambiguous: Mapping[str, str] = field(default_factory=dict)
    """Spellings that mean two things, each with the question it raises."""
    in_terms: bool = False
    """May be written in several units together: ``5 ft 6 in``."""


def _by_spelling(table: Mapping[Fraction, str]) -> dict[str, Fraction]:
    return {
        key_of(spelling): factor
        for factor, spellings in table.items()
        for spelling in spellings.split(", ")
    }


def _named_gallons() -> dict[str, Fraction]:
    """The liquid measures of both sides of the ocean, each under its country's name only."""
    units = {
        Fraction(1): ("gallon", "gallons", "gal", "gals"),
        Fraction(1, 4): ("quart", "quarts", "qt", "qts"),
        Fraction(1, 8): ("pint", "pints", "pt", "pts"),
    }
    countries = (
        (IMPERIAL_GALLON, ("imp", "imperial", "uk"), Fraction(1, 160)),
        (US_GALLON, ("us", "american"), Fraction(1, 128)),
    )
    return {
        key_of(spelling): gallon * share
        for gallon, names, ounce in countries
        for share, spellings in (units | {ounce: ("fl oz", "fluid ounce", "fluid ounces")}).items()
        for country in names
        for name in spellings
        for spelling in (f"{country} {name}", f"{name} {country}", f"{name} ({country})")
    }


_WHOSE = "an imperial {0} is not a US {0}: say which, like imp {0}, or give litres"

TORQUE = Quantity(
    "a torque",
    "newton * meter",
    "'25 Nm' or '18 lbf ft'",
    _by_spelling(
        {
            Fraction(1): "Nm, newton metre, newton metres, newton meter, newton meters",
            Fraction(1, 100): "Ncm",
            Fraction(1, 1000): "Nmm",
            Fraction(10): "daNm",
            Fraction(1000): "kNm",
            POUND_FORCE
            * FOOT: "lbf ft, ft lbf, lb ft, ft lb, lbs ft, ft lbs, lbf foot, foot lbf, "
            "pound foot, pound feet, pounds feet, foot pound, foot pounds, lb/ft, lbs/ft, ft/lb, "
            "ft/lbs, lbft force, ftlb force",
            POUND_FORCE * INCH: "lbf in, in lbf, lb in, in lb, lbs in, in lbs, pound inch, "
            "pound inches, inch pound, inch pounds, lb/in, lbs/in, in/lb, in/lbs",
            POUND_FORCE * INCH / 16: "ozf in, oz in, in oz, ounce inch, ounce inches",
            KILOGRAM_FORCE: "kgf m, kg m, m kg, m kgf, kgm, kp m, m kp",
            KILOGRAM_FORCE / 100: "kgf cm, kg cm, cm kg, cm kgf, kp cm, cm kp",
        }
    ),
)

LENGTH = Quantity(
    "a length",
    "meter",
    "'190.5 mm' or '1 1/2 in'",
    _by_spelling(
        {
            Fraction(1): "m, metre, metres, meter, meters",
            Fraction(1, 100): "cm, centimetre, centimetres, centimeter, centimeters",
            Fraction(1, 1000): "mm, millimetre, millimetres, millimeter, millimeters",
            Fraction(1, 10**6): "µm, μm, um, micron, microns, micrometre, micrometres",
            Fraction(1000): "km, kilometre, kilometres, kilometer, kilometers",
            INCH: 'in, ins, inch, inches, "',
            INCH / 1000: "thou, thous, thousandth, thousandths",
            FOOT: "ft, foot, feet, '",
            3 * FOOT: "yd, yds, yard, yards",
            5280 * FOOT: "mile, miles",
        }
    ),
    dict.fromkeys(
        ("mil", "mils"), "a mil is a millimetre to some and a thousandth to others: say mm or thou"
    ),
    in_terms=True,
)

MASS = Quantity(
    "a mass",
    "kilogram",
    "'12.5 kg' or '27 lb 8 oz'",
    _by_spelling(
        {
            Fraction(1): "kg, kgs, kilo, kilos, kilogram, kilograms, kilogramme, kilogrammes",
            Fraction(1, 1000): "g, gm, gram, grams, gramme, grammes",
            Fraction(1000): "t, tonne, tonnes, metric ton, metric tons",
            POUND: "lb, lbs, pound, pounds",
            POUND / 16: "oz, ozs, ounce, ounces",
            POUND / 7000: "gr, grain, grains",
            14 * POUND: "st, stone, stones",
            112 * POUND: "cwt, cwts, hundredweight, hundredweights, long cwt, imp cwt",
            100 * POUND: "US cwt, short cwt, US hundredweight, short hundredweight",
            2240 * POUND: "long ton, long tons, imp ton, imp tons, imperial ton, "
            "imperial tons, UK ton, UK tons",
            2000 * POUND: "short ton, short tons, US ton, US tons",
        }
    ),
    dict.fromkeys(("ton", "tons"), "there are three tons: say tonne, long ton or short ton"),
    in_terms=True,
)

PRESSURE = Quantity(
    "a pressure",
    "pascal",
    "'1.8 bar' or '26 psi'",
    _by_spelling(
        {
            Fraction(1): "Pa, pascal, pascals, N/m2",
            Fraction(1000): "kPa, kN/m2",
            # Nobody in a workshop means a thousandth of a pascal, however the M is typed.
            Fraction(10**6): "MPa, N/mm2, MN/m2",
            Fraction(10**5): "bar, bars",
            Fraction(100): "mbar, millibar, millibars, hPa",
            POUND_FORCE / INCH**2: "psi, lbf/in2, lb/in2, lbs/in2, lbf/sq in, lb/sq in, "
            "lbs/sq in, lb per sq in, lbs per sq in, pounds per square inch",
            KILOGRAM_FORCE * 10**4: "kgf/cm2, kg/cm2, kp/cm2, at",
            Fraction(101325): "atm, atmosphere, atmospheres",
            MERCURY / 1000: "mmHg, mm of mercury",
            MERCURY * INCH: "inHg, in of mercury, inches of mercury",
        }
    ),
)

VOLUME = Quantity(
    "a volume",
    "meter ** 3",
    "'4.5 l' or '8 imp pints'",
    _by_spelling(
        {
            Fraction(1): "m3, cubic metre, cubic metres, cubic meter, cubic meters",
            Fraction(1, 1000): "l, litre, litres, liter, liters, ltr, dm3",
            Fraction(1, 10**4): "dl",
            Fraction(1, 10**5): "cl",
            Fraction(1, 10**6): "ml, cc, ccm, cm3, millilitre, millilitres, milliliter, "
            "milliliters, cubic centimetre, cubic centimetres",
            INCH**3: "in3, cu in, cubic inch, cubic inches, ci, cid",
            FOOT**3: "ft3, cu ft, cubic foot, cubic feet",
        }
    )
    | _named_gallons(),
    {
        key_of(spelling): _WHOSE.format(name)
        for name, spellings in {
            "gallon": "gallon, gallons, gal, gals",
            "quart": "quart, quarts, qt, qts",
            "pint": "pint, pints, pt, pts",
            "fl oz": "fl oz, fluid ounce, fluid ounces",
        }.items()
        for spelling in spellings.split(", ")
    }
    # Pint would take these for the American ones without a word.
    | dict.fromkeys(
        ("cup", "cups", "gill", "gills", "barrel", "barrels", "teaspoon", "teaspoons"),
        "its size differs from country to country: say litres or millilitres",
    ),
    in_terms=True,
)

FORCE = Quantity(
    "a force",
    "newton",
    "'300 N' or '70 lbf'",
    _by_spelling(
        {
            Fraction(1): "N, newton, newtons",
            Fraction(1000): "kN, kilonewton, kilonewtons",
            Fraction(10): "daN",
            # Where a force is asked for, a weight typed as a mass is one under standard gravity.
            KILOGRAM_FORCE: "kgf, kp, kilopond, kiloponds, kg, kgs, kilo, kilos",
            POUND_FORCE: "lbf, lb, lbs, pound, pounds, pound force, pounds force",
            POUND_FORCE / 16: "ozf, oz, ounce, ounces",
            1000 * POUND_FORCE: "kip, kips",
            1000 * KILOGRAM_FORCE: "t, tonne, tonnes, tf",
            2240 * POUND_FORCE: "long ton, long tons, imp ton, imp tons, UK ton, UK tons, "
            "long tonf",
            2000 * POUND_FORCE: "short ton, short tons, US ton, US tons, short tonf",
        }
    ),
    dict.fromkeys(
        ("ton", "tons", "tonf"), "there are three tons: say tonne, long ton or short ton"
    ),
)

AREA = Quantity(
    "an area",
    "meter ** 2",
    "'58 mm2' or '0.09 in2'",
    _by_spelling(
        {
            Fraction(1): "m2, sq m, square metre, square metres, square meter, square meters",
            Fraction(1, 10**4): "cm2, sq cm, square centimetre, square centimetres",
            Fraction(1, 10**6): "mm2, sq mm, square millimetre, square millimetres",
            INCH**2: "in2, sq in, square inch, square inches",
            FOOT**2: "ft2, sq ft, square foot, square feet",
        }
    ),
)

STRESS = Quantity(
    "a stress",
    "pascal",
    "'640 MPa' or '92000 psi'",
    {**PRESSURE.factors}
    | _by_spelling(
        {
            Fraction(10**9): "GPa, kN/mm2",
            KILOGRAM_FORCE * 10**6: "kgf/mm2, kg/mm2, kp/mm2",
            1000 * POUND_FORCE / INCH**2: "ksi, kip/in2, kips/in2",
            2240 * POUND_FORCE / INCH**2: "long tonf/in2, long ton/in2, long tons/in2, "
            "long tons per sq in",
        }
    ),
    dict.fromkeys(
        ("tsi", "ton/in2", "tons/in2", "tonf/in2", "ton/sqin", "tons/sqin", "tonspersqin"),
        "there are three tons: say MPa, psi or long ton/in2",
    ),
)

_TURN = 2 * Fraction(math.pi)  # [rad], to the precision of a float

ANGLE = Quantity(
    "an angle",
    "radian",
    "'90°' or '1/4 turn'",
    _by_spelling(
        {
            Fraction(1): "rad, radian, radians",
            _TURN / 360: "°, deg, degs, degree, degrees",
            _TURN / 21600: "', arcmin",
            _TURN / 6: "flat, flats",
            _TURN: "turn, turns, rev, revs",
        }
    ),
    in_terms=True,
)

PITCH = Quantity(
    "threads per length",
    "1 / meter",
    "'24 tpi' or '1.5 mm'",
    _by_spelling(
        {
            1 / INCH: "tpi, /in, per inch, threads per inch, threads/in, threads/inch",
            Fraction(1000): "/mm, per mm, threads per mm",
        }
    ),
)
