"""The forms of description: for each table of a vehicle, the questions that a person is asked."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from putback.errors import NotFound
from putback.vehicle.facts import Phase
from putback.vehicle.joint import Care, Does, FinalWhen, TorqueOrigin
from putback.vehicle.part import PartKind, Side
from putback.workshop.describing.answers import Answer


@dataclass(frozen=True, slots=True)
class Blank:
    """One question of a form; ``name`` is the field of the record, ``a.b`` one inside it."""

    name: str
    label: str
    answer: Answer = Answer.TEXT
    hint: str = ""
    options: tuple[str, ...] = ()
    required: bool = False


@dataclass(frozen=True, slots=True)
class Form:
    """The form of one table."""

    table: str
    word: str
    """What one record is called."""
    many: str
    what: str
    """What it is for, in one sentence."""
    blanks: tuple[Blank, ...]


def form_of_table(table: str) -> Form:
    """Give the form of a table.

    Raises
    ------
    NotFound
        If there is none.
    """
    if table not in FORMS:
        raise NotFound("form of description", table, tuple(FORMS))
    return FORMS[table]


def _values(choices: type[StrEnum]) -> tuple[str, ...]:
    return tuple(each.value for each in choices)


_NAME = Blank("name", "Name", required=True)
_NOTE = Blank("note", "Note", Answer.LONG)
_THREE_TIMES = "at best, likely, at worst: 10 15 30; or one time"

FORMS: Mapping[str, Form] = {
    form.table: form
    for form in (
        Form(
            "parts",
            "part",
            "parts",
            "One thing that comes off and goes back.",
            (
                _NAME,
                Blank(
                    "side", "Side", Answer.CHOICE, "as seen from the driving seat", _values(Side)
                ),
                Blank("zone", "Zone", Answer.ZONE, "where on the vehicle; a new one is fine"),
                Blank("quantity", "How many, handled together", Answer.WHOLE),
                Blank("kind", "Kind", Answer.CHOICE, options=_values(PartKind)),
                Blank("mass_kg", "Mass", Answer.MASS, "8.4 kg, 18 lb; empty if not known"),
                Blank("crew", "People to lift it", Answer.WHOLE),
                Blank("hoist", "Lifting gear", hint="empty for hands alone"),
                Blank("minutes", "Time to lift it away", Answer.MINUTES, _THREE_TIMES),
                Blank("cautions", "What can hurt", Answer.LINES, "one a line"),
                Blank("marks", "Mark before it comes off", Answer.MARKS, "how | where | what for"),
                Blank("photos", "Photograph before", Answer.LINES, "one a line"),
                Blank("measures", "Measure before", Answer.LINES, "one a line"),
                Blank("numbers", "Numbers on it", Answer.NUMBERS, "casting number | 12H 445"),
                Blank("as_found", "As found", Answer.LONG, "how it is on this vehicle"),
                Blank("correct", "Correct for its kind", Answer.LONG, "how it ought to be"),
                Blank("store_as", "How to store it"),
                Blank("outside_work", "What it goes out for"),
                Blank("name_us", "American name"),
                _NOTE,
            ),
        ),
        Form(
            "joints",
            "joint",
            "joints",
            "What holds two or more parts together.",
            (
                _NAME,
                Blank(
                    "parts",
                    "Parts it holds together",
                    Answer.PARTS,
                    "first the one that comes away",
                    required=True,
                ),
                Blank(
                    "fixings",
                    "Fasteners",
                    Answer.FIXINGS,
                    "one line for holes that take the same: 4 x bolt 5/16-24 UNF x 1 in + spring "
                    "washer 5/16 in !; heads rearwards. The mark ! is for new each time, * for "
                    "what stays in place",
                ),
                Blank("tool", "Tool"),
                Blank("access", "Way in"),
                Blank("minutes", "Time to undo all of it", Answer.MINUTES, _THREE_TIMES),
                Blank("standings", "Reached only when it stands", Answer.STANDINGS),
                Blank("tightening.torque_nm", "Torque", Answer.TORQUE, "25 Nm, 18 lb ft"),
                Blank(
                    "tightening.origin",
                    "Whose figure",
                    Answer.CHOICE,
                    "the maker's wins over all others",
                    _values(TorqueOrigin),
                ),
                Blank(
                    "tightening.condition", "Condition of the thread", hint="dry, oiled, plated"
                ),
                Blank("tightening.sequence", "Sequence"),
                Blank("final_when", "Final", Answer.CHOICE, options=_values(FinalWhen)),
                Blank("critical", "Somebody gets hurt if it lets go", Answer.TICK),
                Blank("when_undone.does", "When undone, it", Answer.CHOICE, options=_values(Does)),
                Blank("when_undone.detail", "What moves"),
                Blank("when_undone.prop_first", "Prop or hold first"),
                Blank("crew", "People to undo it", Answer.WHOLE),
                Blank("consumables", "Uses up", Answer.USED_UP, "what | how much"),
                Blank("care", "Hardware is kept", Answer.CHOICE, options=_values(Care)),
                _NOTE,
            ),
        ),
        Form(
            "openings",
            "opening",
            "openings",
            "An end or hole to close while what filled it is away.",
            (
                _NAME,
                Blank("part", "Of which part", Answer.PART, required=True),
                Blank("joints", "Opened by undoing", Answer.JOINTS),
                Blank("ends", "Ends to close", Answer.WHOLE),
                Blank("thread", "Thread or bore"),
                Blank("closed_with", "Closed with"),
            ),
        ),
        Form(
            "obstructions",
            "thing in the way",
            "things in the way",
            "A part that must be away before a joint is undone or another part comes out.",
            (
                Blank(
                    "any_of",
                    "In the way",
                    Answer.PARTS,
                    "of several, one being away is enough",
                    required=True,
                ),
                Blank("of", "Of which joint or part", Answer.OPENED, required=True),
                Blank("why", "Why"),
            ),
        ),
        Form(
            "befores",
            "order",
            "orders",
            "One job before another, for a reason that joints do not give.",
            (
                Blank("first", "First", Answer.WORK, "a joint, part or job", required=True),
                Blank("then", "Then", Answer.WORK, required=True),
                Blank("why", "Why", required=True),
                Blank("phase", "In the", Answer.CHOICE, options=_values(Phase)),
            ),
        ),
        Form(
            "runs",
            "run",
            "runs",
            "The path of a cable, pipe, hose or loom.",
            (
                Blank("part", "Which part", Answer.PART, required=True),
                Blank(
                    "ends",
                    "Ends",
                    Answer.ENDS,
                    "joint | where it is | terminal | does not pass",
                ),
                Blank("clips", "Clips", Answer.JOINTS),
                Blank("route", "Way", Answer.LINES, "one step a line"),
                Blank("passages", "Passes through", Answer.PASSAGES, "one a line, in order"),
                Blank("comes_out", "Comes out", hint="which way it is drawn"),
                Blank("why", "Why that way"),
                Blank("before_drawing", "Before it is drawn"),
                Blank("length_m", "Length", Answer.LENGTH, "1.2 m, 48 in; a bare number is in mm"),
                _NOTE,
            ),
        ),
        Form(
            "standings",
            "standing",
            "standings",
            "How the vehicle can stand, and what carries it.",
            (
                _NAME,
                Blank(
                    "supports",
                    "Supports",
                    Answer.SUPPORTS,
                    "what | under which part | metres rearwards of the front axle, to the right | "
                    "rating: axle stand | chassis frame | 2.1, -0.5 | 2 t",
                ),
                Blank("needs_off", "Entered only with these off", Answer.PARTS),
                _NOTE,
            ),
        ),
        Form(
            "assemblies",
            "assembly",
            "assemblies",
            "Parts that may come out as one, and be parted on the bench.",
            (
                _NAME,
                Blank("parts", "Parts", Answer.PARTS, required=True),
                Blank("minutes", "Time to lift it out", Answer.MINUTES, _THREE_TIMES),
                Blank("crew", "People to lift it", Answer.WHOLE),
                Blank("hoist", "Lifting gear"),
                Blank("cautions", "What can hurt", Answer.LINES, "one a line"),
                _NOTE,
            ),
        ),
        Form(
            "goals",
            "goal",
            "goals",
            "What is to be off, and what is to stay on.",
            (
                _NAME,
                Blank(
                    "datum",
                    "Counted from",
                    Answer.PART,
                    "the part that everything else comes off",
                    required=True,
                ),
                Blank("off", "Off", Answer.PARTS),
                Blank("on", "Stays on", Answer.PARTS),
                Blank("off_rest", "All else comes off", Answer.TICK),
                Blank("after", "Reached after", Answer.GOAL),
                _NOTE,
            ),
        ),
        Form("zones", "zone", "zones", "A region that one works in without walking.", (_NAME,)),
    )
}
"""The forms, in the order in which a person meets them."""
