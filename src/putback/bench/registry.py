"""The calculators there are, by name; `putback.workshop.benching.every` adds that of units."""

from collections.abc import Mapping

from putback.bench.adaptor import CALCULATOR as ADAPTOR
from putback.bench.balance.calculator import CALCULATOR as BALANCE
from putback.bench.bend.calculator import CALCULATOR as BEND
from putback.bench.bolt.calculator import CALCULATOR as BOLT
from putback.bench.brake import CALCULATOR as BRAKE
from putback.bench.breakout.calculator import CALCULATOR as BREAKOUT
from putback.bench.calculator import Calculator
from putback.bench.coating.calculator import CALCULATOR as COATING
from putback.bench.ends.calculator import CALCULATOR as ENDS
from putback.bench.hoist import CALCULATOR as HOIST
from putback.bench.lashing import CALCULATOR as LASHING
from putback.bench.lift.calculator import CALCULATOR as LIFT
from putback.bench.metals import CALCULATOR as METALS
from putback.bench.sheet.calculator import CALCULATOR as SHEET
from putback.bench.sling import CALCULATOR as SLING
from putback.bench.stock import CALCULATOR as STOCK
from putback.bench.survey.calculator import CALCULATOR as SURVEY
from putback.bench.survey.diagonals import CALCULATOR as DIAGONALS
from putback.bench.thread.calculator import CALCULATOR as THREAD
from putback.bench.tiedown import CALCULATOR as TIEDOWN
from putback.bench.torque.calculator import CALCULATOR as TORQUE
from putback.bench.trailer import CALCULATOR as TRAILER
from putback.bench.wear import CALCULATOR as WEAR

_ALL: tuple[Calculator, ...] = (
    ADAPTOR,
    BALANCE,
    BEND,
    BOLT,
    BRAKE,
    BREAKOUT,
    COATING,
    DIAGONALS,
    ENDS,
    HOIST,
    LASHING,
    LIFT,
    METALS,
    SHEET,
    SLING,
    STOCK,
    SURVEY,
    THREAD,
    TIEDOWN,
    TORQUE,
    TRAILER,
    WEAR,
)

CALCULATORS: Mapping[str, Calculator] = {each.name: each for each in _ALL}
