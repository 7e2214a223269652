"""Units: any quantity of the bench in any unit of its own, by exact factors.

The one calculator that reads what a person types by itself, since only the unit that is asked for
tells what a figure means; that is why it stands here and not in `putback.bench`.
"""

from putback.bench.calculator import Answer, Asked, Calculator, Figure, Quantity, Step
from putback.errors import NotFound, UnitError
from putback.units.convert import Converted, convert, nearest_64th
from putback.units.figures import fraction_text
from putback.units.scales import Kind, significant
from putback.workshop.benching.reading import BadFields

_FIGURES = 9
_SAME_MM = 5e-3
_SOURCES = (
    "NIST SP 811:2008 app. B: inch 25.4 mm, pound 0.45359237 kg, standard gravity 9.80665 m/s², "
    "all exact",
    "UK Weights and Measures Act: imperial gallon 4.54609 l; US gallon 231 in³; both exact",
)
_QUANTITIES = {
    kind: Quantity.PITCH if kind is Kind.PITCH else Quantity(kind.value) for kind in Kind
}


def work(*, value: str, to: str) -> Answer:
    """Give a quantity in another unit: ``y = (SI - zero) / unit``.

    Parameters
    ----------
    value : str
        A number with its unit, as people type it.
    to : str
        The unit it is wanted in.

    Raises
    ------
    BadFields
        No unit is spelt so, or the value has no such unit.
    """
    try:
        found = convert(value, to)
    except NotFound as error:
        raise BadFields("units", {"to": error}) from error
    except UnitError as error:
        raise BadFields("units", {"to" if error.text == to else "value": error}) from error
    number = Figure("number", f"converted to {to}", found.number)
    said = f"{value} = {significant(found.number, _FIGURES)} {to}"
    return Answer(
        calculator="units",
        inputs=(
            Figure("value", "What is to be converted", value, Quantity.TEXT),
            Figure("to", "The unit it is wanted in", to, Quantity.TEXT),
        ),
        results=(
            number,
            Figure("si", "the same in both systems", found.si, _QUANTITIES[found.kind]),
            *_on_a_rule(found),
        ),
        verdict=f"{said}.",
        steps=(_step(found, number),),
        sources=_SOURCES,
        limits=_limits(found),
    )


def _step(found: Converted, number: Figure) -> Step:
    size = Figure("u", f"One {found.unit} in SI", found.size)
    if found.is_reciprocal:
        per = Figure("n", "Threads in a metre", found.si)
        return Step("y = 1 / (n u)", {"n": per, "u": size}, number, _SOURCES[0])
    value = Figure("x", "The value in SI", found.si)
    if found.nought:
        zero = Figure("z", "Where this scale has its zero, in °C", found.nought)
        return Step("y = (x - z) / u", {"x": value, "z": zero, "u": size}, number)
    return Step("y = x / u", {"x": value, "u": size}, number, _SOURCES[0])


def _on_a_rule(found: Converted) -> tuple[Figure, ...]:
    """Say which mark of an inch rule it is, and how far beyond it."""
    if found.kind is not Kind.LENGTH:
        return ()
    mark, beyond_m = nearest_64th(found.si / 0.0254)
    beyond_mm = beyond_m * 1000
    over = "" if abs(beyond_mm) < _SAME_MM else f" and {beyond_mm:+.2f} mm"
    return (Figure("mark", "On an inch rule", f"{fraction_text(mark)} in{over}", Quantity.TEXT),)


def _limits(found: Converted) -> tuple[str, ...]:
    if found.kind is Kind.FORCE:
        return ("Kilograms and pounds count as weights under standard gravity.",)
    if found.kind is Kind.PITCH:
        return ("A pitch converted is not yet a thread: M10x1 and 3/8-24 do not mate.",)
    return ()


CALCULATOR = Calculator(
    name="units",
    title="Units",
    words="A length, mass, torque, force, stress, pressure, volume, area, angle, temperature, "
    "time or pitch in any other unit of its own, by exact factors.",
    asked=(
        Asked("value", "value", "What is to be converted", Quantity.TEXT, hint="27 lbf ft"),
        Asked("to", "to", "The unit it is wanted in", Quantity.TEXT, hint="Nm"),
    ),
    work=work,
    example={"value": "27 lbf ft", "to": "Nm"},
)
