"""What a person can say of a part, a joint or a bag by filling in a form.

Each is a kind of entry, and a plain question for each field of its body. The same for every
screen; a page only draws it. Values go to `read_plain` under the names given here, as the entries
of one act.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from enum import StrEnum

from putback.logbook.entries.base import Subject, TagCode
from putback.logbook.entries.judging import Choice
from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.entries.working import Whither
from putback.logbook.state import Made, State
from putback.vehicle.ids import JointId, PartId
from putback.workshop.things.condition import Condition, condition_of
from putback.workshop.things.part_card import bags_of
from putback.workshop.things.tags_told import CONTAINERS

Option = tuple[str, str]
"""A value, and how it is called."""


class Ask(StrEnum):
    """How a question is answered."""

    TEXT = "text"
    LONG = "long"
    TAG = "tag"
    DAY = "day"
    COUNT = "count"
    FIGURE = "figure"
    CHOICE = "choice"
    TICK = "tick"


@dataclass(frozen=True, slots=True)
class Question:
    """One field of a form; ``path`` names it in the act: ``1.tag``."""

    path: str
    label: str
    ask: Ask = Ask.TEXT
    options: tuple[Option, ...] = ()
    hint: str = ""
    required: bool = False
    value: str = ""
    most: int | None = None

    @property
    def id(self) -> str:
        """Its path, as an identity in a page can be written."""
        return self.path.replace(".", "-").replace("[]", "")


@dataclass(frozen=True, slots=True)
class Deed:
    """One thing that can be said; ``fixed`` are fields that nobody is asked for."""

    key: str
    word: str
    """What it is called, and what the button says."""
    fixed: tuple[Option, ...]
    questions: tuple[Question, ...] = ()
    caution: str = ""


def deeds_of_part(state: State, part: PartId) -> tuple[Deed, ...]:
    """Give what can be said of a part: first what its condition makes likely, and always all."""
    order = _LIKELY[condition_of(state, part)]
    deeds = {each.key: each for each in _of_part(state, part)}
    return tuple(deeds[key] for key in dict.fromkeys((*order, *deeds)))


def deeds_of_joint(state: State, joint: JointId) -> tuple[Deed, ...]:
    """Give what can be said of a joint: undoing first, unless it is undone."""
    now = state.joints.get(joint)
    deeds = {each.key: each for each in _of_joint(state, joint)}
    first = ("made", "checked") if now and now.stage is Made.UNDONE else ("undone", "cracked")
    return tuple(deeds[key] for key in dict.fromkeys((*first, *deeds)))


def deeds_of_bag(state: State, tag: TagCode) -> tuple[Deed, ...]:
    """Give what can be said of a bag, box or crate: counting first."""
    subject = f"tag:{tag}"
    return (
        _counting(state, tag),
        Deed(
            "moved",
            "Moved it",
            _fixed("moved", what=subject),
            (
                Question(
                    "1.place",
                    "To which place",
                    Ask.CHOICE,
                    places_to_move_to(state),
                    required=True,
                ),
            ),
        ),
        Deed(
            "put",
            "Put it into a box",
            _fixed("put in", what=subject),
            (Question("1.tag", "Tag of the box", Ask.TAG, required=True),),
        ),
        Deed(
            "fill",
            "Put a part in",
            _fixed("put in", tag=tag),
            (Question("1.what", "Which part", Ask.CHOICE, parts_off(state), required=True),),
        ),
        *_moving(state, tag),
        Deed("seen", "Have it in the hand", _fixed("hands laid on", what=subject)),
        Deed(
            "named",
            "Name it",
            _fixed("container made", tag=tag),
            (
                Question("1.name", "What is in it", required=True),
                Question("1.container", "What it is", Ask.CHOICE, _CONTAINERS, required=True),
            ),
        ),
    )


_CONTAINERS = tuple((each, each) for each in CONTAINERS)


def _in_bag(state: State, tag: TagCode) -> Iterator[tuple[Subject, str, int]]:
    """Give the pieces in a bag: whose, of what, how many."""
    for (account, owner, spec), count in sorted(state.balances.items()):
        if account == f"tag:{tag}" and count > 0:
            yield owner, spec, count


def _counting(state: State, tag: TagCode) -> Deed:
    known: dict[str, int] = {}
    for _, spec, count in _in_bag(state, tag):
        known[spec] = known.get(spec, 0) + count
    fixed = list(_fixed("counted", tag=tag))
    questions: list[Question] = []
    for at, (spec, count) in enumerate(known.items()):
        fixed.append((f"1.pieces.{at}.spec", spec))
        questions.append(
            Question(f"1.pieces.{at}.count", spec, Ask.COUNT, value=str(count), required=True)
        )
    more = f"1.pieces.{len(known)}"
    questions += [
        Question(f"{more}.spec", "Something else in it", hint="bolt 5/16-24 UNF x 1 in"),
        Question(f"{more}.count", "How many of that", Ask.COUNT),
        Question(
            "1.complete",
            "Is that all?",
            Ask.CHOICE,
            (("true", "yes, all that is in it"), ("false", "no, there is more in it")),
            required=True,
        ),
    ]
    return Deed("counted", "Counted it", tuple(fixed), tuple(questions))


def _moving(state: State, tag: TagCode) -> Iterator[Deed]:
    ends = ((each.value, words) for each, words in _ENDS.items())
    choices = tuple(ends)
    for at, (owner, spec, count) in enumerate(_in_bag(state, tag)):
        kind, _, joint = owner.partition(":")
        fixed = _fixed("hardware moved", source=Whither.TAG.value, source_tag=tag)
        if kind == "joint":
            fixed += (("1.joint", joint),)
        yield Deed(
            f"shift{at}",
            f"Took out {spec}",
            (*fixed, ("1.pieces.0.spec", spec)),
            (
                Question(
                    "1.pieces.0.count",
                    "How many",
                    Ask.COUNT,
                    required=True,
                    value=str(count),
                    most=count,
                ),
                Question("1.to", "Where they went", Ask.CHOICE, choices, required=True),
                Question("1.to_tag", "Tag of the other bag", Ask.TAG, hint="if into another bag"),
            ),
        )


_ENDS = {
    Whither.TAG: "into another bag",
    Whither.OWN_HOLE: "back in its own hole",
    Whither.ON_PART: "on the part",
    Whither.SCRAP: "scrap",
    Whither.PATTERN: "kept as a pattern",
    Whither.LOST: "lost",
}


def parts_off(state: State) -> tuple[Option, ...]:
    """Name the parts that are off, those in no bag first."""
    off = [(part, state.parts[part].common.tag is not None) for part in state.parts_off]
    named = [(bagged, state.name_of(f"part:{part}"), f"part:{part}") for part, bagged in off]
    return tuple((subject, name) for _, name, subject in sorted(named))


_LIKELY = {
    Condition.ON: ("off", "found", "hung", "measured"),
    Condition.BACK: ("found", "off", "measured"),
    Condition.HUNG: ("off", "on", "found"),
    Condition.OFF: ("moved", "put", "on", "found", "decided", "sent"),
    Condition.AWAY: ("back", "seen"),
    Condition.REPLACE: ("on", "moved", "sent", "pattern"),
    Condition.GONE: ("seen", "on"),
}


def _of_part(state: State, part: PartId) -> Iterator[Deed]:
    subject = f"part:{part}"
    places = places_to_move_to(state)
    bag = Question("1.tag", "Into the bag or box with the tag", Ask.TAG, hint="empty if in none")
    yield Deed("off", "Took it off", _fixed("part off", part=part), (bag, _place(places)))
    yield Deed(
        "on",
        "Put it on",
        _fixed("part on", part=part),
        (Question("1.renewed", "A new or remade one went on", Ask.TICK),),
    )
    yield Deed(
        "hung",
        "Hung it aside",
        _fixed("hung aside", part=part),
        (Question("1.on", "On what"),),
        "A hose or cable must not carry it.",
    )
    yield Deed(
        "moved",
        "Moved it",
        _fixed("moved", what=subject),
        (Question("1.place", "To which place", Ask.CHOICE, places, required=True),),
    )
    yield Deed(
        "put",
        "Put it into a bag or box",
        _fixed("put in", what=subject),
        (Question("1.tag", "Tag", Ask.TAG, required=True),),
    )
    yield Deed("found", "Found a fault", _fixed("found", of=subject), (_what_found(),))
    yield Deed("measured", "Measured it", _fixed("measured as found", of=subject), _measuring())
    yield Deed(
        "decided",
        "Decided what becomes of it",
        _fixed("decided", of=subject),
        (
            Question("1.choice", "What", Ask.CHOICE, _said(Choice), required=True),
            *_about(state, Subject(subject)),
            Question("1.why", "Why"),
        ),
    )
    yield Deed(
        "sent",
        "Sent it out",
        (*_fixed("sent out"), ("1.what[]", subject)),
        (
            Question("1.firm", "To whom", required=True, options=_firms(state)),
            Question("1.work", "What is to be done"),
            Question("1.due", "Promised for", Ask.DAY),
        ),
    )
    yield Deed(
        "back",
        "It came back",
        (*_fixed("came back"), ("1.what[]", subject)),
        (Question("1.missing", "What did not come back with it"),),
    )
    yield Deed(
        "seen",
        "Have it in the hand",
        _fixed("hands laid on", what=subject),
        (_place(places, "At which place"),),
    )
    yield Deed(
        "mark",
        "Marked it",
        _fixed("mark made", part=part),
        (
            Question("1.how", "How", hint="paint, scribe, punch, tag"),
            Question("1.where", "Where"),
            Question("1.record", "What the mark tells"),
        ),
    )
    yield Deed(
        "note",
        "Note something",
        (*_fixed("note"), ("1.of[]", subject)),
        (Question("1.text", "What", Ask.LONG, required=True),),
    )
    yield Deed(
        "pattern",
        "Keep it as a pattern",
        _fixed("kept as pattern", part=part),
        (Question("1.why", "Why"),),
    )
    yield Deed("scrapped", "Scrapped it", _fixed("scrapped", part=part))
    yield Deed("lost", "Cannot find it", _fixed("lost", part=part))


def _of_joint(state: State, joint: JointId) -> Iterator[Deed]:
    subject = f"joint:{joint}"
    now, about = state.joints.get(joint), state.vehicle.joints.get(joint)
    of = now.of if now else about.fixing_count if about else 1
    bags = bags_of(state, joint)
    yield Deed(
        "undone",
        "Undid it",
        _fixed("joint undone", joint=joint, of=str(of) if about or now else ""),
        (
            Question("1.out", "How many are out now", Ask.COUNT, value=str(of), most=of),
            Question(
                "1.tag",
                "Into the bag with the tag",
                Ask.TAG,
                value=bags[0] if bags else "",
                hint="empty: not recorded",
            ),
            Question("1.stuck", "Stuck and still in", Ask.COUNT, value="", most=of),
            Question("1.sheared", "Sheared, of those out", Ask.COUNT, value="", most=of),
            Question("1.cut", "Cut, of those out", Ask.COUNT, value="", most=of),
        ),
    )
    yield Deed("cracked", "Cracked it loose, nipped again", _fixed("joint cracked", joint=joint))
    yield Deed(
        "made",
        "Made it",
        _fixed("joint made", joint=joint),
        (
            Question("1.tightness", "How far", Ask.CHOICE, _said(Tightness), required=True),
            Question("1.torque_nm", "Torque as applied", hint="25 Nm, 18 lb ft"),
            Question("1.locked", "It is locked", Ask.TICK),
            Question("1.renewed", "What is used once is new", Ask.TICK),
        ),
        "The maker's figure wins over what is described here.",
    )
    yield Deed(
        "checked",
        "Checked it",
        _fixed("checked", joint=joint),
        (
            Question(
                "1.right",
                "It is",
                Ask.CHOICE,
                (("true", "right"), ("false", "not right")),
                required=True,
            ),
            Question("1.note", "What is not right"),
        ),
        "By somebody who did not tighten it.",
    )
    yield Deed("found", "Found a fault", _fixed("found", of=subject), (_what_found(),))
    yield Deed("measured", "Measured it", _fixed("measured as found", of=subject), _measuring())
    yield Deed(
        "note",
        "Note something",
        (*_fixed("note"), ("1.of[]", subject)),
        (Question("1.text", "What", Ask.LONG, required=True),),
    )


def _fixed(kind: str, **body: str) -> tuple[Option, ...]:
    return (("1.kind", kind), *((f"1.{name}", value) for name, value in body.items()))


def _said(choices: type[StrEnum]) -> tuple[Option, ...]:
    return tuple((each.value, each.value) for each in choices)


def places_to_move_to(state: State) -> tuple[Option, ...]:
    """Name the places of the garage."""
    named = ((place, each.name or place) for place, each in state.places.items())
    return tuple(sorted(named, key=lambda option: option[1].casefold()))


def _place(places: tuple[Option, ...], label: str = "To which place") -> Question:
    return Question("1.place", label, Ask.CHOICE, places, hint="empty: as it was")


def _firms(state: State) -> tuple[Option, ...]:
    outside = (each for each in state.places.values() if each.kind == "outside work")
    return tuple((each.name, each.name) for each in outside if each.name)


def _what_found() -> Question:
    return Question("1.what", "What", Ask.LONG, required=True, hint="cracked at the eye")


def _measuring() -> tuple[Question, ...]:
    return (
        Question("1.what", "What was measured", required=True, hint="thickness, end float"),
        Question("1.value", "Reading", Ask.FIGURE, required=True),
        Question("1.unit", "In", required=True, hint="mm, thou, bar"),
        Question("1.low", "Not below", Ask.FIGURE, hint="by the maker's data"),
        Question("1.high", "Not above", Ask.FIGURE),
    )


def _about(state: State, subject: Subject) -> Iterator[Question]:
    """Ask which finding or reading a decision settles, where any is open."""
    common = state.common_of(subject)
    if common is None:
        return
    open_ones = [
        (str(each.said.entry), each.what) for each in common.findings if each.settled is None
    ]
    open_ones += [
        (str(each.said.entry), f"{each.what} {each.value:g} {each.unit}")
        for each in common.readings
        if each.outside and each.settled is None
    ]
    if open_ones:
        yield Question("1.about", "It settles", Ask.CHOICE, tuple(open_ones))
