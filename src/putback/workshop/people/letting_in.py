"""Letting people in: the owner at the first start, and whoever is invited to a vehicle."""

import secrets
from dataclasses import dataclass
from datetime import timedelta

from putback.errors import BadInput, NotFound
from putback.logbook.entries.base import ActId, DeviceId, LogbookId, PersonId
from putback.logbook.entries.bookkeeping import PersonNamed
from putback.workshop.logbooks.ports import GARAGE, RANK, Role, in_utc
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.people.passes import NO_VEHICLE, Pass, PassId, PassKind
from putback.workshop.people.people import People, Person, digest_of

FIRST_START_LASTS = timedelta(hours=24)
INVITATION_LASTS = timedelta(days=7)
_TOKEN_BYTES = 24


@dataclass(frozen=True, slots=True)
class Handed:
    """A pass just made, and its token, shown this once."""

    made: Pass
    token: str


class LettingIn:
    """The use cases of passes: links that let somebody in.

    Parameters
    ----------
    workshop : Workshop
        Where roles are, and where names are written down.
    people : People
        Who may come in.
    """

    def __init__(self, workshop: Workshop, people: People) -> None:
        self.workshop = workshop
        self.people = people

    # -- making and withdrawing -------------------------------------------------------------

    def first_start(self, owner: PersonId) -> Handed | None:
        """Make the link by which the owner sets name and password; none once somebody has one.

        Links of earlier starts open nothing any more.
        """
        if self.people.store.people():
            return None
        for each in self.people.store.passes(NO_VEHICLE):
            self.people.store.withdraw_pass(each.id, self._now())
        return self._make(PassKind.FIRST_START, owner, FIRST_START_LASTS)

    def invite(self, logbook: LogbookId, role: Role, by: PersonId) -> Handed:
        """Make an invitation to a vehicle."""
        return self._make(PassKind.INVITATION, by, INVITATION_LASTS, logbook, role)

    def open_invitations(self, logbook: LogbookId) -> tuple[Pass, ...]:
        """List the invitations to a vehicle that still let somebody in, the newest first."""
        now = self._now()
        return tuple(each for each in self.people.store.passes(logbook) if each.opens_at(now))

    def withdraw(self, logbook: LogbookId, which: PassId) -> None:
        """Take an invitation to this vehicle back.

        Raises
        ------
        NotFound
            If it does not wait for anybody.
        """
        if all(each.id != which for each in self.open_invitations(logbook)):
            raise NotFound("open invitation", which)
        self.people.store.withdraw_pass(which, self._now())

    # -- coming in --------------------------------------------------------------------------

    def shown(self, token: str, kind: PassKind) -> Pass:
        """Give the pass of a link without using it.

        Raises
        ------
        NotFound
            If there is none, or it opens nothing any more.
        """
        found = self.people.store.pass_of(digest_of(token))
        is_late = kind is PassKind.FIRST_START and bool(self.people.store.people())
        if found is None or found.kind is not kind or not found.opens_at(self._now()) or is_late:
            raise StaleLink
        return found

    def used(self, token: str, kind: PassKind) -> Pass | None:
        """Give the pass of a link that has let somebody in; ``None`` if it has not."""
        found = self.people.store.pass_of(digest_of(token))
        return found if found and found.kind is kind and found.used_at else None

    def has_let_in(self, used: Pass, person: PersonId) -> bool:
        """Tell whether it may be this person who came in by it, and still may.

        Of an account that was made by an invitation it is not known by which.
        """
        if used.kind is PassKind.FIRST_START:
            return used.person == person
        roles = self.workshop.store.roles(used.logbook)
        return used.used_by in {person, PersonId("")} and person in roles

    def begin(self, token: str, name: str, password: str, device: DeviceId) -> Person:
        """Make the first owner, by the link of the first start.

        Raises
        ------
        NotFound, BadInput
            If the link opens nothing, or name or password will not do; then it still opens.
        """
        found = self.shown(token, PassKind.FIRST_START)
        return self._come_in(found, token, name, password, found.person, device)

    def join_anew(self, token: str, name: str, password: str, device: DeviceId) -> Person:
        """Let somebody new in by an invitation, with its role.

        Raises
        ------
        NotFound, BadInput, AlreadyExists
            If the link opens nothing, or name or password will not do; then it still opens.
        """
        found = self.shown(token, PassKind.INVITATION)
        person = self._come_in(found, token, name, password, None, device)
        self._give(found, person.id)
        return person

    def join(self, token: str, person: PersonId) -> LogbookId:
        """Give somebody who is known the role of an invitation, and never a lesser one.

        Raises
        ------
        StaleLink
            If the link opens nothing.
        """
        found = self.shown(token, PassKind.INVITATION)
        if not self.people.store.use_pass(digest_of(token), self._now(), person):
            raise StaleLink
        self._give(found, person)
        return found.logbook

    def _come_in(
        self,
        found: Pass,
        token: str,
        name: str,
        password: str,
        identity: PersonId | None,
        device: DeviceId,
    ) -> Person:
        """Make an account; the pass is used up only once name and password will do."""
        self.people.check(name, password)
        digest = digest_of(token)
        if not self.people.store.use_pass(digest, self._now(), identity or PersonId("")):
            raise StaleLink
        try:
            person = self.people.add(name, password, identity)
        except Exception:
            self.people.store.give_pass_back(found.id)
            raise
        write_name(self.workshop, person, device)
        return person

    def _give(self, found: Pass, person: PersonId) -> None:
        had = self.workshop.store.roles(found.logbook).get(person)
        if found.role is not None and (had is None or RANK[had] < RANK[found.role]):
            self.workshop.store.grant(found.logbook, person, found.role)

    def _make(
        self,
        kind: PassKind,
        by: PersonId,
        lasts: timedelta,
        logbook: LogbookId = NO_VEHICLE,
        role: Role | None = None,
    ) -> Handed:
        token = secrets.token_urlsafe(_TOKEN_BYTES)
        now = self.people.clock.now()
        identity = PassId(secrets.token_hex(8))
        made = Pass(identity, kind, by, in_utc(now), in_utc(now + lasts), logbook, role)
        self.people.store.add_pass(made, digest_of(token))
        return Handed(made, token)

    def _now(self) -> str:
        return in_utc(self.people.clock.now())


class StaleLink(BadInput):
    """A link that opens nothing: used, withdrawn, too old, or never one."""

    def __init__(self) -> None:
        super().__init__(
            "this link opens nothing any more",
            mend="a link works once and for a few days; ask whoever sent it for a new one",
        )


def write_name(
    workshop: Workshop,
    person: Person,
    device: DeviceId,
    by: PersonId | None = None,
    as_act: ActId | None = None,
) -> None:
    """Write somebody's name into the garage's logbook, so that sentences say it."""
    body = PersonNamed(person=person.id, name=person.name)
    workshop.log(GARAGE, [body], who=by or person.id, device=device, as_act=as_act)


def call_otherwise(
    workshop: Workshop,
    people: People,
    person: PersonId,
    name: str,
    by: PersonId,
    device: DeviceId,
    as_act: ActId | None = None,
) -> Person:
    """Give somebody another name, with which they sign in and which every sentence says.

    Entries name people by their identity, so that what was logged follows.

    Raises
    ------
    BadInput, AlreadyExists, NotFound
        As `People.rename`.
    """
    called = people.rename(person, name)
    write_name(workshop, called, device, by, as_act)
    return called
