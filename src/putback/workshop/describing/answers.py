"""What a person types into a form of description, to the plain values of a record and back.

Each sort of answer is read by one function and written by another. What is written reads back as
the same value, so that a form that nobody changed changes nothing.
"""

from collections.abc import Mapping
from enum import StrEnum

from putback.logbook.state import State
from putback.units import parse
from putback.units.show import duration_text, length_text, mass_text, torque_text, volume_text
from putback.workshop.describing import lines, single
from putback.workshop.describing.single import Known, Plain, Sort


class Answer(StrEnum):
    """Sorts of answers."""

    TEXT = "text"
    LONG = "long"
    LINES = "lines"
    WHOLE = "whole"
    CHOICE = "choice"
    TICK = "tick"
    TICK_AGAINST = "tick against"
    MASS = "mass"
    LENGTH = "length"
    VOLUME = "volume"
    TORQUE = "torque"
    FACTOR = "factor"
    SPOT = "spot"
    POINT = "point"
    OUTLINE = "outline"
    MINUTES = "minutes"
    PART = "part"
    PARTS = "parts"
    JOINTS = "joints"
    STANDING = "standing"
    STANDINGS = "standings"
    CHANGES = "changes"
    OPENINGS = "openings"
    FLUID = "fluid"
    JOB = "job"
    JOBS = "jobs"
    OPENED = "part or joint"
    WORK = "part, joint or job"
    GOAL = "goal"
    ZONE = "zone"
    MARKS = "marks"
    NUMBERS = "numbers"
    USED_UP = "used up"
    FIXINGS = "fixings"
    STAGES = "stages"
    SHIMS = "shims"
    ENDS = "ends"
    PASSAGES = "passages"
    SUPPORTS = "supports"


def read_answer(answer: Answer, text: str, state: State, before: Plain = None) -> Plain:
    """Read what was typed; ``None`` where nothing was.

    ``before`` is what the field held: notes and names that a line does not show stay with it.

    Raises
    ------
    InputError
        If it cannot be meant; says how it is written.
    """
    said = text.strip()
    if not said:
        return None
    return _SORTS[answer].read(said, Known(state, before))


def write_answer(answer: Answer, plain: Plain, state: State) -> str:
    """Write a plain value as a person would type it."""
    if plain is None or plain in ((), []):
        return ""
    return _SORTS[answer].write(plain, state)


def in_words(answer: Answer, plain: Plain) -> str:
    """Say how a quantity was understood; empty for what is no quantity."""
    if plain is None:
        return ""
    match answer:
        case Answer.MASS:
            return mass_text(plain, both=True)
        case Answer.LENGTH:
            return length_text(plain, both=True)
        case Answer.VOLUME:
            return volume_text(plain, both=True)
        case Answer.TORQUE:
            return torque_text(plain)
        case Answer.MINUTES:
            likely = duration_text(plain["likely"])
            if plain["best"] == plain["worst"]:
                return likely
            return f"{likely}, at best {duration_text(plain['best'])}, at worst " + duration_text(
                plain["worst"]
            )
        case Answer.FIXINGS:
            return "; ".join(
                f"{each['count']} × "
                + " + ".join(piece["spec"] for piece in each.get("stack", ()))
                for each in plain
            )
    return ""


_SORTS: Mapping[Answer, Sort] = {
    **dict.fromkeys((Answer.TEXT, Answer.LONG, Answer.CHOICE), single.TEXT),
    Answer.LINES: single.LINES,
    Answer.WHOLE: single.WHOLE,
    Answer.TICK: single.TICK,
    Answer.TICK_AGAINST: single.TICK_AGAINST,
    Answer.MASS: single.quantity(parse.mass_kg, "kg", bare="kg"),
    Answer.LENGTH: single.quantity(parse.length_m, "mm", 1000, bare="mm"),
    Answer.VOLUME: single.quantity(parse.volume_m3, "l", 1000, bare="l"),
    Answer.TORQUE: single.quantity(parse.torque_nm, "Nm"),
    Answer.MINUTES: single.MINUTES,
    Answer.FACTOR: single.FACTOR,
    Answer.SPOT: single.point_of(2),
    Answer.POINT: single.point_of(3),
    Answer.OUTLINE: lines.OUTLINE,
    Answer.PART: single.one("part"),
    Answer.GOAL: single.one("goal"),
    Answer.STANDING: single.one("standing"),
    Answer.FLUID: single.one("fluid"),
    Answer.JOB: single.one("job"),
    Answer.PARTS: single.several("part"),
    Answer.JOINTS: single.several("joint"),
    Answer.STANDINGS: single.several("standing"),
    Answer.OPENINGS: single.several("opening"),
    Answer.JOBS: single.several("job"),
    Answer.OPENED: single.one_of("joint", "part"),
    Answer.WORK: single.one_of("joint", "part", "job"),
    Answer.ZONE: single.ZONE,
    Answer.MARKS: lines.table("how", "where", "record"),
    Answer.NUMBERS: lines.table("kind", "value"),
    Answer.USED_UP: lines.table("what", "how"),
    Answer.FIXINGS: lines.FIXINGS,
    Answer.STAGES: lines.STAGES,
    Answer.SHIMS: lines.SHIMS,
    Answer.ENDS: lines.ENDS,
    Answer.PASSAGES: lines.PASSAGES,
    Answer.SUPPORTS: lines.SUPPORTS,
    Answer.CHANGES: lines.CHANGES,
}
