"""What a list of parts says of those that a vehicle has already."""

from collections.abc import Collection, Mapping
from typing import Any

from putback.vehicle.codec import from_plain, to_plain
from putback.vehicle.ids import PartId
from putback.vehicle.nearest import fold_words
from putback.vehicle.part import Part


class KnownParts:
    """The parts of a vehicle, each for one row of a list."""

    def __init__(self, parts: Mapping[PartId, Part]) -> None:
        self.parts = parts
        self._left: dict[tuple[str, str | None], list[Part]] = {}
        # Of those that share a name, in the order in which a list gave them their identities.
        for part in sorted(parts.values(), key=lambda each: (len(each.id), each.id)):
            self._left.setdefault((fold_words(part.name), part.side), []).append(part)

    def leave_out(self, named: Collection[str]) -> None:
        """Keep the parts that rows name by their identities from all other rows."""
        for there in self._left.values():
            there[:] = [part for part in there if part.id not in named]

    def take(
        self, name: str, side: str | None, zones: Collection[str] | None
    ) -> tuple[Part | None, Part | None]:
        """Give the next part that goes by this name on this side, and is in one of the zones.

        Any zone will do where ``zones`` is ``None``. Where one is in another zone only, it comes
        second: nobody can tell whether it is the same, moved, or another that is called so.
        """
        left = self._left.get((fold_words(name), side), [])
        for part in left:
            if zones is None or part.zone in zones:
                left.remove(part)
                return part, None
        return None, left[0] if left else None


def otherwise(was: Part, now: Part, fields: Collection[str]) -> dict[str, Any]:
    """Give those of the fields that are described otherwise now; ``None`` is what is usual.

    Of the numbers on a part only those of the kinds that are told now are other ones.
    """
    before, after = to_plain("parts", was), to_plain("parts", now)
    if "numbers" in fields:
        told = {each["kind"]: each for each in after["numbers"]}
        merged = [told.pop(each["kind"], each) for each in before.get("numbers", ())]
        after["numbers"] = [*merged, *told.values()]
    return {
        name: after.get(name) for name in sorted(fields) if after.get(name) != before.get(name)
    }


def with_fields(part: Part, fields: Mapping[str, Any]) -> Part:
    """Give a part with some fields described otherwise."""
    plain = {**to_plain("parts", part), **fields}
    found: Part = from_plain(
        "parts", {name: value for name, value in plain.items() if value is not None}
    )
    return found
