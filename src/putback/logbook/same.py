"""Parts that were described twice and turned out to be one."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, fields, is_dataclass, replace
from typing import Any, Self

from putback.logbook.entries.base import Subject
from putback.vehicle.ids import PartId

_PREFIXES = ("part:", "about parts:", "about runs:")


@dataclass(frozen=True, slots=True)
class Aliases:
    """For each other identity of a part, the one that it goes by."""

    names: Mapping[PartId, PartId] = field(default_factory=dict)

    @classmethod
    def from_pairs(cls, pairs: Iterable[tuple[PartId, PartId]]) -> Self:
        """Join parts by *same as* pairs, each (part, the part it is the same as).

        A group goes by the member that is never said to be another; should there be several or
        none (a ring), by the smallest identity.
        """
        group: dict[PartId, set[PartId]] = {}
        other: set[PartId] = set()
        for part, same_as in pairs:
            joined = group.get(part, {part}) | group.get(same_as, {same_as})
            for member in joined:
                group[member] = joined
            if part != same_as:
                other.add(part)
        names: dict[PartId, PartId] = {}
        for part, joined in group.items():
            chief = min(joined - other or joined)
            if part != chief:
                names[part] = chief
        return cls(names)

    def of(self, subject: Subject) -> Subject:
        """Give the subject under the name its part goes by."""
        if self.names and subject.startswith(_PREFIXES):
            kind, _, identity = subject.partition(":")
            return Subject(f"{kind}:{self.names.get(PartId(identity), identity)}")
        return subject


def rename_parts(record: Any, aliases: Aliases) -> Any:
    """Give a record in which every part goes by its one name."""
    if not aliases.names:
        return record
    changed = {
        each.name: _renamed(each.name, getattr(record, each.name), aliases)
        for each in fields(record)
        if each.name in _PART_FIELDS or each.name in _REF_FIELDS or each.name == "supports"
    }
    return replace(record, **changed) if changed else record


_PART_FIELDS = frozenset(
    {
        *("part", "parts", "through", "any_of", "bears_on", "hides", "needs_off", "leaks_if_off"),
        *("datum", "off", "on"),
    }
)
_REF_FIELDS = frozenset({"of", "first", "then", "last", "job", "after"})


def _renamed(name: str, value: Any, aliases: Aliases) -> Any:
    if isinstance(value, tuple):
        members = [_renamed(name, each, aliases) for each in value]
        return tuple(dict.fromkeys(members))
    if is_dataclass(value):
        return rename_parts(value, aliases)
    if isinstance(value, str):
        return (
            aliases.of(Subject(value))
            if name in _REF_FIELDS
            else aliases.names.get(PartId(value), value)
        )
    return value
