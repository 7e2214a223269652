"""Something is about to come off, or is off, that holds a fluid in which nobody drained."""

from collections.abc import Iterable

from putback.logbook.entries.base import Subject
from putback.logbook.entries.rebuilding import PartOn
from putback.logbook.entries.working import Drained
from putback.logbook.fluids import fluid_of
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation
from putback.logbook.open_items.wording import listed


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find fluids that are in, though a part that keeps them in is off or nearly free."""
    for fluid in situation.state.vehicle.fluids.values():
        state = fluid_of(situation.state.vehicle, situation.state, fluid.id)
        if state.is_out:
            continue
        subject = Subject(f"fluid:{fluid.id}")
        off = [part for part in fluid.leaks_if_off if situation.is_off(part)]
        if off:
            names = listed(situation.name(f"part:{part}") for part in off)
            yield OpenItem(
                Danger.LATER,
                subject,
                f"{fluid.name} is filled without {names}, which keeps it in"
                if state.filled
                else f"{names} came off, and nobody said that {fluid.name} was drained",
                entries_of(*(situation.part(part).off for part in off), state.filled),
                "say that it is out" + (", or what keeps it in" if state.filled else ""),
                (Drained, PartOn) if state.filled else (Drained,),
            )
            continue
        for unit in situation.coming_off:
            if len(unit.ties) <= 1 and set(unit.parts) & set(fluid.leaks_if_off):
                hazard = f" ({fluid.hazard})" if fluid.hazard else ""
                yield OpenItem(
                    Danger.DANGER if fluid.hazard else Danger.NOW,
                    subject,
                    f"{fluid.name} is still in and runs out when {unit.name} comes off{hazard}",
                    situation.begun_by(unit),
                    "drain it first",
                    (Drained,),
                )
                break
