"""The manifest of a move: what lies where, to be ticked when it leaves and when it arrives."""

from collections.abc import Iterator
from math import fsum

from putback.logbook.state import State
from putback.paper.sheets import Column, Kind, Row, Section, Tick
from putback.paper.words import Own, Words
from putback.vehicle.ids import PartId
from putback.workshop.printing.sheets import printed, upper_first
from putback.workshop.printing.wanted import Wanted
from putback.workshop.things.places_tree import Kept, places_tree

_TAG = "tag:"


def manifest(wanted: Wanted) -> bytes:
    """Print what is off the vehicle, place by place, with its weight as far as it is known."""
    words = wanted.words
    state = wanted.state()
    columns = (
        Column(words.manifest_out, Kind.TICK),
        Column(words.manifest_in, Kind.TICK),
        Column(words.tag, Kind.CODE),
        Column(words.manifest_thing, width=3),
        Column(words.mass, Kind.NUMBER),
        Column(words.notes, Kind.WRITE, 1),
    )
    places = [each for each in places_tree(state) if each.kept]
    sections = tuple(
        Section(
            upper_first(each.name), columns, tuple(_row(wanted, state, kept) for kept in each.kept)
        )
        for each in places
    )
    count = sum(len(each.kept) for each in places)
    mass_kg = fsum(_mass(state, kept)[0] for each in places for kept in each.kept)
    return printed(
        wanted,
        state,
        words.manifest_title,
        sections,
        lead=(_lead(wanted, count, mass_kg),),
        signatures=(words.manifest_from, words.manifest_to),
    )


def _lead(wanted: Wanted, count: int, mass_kg: float) -> str:
    """How many there are, and how heavy; what nobody weighed has no weight rather than none."""
    words = wanted.words
    if not count:
        return words.manifest_none
    if mass_kg:
        told = words.manifest_one if count == 1 else words.manifest_lead
        return told.format(n=count, mass=wanted.units.mass(mass_kg))
    told = words.manifest_one_unweighed if count == 1 else words.manifest_unweighed
    return told.format(n=count)


def _row(wanted: Wanted, state: State, kept: Kept) -> Row:
    tag = kept.subject.removeprefix(_TAG) if kept.subject.startswith(_TAG) else ""
    mass_kg, is_all = _mass(state, kept)
    words = wanted.words
    known = wanted.units.mass(mass_kg) if mass_kg else ""
    more = "" if is_all else f" + {words.manifest_unknown}" if known else ""
    own = kept.name or ("" if tag else state.name_of(kept.subject))
    name = Own(own) if own else kept.kind
    return Row(
        (Tick.OPEN, Tick.OPEN, tag, upper_first(name), f"{known}{more}", ""),
        tuple(_inside(words, kept)),
    )


def _inside(words: Words, kept: Kept) -> Iterator[str]:
    """What is in it: pieces counted, things by name, boxes within with theirs."""
    if kept.pieces:
        yield upper_first(words.manifest_pieces.format(n=kept.pieces))
    if kept.inside:
        things = "; ".join(_named(each) for each in kept.inside)
        yield upper_first(words.manifest_inside.format(things=things))


def _named(kept: Kept) -> str:
    tag = kept.subject.removeprefix(_TAG) if kept.subject.startswith(_TAG) else ""
    name = " ".join(filter(None, (kept.name or ("" if tag else kept.kind), tag)))
    inner = ", ".join(_named(each) for each in kept.inside)
    return f"{name} ({inner})" if inner else name


def _mass(state: State, kept: Kept) -> tuple[float, bool]:
    """What is known to be in it [kg], and whether every part in it was weighed or described."""
    total, is_all = 0.0, True
    kind, _, identity = kept.subject.partition(":")
    if kind == "part":
        part = state.vehicle.parts.get(PartId(identity))
        mass_kg = part.mass_kg if part else None
        total, is_all = mass_kg or 0.0, mass_kg is not None
    for each in kept.inside:
        below, all_of_it = _mass(state, each)
        total, is_all = total + below, is_all and all_of_it
    return total, is_all
