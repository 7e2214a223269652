"""Entries said as plain values: by a form, or by a program over the network."""

from collections.abc import Mapping, Sequence
from difflib import get_close_matches
from typing import Any

from pydantic import ValidationError

from putback.errors import BadInput, NotFound
from putback.logbook.entries.base import Body
from putback.logbook.entries.registry import KINDS
from putback.workshop.faults import fault_of

ITS_KIND = "its_kind"
"""What a body's own field ``kind`` is called here, as ``kind`` is the entry's."""


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
    try:
        return KINDS[kind].model_validate(values)
    except ValidationError as error:
        raise BadInput(fault_of(error), f"{where}, {kind}", "nothing was saved") from error
