"""Who is on which job just now: a courtesy among those who are online, and no lock.

It is no entry of the logbook. Nothing rests on it, it ends by itself after a few minutes, and
nobody wants to read of it in two years; so it is a small file of the hour beside the store, in no
backup and no bundle. Who takes a job in hand for good logs that (*taken in hand*).
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path

from putback.logbook.entries.base import DeviceId, LogbookId, PersonId
from putback.vehicle.ids import Ref
from putback.workshop.logbooks.files import disk_trouble, make_folder, write_whole
from putback.workshop.logbooks.ports import in_utc
from putback.workshop.now.at_choice import Choosable

FOLDER = "in-hand"
LASTS = timedelta(minutes=10)
"""How long a job counts as in hand after its page was last open; a convention."""
ONLY_OURS = 0o600


@dataclass(frozen=True, slots=True)
class InHand:
    """A job that somebody is on; moments are ISO 8601 in UTC."""

    logbook: LogbookId
    what: Ref
    person: PersonId
    device: DeviceId
    since: str
    seen_at: str


class Hands:
    """The jobs in hand of one home folder; each device has one job of a vehicle at a time."""

    def __init__(self, home: Path) -> None:
        self._folder = home / FOLDER

    def take(
        self, logbook: LogbookId, what: Ref, *, person: PersonId, device: DeviceId, now: datetime
    ) -> None:
        """Note that somebody is on a job; again and again as long as they are."""
        path = self._path(logbook, device)
        before = self._read(path)
        goes_on = (
            before is not None
            and before.what == what
            and before.person == person
            and _is_fresh(before, now)
        )
        since = before.since if before is not None and goes_on else in_utc(now)
        kept = InHand(logbook, what, person, device, since, in_utc(now))
        with disk_trouble(self._folder):
            make_folder(self._folder)
            write_whole(path, json.dumps(asdict(kept)).encode(), ONLY_OURS)

    def others(self, logbook: LogbookId, device: DeviceId, now: datetime) -> tuple[InHand, ...]:
        """Tell what is in hand on other devices, the longest first; what ended is cleared away."""
        found = []
        for path in sorted(self._folder.glob("*.json")):
            held = self._read(path)
            if held is None or not _is_fresh(held, now):
                path.unlink(missing_ok=True)
            elif held.logbook == logbook and held.device != device:
                found.append(held)
        return tuple(sorted(found, key=lambda each: (each.since, each.device)))

    def _path(self, logbook: LogbookId, device: DeviceId) -> Path:
        return self._folder / f"{sha256(f'{logbook} {device}'.encode()).hexdigest()[:32]}.json"

    def _read(self, path: Path) -> InHand | None:
        try:
            return InHand(**json.loads(path.read_bytes()))
        except (OSError, ValueError, TypeError):
            return None


def _is_fresh(held: InHand, now: datetime) -> bool:
    try:
        return abs(now - datetime.fromisoformat(held.seen_at)) <= LASTS
    except (ValueError, TypeError):
        return False


@dataclass(frozen=True, slots=True)
class OnIt:
    """Somebody is on a job, in words."""

    what: Ref
    name: str
    who: str
    since: str


def with_hands(
    choices: tuple[Choosable, ...], hands: tuple[InHand, ...], names: Mapping[PersonId, str]
) -> tuple[Choosable, ...]:
    """Say beside each job who has it in hand."""
    who = {each.what: names.get(each.person, each.person) for each in reversed(hands)}
    return tuple(
        replace(each, in_hand=who[each.card.what]) if each.card.what in who else each
        for each in choices
    )
