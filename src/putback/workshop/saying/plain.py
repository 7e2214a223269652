"""Entries said as plain values: by a form, or by a program over the network."""

import re
from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from typing import Any

from pydantic import ValidationError

from putback.errors import BadInput, InputError, NotFound, UnitError
from putback.logbook.entries.base import Body
from putback.logbook.entries.registry import KINDS
from putback.logbook.entries.working import JointUndone, Whither
from putback.logbook.tags import Tag
from putback.workshop.saying.faults import fault_of
from putback.workshop.saying.short_forms import QUANTITIES

ALL_WENT = "all_went"
"""Where all pieces of an undone joint went, in one word: a `Whither`. ``tag`` is of use then only
where they went into a tagged bag."""
ITS_KIND = "its_kind"
"""What a body's own field ``kind`` is called here, as ``kind`` is the entry's."""

_NUMBER = re.compile(r"[-+]?[0-9]*\.?[0-9]+(e[-+]?[0-9]+)?", re.IGNORECASE)
"""What an entry takes as it is, in the unit that the field's name says."""


def read_plain(said: Sequence[Mapping[str, Any]]) -> tuple[Body, ...]:
    """Read the entries of one act, each given by its ``kind`` and the fields of its body.

    Raises
    ------
    BadInput
        If a body cannot be meant; names the entry by its number and the field.
    NotFound
        If there is no such kind of entry.
    """
    if not said:
        raise BadInput("nothing was said", mend="say at least one entry, with its kind")
    return tuple(_read(each, f"entry {at}") for at, each in enumerate(said, start=1))


def _read(said: Mapping[str, Any], where: str) -> Body:
    values = dict(said)
    kind = values.pop("kind", "")
    if not isinstance(kind, str) or kind not in KINDS:
        near = tuple(get_close_matches(str(kind), KINDS, n=3, cutoff=0.4))
        raise NotFound("kind of entry", str(kind), near)
    if ITS_KIND in values:
        values["kind"] = values.pop(ITS_KIND)
    if kind == JointUndone.KIND and ALL_WENT in values:
        _send_all(values, str(values.pop(ALL_WENT)))
    try:
        values = {name: _as_meant(name, value) for name, value in values.items()}
        return KINDS[kind].model_validate(values)
    except InputError as error:
        mend = "; ".join(filter(None, (error.remedy(), "nothing was saved")))
        raise BadInput(error.fault(), f"{where}, {kind}", mend) from error
    except ValidationError as error:
        raise BadInput(fault_of(error), f"{where}, {kind}", "nothing was saved") from error


_TAGS = frozenset({"tag", "source_tag", "to_tag"})


def _as_meant(name: str, value: Any) -> Any:
    """Read what people type where an entry wants more exactness: a tag, a quantity in any unit."""
    if isinstance(value, Mapping):
        return {each: _as_meant(each, below) for each, below in value.items()}
    if isinstance(value, list):
        return [_as_meant("", each) for each in value]
    if not isinstance(value, str):
        return value
    if name in _TAGS:
        return Tag(value)
    if name in QUANTITIES and not _NUMBER.fullmatch(value.strip()):
        try:
            return QUANTITIES[name](value)
        except UnitError as error:
            raise BadInput(f"{name}: {error.fault()}", mend=error.remedy()) from error
    return value


def _send_all(values: dict[str, Any], whither: str) -> None:
    """Say of every fixing that is out where its pieces went."""
    if whither != Whither.TAG:
        values.pop("tag", None)
        values["went"] = [{"to": whither, "fixings": values.get("out", 1)}]
