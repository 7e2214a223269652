"""A plan: steps in an order, what they cost, and why they stand where they stand.

The rules a plan obeys are in ``docs/planning-rules.md``; `putback.planning.check` holds a plan
against them.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from putback.bench.statics import LEAST_MARGIN_M
from putback.vehicle.ids import GoalId, Ref, StandingId, ZoneId

STEPS_FOR = ("part", "joint", "job", "assembly")
"""What a person asks a plan about: the kinds of things that have steps."""
_NOTHING = 1e-6
"""Below this a time is rounding [minutes]."""


class Action(StrEnum):
    """What a step does to the thing it names."""

    CRACK = "crack"
    UNDO = "undo"
    TAKE_OFF = "take off"
    DO = "do"
    PUT_ON = "put on"
    MAKE = "make"  # all fixings in, loose
    TIGHTEN = "tighten"  # to torque, or nipped where the final tightening waits
    FINISH = "finish"  # the final tightening that had to wait
    CHECK = "check"  # by a second person
    FILL = "fill"
    BLEED = "bleed"
    PREPARE = "prepare"  # threads chased, earths bared, faces clean, before a joint is made


@dataclass(frozen=True, slots=True)
class PlanSettings:
    """What a change costs the person at work [minutes], and how surely the vehicle stands [m].

    Common practice for the order of size; whoever plans may give others.
    """

    zone_minutes: float = 5.0
    tool_minutes: float = 2.0
    helper_minutes: float = 10.0
    """To call the helpers together, once for each stretch of steps that want them."""
    least_margin_m: float = LEAST_MARGIN_M
    """How far inside its supports the centre of gravity stays; a convention of this project."""
    today: date | None = None
    """The day of planning: what is put off until a day is so before it; ``None`` for ever."""


USUAL = PlanSettings()
"""What is usual, where nobody gave others."""


class Because(StrEnum):
    """Which sort of fact puts one thing before another."""

    HOLDS = "it still holds"  # a made joint leads out of the part
    IN_THE_WAY = "in the way"
    BEFORE = "before"
    CRACK_FIRST = "crack first"
    HARDER_AFTER = "harder after"
    STANDING = "standing"
    GOAL = "the goal asks for it"
    ONLY_KNOWN_ORDER = "the order of the strip, turned round"
    LOOSE_FIRST = "loose before tight"
    FINAL_WHEN = "final tightening waits"
    SECOND_CHECK = "second check"
    FLUID = "fluid"
    TEMPORARY = "temporary fit"
    PREPARED = "made ready first"
    PUT_OFF = "put off, and still sooner"


class Stage(StrEnum):
    """Which stage of a rebuild a step belongs to."""

    READY = "making ready"
    TRIAL = "trial build"
    PAINT = "paint and coating"
    BUILD = "final build"
    RUN = "first run"
    AFTER = "after the first run"


@dataclass(frozen=True, slots=True)
class Reason:
    """One fact: ``first`` before this step, in the trade's words.

    ``fact`` is the identity of the obstruction, *before* or harder-after fact, else empty.
    """

    because: Because
    first: Ref
    words: str
    fact: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One step; times in [minutes].

    ``what`` is ``joint:``, ``part:``, ``assembly:``, ``job:`` or ``fluid:``. ``setup_minutes`` is
    what getting there costs: change of standing, zone and tool, and the call for helpers.
    """

    action: Action
    what: Ref
    standing: StandingId | None = None
    zone: ZoneId | None = None
    tool: str = ""
    minutes: float = 0.0
    setup_minutes: float = 0.0
    crew: int = 1
    reasons: tuple[Reason, ...] = ()
    cautions: tuple[str, ...] = ()
    prop_first: str = ""
    """What to prop, hook up or hold before the step, as it lets something go."""
    prop_people: int = 1
    """How many it takes with whoever holds that, and lifts what is still in a part: they have to
    be there, but cost no call."""
    add_support: str = ""
    """Which support to add, and where, as the vehicle would stand too near to tipping."""
    renew: tuple[str, ...] = ()
    """Single-use pieces to have new, as ``"2 × split pin 2.4 mm"``."""
    take_out: tuple[str, ...] = ()
    """Temporary fits and closures to take out first."""
    waits_for: str = ""
    """What is not here yet: on order, at the plater."""
    torque: str = ""
    """The figure to tighten to, its condition and origin, in words."""
    notes: tuple[str, ...] = ()
    """What to look at: marks, the way of a run, the order of a stack, shims. In a strip, what to
    mark, photograph and measure while it is on, and which ends to close."""
    stage: Stage | None = None
    """Of a rebuild; ``None`` in a strip."""

    @property
    def people(self) -> int:
        """How many have to be there: its crew, and whoever holds what it lets go."""
        return max(self.crew, self.prop_people)


@dataclass(frozen=True, slots=True)
class Waiting:
    """Something that cannot be planned, and why: a part that is gone with no new one in sight."""

    what: Ref
    why: str


@dataclass(frozen=True, slots=True)
class Plan:
    """Steps from the state to the goal; times in [minutes].

    ``bound_minutes`` is a proven lower bound of ``work_minutes + setup_minutes``; ``None`` where
    no bound was computed.
    """

    goal: GoalId | None
    steps: tuple[Step, ...]
    work_minutes: float
    setup_minutes: float
    bound_minutes: float | None = None
    waiting: tuple[Waiting, ...] = ()
    start: StandingId | None = None
    unavoidable_minutes: float | None = None
    """What no plan can do without, each visit counted once: see *The unavoidable* in the rules."""

    @property
    def total_minutes(self) -> float:
        """Work and set-up together [minutes]."""
        return self.work_minutes + self.setup_minutes

    @property
    def avoidable_gap(self) -> float | None:
        """How far the avoidable cost is above the bound's [-]: 0.25 is a quarter more.

        ``None`` where no bound was computed, or where the bound proves nothing avoidable and the
        plan has some: then there is nothing to compare with.
        """
        if self.bound_minutes is None or self.unavoidable_minutes is None:
            return None
        plan = self.total_minutes - self.unavoidable_minutes
        bound = self.bound_minutes - self.unavoidable_minutes
        if plan <= _NOTHING:
            return 0.0
        return plan / bound - 1 if bound > _NOTHING else None
