"""What one end of a pipe does in the port that is made for another.

A nut enters a hole if it is not larger over its crests; it runs down if the pitches agree. Where
both are nearly so, it feels right and strips under load: that is the dangerous case.
"""

from dataclasses import dataclass
from enum import StrEnum
from functools import cache

from putback.bench.designation import thread_named
from putback.bench.tables import data_table
from putback.bench.threads import Series, Thread
from putback.errors import BadInput

_ENTERS_M = 1e-4
"""How much larger than nominal a worn hole takes a nut by hand (common practice) [m]."""
_FEELS_RIGHT = 0.1
"""Pitches that differ by less than this share run together for a turn or more [-]."""
_HOLDS = 0.1
"""Less of the thread's depth than this is felt at once to be wrong (common practice) [-]."""
_TAPER = frozenset({Series.NPT, Series.BSPT})
_WHITWORTH = frozenset({Series.BSW, Series.BSF, Series.BSB, Series.BSP, Series.BSPT})


@dataclass(frozen=True, slots=True)
class Form:
    """How an end is formed, a row of ``data/pipe_forms.csv``; angles in degrees, None for none."""

    name: str
    words: str
    flare_deg: float | None
    seat_deg: float | None
    standard: str
    on_brakes: bool
    nut: str
    lead: str


@dataclass(frozen=True, slots=True)
class End:
    """An end of a pipe, a row of ``data/pipe_ends.csv``."""

    code: str
    use: str
    tube: str
    thread: Thread
    form: Form

    @property
    def is_for_brakes(self) -> bool:
        """Whether it is made for brakes."""
        return "brake" in self.use


class Meeting(StrEnum):
    """What a nut does in a hole; the values are said to people."""

    SAME = "the same thread"
    STRIPS = "enters, feels right, and strips"
    JAMS = "starts and jams"
    LARGER = "does not enter"
    FALLS_THROUGH = "finds hardly any thread to hold on"
    TAPER = "a taper and a parallel thread: starts and does not seat"


@dataclass(frozen=True, slots=True)
class ThreadMeeting:
    """What a male thread does in a female one, with the figures behind it."""

    meeting: Meeting
    depth: float
    """Share of the female thread's depth that is held on [-]; 0 where it touches nothing."""
    drift_m: float
    """By how much the two run apart in a turn [m]."""


@cache
def forms() -> dict[str, Form]:
    """Every form of end, by name."""
    return {
        row["form"]: Form(
            row["form"],
            row["words"],
            float(row["flare_deg"]) if row["flare_deg"] else None,
            float(row["seat_deg"]) if row["seat_deg"] else None,
            row["standard"],
            row["brakes"] == "yes",
            row["nut"],
            row["lead"],
        )
        for row in data_table("pipe_forms").rows
    }


@cache
def ends() -> dict[str, End]:
    """Every end, by its code."""
    return {
        row["code"]: End(
            row["code"],
            row["use"],
            row["tube"],
            thread_named(row["thread"]),
            forms()[row["form"]],
        )
        for row in data_table("pipe_ends").rows
    }


@cache
def shared_threads() -> dict[str, tuple[End, ...]]:
    """Threads by their name that more than one end has, with those ends."""
    names = dict.fromkeys(each.thread.name for each in ends().values())
    found = {
        name: tuple(each for each in ends().values() if each.thread.name == name) for name in names
    }
    return {name: those for name, those in found.items() if len(those) > 1}


def choice_of_thread(text: str) -> tuple[str, ...]:
    """The end that has the thread of this name, or the thread itself where several have it."""
    try:
        name = thread_named(text).name
    except BadInput:
        return ()
    if name in shared_threads():
        return (name,)
    return tuple(each.code for each in ends().values() if each.thread.name == name)


def pitch_m(thread: Thread) -> float:
    """Pitch of a pipe's thread [m]; every one of them has a pitch."""
    return thread.pitch_m or 0.0


def hole_m(thread: Thread) -> float:
    """Diameter inside the crests of the hole, basic [m].

    ``D1 = D - 1.082532 P`` for threads of 60° (ISO 68-1, ASME B1.1), ``D - 1.280654 P`` for those
    of Whitworth form (BS 84).
    """
    factor = 1.280654 if thread.series in _WHITWORTH else 1.082532
    return thread.major_m - factor * pitch_m(thread)


def threads_meet(male: Thread, female: Thread) -> ThreadMeeting:
    """What a male thread does in a hole threaded for another, by their basic sizes."""
    hole = hole_m(female)
    depth = max(0.0, min(1.0, (male.major_m - hole) / (female.major_m - hole)))
    drift = abs(pitch_m(male) - pitch_m(female))
    if male.name == female.name:
        meeting = Meeting.SAME
    elif depth < _HOLDS:
        meeting = Meeting.FALLS_THROUGH
    elif male.major_m > female.major_m + _ENTERS_M:
        meeting = Meeting.LARGER
    elif (male.series in _TAPER) != (female.series in _TAPER):
        meeting = Meeting.TAPER
    elif drift < _FEELS_RIGHT * pitch_m(female):
        meeting = Meeting.STRIPS
    else:
        meeting = Meeting.JAMS
    return ThreadMeeting(meeting, depth, drift)


def mates(end: End, port: End) -> bool:
    """Whether an end may go into the port made for another: same thread and same form."""
    return end.thread.name == port.thread.name and end.form == port.form


def mistaken_for(end: End) -> tuple[tuple[End, ThreadMeeting], ...]:
    """Other ends in whose ports this one starts, though it must not go there."""
    found = []
    for other in ends().values():
        if mates(end, other) or other.code == end.code:
            continue
        met = threads_meet(end.thread, other.thread)
        if met.meeting in (Meeting.SAME, Meeting.STRIPS, Meeting.JAMS, Meeting.TAPER):
            found.append((other, met))
    return tuple(found)
