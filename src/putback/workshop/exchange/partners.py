"""Partners: the other workshops with which this one exchanges vehicles, and how far that has come.

They are kept in the folder ``partners`` of the home folder, which nobody else on this machine may
read: the token of each opens a vehicle elsewhere. No token is ever shown again, or backed up.
"""

import json
import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields, replace
from hashlib import sha256
from pathlib import Path
from shutil import rmtree
from typing import Any

from putback.errors import AlreadyExists, BadInput, Damaged, NotFound
from putback.logbook.entries.base import LogbookId, PersonId
from putback.workshop.exchange.course import Course
from putback.workshop.exchange.over_https import site_of
from putback.workshop.logbooks.files import disk_trouble, make_folder, write_whole
from putback.workshop.logbooks.workshop import NOBODY

FOLDER = "partners"
ONLY_OURS = 0o600
LONGEST_NAME = 60
"""Of a partner [characters]."""
_OWN_WORDS = frozenset({"list", "add", "forget"})


@dataclass(frozen=True, slots=True)
class Filed:
    """What went to a partner by file: all up to a position, but for photos that were not here."""

    position: int = 0
    entry: str = ""
    """The entry at that position."""
    at: str = ""
    """When it was written, ISO 8601 in UTC."""
    photos_missing: tuple[str, ...] = ()
    without_private: bool = False
    """Money and people's names were left out."""


@dataclass(frozen=True, slots=True)
class Partner:
    """Another workshop. One without an address is reached by file alone."""

    name: str
    address: str = ""
    token: str = field(default="", repr=False)
    authority: str = field(default="", repr=False)
    """The certificate that vouches for it, as PEM; empty where this machine's own do."""
    person: PersonId = NOBODY
    """Whose partner it is: their token, and so what they may do there."""

    @property
    def sender(self) -> str:
        """By which the store notes what came from it."""
        return f"partner {self.name}"


class Partners:
    """The partners of one home folder; safe beside other processes."""

    def __init__(self, home: Path) -> None:
        self._folder = home / FOLDER

    def all(self) -> tuple[Partner, ...]:
        """List them by name."""
        with disk_trouble(self._folder):
            found = sorted(self._folder.glob("*/partner.json"))
            return tuple(
                sorted(map(self._read, found), key=lambda each: (each.name.casefold(), each.name))
            )

    def called(self, name: str) -> Partner:
        """Give one by name.

        Raises
        ------
        NotFound
            If there is none.
        """
        wanted = name.casefold().strip()
        for each in self.all():
            if each.name.casefold() == wanted:
                return each
        raise NotFound("partner", name, tuple(each.name for each in self.all()[:3]))

    def add(self, partner: Partner, *, instead: bool = False) -> Partner:
        """Keep a partner, or one in the place of that of the same name.

        What was exchanged with another address under this name counts no longer.

        Raises
        ------
        BadInput
            If the name or the address will not do, or an address has no token.
        AlreadyExists
            If there is one of this name, and not ``instead``.
        """
        name = " ".join(partner.name.split())
        if not name or len(name) > LONGEST_NAME or not name.isprintable():
            raise BadInput(
                f"no name for a partner: {name[:LONGEST_NAME]!r}",
                mend="call it so that you know it: barn",
            )
        if name.casefold() in _OWN_WORDS:
            raise BadInput(f"a partner cannot be called {name!r}", mend="choose another name")
        address = site_of(partner.address) if partner.address else ""
        if address and not partner.token:
            raise BadInput(
                "no token was given", mend="make one there, under “your devices and password”"
            )
        if not partner.token.isascii() or any(each.isspace() for each in partner.token):
            raise BadInput("this is no token", mend="copy it as the other side showed it")
        known = {each.name.casefold(): each for each in self.all()}.get(name.casefold())
        if known is not None and not instead:
            raise AlreadyExists("partner", known.name)
        kept = Partner(name, address, partner.token, partner.authority, partner.person)
        if known is not None and known.address != address:
            self.forget(known.name)
        folder = self._of(name)
        with disk_trouble(folder):
            make_folder(folder)
            write_whole(folder / "partner.json", _json(asdict(kept)), ONLY_OURS)
        return kept

    def forget(self, name: str) -> Partner:
        """Keep a partner no longer; what came from it stays.

        Raises
        ------
        NotFound
            If there is none.
        """
        found = self.called(name)
        with disk_trouble(self._folder):
            (self._of(found.name) / "partner.json").unlink(missing_ok=True)
            rmtree(self._of(found.name), ignore_errors=True)
        return found

    # -- how far ----------------------------------------------------------------------------

    def course(self, name: str, logbook: LogbookId) -> Course:
        """Tell how far the exchange of a vehicle has come; one that is torn begins anew."""
        found: Course = _record(Course, self._kept(name, logbook).get("course"))
        return found

    def keep_course(self, name: str, logbook: LogbookId, course: Course) -> None:
        """Keep how far it has come."""
        self._keep(name, logbook, course=asdict(course))

    def filed(self, name: str, logbook: LogbookId) -> Filed:
        """Tell what went by file."""
        found: Filed = _record(Filed, self._kept(name, logbook).get("filed"))
        return replace(found, photos_missing=tuple(found.photos_missing))

    def keep_filed(self, name: str, logbook: LogbookId, filed: Filed) -> None:
        """Keep what went by file."""
        self._keep(name, logbook, filed=asdict(filed))

    # -- inside -----------------------------------------------------------------------------

    def _of(self, name: str) -> Path:
        slug = re.sub(r"[^a-z0-9]+", "-", name.casefold()).strip("-")[:40]
        return self._folder / f"{slug}-{_short(name.casefold())}"

    def _path(self, name: str, logbook: LogbookId) -> Path:
        return self._of(name) / f"course-{_short(logbook)}.json"

    def _read(self, path: Path) -> Partner:
        try:
            return Partner(**json.loads(path.read_text("utf-8")))
        except (ValueError, TypeError) as error:
            mend = "forget the partner by removing its folder, and add it again"
            raise Damaged(str(path), "cannot be read", mend) from error

    def _kept(self, name: str, logbook: LogbookId) -> Mapping[str, Any]:
        try:
            said = json.loads(self._path(name, logbook).read_text("utf-8"))
        except (OSError, ValueError):
            return {}
        return said if isinstance(said, dict) else {}

    def _keep(self, name: str, logbook: LogbookId, **said: Any) -> None:
        path = self._path(name, logbook)
        if not (path.parent / "partner.json").exists():
            return  # forgotten meanwhile
        with disk_trouble(path):
            write_whole(path, _json({**self._kept(name, logbook), **said}), ONLY_OURS)


def _record(kind: type[Any], said: Any) -> Any:
    """Read a record of which some fields may be unknown here, or missing."""
    known = {each.name for each in fields(kind)}
    given = said if isinstance(said, dict) else {}
    return kind(**{name: value for name, value in given.items() if name in known})


def _json(document: Mapping[str, Any]) -> bytes:
    return json.dumps(document, ensure_ascii=False, indent=1).encode()


def _short(text: str) -> str:
    return sha256(text.encode()).hexdigest()[:16]
