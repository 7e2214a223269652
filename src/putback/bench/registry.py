"""The calculators there are, by name; `putback.workshop.benching.every` adds that of units."""

from collections.abc import Mapping

from putback.bench.calculator import Calculator
from putback.bench.lift.calculator import CALCULATOR as LIFT

_ALL: tuple[Calculator, ...] = (LIFT,)

CALCULATORS: Mapping[str, Calculator] = {each.name: each for each in _ALL}
