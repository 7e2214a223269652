"""Vehicles and records of all sorts, for Hypothesis.

`generated_vehicles` are whole and certain to come apart. `small_vehicles` hold together, but
what is in the way of what is anything at all, so that many cannot come apart. `records` put
whatever a field can hold into every field and make no sense.
"""

import builtins
import types
import typing
from collections import abc
from dataclasses import fields, is_dataclass
from functools import cache
from itertools import combinations
from typing import Any, get_args, get_origin, get_type_hints

from hypothesis import strategies as st

from putback.vehicle.codec import LONGEST_IDENTITY, TABLES, key_field
from putback.vehicle.fastener import FastenerSpec, parse
from putback.vehicle.generate import generate
from putback.vehicle.minutes import Minutes
from putback.vehicle.vehicle import Vehicle
from tests.makers import vehicle

SPECS = (
    "bolt 5/16-24 UNF x 1 in",
    "M8x1.25x30 8.8",
    "split pin 2 mm x 25 mm",
    "captive nut 1/4-28 UNF",
    "gasket, lamp seat",
    "taper",
)

texts = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc"], include_characters="\n\t"),
    max_size=20,
)
identities = st.text(
    st.characters(codec="utf-8", exclude_categories=["Cc", "Zs", "Zl", "Zp"]),
    min_size=1,
    max_size=LONGEST_IDENTITY,
)

minutes = st.lists(st.floats(0, 1e6), min_size=3, max_size=3).map(
    lambda points: Minutes(*sorted(points))
)

_PLAIN = {
    float: st.floats(-1e9, 1e9, allow_nan=False),
    int: st.integers(-(10**9), 10**9),
    str: texts,
    bool: st.booleans(),
    FastenerSpec: st.sampled_from(SPECS).map(parse),
    Minutes: minutes,
    type(None): st.none(),
}


@cache
def _anything(hint: Any) -> st.SearchStrategy[Any]:
    """Whatever a field of this type can hold; a few of each where it holds many."""
    hint = getattr(hint, "__supertype__", hint)  # an identity is a str
    if hint in _PLAIN:
        return _PLAIN[hint]
    match get_origin(hint), get_args(hint):
        case builtins.tuple, (one, builtins.Ellipsis):
            return st.lists(_anything(one), max_size=2).map(tuple)
        case builtins.tuple, each:
            return st.tuples(*map(_anything, each))
        case ((types.UnionType | typing.Union), each):
            return st.one_of(*map(_anything, each))
        case abc.Mapping, (key, value):
            return st.dictionaries(_anything(key), _anything(value), max_size=2)
    return _filled(hint) if is_dataclass(hint) else st.sampled_from(hint)


def _filled(record: Any, **known: Any) -> st.SearchStrategy[Any]:
    """Records with something drawn for every field, those with a default too."""
    hints = get_type_hints(record)
    drawn = {each.name: _anything(hints[each.name]) for each in fields(record)}
    return st.builds(record, **drawn | known)


def records(table: str) -> st.SearchStrategy[Any]:
    """Records of a table with anything in their fields."""
    return _filled(TABLES[table], **{key_field(table): identities})


def generated_vehicles(most: int = 20) -> st.SearchStrategy[Vehicle]:
    """Vehicles that are certain to come apart, of up to so many parts."""
    return st.builds(generate, st.integers(3, most), st.integers(0, 2**16))


@st.composite
def small_vehicles(draw: st.DrawFn, most: int = 6) -> Vehicle:
    """Vehicles of a few parts on a frame, with anything in the way of anything."""
    times = st.integers(1, 30)
    parts = ["frame", *"abcdefgh"[: draw(st.integers(1, most - 1))]]
    said = [
        f"{part} - {draw(st.sampled_from(parts[:place]))}: 2 nut M8; {draw(times)} min"
        for place, part in enumerate(parts)
        if place
    ]
    pairs = st.sampled_from([*combinations(parts[1:], 2)] or [("a", "frame")])
    taken = {line.partition(":")[0] for line in said}
    for one, two in draw(st.lists(pairs, max_size=2, unique=True)):
        if not taken & {f"{one} - {two}", f"{two} - {one}"}:
            said.append(f"{one} - {two}: 1 clip; {draw(times)} min")
    joints = [line.partition(":")[0] for line in said]
    for _ in range(draw(st.integers(0, 4))):
        any_of = draw(st.lists(st.sampled_from(parts[1:]), min_size=1, max_size=2, unique=True))
        said.append(f"{' or '.join(any_of)} blocks {draw(st.sampled_from([*joints, *parts[1:]]))}")
    for _ in range(draw(st.integers(0, 2))):
        things = st.sampled_from([*joints, *parts[1:]])
        said.append(f"{draw(things)} before {draw(things)}")
    return vehicle(*said, datum="frame")
