"""What somebody wants printed, and how: the options of every document in one record."""

from dataclasses import dataclass, replace
from pathlib import Path

from putback.errors import BadInput
from putback.logbook.entries.base import DeviceId, LogbookId
from putback.logbook.moments import day_words
from putback.logbook.state import State
from putback.paper.page import USUAL_PAGE, Page
from putback.paper.stock import AS_IT_IS, Calibration, Stock
from putback.paper.terms import Terms
from putback.paper.words import ENGLISH, Words
from putback.planning.plan import Plan
from putback.progress import NoProgress, Progress
from putback.vehicle.goal import Goal
from putback.vehicle.ids import PartId, Ref
from putback.workshop.desk.on_hand import OnHand, plan_on_hand, rebuild_on_hand
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.printing.units import Units


@dataclass(frozen=True, slots=True)
class Wanted:
    """One document of one vehicle; each document reads those options that concern it."""

    workshop: Workshop
    logbook: LogbookId
    device: DeviceId
    """For which tags are reserved, if any are."""
    stock: Stock | None = None
    """What tags are printed on; what is usual for the document where nobody said."""
    at: Calibration = AS_IT_IS
    tags: tuple[str, ...] = ()
    """Print only these."""
    blank: int = 0
    """So many blank ones instead [tags]."""

    words: Words = ENGLISH
    """In which language, and in whose words of the trade."""
    units: Units = Units.BOTH
    page: Page = USUAL_PAGE
    """What cards and lists are printed on."""
    is_rebuild: bool = False
    """Of a plan: that of the rebuild, whichever way round the work goes now."""
    goal: Goal | None = None
    """Of a plan: that of the strip to this goal; of neither, the plan of the work in hand."""
    sittings: tuple[int, ...] = ()
    """Of cards: only these, counted from 1; all where none is named."""
    lift: tuple[Ref, ...] = ()
    """Of a walk-round: what is lifted."""
    apart_from: tuple[PartId, ...] = ()
    """Of a walk-round: what it is lifted off."""
    runs: tuple[PartId, ...] = ()
    """Of route and pipe cards: only these; all where none is named."""
    with_money: bool = False
    """Of the history file: whether sums paid are in it."""
    progress: Progress = NoProgress()
    """Of what takes long: who hears how far it is, and may stop it."""
    scratch: Path | None = None
    """Of what takes long: where lies what is made on the way; else where this system has it."""

    def state(self) -> State:
        """The state as a person here sees it; parts under the names of the wanted terms."""
        found = in_its_garage(self.workshop, self.logbook)
        if self.words.terms is not Terms.AMERICAN:
            return found
        parts = {
            each.id: replace(each, name=each.name_us or each.name)
            for each in found.vehicle.parts.values()
        }
        return replace(found, vehicle=replace(found.vehicle, parts=parts))

    def day(self) -> str:
        """The day of printing, in words."""
        return day_words(self.workshop.clock.now().date().isoformat())

    def on_hand(self) -> OnHand:
        """The plan that is asked for, with what is left of it; nothing is planned here.

        Raises
        ------
        BadInput
            If there is none.
        """
        found = self._kept()
        _plan_of(found)
        return found

    def plan(self) -> Plan:
        """The plan that is asked for, as it was last made; raises as `on_hand` does."""
        return _plan_of(self._kept())

    def _kept(self) -> OnHand:
        if self.is_rebuild:
            return rebuild_on_hand(self.workshop, self.logbook)
        return plan_on_hand(self.workshop, self.logbook, goal=self.goal)


def _plan_of(found: OnHand) -> Plan:
    if found.plan is None:
        fault = found.fault or "no plan is on hand yet"
        raise BadInput(fault, mend="plan first: on Strip or Rebuild, or by putback strip")
    return found.plan
