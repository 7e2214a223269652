"""What a phone holds of a vehicle, to go on where there is no network.

The remaining jobs of the plan on hand, each with all its card shows, what it is logged as, and
what must precede it; how the vehicle stands, what is held, what is open, what to do before one
goes home, and names and tags. It is made of what is known at once: nothing is planned for it.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from putback.errors import PutbackError
from putback.logbook.entries.base import DeviceId, LogbookId, TagCode
from putback.logbook.open_items import OpenItem, before_standing
from putback.logbook.state import State
from putback.planning.ordering.put_off import in_force
from putback.planning.plan import STEPS_FOR, Step
from putback.planning.precede import Precedence, precede_strip
from putback.planning.precede_rebuild import precede_rebuild
from putback.vehicle.ids import JointId, Ref, StandingId
from putback.version import __version__
from putback.workshop.desk import OnHand, plan_on_hand
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.open_now import open_now
from putback.workshop.logbooks.ports import GARAGE, Role
from putback.workshop.logbooks.situation import situation_of
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.now.bag_at_hand import (
    TAGS_AT_ONCE,
    ProposedTag,
    proposed_tag,
    tags_at_hand,
)
from putback.workshop.now.logged_as import DoneBy, done_by, logged_as, said_plainly
from putback.workshop.now.pack_up import PackUpLine, pack_up
from putback.workshop.plans.how_far import HowFar, Way, how_far
from putback.workshop.plans.job_card import JobCard, job_card, standing_card
from putback.workshop.plans.plans import REBUILD, settings_of_today
from putback.workshop.saying.on_offer import names_on_offer

MOST_JOBS = 400
"""Jobs that are held [jobs]: some weeks of evenings, and a few hundred kilobytes."""

LEAST_TAGS = 8
"""Tags that a phone is given at least, as it cannot ask for more out there [tags]."""


@dataclass(frozen=True, slots=True)
class HeldJob:
    """One job that is left."""

    card: JobCard
    standing: StandingId | None
    """How the vehicle stands for it; ``None`` where it does not matter."""
    precedence: Precedence
    log: tuple[dict[str, Any], ...]
    """What it is logged as, with the usual answers."""
    done_by: tuple[DoneBy, ...]
    bag: ProposedTag | None
    """Where its pieces are proposed to go."""
    is_put_off: bool


@dataclass(frozen=True, slots=True)
class HeldStanding:
    """How the vehicle can be made to stand for one of the jobs."""

    standing: StandingId
    card: JobCard
    log: tuple[dict[str, Any], ...]


@dataclass(frozen=True, slots=True)
class Held:
    """A vehicle, as far as a phone holds it."""

    logbook: LogbookId
    name: str
    notice: str
    position: int
    """Of the logbook's last entry that this takes into account."""
    hand: OnHand
    far: HowFar
    standing: StandingId | None
    jobs: tuple[HeldJob, ...]
    jobs_left_off: int
    """Jobs of the plan behind these, which are not held."""
    standings: tuple[HeldStanding, ...]
    holds: tuple[str, ...]
    open: tuple[OpenItem, ...]
    pack_up: tuple[PackUpLine, ...]
    places: tuple[tuple[str, str], ...]
    names: tuple[str, ...]
    tags: tuple[TagCode, ...]


