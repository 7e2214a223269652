"""What a sequence of moves costs: work with the factors that then hold, and set-up before each."""

from collections.abc import Sequence
from dataclasses import dataclass

from putback.planning.plan import PlanSettings
from putback.planning.search.arrange import Bout
from putback.planning.search.field import Field, Move, Rules
from putback.vehicle.ids import StandingId, ZoneId


class CannotBeDone(Exception):  # never leaves the planner
    """A move stands where it cannot be done: an attempt to move it failed."""


@dataclass(frozen=True, slots=True)
class Priced:
    """A move in its place; times in [minutes]."""

    move: Move
    standing: StandingId | None
    minutes: float
    setup_minutes: float

    @property
    def total_minutes(self) -> float:
        """Work and set-up [minutes]."""
        return self.minutes + self.setup_minutes


def price(
    rules: Rules, bouts: Sequence[Bout], settings: PlanSettings, *, watched: bool = True
) -> tuple[Priced, ...]:
    """Go through all moves and price them.

    What hangs or tips is looked at if ``watched``: not where that was done move by move already.

    Raises
    ------
    CannotBeDone
        If one of them cannot be done where it stands.
    """
    field = Field(rules, watched=watched)
    zone: ZoneId | None = None
    tool = ""
    helped = False
    stage = 0
    priced: list[Priced] = []
    for bout in bouts:
        change = field.enter_minutes(bout.standing)
        if change is None or (field.standing != bout.standing and field.hangs()):
            raise CannotBeDone
        field.standing = bout.standing
        for move in bout.moves:
            if not field.may(move):
                raise CannotBeDone
            if move >= 0:
                if move not in field.ready or rules.stage_of[move] < stage:
                    raise CannotBeDone
                stage = rules.stage_of[move]
            node = rules.nodes[max(move, ~move)]
            setup, change = change, 0.0
            if node.zone is not None:
                setup += settings.zone_minutes * (zone not in (None, node.zone))
                zone = node.zone
            if node.tool:
                setup += settings.tool_minutes * (tool not in ("", node.tool))
                tool = node.tool
            setup += settings.helper_minutes * (node.crew > 1 and not helped)
            helped = node.crew > 1
            priced.append(Priced(move, bout.standing, field.minutes(move), setup))
            field.do(move)
    return tuple(priced)


def total_minutes(priced: Sequence[Priced]) -> float:
    """Work and set-up of all moves [minutes]."""
    return sum(each.total_minutes for each in priced)
