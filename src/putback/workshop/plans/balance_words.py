"""A balance in words: how far from tipping, what rests on guesses, and what no figure replaces."""

from collections.abc import Iterator
from math import degrees

from putback.logbook.open_items.wording import count
from putback.logbook.state import State
from putback.planning.balance import SURELY, Balance
from putback.planning.plan import USUAL
from putback.vehicle.ids import StandingId

LOOK = (
    "A computed balance never replaces looking: rock it before anybody goes under it, and keep to "
    "the stands' own instructions."
)


def margin_words(found: Balance) -> str:
    """Say how far it is from tipping."""
    if found.margin_m is None:
        return "nothing that it stands on is one with the vehicle" if found.loose else "no margin"
    where = "inside" if found.margin_m >= 0 else "OUTSIDE"
    sure = f" ± {1000 * SURELY * (found.margin_sigma_m or 0):.0f}"
    words = f"its weight is {1000 * abs(found.margin_m):.0f}{sure} mm {where} the supports"
    if found.tips_at_rad is not None and found.margin_m > 0:
        words += f", and a slope of {degrees(found.tips_at_rad):.0f}° would tip it"
    return words


def doubts(now: State, found: Balance) -> Iterator[str]:
    """Say what rests on guesses, and what would make the margin surer."""
    if found.guessed or found.placed:
        yield (
            f"{count(len(found.guessed), 'mass', 'masses')} and "
            f"{count(len(found.placed), 'place')} are guessed"
        )
    if found.margin_m is None:
        return
    if found.doubtful:
        asked = " and ".join(
            f"the {'mass' if each.is_mass else 'place'} of {now.name_of(each.what)}"
            for each in found.doubtful
        )
        yield f"caution: the margin may be less than it seems: weigh the axles, or give {asked}"
    elif found.margin_m >= (least := USUAL.least_margin_m) and not found.is_surely_wide(least):
        yield "caution: the margin may be less than it seems: weigh the axles"


def is_wrong(now: State, stood: StandingId | None) -> bool:
    """Whether the supports of a standing are described as where they should not be."""
    described = now.vehicle.standings.get(stood) if stood else None
    return described is not None and described.wrong
