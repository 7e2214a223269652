"""A garage, the logbooks of its vehicles, and what can be logged and asked of one."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Literal, Self

from putback.cli.wire import this_device, this_person
from putback.errors import BadInput
from putback.face.planning import Book, PlanQuestions
from putback.logbook.entries.base import (
    ActId,
    Body,
    DeviceId,
    Entry,
    EntryId,
    LogbookId,
    PersonId,
    Subject,
)
from putback.logbook.hardware_check import HardwareCheck, hardware_check
from putback.logbook.open_items import OpenItem, open_items
from putback.logbook.state import State
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import JointId, Ref
from putback.vehicle.vehicle import Vehicle
from putback.workshop.exchange.exchange import export_bundle, take_in
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.situation import situation_of
from putback.workshop.logbooks.workshop import Act, Workshop
from putback.workshop.saying.names import find, find_subject
from putback.workshop.saying.whereabouts import whereabouts

if TYPE_CHECKING:
    from putback.logbook.bundle import Manifest
    from putback.planning.ties import Ties
    from putback.workshop.exchange.course import Exchange, Exchanged

When = datetime | date | str | None
"""A moment, a day, ISO 8601 text (``"2031-05"`` for a month, ``""`` for unknown); else now."""


def open_garage(
    home: Path | str | None = None, *, url: str | None = None, who: str | None = None
) -> "Garage":
    """Open the garage kept on this machine, making it first where there is none.

    Parameters
    ----------
    home : Path or str, optional
        Its folder; else ``PUTBACK_HOME``, else this system's place for a person's data.
    url : str, optional
        Address of a PostgreSQL database; else ``PUTBACK_DATABASE_URL``, else SQLite in ``home``.
    who : str, optional
        Who logs; else ``PUTBACK_WHO``, else the name of the account.
    """
    from putback.web.store import setup  # loads Django and the database, which no bundle needs

    opened = setup(home, url)
    workshop = Workshop(opened.entries, opened.photos)
    return Garage(workshop, _person(who), this_device(), opened.close, opened.home)


def garage_in_memory(*, who: str | None = None) -> "Garage":
    """Make an empty garage that is gone when the program ends: to try things out."""
    return Garage(Workshop(MemoryEntryStore(), MemoryPhotoStore()), _person(who), this_device())


def open_bundle(path: Path | str, *, who: str | None = None) -> "VehicleLog":
    """Open a bundle to look at, or to go on from: in memory, the file stays as it is.

    Raises
    ------
    BundleError
        If anything in the bundle is not as it was written.
    """
    return garage_in_memory(who=who).take_in(path)


@dataclass(frozen=True, slots=True)
class Garage:
    """The logbooks of a garage; `open_garage` opens one.

    It can be used in a ``with`` statement, which closes it.
    """

    workshop: Workshop
    """The use cases, for what this face does not show."""
    who: PersonId
    device: DeviceId
    _let_go: Callable[[], None] = field(default=lambda: None, repr=False)
    home: Path | None = None
    """Its folder; ``None`` in memory."""

    def vehicles(self) -> "tuple[VehicleLog, ...]":
        """List the vehicles, by name."""
        return tuple(VehicleLog(self, each.id, each.name) for each in self.workshop.logbooks())

    def vehicle(self, named: str) -> "VehicleLog":
        """Find a vehicle by its name, or by how its identity begins.

        Raises
        ------
        NotFound
            If none is called so.
        BadInput
            If several are.
        """
        found = self.workshop.find(named)
        return next(each for each in self.vehicles() if each.id == found)

    def new_vehicle(self, vehicle: Vehicle | str) -> "VehicleLog":
        """Begin a vehicle, of which no more than the name need be known."""
        return self._log_of(self.workshop.new_vehicle(vehicle, who=self.who, device=self.device))

    def take_in(self, bundle: Path | str) -> "VehicleLog":
        """Take in a bundle: a vehicle that is new here becomes yours, a known one is merged.

        Raises
        ------
        BundleError
            If anything in the bundle is not as it was written; nothing was taken in.
        """
        return self._log_of(take_in(self.workshop, Path(bundle), who=self.who).logbook)

    def pull(self, partner: str, vehicle: str = "") -> "VehicleLog":
        """Fetch a partner's vehicle, called so there, or their only one: all that is new here.

        One that is not here yet becomes yours. Partners are added by `putback partners add`.

        Raises
        ------
        NotFound
            If there is no such partner, or no such vehicle there.
        BadInput
            If several are meant, or the partner is reached by file alone.
        NoExchange
            If the partner does not answer, or refuses; what came until then is kept.
        """
        return self._log_of(_exchanged(self, "pull", partner, vehicle=vehicle).logbook)

    def close(self) -> None:
        """Let go of the store."""
        self._let_go()

    def _log_of(self, logbook: LogbookId) -> "VehicleLog":
        return next(each for each in self.vehicles() if each.id == logbook)

    def __enter__(self) -> Self:
        """Use it."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close it."""
        self.close()


