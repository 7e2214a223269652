"""The forms of description: for each table of a vehicle, the questions that a person is asked."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from putback.errors import NotFound
from putback.vehicle.facts import Phase
from putback.vehicle.job import JobKind
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
    rare: bool = False
    """Seldom asked for: it stands behind the others, folded away."""


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
    is_one: bool = False
    """Whether there is only ever one record."""

    @property
    def one(self) -> str:
        """One record with its article."""
        return f"an {self.word}" if self.word[0] in "aeio" else f"a {self.word}"


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
_LENGTH = "1.2 m, 48 in; a bare number is in mm"
_NOTE = Blank("note", "Note", Answer.LONG)
_AXES = "metres rearwards of the front axle, to the right, up from the ground: 1.2, 0, 0.6"
_THREE_TIMES = "at best, likely, at worst: 10 15 30; or one time"

FORMS: Mapping[str, Form] = {
    form.table: form
    for form in (
        Form(
            "about",
            "vehicle",
            "the vehicle itself",
            "Its name, make and measures.",
            (
                _NAME,
                Blank("make", "Make"),
                Blank("model", "Model"),
                Blank("year", "Year", Answer.WHOLE),
                Blank("body_style", "Body"),
                Blank("layout", "Layout", hint="engine in front, rear wheels driven"),
                Blank("thread_standard", "Threads", hint="UNF and UNC, metric, BSF"),
                Blank("wheelbase_m", "Wheelbase", Answer.LENGTH, _LENGTH),
                Blank("track_front_m", "Track in front", Answer.LENGTH, _LENGTH),
                Blank("track_rear_m", "Track at the rear", Answer.LENGTH, _LENGTH),
                Blank("length_m", "Length over all", Answer.LENGTH, _LENGTH),
                Blank("notice", "Shown on every page", hint="a word to whoever looks at it"),
            ),
            is_one=True,
        ),
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
                Blank("system", "System", hint="brakes, cooling, fuel"),
                Blank("as_found", "As found", Answer.LONG, "how it is on this vehicle"),
                Blank("correct", "Correct for its kind", Answer.LONG, "how it ought to be"),
                Blank("store_as", "How to store it"),
                Blank("outside_work", "What it goes out for"),
                Blank("name_us", "American name"),
                Blank("seize_risk", "Likely to be seized", hint="what holds it, and how badly"),
                Blank(
                    "standings",
                    "Lifted away only when it stands",
                    Answer.STANDINGS,
                    rare=True,
                ),
                Blank("cg_m", "Middle of its weight", Answer.POINT, _AXES, rare=True),
                Blank(
                    "outline_side",
                    "Outline from the left",
                    Answer.OUTLINE,
                    "one corner a line: metres rearwards of the front axle, metres up",
                    rare=True,
                ),
                Blank(
                    "outline_plan",
                    "Outline from above",
                    Answer.OUTLINE,
                    "one corner a line: metres rearwards of the front axle, metres to the right",
                    rare=True,
                ),
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
                Blank(
                    "tightening.stages",
                    "Stages",
                    Answer.STAGES,
                    "one a line: 20 Nm, then 90 degrees",
                    rare=True,
                ),
                Blank("tightening.retorque_after", "Tighten again after", rare=True),
                Blank("final_when", "Final", Answer.CHOICE, options=_values(FinalWhen)),
                Blank("critical", "Somebody gets hurt if it lets go", Answer.TICK),
                Blank("when_undone.does", "When undone, it", Answer.CHOICE, options=_values(Does)),
                Blank("when_undone.detail", "What moves"),
                Blank("when_undone.prop_first", "Prop or hold first"),
                Blank("crew", "People to undo it", Answer.WHOLE),
                Blank("consumables", "Uses up", Answer.USED_UP, "what | how much"),
                Blank("care", "Hardware is kept", Answer.CHOICE, options=_values(Care)),
                Blank("zone", "Worked on in the zone", Answer.ZONE, "if not that of its parts"),
                Blank(
                    "crack_in",
                    "Broken loose when it stands",
                    Answer.STANDING,
                    "before the standing in which it is undone",
                    rare=True,
                ),
                Blank(
                    "by_position",
                    "The maker allows closing it by position",
                    Answer.TICK,
                    "with the arm propped at its laden angle",
                    rare=True,
                ),
                Blank("through", "Its fasteners only pass through", Answer.PARTS, rare=True),
                Blank(
                    "shims",
                    "Shims",
                    Answer.SHIMS,
                    "where | 0.5 mm, brass + 0.8 mm | by measuring | thickness measured | order | "
                    "taper; one place a line",
                    rare=True,
                ),
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
                Blank("fluid", "Of which fluid", Answer.FLUID),
                Blank("needs_closing", "It may stay open", Answer.TICK_AGAINST),
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
            "order of work",
            "orders of work",
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
                    "joint | where it is | terminal | does not pass, turns | branch | colours of "
                    "its wires",
                ),
                Blank("clips", "Clips", Answer.JOINTS),
                Blank("route", "Way", Answer.LINES, "one step a line"),
                Blank(
                    "passages",
                    "Passes through",
                    Answer.PASSAGES,
                    "one a line, in order: what | in which part | bore",
                ),
                Blank("comes_out", "Comes out", hint="which way it is drawn"),
                Blank("why", "Why that way"),
                Blank("before_drawing", "Before it is drawn"),
                Blank("undo_order", "Order of undoing its ends", Answer.LINES, "one a line"),
                Blank("fit_order", "Order of fitting its ends", Answer.LINES, "one a line"),
                Blank("length_m", "Length", Answer.LENGTH, _LENGTH),
                Blank("bends", "Bends", Answer.WHOLE),
                Blank("remake", "It is made new", Answer.TICK),
                Blank("keep_as_pattern", "The old one is kept as a pattern", Answer.TICK),
                _NOTE,
            ),
        ),
        Form(
            "jobs",
            "job",
            "jobs",
            "Work that no joint says: draining, bracing, setting, bleeding, checking.",
            (
                _NAME,
                Blank("kind", "Kind", Answer.CHOICE, options=_values(JobKind), required=True),
                Blank("phase", "In the", Answer.CHOICE, options=_values(Phase)),
                Blank("parts", "Works on the parts", Answer.PARTS),
                Blank("joints", "Works on the joints", Answer.JOINTS),
                Blank("openings", "Works on the openings", Answer.OPENINGS),
                Blank("fluid", "Fluid", Answer.FLUID, "drained, filled or bled"),
                Blank("minutes", "Time", Answer.MINUTES, _THREE_TIMES),
                Blank("crew", "People", Answer.WHOLE),
                Blank("tool", "Tool"),
                Blank("zone", "Zone", Answer.ZONE, "where on the vehicle; a new one is fine"),
                Blank("standings", "Done only when it stands", Answer.STANDINGS),
                Blank("target", "To reach", hint="0.05 to 0.10 mm of end float"),
                Blank("cautions", "What can hurt", Answer.LINES, "one a line"),
                Blank("photos", "Photograph", Answer.LINES, "one a line"),
                Blank("same_sitting_as", "In the same sitting as", Answer.JOB, rare=True),
                _NOTE,
            ),
        ),
        Form(
            "fluids",
            "fluid",
            "fluids",
            "What a part holds, and what lets it out.",
            (
                _NAME,
                Blank("part", "In which part", Answer.PART, required=True),
                Blank("volume_m3", "How much", Answer.VOLUME, "4.5 l, 7 imp pints"),
                Blank("mass_kg", "Mass", Answer.MASS, "4 kg, 9 lb"),
                Blank("hazard", "What can hurt", hint="petrol: vapour burns"),
                Blank("drained_by", "Drained by the job", Answer.JOB),
                Blank("leaks_if_off", "Runs out when these come off", Answer.PARTS),
                Blank("never_mix", "Never mixed with", Answer.LINES, "one a line"),
                Blank("cg_m", "Middle of its weight", Answer.POINT, _AXES, rare=True),
            ),
        ),
        Form(
            "harder_afters",
            "thing that gets harder",
            "things that get harder",
            "Work that takes longer, or cannot be done, once other work is done.",
            (
                Blank(
                    "job", "What gets harder", Answer.WORK, "a joint, part or job", required=True
                ),
                Blank("after", "Once this is done", Answer.WORK, required=True),
                Blank(
                    "factor",
                    "Times as long",
                    Answer.FACTOR,
                    "3; below 1 if it gets easier; never if it cannot be done",
                    required=True,
                ),
                Blank("why", "Why"),
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
                    "rating | what it hides | beside the vehicle: axle stand | chassis frame | "
                    "2.1, -0.5 | 2 t",
                ),
                Blank("needs_off", "Entered only with these off", Answer.PARTS),
                Blank(
                    "change_minutes",
                    "Time to stand it otherwise",
                    Answer.CHANGES,
                    "one a line: on its wheels | 30 min",
                ),
                Blank("wrong", "Wrong: kept as a lesson, never planned", Answer.TICK, rare=True),
                _NOTE,
            ),
        ),
        Form(
            "temporary_supports",
            "jack or hoist",
            "jacks and hoists",
            "What carries a part from one job to another, while the vehicle stands as it does.",
            (
                Blank("kind", "What it is", hint="jack, engine hoist, beam", required=True),
                Blank("bears_on", "Carries which part", Answer.PART, required=True),
                Blank("first", "From", Answer.WORK, "a joint, part or job", required=True),
                Blank("last", "Until", Answer.WORK, required=True),
                Blank("rating_kg", "Rating", Answer.MASS, "2 t, 4400 lb"),
                Blank("load_kg", "Load", Answer.MASS),
                Blank(
                    "at_m",
                    "Where",
                    Answer.SPOT,
                    "metres rearwards of the front axle, to the right: 0.2, 0",
                    rare=True,
                ),
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
                Blank("jobs", "Jobs to be done for it", Answer.JOBS),
                Blank("after", "Reached after", Answer.GOAL),
                _NOTE,
            ),
        ),
        Form("zones", "zone", "zones", "A region that one works in without walking.", (_NAME,)),
    )
}
"""The forms, in the order in which a person meets them."""
