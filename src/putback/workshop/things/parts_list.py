"""The parts of a vehicle as a list: by any word, by zone, by what became of them."""

from collections.abc import Iterator
from dataclasses import dataclass

from putback.logbook.came_off import parts_laid_away
from putback.logbook.entries.base import Subject
from putback.logbook.state import State
from putback.vehicle.ids import PartId
from putback.vehicle.nearest import fold_words
from putback.workshop.things.condition import Condition, condition_of


@dataclass(frozen=True, slots=True)
class ListedPart:
    """A part in the list."""

    part: PartId
    name: str
    side: str
    zone: str
    """In words; empty where nobody said."""
    condition: Condition
    where: str
    """Bag, box and place, the innermost first; or the firm it is at."""
    is_described: bool


def list_parts(
    state: State, *, words: str = "", zone: str = "", condition: str = ""
) -> tuple[ListedPart, ...]:
    """List the parts that have all the words, are of the zone and in the condition asked for.

    What nobody asked for narrows nothing. A part that the logbook speaks of and nobody described
    is in the list too. Words are looked for in names, identity, numbers, zone and whereabouts.
    """
    wanted = fold_words(words).split()
    return tuple(
        each
        for each, told, of_zone in _listed(state)
        if (not zone or of_zone == zone)
        and (not condition or each.condition == condition)
        and all(word in told for word in wanted)
    )


def _listed(state: State) -> Iterator[tuple[ListedPart, str, str]]:
    """Give each part, all words by which it is found, and the identity of its zone."""
    for part in dict.fromkeys((*state.vehicle.parts, *state.parts)):
        about = state.vehicle.parts.get(part)
        subject = f"part:{part}"
        zone = state.name_of(f"zone:{about.zone}") if about else ""
        listed = ListedPart(
            part=part,
            name=state.name_of(subject),
            side=str(about.side) if about and about.side else "",
            zone=zone,
            condition=condition_of(state, part),
            where=where_in_short(state, part),
            is_described=about is not None,
        )
        told = [part, listed.name, listed.side, zone, listed.where]
        if about is not None:
            told += [about.name_us, about.system, *(each.value for each in about.numbers)]
        yield listed, fold_words(" ".join(told)), about.zone if about else ""


def where_in_short(state: State, part: PartId) -> str:
    """Say where a part is kept, in one line; empty while it is on, or nobody said."""
    now = state.parts.get(part)
    if now is None:
        return ""
    chain = state.chain_of(Subject(f"part:{part}"))
    where = (
        f"at {now.common.sent_out.whither}"
        if now.common.sent_out is not None
        else ", ".join(state.name_of(each) for each in chain)
    )
    is_unsure = now.laid_away is not None and part in parts_laid_away(state)
    return f"{where} (not logged off)" if is_unsure else where