@dataclass(frozen=True, slots=True)
class VehicleLog(PlanQuestions):
    """The logbook of one vehicle: what was done is logged, what follows from it is asked."""

    garage: Garage = field(repr=False)
    id: LogbookId
    name: str

    @property
    def book(self) -> Book:
        """The logbook and its workshop, for the questions about plans."""
        return Book(self.garage.workshop, self.id)

    # -- logging ----------------------------------------------------------------------------

    def log(self, *bodies: Body, when: When = None, after: EntryId | None = None) -> Act:
        """Log what happened, as one act: its entries stand, or are struck out, together.

        Parameters
        ----------
        *bodies : Body
            What happened, such as ``PartOff(part="radiator")``.
        when : datetime, date or str, optional
            When it happened, as exactly as is known; now where not given.
        after : EntryId, optional
            The entry behind which a late note belongs.

        Raises
        ------
        BadInput, MalformedEntry
            If it cannot be written down; nothing was saved.
        """
        return self._log(self.id, bodies, when, after)

    def _log(
        self, logbook: LogbookId, bodies: Sequence[Body], when: When, after: EntryId | None = None
    ) -> Act:
        return self.garage.workshop.log(
            logbook,
            bodies,
            who=self.garage.who,
            device=self.garage.device,
            happened_at=_as_written(when),
            after=after,
        )

    def say(self, line: str, *, when: When = None, new: bool = False) -> Act:
        """Log a line as it is typed on the command line: ``undone "bumper irons" 3/4 tag=3CAH``.

        ``new`` lets the line take off a part that nobody described yet. A place or a person goes
        into the garage's logbook, for vehicles share them.

        Raises
        ------
        InputError
            If the line cannot be meant; it says which word and how to mend it.
        """
        # knows units, and so loads pint
        from putback.workshop.saying.forms import book_for, parted
        from putback.workshop.saying.short_forms import read_line, rests_on_its_moment
        from putback.workshop.saying.spoken import in_short_form

        words, workshop = in_short_form(parted(line)), self.garage.workshop
        book = book_for(words, self.id)
        state = self.state() if book == self.id else workshop.state(book)
        if when is not None and rests_on_its_moment(words):
            state = workshop.state_then(self.id, _as_written(when))
        return self._log(book, read_line(words, state, new=new), when)

    def suppose(self, *lines: str) -> "VehicleLog":
        """Give the log as if these lines had been logged: ask it anything, nothing is kept.

        Lines are as for `say`. It takes nothing that is logged to it afterwards; it can itself be
        asked to suppose more.

        Raises
        ------
        InputError
            If a line cannot be meant.
        """
        from putback.workshop.plans.what_if import suppose  # knows units, and so loads pint

        garage = self.garage
        supposed = suppose(garage.workshop, self.id, lines, who=garage.who, device=garage.device)
        return replace(self, garage=replace(garage, workshop=supposed))

    def tick(self, found: "Ties", *joints: str) -> Act:
        """Log that ties are free: those that held as undone, those undone as seen free.

        Raises
        ------
        NotFound
            If nothing is called so; with the nearest names.
        BadInput
            If a joint does not tie that lift.
        """
        from putback.workshop.plans.walk_round import ticked  # what only this asks for

        state = self.state()
        named = [JointId(find(state, "joint", each)) for each in joints]
        return self.log(*ticked(state, found, named))

    def strike(self, what: EntryId | ActId, why: str = "") -> Act:
        """Strike out an entry, or all of an act; striking the strike out brings it back."""
        return self.garage.workshop.strike(
            self.id, what, who=self.garage.who, device=self.garage.device, why=why
        )

    # -- asking -----------------------------------------------------------------------------

    def state(self) -> State:
        """Tell where every part and fastener is now."""
        return in_its_garage(self.garage.workshop, self.id)

    def find(self, named: str) -> Subject:
        """Find a thing by what a person calls it: ``"radiator"`` is ``"part:radiator"``.

        Raises
        ------
        NotFound
            If nothing is called so; with the nearest names.
        SeveralMeant
            If several things are; ``"joint:..."`` says the kind.
        """
        return find_subject(self.state(), named)

    def where(self, named: str) -> tuple[str, ...]:
        """Say in plain lines where a thing is and how it is."""
        state = self.state()
        return whereabouts(state, find_subject(state, named))

    def history(self, named: str) -> tuple[Entry, ...]:
        """Give what was logged of a thing and stands, in the order in which it happened."""
        return self.garage.workshop.history(self.id, self.find(named))

    def open_items(self, now: datetime | None = None) -> tuple[OpenItem, ...]:
        """List what is forgotten, contradictory or dangerous, dangers first."""
        return open_items(situation_of(self.garage.workshop, self.id, now))

    def hardware_check(self) -> HardwareCheck:
        """Compare the hardware accounts with what belongs into each joint."""
        return hardware_check(self.state())

    # -- handing over -----------------------------------------------------------------------

    def paper(
        self,
        document: str,
        *,
        blank: int = 0,
        stock: str | None = None,
        size: str = "a4",
        is_large: bool = False,
        language: str = "en",
        terms: str = "british",
        units: str = "both",
        goal: str | None = None,
        is_rebuild: bool = False,
        sittings: Sequence[int] = (),
        lift: Sequence[str] = (),
        is_html: bool = False,
        with_money: bool = False,
        progress: Progress = NoProgress(),
    ) -> bytes:
        """Make a document to print, as a PDF: ``"tags"``, ``"cards"``, ``"torque"`` ...

        Parameters
        ----------
        document : str
            Its name, as ``putback print --list`` tells it.
        blank : int
            So many blank tags instead of those in use; printing them reserves their codes.
        stock : str, optional
            What tags are printed on; else what is usual.
        size : str
            What cards and lists are printed on: ``"a4"`` or ``"letter"``.
        is_large : bool
            Whether letters are large.
        language : str
            ISO 639-1 code: ``"en"`` or ``"de"``.
        terms : str
            Of English: ``"british"`` or ``"american"``.
        units : str
            ``"metric"``, ``"imperial"`` or ``"both"``.
        goal : str, optional
            Of cards: the strip to this goal; else the plan of the work in hand.
        is_rebuild : bool
            Of cards: those of the rebuild.
        sittings : sequence of int
            Of cards: only these, counted from 1.
        lift : sequence of str
            Of a walk-round: what is lifted.
        is_html : bool
            Of the history file: as one page of HTML, not as a PDF.
        with_money : bool
            Of the history file: with sums paid.
        progress : Progress
            Of the history file: who hears how far it is, and may stop it.

        Raises
        ------
        NotFound
            If there is no such document, or nothing is called so.
        BadInput
            If there is nothing to print.
        """
        # what only this asks for, and loads Typst
        from putback.paper.language import words_in
        from putback.paper.page import page_called
        from putback.paper.stock import stock_called
        from putback.workshop.plans.plans import goal_called
        from putback.workshop.printing.documents import Option, document_called
        from putback.workshop.printing.form import Form
        from putback.workshop.printing.plan_first import plan_first
        from putback.workshop.printing.units import units_called
        from putback.workshop.printing.wanted import Wanted

        found, state = document_called(document), self.state()
        wanted = Wanted(
            self.garage.workshop,
            self.id,
            self.garage.device,
            stock=stock_called(stock) if stock else None,
            blank=blank,
            words=words_in(language, terms),
            units=units_called(units),
            page=page_called(size, is_large=is_large),
            goal=goal_called(state, goal) if goal else None,
            is_rebuild=is_rebuild or Option.REBUILD in found.options,
            sittings=tuple(sittings),
            with_money=with_money,
            progress=progress,
            lift=tuple(Ref(find_subject(state, each, ("part", "assembly"))) for each in lift),
        )
        plan_first(found, wanted)
        return found.made_as(Form.HTML if is_html else Form.PDF, wanted)

    def push(self, partner: str) -> "Exchanged":
        """Send a partner what this copy has and theirs has not, photos included.

        Raises
        ------
        NotFound
            If there is no such partner.
        BadInput
            If the partner is reached by file alone.
        NoExchange
            If the partner does not answer, or refuses; what went until then is kept.
        """
        return _exchanged(self.garage, "push", partner, self.id).done

    def pull(self, partner: str) -> "Exchanged":
        """Fetch what a partner's copy has and this one has not; raises as `push` does."""
        return _exchanged(self.garage, "pull", partner, self.id).done

    def export(
        self,
        path: Path | str,
        *,
        since: Path | str | None = None,
        without_private: bool = False,
        with_location: bool = False,
    ) -> "Manifest":
        """Write the whole logbook and its photos into a bundle.

        Parameters
        ----------
        path : Path or str
            The file to write.
        since : Path or str, optional
            An earlier bundle that the receiver has: only what is not in it goes along.
        without_private : bool
            Leave out money and people's names.
        with_location : bool
            Let photos go along with the place where they were taken.
        """
        had = Path(since) if since is not None else None
        return export_bundle(
            self.garage.workshop,
            self.id,
            Path(path),
            since=had,
            without_private=without_private,
            with_location=with_location,
        )


def _exchanged(
    garage: Garage,
    way: Literal["pull", "push"],
    partner: str,
    logbook: LogbookId | None = None,
    *,
    vehicle: str = "",
) -> "Exchange":
    """Pull or push a vehicle of ours, or pull one that is called so at the partner."""
    # the network, which no other question needs
    from putback.workshop.exchange.partners import Partners
    from putback.workshop.exchange.with_partner import exchange_with, reached, vehicle_there

    if garage.home is None:
        raise BadInput("a garage in memory has no partners", mend="open one by open_garage")
    kept = Partners(garage.home)
    found = kept.called(partner)
    with reached(found) as far:
        meant = logbook or vehicle_there(far, vehicle)
        exchange = exchange_with(garage.workshop, kept, found, far, meant, garage.who)
        for _ in exchange.pull() if way == "pull" else exchange.push():
            pass
    return exchange


def _person(who: str | None) -> PersonId:
    return PersonId(who) if who else this_person()


def _as_written(when: When) -> str | None:
    """Write a moment as an entry holds it; one without a zone is of this machine's."""
    if isinstance(when, datetime):
        return (when if when.tzinfo else when.astimezone()).isoformat()
    return when.isoformat() if isinstance(when, date) else when
