"""One open item: what is open, which entries cause it, and what clears it."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from putback.bench.lift.equation import LOAD_CONSTANT_KG
from putback.bench.statics import LEAST_MARGIN_M
from putback.logbook.common import Said
from putback.logbook.entries.base import Body, EntryId, Subject


class Danger(StrEnum):
    """How pressing an open item is, worst first."""

    DANGER = "danger"  # somebody can get hurt, or the vehicle damaged
    NOW = "now"  # gets harder to put right with every day: before this sitting ends
    LATER = "later"  # loses nothing by waiting, but must not be forgotten

    @property
    def rank(self) -> int:
        """Its place in a list: the worst is 0."""
        return list(Danger).index(self)


@dataclass(frozen=True, slots=True)
class OpenItem:
    """Something that is open, in the trade's words."""

    danger: Danger
    subject: Subject
    words: str
    """What is open, in one sentence without a full stop."""
    causes: tuple[EntryId, ...]
    """The entries that cause it; none only where it is time alone, or a bare photo."""
    clears: str
    """What clears it: an action, in the imperative."""
    by: tuple[type[Body], ...] = ()
    """Kinds of entry by which the clearing action is logged; none where only time clears it."""
    rule: str = ""
    """The rule that found it; the registry fills it in."""

    @property
    def kinds(self) -> tuple[str, ...]:
        """Names of the kinds of entry that clear it."""
        return tuple(body.KIND for body in self.by)


@dataclass(frozen=True, slots=True)
class Settings:
    """What a workshop may choose about its open items, and what only it knows."""

    one_person_kg: float = LOAD_CONSTANT_KG
    """What one person lifts [kg]: the load constant of the revised NIOSH lifting equation, which
    holds close to the body, at waist height, now and then (DHHS (NIOSH) 94-110)."""
    nearly_free: int = 5
    """So many ties left, and at least as many undone, count as before a lift."""
    least_margin_m: float = LEAST_MARGIN_M
    """How far inside its supports the centre of gravity stays [m]."""
    backed_up_at: datetime | None = None
    """When it was last backed up elsewhere; for a young logbook, when it was begun."""
    backup_days: int = 30


USUAL = Settings()
"""What is usual, where a workshop chose nothing."""


def entries_of(*said: Said | None) -> tuple[EntryId, ...]:
    """Name the entries that said something, each once."""
    return tuple(dict.fromkeys(each.entry for each in said if each is not None))
