"""Who has access to a vehicle, and when they were last here."""

from dataclasses import dataclass

from putback.logbook.entries.base import LogbookId, PersonId
from putback.workshop.logbooks.ports import GARAGE, RANK, Role
from putback.workshop.logbooks.sayers import sayers_of
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.people.people import People


@dataclass(frozen=True, slots=True)
class Access:
    """Somebody with a role in a vehicle."""

    person: PersonId
    name: str
    role: Role
    has_account: bool
    """Whether they can sign in; who began a vehicle on the command line may have no account."""
    devices: int
    """On how many devices they are signed in."""
    seen_at: str
    """When one of these was last seen, ISO 8601 in UTC; empty for never."""


def access_to(workshop: Workshop, people: People, logbook: LogbookId) -> tuple[Access, ...]:
    """List who may do what with a vehicle: owners first, then by name."""
    names = names_here(workshop, people)
    known = {each.id for each in people.store.people()}
    found = [
        _access(people, person, role, names.get(person, person), person in known)
        for person, role in workshop.store.roles(logbook).items()
    ]
    return tuple(sorted(found, key=lambda each: (-RANK[each.role], each.name.casefold())))


def names_here(workshop: Workshop, people: People) -> dict[PersonId, str]:
    """Say how people are called: by their accounts, else by what was said here in the garage."""
    told = sayers_of(workshop, GARAGE).here if workshop.has_garage() else {}
    return {**told, **{each.id: each.name for each in people.store.people()}}


def _access(people: People, person: PersonId, role: Role, name: str, has_account: bool) -> Access:
    devices = people.store.devices(person)
    return Access(
        person,
        name,
        role,
        has_account,
        sum(not each.ended_at for each in devices),
        max((each.seen_at for each in devices), default=""),
    )
