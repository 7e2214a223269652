"""The library's face: a garage, the logbooks of its vehicles, and what can be asked of one.

A thin cover over the use cases in `putback.workshop`, for scripts and notebooks; its names are
those of ``import putback``. Things go by what a person calls them, as on the command line.
"""

import shlex
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Self

from putback.cli.wire import this_device, this_person
from putback.errors import BadInput
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
from putback.vehicle.ids import GoalId, JointId, PartId, Ref, StandingId
from putback.vehicle.vehicle import Vehicle
from putback.workshop.exchange import export_bundle, take_in
from putback.workshop.garage import in_its_garage
from putback.workshop.how_far import goal_in_hand
from putback.workshop.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.names import find, find_subject
from putback.workshop.situation import situation_of
from putback.workshop.whereabouts import whereabouts
from putback.workshop.workshop import Act, Workshop

if TYPE_CHECKING:
    from putback.logbook.bundle import Manifest
    from putback.planning.ahead import LookAhead
    from putback.planning.alternatives import Alternative
    from putback.planning.balance import Balance
    from putback.planning.balance_over import StepBalance
    from putback.planning.not_now import Cost
    from putback.planning.plan import Plan
    from putback.planning.reach import Reach
    from putback.planning.stretch import BestStretch
    from putback.planning.telling import Drop
    from putback.planning.ties import Ties
    from putback.planning.why import Asked
    from putback.workshop.at_hand import AtHand
    from putback.workshop.pack_up import PackUp
    from putback.workshop.plans import Continued

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
    return Garage(workshop, _person(who), this_device(), opened.close)


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
class VehicleLog:
    """The logbook of one vehicle: what was done is logged, what follows from it is asked."""

    garage: Garage = field(repr=False)
    id: LogbookId
    name: str

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
        return self.garage.workshop.log(
            self.id,
            bodies,
            who=self.garage.who,
            device=self.garage.device,
            happened_at=_as_written(when),
            after=after,
        )

    def say(self, line: str, *, when: When = None, new: bool = False) -> Act:
        """Log a line as it is typed on the command line: ``undone "bumper irons" 3/4 tag=3CAH``.

        ``new`` lets the line take off a part that nobody described yet.

        Raises
        ------
        InputError
            If the line cannot be meant; it says which word and how to mend it.
        """
        from putback.workshop.short_forms import read_line  # knows units, and so loads pint

        try:
            words = shlex.split(line)
        except ValueError as error:
            raise BadInput(f"{line!r} has a quote that does not end", mend="close it") from error
        return self.log(*read_line(words, self.state(), new=new), when=when)

    def suppose(self, *lines: str) -> "VehicleLog":
        """Give the log as if these lines had been logged: ask it anything, nothing is kept.

        Lines are as for `say`. It takes nothing that is logged to it afterwards; it can itself be
        asked to suppose more.

        Raises
        ------
        InputError
            If a line cannot be meant.
        """
        from putback.workshop.what_if import suppose  # knows units, and so loads pint

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
        from putback.workshop.walk_round import ticked  # what only this asks for

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

    # -- planning ---------------------------------------------------------------------------

    def reach(self, named: str) -> "Reach":
        """Find the least work that gets at a part, joint or assembly, or lets a job be done.

        Raises
        ------
        ImpossibleGoal
            If it cannot be reached; names the facts.
        """
        from putback.planning.reach import reach  # loads the solver

        state = self.state()
        return reach(state.vehicle, state, Ref(find_subject(state, named)))

    def ties(self, *lift: str, apart_from: Sequence[str] = ()) -> "Ties":
        """Find what still ties parts or assemblies before they are lifted, and what goes along.

        Parameters
        ----------
        *lift : str
            What is lifted together, as a person calls it.
        apart_from : sequence of str, optional
            The parts it is lifted off; else the one that the goals are about.

        Raises
        ------
        BadInput
            If all of it is off already, or nothing is left to lift it off.
        """
        from putback.planning.ties import ties  # what only this asks for

        state = self.state()
        refs = [Ref(find_subject(state, each, ("part", "assembly"))) for each in lift]
        rest = [PartId(find(state, "part", each)) for each in apart_from]
        return ties(state.vehicle, state, *refs, apart_from=rest)

    def drops(self, named: str) -> "tuple[Drop, ...]":
        """Say what a joint, or each joint that holds a part or assembly, lets go."""
        from putback.planning.drops import drops_at

        state = self.state()
        what = Ref(find_subject(state, named, ("joint", "part", "assembly")))
        return drops_at(state.vehicle, state, what)

    def why_before(self, first: str, then: str) -> "Asked":
        """Say by which facts one thing comes before another in every plan, and what would free it.

        Where no fact does, what of cost puts it first in the plan to the goal in hand.

        Raises
        ------
        ImpossibleGoal
            If there is no plan; names the facts.
        """
        from putback.planning.why import why_before  # loads the solver

        state = self.state()
        one, other = (Ref(find_subject(state, each)) for each in (first, then))
        work = self._at_hand(None)
        return why_before(
            state.vehicle, state, work.plan, work.goal, one, other, settings=work.settings
        )

    def strip(self, goal: str | None = None) -> "Plan":
        """Plan the strip to a goal, by its name; else to the first that is not reached yet.

        Raises
        ------
        BadInput
            If no goal is described.
        ImpossibleGoal
            If facts and goal contradict each other; names the facts.
        """
        from putback.planning.strip import plan_strip  # loads the solver

        state = self.state()
        goals = state.vehicle.goals
        wanted = goals[GoalId(find(state, "goal", goal))] if goal else goal_in_hand(state)
        if wanted is None:
            raise BadInput("no goal is described yet", self.name, "describe one, or ask reach")
        return plan_strip(state.vehicle, state, wanted)

    def follow(self, goal: str | None = None, *, afresh: bool = False) -> "Continued":
        """Plan the strip close to the plan last followed; say what changed. *Afresh* forgets it.

        Raises as `strip` does.
        """
        from putback.workshop.plans import follow, goal_called  # loads the solver

        wanted = goal_called(self.state(), goal)
        return follow(self.garage.workshop, self.id, wanted, afresh=afresh)

    def alternatives(self, goal: str | None = None) -> "tuple[Alternative, ...]":
        """Give up to three plans that differ from the one followed in what people care about."""
        from putback.workshop.plans import alternatives, goal_called  # loads the solver

        return alternatives(self.garage.workshop, self.id, goal_called(self.state(), goal))

    def pin(self, plan: "Plan") -> None:
        """Follow this plan from now on, whatever a fresh one would save; nothing is logged."""
        from putback.workshop.plans import pin  # loads the solver

        pin(self.garage.workshop, self.id, plan)

    def cost_of_putting_off(self, named: str, goal: str | None = None) -> "Cost":
        """Say what it costs to put a joint, part, assembly or job off; nothing is logged."""
        from putback.workshop.plans import cost_of_putting_off, goal_called  # loads the solver

        state = self.state()
        what = Ref(find_subject(state, named, ("part", "joint", "job", "assembly")))
        wanted = goal_called(state, goal)
        return cost_of_putting_off(self.garage.workshop, self.id, wanted, what)

    def balance(self, standing: str | None = None) -> "Balance":
        """Work out mass, centre of gravity, loads and margin, as it stands or in a standing."""
        from putback.planning.balance import balance

        state = self.state()
        stood = StandingId(find(state, "standing", standing)) if standing else None
        return balance(state.vehicle, state, stood or state.standing.standing)

    def balance_over(self, plan: "Plan") -> "tuple[StepBalance, ...]":
        """Work out the balance after every step of a plan that begins now."""
        from putback.planning.balance_over import balance_over

        state = self.state()
        return balance_over(state.vehicle, state, plan)

    def rebuild(self) -> "Plan":
        """Plan how everything that is off goes back.

        Raises
        ------
        ImpossibleGoal
            If the facts of the rebuild contradict each other; names them.
        """
        from putback.planning.rebuild import plan_rebuild  # loads the solver

        state = self.state()
        return plan_rebuild(state.vehicle, state)

    def ahead(
        self,
        goal: str | None = None,
        *,
        sittings: int | None = None,
        days: float | None = None,
        everything: bool = False,
    ) -> "LookAhead":
        """Say what to do now for later jobs: soak, order, borrow, ask people, decide, measure.

        ``sittings`` and ``days`` of work say how far to look, ``everything`` to the end.
        """
        from putback.planning.ahead import Horizon, look_ahead

        state = self.state()
        plan = self._at_hand(goal).plan
        return look_ahead(state.vehicle, state, plan, Horizon(sittings, days, everything))

    def stretch(
        self, minutes: float, *, people: int | None = None, goal: str | None = None
    ) -> "BestStretch":
        """Find what of the plan to do in so many minutes, so that it ends closed and safe.

        ``people`` are all who are there; as many as it takes where not given.
        """
        from putback.planning.stretch import best_stretch

        state = self.state()
        work = self._at_hand(goal)
        return best_stretch(
            state.vehicle, state, work.plan, minutes, people=people, settings=work.settings
        )

    def pack_up(self, now: datetime | None = None) -> "PackUp":
        """List what is to be done before anybody goes home, dangers first."""
        from putback.workshop.pack_up import pack_up

        return pack_up(self.garage.workshop, self.id, now)

    def _at_hand(self, goal: str | None) -> "AtHand":
        from putback.workshop.at_hand import plan_at_hand  # loads the solver
        from putback.workshop.plans import goal_called

        wanted = goal_called(self.state(), goal) if goal is not None else None
        return plan_at_hand(self.garage.workshop, self.id, wanted)

    # -- handing over -----------------------------------------------------------------------

    def export(
        self, path: Path | str, *, since: Path | str | None = None, without_private: bool = False
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
        """
        had = Path(since) if since is not None else None
        return export_bundle(
            self.garage.workshop, self.id, Path(path), since=had, without_private=without_private
        )


def _person(who: str | None) -> PersonId:
    return PersonId(who) if who else this_person()


def _as_written(when: When) -> str | None:
    """Write a moment as an entry holds it; one without a zone is of this machine's."""
    if isinstance(when, datetime):
        return (when if when.tzinfo else when.astimezone()).isoformat()
    return when.isoformat() if isinstance(when, date) else when
