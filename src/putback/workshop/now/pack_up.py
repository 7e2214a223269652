"""Packing up: what is to be done before anybody goes home, dangers first.

It goes by what was logged in the sitting. The list is short on purpose: what is dangerous, what is
open or half done, what would be lost by tomorrow, and what oil may work at over night.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from enum import StrEnum
from typing import TYPE_CHECKING

from putback.errors import PutbackError
from putback.logbook.entries.base import Entry, LogbookId, Subject
from putback.logbook.entries.rebuilding import JointMade, PartOn
from putback.logbook.entries.working import (
    Drained,
    JobDone,
    JointCracked,
    JointUndone,
    OpeningClosed,
    PartOff,
    PhotoTaken,
)
from putback.logbook.fluids import pours_of
from putback.logbook.open_items import Danger, OpenItem, Situation, open_items
from putback.logbook.open_items.wording import count, listed
from putback.logbook.state import State
from putback.planning.ahead import Sort, look_ahead
from putback.planning.plan import Plan
from putback.vehicle.opening import Opening
from putback.workshop.desk import plan_on_hand
from putback.workshop.logbooks.situation import situation_of
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.now.sitting import sitting
from putback.workshop.plans.at_hand import plan_at_hand

if TYPE_CHECKING:
    from putback.vehicle.ids import FluidId, JointId

MOST_SOAKED = 3
"""So many joints are named to soak over night; nobody oils twenty on the way out."""


class Matter(StrEnum):
    """What a line is about, in the order in which one packs up."""

    DANGER = "danger"  # somebody can get hurt, or the vehicle damaged, while nobody is there
    HANGS = "hangs"  # on a jack, a hoist, a wire
    CLOSE = "close"  # ends and holes that stand open
    HALF_DONE = "half done"  # joints between two states
    BAG = "bag"  # hardware that is in no bag, containers and parts that have no place
    FLUIDS = "fluids"  # in open trays
    COUNT = "count"  # tools and caps
    PHOTO = "photo"  # the bench as it is left
    SOAK = "soak"


@dataclass(frozen=True, slots=True)
class PackUpLine:
    """One thing to do; ``item`` is the open item behind it, where there is one."""

    part: Matter
    words: str
    do: str = ""
    item: OpenItem | None = None
    of: Subject | None = None
    """What is to be soaked."""


_RULES = {
    "will drop": Matter.HANGS,
    "support in the air": Matter.HANGS,
    "end open": Matter.CLOSE,
    "joint half undone": Matter.HALF_DONE,
    "joint slack": Matter.HALF_DONE,
    "hardware nowhere": Matter.BAG,
    "container nowhere": Matter.BAG,
    "part nowhere": Matter.BAG,
    "laid away not off": Matter.BAG,
}
"""Which rules of the open items ask for something before one goes home; of other rules only what
is dangerous."""


@dataclass(frozen=True, slots=True)
class PackUp:
    """What is to be done before anybody goes home; nothing, if all is well."""

    lines: tuple[PackUpLine, ...]
    begun: date
    """On which the sitting began: today, or yesterday where it went on over midnight."""
    ends: "EndsClosed"
    """How many of the ends that are opened are closed."""


@dataclass(frozen=True, slots=True)
class EndsClosed:
    """So many ends are closed, of those that the work has opened."""

    closed: int
    of: int


def pack_up(
    workshop: Workshop,
    logbook: LogbookId,
    now: datetime | None = None,
    *,
    may_plan: bool = True,
) -> PackUp:
    """Gather what is to be done now.

    Parameters
    ----------
    workshop, logbook
        Where it was logged; entries of today that were not struck out are the sitting, and those
        before midnight where the work went on over it.
    now : datetime, optional
        The hour, and with it which day today is; else it is told by the clock where they are.
    may_plan : bool
        Whether there is time to plan; else what to soak is told by the plan on hand.
    """
    situation = situation_of(workshop, logbook, now)
    found = sitting(workshop.standing(logbook), now or workshop.now_there())
    today = found.entries
    lines = [
        *_from_open_items(situation),
        *_on_a_jack(situation),
        *_fluids(situation, today),
        *_to_count(situation, today),
        *_photo(today),
        *_soak(situation.state, _plan(workshop, logbook, may_plan=may_plan)),
    ]
    order = list(Matter)
    lines.sort(key=lambda line: order.index(line.part))
    return PackUp(tuple(lines), found.begun, ends_closed(situation.state))


def _from_open_items(situation: Situation) -> Iterator[PackUpLine]:
    for item in open_items(situation):
        part = Matter.DANGER if item.danger is Danger.DANGER else _RULES.get(item.rule)
        if part is not None:
            yield PackUpLine(part, item.words, item.clears, item)


def _on_a_jack(situation: Situation) -> Iterator[PackUpLine]:
    """What a temporary support bears until a job that is not done yet."""
    if situation.rebuild_begun:
        return  # they are described as the strip needs them
    for support in situation.state.vehicle.temporary_supports.values():
        if situation.is_done(support.first) and not situation.is_done(support.last):
            name, last = situation.name(f"part:{support.bears_on}"), situation.name(support.last)
            yield PackUpLine(
                Matter.HANGS,
                f"{name} hangs on the {support.kind}",
                f"finish {last}, or set it down on what stands: nothing is left on a jack",
            )


# -- by what was logged today ---------------------------------------------------------------------


def _fluids(situation: Situation, today: Sequence[Entry]) -> Iterator[PackUpLine]:
    """What was drained today stands in a tray somewhere."""
    vehicle = situation.state.vehicle
    drains = pours_of(vehicle).drains
    drained: dict[FluidId, None] = {}
    for entry in today:
        body = entry.body
        if isinstance(body, Drained):
            drained[body.fluid] = None
        elif isinstance(body, JobDone):
            drained.update(dict.fromkeys(drains.get(body.job, ())))
    for fluid in drained:
        record = vehicle.fluids.get(fluid)
        hazard = f"; {record.hazard}" if record and record.hazard else ""
        yield PackUpLine(
            Matter.FLUIDS,
            f"{situation.name(f'fluid:{fluid}')} was drained today{hazard}",
            "out of open trays into a closed, marked can; wipe up what was spilt",
        )


def _to_count(situation: Situation, today: Sequence[Entry]) -> Iterator[PackUpLine]:
    """Tools of the joints that were worked on today, and the caps that went in."""
    joints = situation.state.vehicle.joints
    worked: dict[JointId, None] = {}
    caps = 0
    for entry in today:
        body = entry.body
        if isinstance(body, (JointUndone, JointCracked, JointMade)):
            worked[body.joint] = None
        elif isinstance(body, OpeningClosed):
            opening = situation.state.vehicle.openings.get(body.opening)
            caps += body.ends if body.ends is not None else _ends(opening)
    tools = dict.fromkeys(joints[each].tool for each in worked if each in joints)
    names = [tool for tool in tools if tool]
    if names:
        yield PackUpLine(
            Matter.COUNT,
            f"tools used today: {listed(names, most=8)}",
            "count them back: none stays in the vehicle",
        )
    if caps:
        yield PackUpLine(
            Matter.COUNT,
            f"{count(caps, 'cap or plug', 'caps and plugs')} went in today",
            "each with its flag, so that none stays in at the end",
        )


def _ends(opening: Opening | None) -> int:
    return opening.ends if opening is not None else 1


def _photo(today: Sequence[Entry]) -> Iterator[PackUpLine]:
    """Who worked takes a picture of how it was left."""
    worked = [each for each in today if isinstance(each.body, _WORK)]
    last = worked[-1] if worked else None
    photos = [each for each in today if isinstance(each.body, PhotoTaken)]
    if last is not None and not (photos and today.index(photos[-1]) > today.index(last)):
        yield PackUpLine(
            Matter.PHOTO,
            "no photo since the last job",
            "one of the bench and one of the vehicle as they are left",
        )


_WORK = (JointUndone, JointCracked, JointMade, PartOff, PartOn)


def _soak(state: State, plan: Plan | None) -> Iterator[PackUpLine]:
    """What oil may work at over night, if it can be got at; without a plan nobody knows."""
    found = look_ahead(state.vehicle, state, plan).of(Sort.SOAK) if plan else ()
    for line in [line for line in found if not line.not_yet][:MOST_SOAKED]:
        cautions = f" ({'; '.join(line.cautions)})" if line.cautions else ""
        where = f", {line.where}" if line.where else ""
        what = next((Subject(step) for step in line.steps if step.startswith("joint:")), None)
        yield PackUpLine(
            Matter.SOAK, f"{line.what}{where}: {line.why}", f"soak it{cautions}", of=what
        )


def _plan(workshop: Workshop, logbook: LogbookId, *, may_plan: bool) -> Plan | None:
    if not may_plan:
        hand = plan_on_hand(workshop, logbook)
        return replace(hand.plan, steps=hand.steps) if hand.plan else None
    try:
        return plan_at_hand(workshop, logbook).plan
    except PutbackError:
        return None


def ends_closed(state: State) -> EndsClosed:
    """Count the ends that undone joints have opened, and those of them that are closed."""
    closed = of = 0
    for opening in state.vehicle.openings.values():
        if opening.needs_closing and not state.undone_joints.isdisjoint(opening.joints):
            seen = state.openings.get(opening.id)
            done = 0 if seen is None else opening.ends if seen.all_closed else seen.closed
            closed, of = closed + min(done, opening.ends), of + opening.ends
    return EndsClosed(closed, of)
