"""What tests of the calendar work with: when it begins, who works, and plans to put on it."""

from dataclasses import replace
from datetime import datetime, time, timedelta
from functools import cache
from random import Random

from putback.logbook.common import Away, Common
from putback.logbook.state import JointState, PartState, State
from putback.planning.planned_days import (
    Absence,
    Absences,
    Person,
)
from putback.planning.timetable import (
    BENCH,
    LeadTimes,
    read_hours,
)
from putback.planning.timetable.blocks import Work
from putback.vehicle.joint import Joint
from putback.vehicle.part import Part
from putback.vehicle.vehicle import About, Vehicle
from tests.planning.hand_made import likely, said, state_of, table
from tests.planning.test_check_generated_rebuild import stripped

BEGIN = datetime.fromisoformat("2031-03-03T07:00")  # a Monday
LEAD = LeadTimes(BEGIN.date())
BOTH = [
    Person("Ann", read_hours("Sat 9-17, Wed 18-21")),
    Person("Bob", read_hours("Sat 10-15, Wed 18-21"), frozenset({"bleed"})),
]


@cache
def rebuild_of(parts: int, seed: int):
    """A generated vehicle in pieces, and the plan of its rebuild."""
    return stripped(parts, seed, 1.0)


def drawn_absences(rnd: Random) -> Absences:
    """None to two times away, in any order; they may overlap, or be over, or part of a day."""
    found = []
    for _ in range(rnd.randint(0, 2)):
        begins = midnight(BEGIN) + timedelta(days=rnd.randint(-9, 25))
        lasts = timedelta(days=rnd.choice([1, 1, 2, 10]))
        if rnd.random() < 0.4:
            begins += timedelta(minutes=rnd.randrange(24 * 60))
            lasts = timedelta(minutes=rnd.randint(1, 2000))
        found.append(Absence(begins, begins + lasts))
    return tuple(found)


def midnight(moment: datetime) -> datetime:
    """When its day begins."""
    return datetime.combine(moment.date(), time())


def sent_out(state: State, rnd: Random) -> State:
    """The same, where a few of the parts that are off are out for work or on order."""
    out = dict(state.parts)
    for part in rnd.sample(sorted(state.parts_off), min(3, len(state.parts_off))):
        away = Away(said(), "the plater", due=rnd.choice(("", "2031-03-20")))
        common = Common(sent_out=away) if rnd.random() < 0.5 else Common(ordered=(away,))
        out[part] = replace(out[part], common=common)
    return replace(state, parts=out)


def timed(work: Work) -> Work:
    """The same, where what nobody estimated the minutes of at a bench takes half an hour."""
    blocks = (
        replace(each, minutes=30.0) if BENCH in each.uses and not each.minutes else each
        for each in work.blocks
    )
    return replace(work, blocks=tuple(blocks))


def lamp(**common):
    """A frame and a lamp that is off, with whatever is known of the lamp."""
    v = Vehicle(
        About("cart", "cart"),
        parts=table(Part("frame", "frame", "z"), Part("lamp", "lamp", "z", minutes=likely(10))),
        joints=table(Joint("screw", "screw", ("frame", "lamp"), minutes=likely(200))),
    )
    parts = {"lamp": PartState("lamp", Common(**common), off=said())}
    joints = {"screw": JointState("screw", out=1, undone=said())}
    return replace(state_of(v), parts=parts, joints=joints)
