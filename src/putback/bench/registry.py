"""The calculators there are, by name; `putback.workshop.benching.every` adds that of units."""

from collections.abc import Mapping

from putback.bench.adaptor import CALCULATOR as ADAPTOR
from putback.bench.bend.calculator import CALCULATOR as BEND
from putback.bench.bolt.calculator import CALCULATOR as BOLT
from putback.bench.brake import CALCULATOR as BRAKE
from putback.bench.calculator import Calculator
from putback.bench.lift.calculator import CALCULATOR as LIFT
from putback.bench.sheet.calculator import CALCULATOR as SHEET
from putback.bench.thread.calculator import CALCULATOR as THREAD
from putback.bench.wear import CALCULATOR as WEAR

_ALL: tuple[Calculator, ...] = (
    ADAPTOR,
    BEND,
    BOLT,
    BRAKE,
    LIFT,
    SHEET,
    THREAD,
    WEAR,
)

CALCULATORS: Mapping[str, Calculator] = {each.name: each for each in _ALL}
