"""Lists to walk round with: the ties of a lift, and what is open tonight."""

from putback.errors import BadInput
from putback.logbook.open_items.item import Danger
from putback.paper.sheets import Column, Row, Section, Tick
from putback.paper.words import Own, Words
from putback.planning.ties import ties
from putback.workshop.logbooks.open_now import open_now
from putback.workshop.plans.walk_round import TieLine, WalkRound
from putback.workshop.plans.walk_round import walk_round as told
from putback.workshop.printing.sheets import TICK, printed, upper_first
from putback.workshop.printing.units import Units
from putback.workshop.printing.wanted import Wanted

_BOXES = {
    "made": Tick.OPEN,
    "half undone": Tick.HALF,
    "undone": Tick.LOOK,
    "seen free": Tick.DONE,
}


def walk_round(wanted: Wanted) -> bytes:
    """Print the ties of a lift, zone by zone.

    Raises
    ------
    BadInput
        If nobody said what is lifted, or it cannot be.
    """
    words = wanted.words
    if not wanted.lift:
        raise BadInput(
            "a walk-round is of a lift, and nothing is lifted",
            mend="say what is lifted",
        )
    state = wanted.state()
    found = ties(state.vehicle, state, *wanted.lift, apart_from=list(wanted.apart_from))
    walk = told(state, found)
    columns = (TICK, Column(words.walk_tie, width=3), Column(words.walk_how, width=2))
    sections = [
        Section(stop.zone, columns, tuple(_tie(words, each) for each in stop.lines))
        for stop in walk.stops
    ]
    if walk.along:
        notes = tuple(f"{heading}: {names}" for heading, names in walk.along)
        sections.append(Section(words.walk_along, notes=notes))
    return printed(
        wanted,
        state,
        words.walk_title.format(lift=walk.lift),
        tuple(sections),
        lead=_lead(words, walk, wanted.units),
        cautions=(words.walk_caution,),
        signatures=(words.walk_signs,),
    )


def _tie(words: Words, line: TieLine) -> Row:
    details = [line.between, *map(upper_first, line.details)]
    state = " · ".join(filter(None, (upper_first(line.words), line.work)))
    advised = f" · {words.walk_advised}" if line.is_advised else ""
    return Row(
        (_BOXES[line.tick], Own(line.name), f"{state}{advised}"), tuple(filter(None, details))
    )


def _lead(words: Words, walk: WalkRound, units: Units) -> tuple[str, ...]:
    rest = walk.apart_from
    off = words.walk_off.format(rest=rest) if rest else words.walk_off_all
    mass = words.walk_mass.format(mass=units.mass(walk.mass_kg)) if walk.mass_kg else ""
    one_or_more = words.walk_unweighed_one if walk.unweighed == 1 else words.walk_unweighed
    unweighed = one_or_more.format(n=walk.unweighed) if walk.unweighed else ""
    counts = words.walk_counts.format(
        holding=walk.holding, look=walk.to_look_at, free=walk.seen_free
    )
    further = words.walk_further.format(n=walk.further) if walk.further else ""
    key = words.walk_key if walk.stops else ""
    return tuple(filter(None, (off, mass, unweighed, counts, further, key)))


def open_list(wanted: Wanted) -> bytes:
    """Print what is open now, dangers first."""
    words = wanted.words
    items = open_now(wanted.workshop, wanted.logbook)
    columns = (
        TICK,
        Column(words.open_what, width=3),
        Column(words.open_clears, width=2),
    )
    sections = []
    headings = {
        Danger.DANGER: words.open_danger,
        Danger.NOW: words.open_now,
        Danger.LATER: words.open_later,
    }
    for danger, heading in headings.items():
        rows = tuple(
            Row((Tick.OPEN, upper_first(each.words), upper_first(each.clears)))
            for each in items
            if each.danger is danger
        )
        if rows:
            sections.append(Section(heading, columns, rows))
    lead = words.open_lead.format(n=len(items)) if items else words.open_none
    return printed(wanted, wanted.state(), words.open_title, tuple(sections), lead=(lead,))
