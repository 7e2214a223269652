"""Every calculator that can be asked, by name."""

from collections.abc import Mapping

from putback.bench.calculator import Calculator
from putback.bench.registry import CALCULATORS
from putback.vehicle.nearest import find
from putback.workshop.benching.converting import CALCULATOR as UNITS

EVERY: Mapping[str, Calculator] = {**CALCULATORS, UNITS.name: UNITS}
"""Those of the bench; and that of units, which reads what is typed and so stands above it."""


def calculator(named: str) -> Calculator:
    """Find a calculator by its name or title.

    Raises
    ------
    NotFound
        None goes by it; names the nearest.
    """
    names = {name: (each.title,) for name, each in EVERY.items()}
    return EVERY[find("calculator", names, named)]
