"""What is wrong with a plan: the rule, the step, the thing and a sentence."""

from dataclasses import dataclass
from enum import StrEnum

from putback.vehicle.ids import Ref


class StripRule(StrEnum):
    """The rules of the strip, by their number in ``docs/planning-rules.md``."""

    ONCE = "strip 1"  # nothing twice, nothing unknown
    UNDO = "strip 2"  # the joint can be reached
    TAKE_OFF = "strip 3"  # nothing holds it, nothing is in the way
    BEFORE = "strip 4"
    UNDER = "strip 5"  # what stands under it
    ENTERING = "strip 6"  # how it may stand
    CRACK_FIRST = "strip 7"
    HANGING = "strip 8"  # nothing hangs over a change of standing
    HARDER = "strip 9"
    GOAL = "strip 10"
    IN_THE_AIR = "strip 11"  # what comes away is propped, and nothing is left hanging
    STANDS = "strip 12"  # margin and ratings
    COST = "strip, cost"


class RebuildRule(StrEnum):
    """The rules of the rebuild, by their number in ``docs/planning-rules.md``."""

    COMPLETE = "rebuild 1"  # each thing once, nothing left over
    MAKE = "rebuild 2"  # made where all its parts are
    PUT_ON = "rebuild 3"  # put on where it touches something
    IN_THE_WAY = "rebuild 4"
    BEFORE = "rebuild 5"
    LOOSE_FIRST = "rebuild 6"
    FINAL = "rebuild 7"
    CHECK = "rebuild 8"
    FLUIDS = "rebuild 9"
    PROVEN_ORDER = "rebuild 10"
    TEMPORARY = "rebuild 11"
    STANDINGS = "rebuild 12"
    RENEW = "rebuild 13"
    STANDS = "rebuild 14"  # margin and ratings
    PREPARE = "rebuild 15"  # made ready before it goes back
    TRIAL = "rebuild 16"  # the trial build, and the stages
    DROOP = "rebuild 17"  # hoses at droop and bump
    CURING = "rebuild 18"  # nothing loads what cures
    IN_THE_AIR = "rebuild 19"  # fastened next, propped till then, and over no change of standing
    COST = "rebuild, cost"


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong; ``step`` counts from 0, and is ``None`` where it is the whole plan."""

    rule: StripRule | RebuildRule
    step: int | None
    what: Ref
    words: str

    def __str__(self) -> str:
        """Say it in one line."""
        where = "the plan" if self.step is None else f"step {self.step + 1}"
        return f"{where} ({self.rule}): {self.words}"
