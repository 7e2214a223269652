"""What a description at a prompt calls things by: names as well as identities.

A vehicle file has identities alone. Whoever types one line has seen names everywhere else, so a
field that holds an identity takes what the thing is called too.
"""

import types
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any, Union, get_args, get_origin, get_type_hints

from putback.errors import NotFound
from putback.logbook.state import State
from putback.vehicle import ids, nearest
from putback.vehicle.codec import TABLES
from putback.workshop.saying.names import find, find_subject, names_of

_KIND_OF: Mapping[object, str] = {
    ids.PartId: "part",
    ids.JointId: "joint",
    ids.OpeningId: "opening",
    ids.ZoneId: "zone",
    ids.StandingId: "standing",
    ids.JobId: "job",
    ids.AssemblyId: "assembly",
    ids.GoalId: "goal",
    ids.FluidId: "fluid",
}
"""Kinds of things by the identities that a field may hold."""

_KIND_IN: Mapping[str, str] = {
    "parts": "part",
    "runs": "part",
    "joints": "joint",
    "openings": "opening",
    "zones": "zone",
    "standings": "standing",
    "jobs": "job",
    "assemblies": "assembly",
    "goals": "goal",
    "fluids": "fluid",
}
"""Kinds of things by the tables whose records have names."""

_STEPS = ("part", "joint", "job", "assembly")
"""What a reference without a kind before it may stand for."""


def identity_of(state: State, table: str, called: str, given: Mapping[str, Any]) -> str:
    """Find which record somebody means; a new one goes by the identity that was typed.

    Raises
    ------
    NotFound
        There is none, and nobody says what a new one is called; names the nearest.
    SeveralMeant
        More than one goes by it; with their identities.
    """
    kind = _KIND_IN.get(table)
    if kind is None or called in names_of(state, kind):
        return called
    try:
        if given.get("name"):  # may be a new one: only a name as a whole is one that is known
            return nearest.find(kind, names_of(state, kind), called)
        return _find(state, kind, called)
    except NotFound as error:
        if table == "runs" or given.get("name"):
            return called
        raise _NotDescribed(kind, called, error.nearest) from error


class _NotDescribed(NotFound):
    """Nothing goes by this name, and a new record would have none."""

    def remedy(self) -> str:
        """How to mend it."""
        near = super().remedy()
        mend = f"describe a new {self.kind}, say what it is called too: name=..."
        return f"{near} Else, to {mend}" if near else f"to {mend}"


def fields_by_name(state: State, table: str, given: Mapping[str, Any]) -> dict[str, Any]:
    """Put identities in the places of names, wherever a field holds identities.

    What goes by no name stays as it was typed: it may be described later.

    Raises
    ------
    NotFound
        Nothing goes by a reference that does not say of which kind it is.
    SeveralMeant
        More than one thing goes by a name; with their identities.
    """
    hints = _hints(TABLES[table])
    return {name: _meant(state, hints.get(name), value) for name, value in given.items()}


@cache
def _hints(record: type) -> Mapping[str, Any]:
    hints = get_type_hints(record)
    return {each.name: hints[each.name] for each in fields(record)}


def _meant(state: State, hint: Any, value: Any) -> Any:
    if get_origin(hint) in {types.UnionType, Union}:  # of what may be left out, what it is else
        hint = get_args(hint)[0]
    within = get_args(hint)
    if isinstance(value, str):
        return _identity(state, hint, value)
    if isinstance(value, list) and within:
        return [_meant(state, within[0], each) for each in value]
    if isinstance(value, dict) and is_dataclass(hint) and isinstance(hint, type):
        hints = _hints(hint)
        return {name: _meant(state, hints.get(name), each) for name, each in value.items()}
    if isinstance(value, dict) and within:  # a mapping, by identities
        return {_meant(state, within[0], key): each for key, each in value.items()}
    return value


def _identity(state: State, hint: Any, text: str) -> str:
    """Find the identity that a text means where an identity is wanted; else leave it."""
    if hint is ids.Ref:
        kind, colon, rest = text.partition(":")
        if not colon:  # which no reference can be left as
            with _telling_identities(state):
                return find_subject(state, text, _STEPS)
        return f"{kind}:{_known_or_typed(state, kind, rest)}" if kind in _STEPS else text
    return _known_or_typed(state, _KIND_OF[hint], text) if hint in _KIND_OF else text


def _known_or_typed(state: State, kind: str, text: str) -> str:
    try:
        return _find(state, kind, text) if text.strip() else text
    except NotFound:
        return text


def _find(state: State, kind: str, text: str) -> str:
    with _telling_identities(state):
        return find(state, kind, text)


@contextmanager
def _telling_identities(state: State) -> Iterator[None]:
    """Tell those of several meant with their identities, which no two things share."""
    try:
        yield
    except nearest.SeveralMeant as error:
        names = (state.name_of(f"{error.kind}:{one}") for one in error.identities)
        told = (f"{one} ({name})" for one, name in zip(error.identities, names, strict=True))
        raise nearest.SeveralMeant(error.kind, error.wanted, tuple(told)) from error