def held(workshop: Workshop, logbook: LogbookId, tags: Sequence[TagCode] = ()) -> Held:
    """Gather what a phone is to hold; ``tags`` are those that it may issue."""
    state = in_its_garage(workshop, logbook)
    hand = plan_on_hand(workshop, logbook)
    steps = hand.steps[:MOST_JOBS]
    precede = workshop.remembered.give(
        workshop.store,
        logbook,
        "precedence",
        lambda: _precedence(workshop, state, hand),
        (hand.plan, hand.is_fresh),
    )
    put_off = in_force(state, workshop.clock.now().date())
    return Held(
        logbook=logbook,
        name=state.vehicle.about.name,
        notice=state.vehicle.about.notice,
        position=workshop.store.position(logbook),
        hand=hand,
        far=how_far(state),
        standing=state.standing.standing,
        jobs=tuple(
            _job(state, step, hand.steps[at + 1 :], precede[at], tags, put_off)
            for at, step in enumerate(steps)
        ),
        jobs_left_off=len(hand.steps) - len(steps),
        standings=tuple(_standings(workshop, logbook, state, steps)),
        holds=tuple(each.words for each in state.in_force),
        open=open_now(workshop, logbook),
        pack_up=pack_up(workshop, logbook, may_plan=False).lines,
        places=tuple((each.place, each.name or each.place) for each in state.places.values()),
        names=names_on_offer(state, STEPS_FOR),
        tags=tuple(tags),
    )


def basis(workshop: Workshop, logbook: LogbookId, tags: Sequence[TagCode] = ()) -> str:
    """Name what `held` rests on: as long as that is the same, so is what it gives."""
    hand, store = plan_on_hand(workshop, logbook), workshop.store
    kept = store.kept_plan(logbook, hand.goal.id if hand.goal else REBUILD)
    garage = next((each.position for each in store.logbooks() if each.id == GARAGE), 0)
    rests_on = (
        store.position(logbook),
        garage,
        kept.blob if kept else b"",
        workshop.clock.now().date(),
        workshop.last_backup(),
        tuple(tags),
        __version__,
    )
    return sha256(repr(rests_on).encode()).hexdigest()[:32]


def tags_to_hold(
    workshop: Workshop, logbook: LogbookId, device: DeviceId, role: Role
) -> tuple[TagCode, ...]:
    """Give the tags that a phone may issue out there; whoever only looks on is given none."""
    if role is Role.VIEWER:
        return ()
    free = tags_at_hand(workshop, logbook, device, role)
    if len(free) < LEAST_TAGS:
        more = workshop.reserve_tags(device, TAGS_AT_ONCE)
        free = (*free, *(tag for tag in map(TagCode, more) if tag not in free))
    return free


def _precedence(workshop: Workshop, state: State, hand: OnHand) -> tuple[Precedence, ...]:
    """Say what must precede each step that is left; where nobody can tell, all before it."""
    settings = settings_of_today(workshop)
    try:
        if hand.way is Way.REBUILD:
            return precede_rebuild(state.vehicle, state, hand.steps, settings)
        if hand.goal is not None:
            return precede_strip(state.vehicle, state, hand.goal, hand.steps, settings)
    except PutbackError:
        pass  # the plan contradicts what was logged since: its own order is all that is known
    return tuple(Precedence(0, ((at - 1,),) if at else ()) for at, _ in enumerate(hand.steps))


def _job(
    state: State,
    step: Step,
    later: Sequence[Step],
    precedence: Precedence,
    tags: Iterable[TagCode],
    put_off: frozenset[Ref],
) -> HeldJob:
    card = job_card(step, state, later)
    bag = proposed_tag(state, JointId(card.identity), tags) if card.has_pieces else None
    return HeldJob(
        card=card,
        standing=step.standing,
        precedence=precedence,
        log=tuple(said_plainly(each) for each in logged_as(card)),
        done_by=done_by(card, step),
        bag=bag,
        is_put_off=step.what in put_off,
    )


def _standings(
    workshop: Workshop, logbook: LogbookId, state: State, steps: Sequence[Step]
) -> Iterable[HeldStanding]:
    """The changes of standing that are to come, each with what gets harder by it as it is now."""
    named = dict.fromkeys(step.standing for step in steps if step.standing is not None)
    situation = situation_of(workshop, logbook)
    for standing in named:
        if standing != state.standing.standing:
            harder = sorted(before_standing(situation, standing), key=lambda i: i.danger.rank)
            card = standing_card(standing, state, tuple(f"{i.words}: {i.clears}" for i in harder))
            yield HeldStanding(
                standing, card, tuple(said_plainly(each) for each in logged_as(card))
            )
