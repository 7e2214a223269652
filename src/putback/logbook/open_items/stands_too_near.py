"""It stands too near to tipping, or will as soon as something that is coming off is off."""

from collections.abc import Iterable

from putback.logbook.entries.base import Subject
from putback.logbook.entries.working import StandingChanged
from putback.logbook.open_items.footing import Footing, Footings
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation, Unit
from putback.vehicle.standing import Standing


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find supports in the wrong place, overloaded, or without margin, now or after the next lift.

    Where it already stands too near, or wrongly, what comes next is not asked for.
    """
    standing = situation.standing
    if standing is None:
        return
    said = entries_of(situation.state.standing.said)
    least_m = situation.settings.least_margin_m
    footings = Footings(situation)
    now = footings.of(standing)
    words, clears = "", "make it stand otherwise, or add a support: putback balance says where"
    if standing.wrong:
        why = f" ({standing.note})" if standing.note else ""
        words = f"{standing.name}: the supports are where they should not be{why}"
        if now is None or (now.margin_m >= least_m and not now.overloaded):
            clears = "make it stand otherwise"  # balance has no support to add yet
    elif now is not None and now.margin_m < least_m:
        words = f"{standing.name}: its weight is {now.words()}"
    elif now is not None and now.overloaded:
        support, load = now.overloaded[0]
        words = f"{support.id} carries {load:.0f} kg, and is rated for {support.rating_kg:.0f} kg"
    if words:
        yield OpenItem(
            Danger.DANGER,
            Subject("standing"),
            words,
            said,
            clears,
            (StandingChanged,),
        )
        return
    worst = _worst_next(situation, footings, standing)
    if worst is not None and worst[0].margin_m < least_m:
        then, unit = worst
        yield OpenItem(
            Danger.DANGER,
            Subject("standing"),
            f"{standing.name}: once {unit.name} is off, its weight is {then.words()}",
            entries_of(situation.state.standing.said) + situation.begun_by(unit),
            f"make it stand otherwise, or add a support, before {unit.name} comes off",
            (StandingChanged,),
        )


def _worst_next(
    situation: Situation, footings: Footings, standing: Standing
) -> tuple[Footing, Unit] | None:
    """Of what is coming off, find what would leave the least margin."""
    found = [
        (then, unit)
        for unit in situation.coming_off
        if (then := footings.of(standing, unit.parts)) is not None
    ]
    return min(found, key=lambda each: each[0].margin_m, default=None)
