"""Passes: links that let somebody in once. The first owner's, and invitations to a vehicle.

A pass is a random token in a link. Only its digest is kept; it expires, opens once, and can be
withdrawn before.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import NewType, Protocol

from putback.logbook.entries.base import LogbookId, PersonId
from putback.workshop.logbooks.ports import Role

PassId = NewType("PassId", str)
"""Names a pass on a page; it opens nothing."""


NO_VEHICLE = LogbookId("")
_NOBODY = PersonId("")


class PassKind(StrEnum):
    """What a pass opens."""

    FIRST_START = "first start"  # while nobody has an account: the owner's name and password
    INVITATION = "invitation"  # a role in a vehicle


@dataclass(frozen=True, slots=True)
class Pass:
    """A pass; moments as ISO 8601 in UTC, empty where it did not come to that."""

    id: PassId
    kind: PassKind
    person: PersonId
    """Who made it; of a first start, who the owner will be."""
    made_at: str
    expires_at: str
    logbook: LogbookId = NO_VEHICLE
    role: Role | None = None
    used_at: str = ""
    used_by: PersonId = _NOBODY
    withdrawn_at: str = ""

    def opens_at(self, now: str) -> bool:
        """Tell whether it lets somebody in at that moment."""
        return not self.used_at and not self.withdrawn_at and now < self.expires_at


class PassStore(Protocol):
    """Keeps passes; every call is atomic and durable."""

    def add_pass(self, made: Pass, token_digest: str) -> None:
        """Keep a pass."""

    def passes(self, logbook: LogbookId) -> tuple[Pass, ...]:
        """List the passes to a vehicle, the newest first; of no vehicle: those of first starts."""

    def pass_of(self, token_digest: str) -> Pass | None:
        """Give the pass of a token, used or not."""

    def use_pass(self, token_digest: str, at: str, by: PersonId) -> bool:
        """Use a pass up, if it still opens at that moment; of two at once only one may."""

    def give_pass_back(self, which: PassId) -> None:
        """Let a pass open again: what it was used for did not come to pass."""

    def withdraw_pass(self, which: PassId, at: str) -> None:
        """Let a pass open nothing any more."""
