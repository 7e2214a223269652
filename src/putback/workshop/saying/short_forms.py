"""Short forms: one line that a person types, read as entries.

``undone "radiator to support panel" 3/4 stuck=1 tag=3CAH`` is a word for the kind, what it is
about, and details as ``name=value``. Every kind of entry can be said so. Names are looked up, and
need no quotes where they are known; quantities are read in any unit, and nothing is guessed.
"""

import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from pydantic import ValidationError

from putback.errors import BadInput, NotFound
from putback.logbook.common import Common
from putback.logbook.entries.base import Body, EntryId, TagCode
from putback.logbook.entries.describing import Described
from putback.logbook.entries.holding import hold_called
from putback.logbook.entries.registry import KINDS
from putback.logbook.entries.working import Whither
from putback.logbook.state import State
from putback.logbook.tags import BadTag, Tag
from putback.units import parse
from putback.vehicle.fastener import parse as parse_fastener
from putback.vehicle.ids import AssemblyId, JointId, PartId
from putback.workshop.saying import weighing
from putback.workshop.saying.faults import fault_of
from putback.workshop.saying.forms import FORMS, Form, form_of, usage
from putback.workshop.saying.names import KINDS as ALL_KINDS
from putback.workshop.saying.names import best, find, find_subject
from putback.workshop.saying.spoken import with_counts, with_whole_names

LONGEST_NAME = 120  # characters; what fits on a label and in a line of a terminal
_COUNT = re.compile(r"([0-9]{1,5})\s*/\s*([0-9]{1,5})")
_PIECES = re.compile(r"([0-9]{1,6})\s*[x×*]\s*(.+)", re.IGNORECASE | re.DOTALL)
_DETAIL = re.compile(r"([a-z_]+)=(.*)", re.DOTALL)
_WHOLE = re.compile(r"[0-9]{1,5}")
_YES = {"yes": True, "true": True, "y": True, "no": False, "false": False, "n": False}
_WENT = {
    "own": Whither.OWN_HOLE,
    "on_part": Whither.ON_PART,
    "scrap": Whither.SCRAP,
    "pattern": Whither.PATTERN,
    "lost": Whither.LOST,
}
QUANTITIES: Mapping[str, Callable[[str], float]] = {
    "torque_nm": parse.torque_nm,
    "misfit_m": parse.length_m,
    "volume_m3": parse.volume_m3,
    "minutes": parse.duration_minutes,
    "uncertainty_kg": lambda text: parse.mass_kg(text, bare="kg"),
}
"""Fields that are typed as quantities, by their names."""
_FIGURES = frozenset({"value", "low", "high"})
_UNITS = ("_nm", "_m", "_m3", "_kg")
"""Endings that a person leaves away: ``torque=`` for ``torque_nm``."""
_LISTS = frozenset({("photo", "of"), ("note", "of"), ("sent out", "what"), ("came back", "what")})
_MANY = {"off": "part", "fluids_out": "fluid"}
"""Fields that hold several things of one kind, each said by itself."""
_CHOICES = frozenset({("joint made", "tightness"), ("decided", "choice"), ("put off", "why")})
_SUBJECTS = frozenset({"of", "on", "what", "subject", "before"})
_NO_SUBJECTS = frozenset(
    {
        ("checked", "of"),  # the entry by which it was made
        ("hung aside", "on"),
        *((kind, "what") for kind in ("found", "measured as found", "temporary fit on")),
        *((kind, "what") for kind in ("money", "filled")),
    }
)
"""Fields that bear such a name and hold plain words."""
_KINDS_OF = {
    ("put off", "what"): ("part", "joint", "job", "assembly"),
    ("seen free", "before"): ("part", "assembly"),
}
"""Of subjects that can be of a few kinds only: which."""
_LOOKED_UP = frozenset({"part", "joint", "opening", "fluid", "job", "standing", "place"})
_ALSO_LOOKED_UP = {"whole": "assembly", "same_as": "part", "goal": "goal"}
_BY_NAME_ALONE = {"part": "parts", "joint": "joints", "fluid": "fluids"}
"""What can be described by nothing but its name, and in which table."""
_AS_ONE = frozenset({"part off", "part on"})
"""What is said of each part at once, where it is said of an assembly."""


@dataclass(eq=False)
class NotDescribed(NotFound):
    """Nobody described this yet; it can be logged all the same, by its name alone."""

    def remedy(self) -> str:
        """How to mend it."""
        offered = super().remedy()
        anew = f"to log a {self.kind} that nobody described yet, add --new"
        return f"{offered} Else, {anew}" if offered else anew


def read_line(words: Sequence[str], state: State, *, new: bool = False) -> tuple[Body, ...]:
    """Read a line, already parted into words, as the entries of one act.

    ``new`` allows a part, joint or fluid that nobody described yet: it is described by the name
    given, in the same act.

    Raises
    ------
    InputError
        If the line cannot be meant; it says which word and how to mend it.
    """
    if not words or not words[0].strip():
        raise BadInput("nothing was said", mend=f"for example: {FORMS['off'].example}")
    for word in words:
        _check_text(word)
    form = form_of(words[0])
    line = _Line(words[0], form, state, new)
    counted = with_counts(words, state) if form.kind == "joint undone" else words
    for word in with_whole_names(counted, state, form.bare)[1:]:
        line.take(word)
    return line.bodies()


def rests_on_its_moment(words: Sequence[str]) -> bool:
    """Whether a late line is read by the state of its own moment: what a weighing had off."""
    return bool(words) and bool(words[0].strip()) and form_of(words[0]).kind == "weighed"


class _Line:
    """A line in the reading: the values it gave so far, and the bare words it may still give."""

    def __init__(self, word: str, form: Form, state: State, new: bool) -> None:
        self.word, self.form, self.state, self.new = word, form, state, new
        self.kind = form.kind
        self.body = KINDS[form.kind]
        self.values: dict[str, Any] = dict(form.fixed)
        self.bare = list(form.bare)
        self.described: list[Body] = []
        self.zone: str | None = None
        self.loads: list[str] = []
        self.said: set[str] = set()
        """The details that hold one value, and have it."""
        self.members: tuple[PartId, ...] = ()
        """The parts of the assembly that was named where a part is."""

    # -- word by word -----------------------------------------------------------------------

    def take(self, word: str) -> None:
        """Take in one more word."""
        detail = _DETAIL.fullmatch(word)
        name = self._field(detail[1]) if detail else ""
        count = _COUNT.fullmatch(word) if self.kind in {"joint undone", "joint made"} else None
        if detail and name and name != "loads_kg":
            self._add(name, detail[2])
        elif detail and self.kind == "joint undone" and detail[1] in _WENT:
            self._add_went(detail[1], detail[2])
        elif self.kind == "weighed" and "=" in word:
            self.loads.append(word)
        elif detail and detail[1] == "zone" and self.new:
            self._once("zone")
            self.zone = _zone(self.state, detail[2])
        elif count:
            self._add_count(int(count[1]), int(count[2]))
        elif self.bare:
            name = self.bare[0]
            if name != "pieces":  # of which there may be any number
                self.bare.pop(0)
            self._add(name, word)
        else:
            what = f"{word!r} is one word too many"
            if detail:
                what = f"{self.word} has no detail {detail[1]!r}: {', '.join(self._details())}"
            raise BadInput(what, self.word, usage(self.word, self.form))

    def _field(self, said: str) -> str:
        fields = self.body.model_fields
        return next(
            (each for each in (said, *(said + unit for unit in _UNITS)) if each in fields), ""
        )

    def _details(self) -> list[str]:
        names = [
            each.removesuffix(next((unit for unit in _UNITS if each.endswith(unit)), ""))
            for each in self.body.model_fields
            if each not in {"went", "loads_kg", *self.form.bare, *self.form.fixed}
        ]
        return names + (list(_WENT) if self.kind == "joint undone" else [])

    def _once(self, name: str) -> None:
        """Refuse a second value: nobody knows which of the two is meant."""
        if name in self.said:
            raise BadInput(f"{name} is said twice", self.word, "say it once")
        self.said.add(name)

    def _add(self, name: str, text: str) -> None:
        values, kind, state = self.values, self.kind, self.state
        if name not in {"pieces", "new", *_MANY} and (kind, name) not in _LISTS:
            self._once(name)
        if name == "tag" or name.endswith("_tag"):
            values[name] = Tag(text)
        elif kind == "hardware moved" and name in {"source", "to"}:
            self._add_end(name, text)
        elif name in {"pieces", "new"}:
            values.setdefault(name, []).append(_pieces(text))
        elif name in QUANTITIES:
            values[name] = QUANTITIES[name](text)
        elif name in _FIGURES:
            values[name] = _figure(name, text)
        elif name == "currency":
            values[name] = text.upper()
        elif name in {"due", "until"}:
            values[name] = _day(name, text)
        elif name in _MANY:
            values.setdefault(name, []).append(find(state, _MANY[name], text))
        elif (kind, name) in _LISTS:
            values.setdefault(name, []).append(find_subject(state, text))
        elif name in _SUBJECTS and (kind, name) not in _NO_SUBJECTS:
            values[name] = find_subject(state, text, _KINDS_OF.get((kind, name), ALL_KINDS))
        elif name == "fit" and kind == "temporary fit off":
            values[name] = find(state, "fit", text)
        elif name == "hold" and kind == "hold lifted":
            values[name] = find(state, "hold", text)
        elif name == "zone":
            values[name] = _zone(state, text)
        elif name in _ALSO_LOOKED_UP:
            values[name] = find(state, _ALSO_LOOKED_UP[name], text)
        elif name in _LOOKED_UP and kind != "place described":
            values[name] = self._look_up(name, text)
        elif text.casefold() in _YES and self._is_flag(name):
            values[name] = _YES[text.casefold()]
        else:
            is_choice = (kind, name) in _CHOICES
            values[name] = text.casefold().replace("-", " ") if is_choice else text

    def _look_up(self, name: str, text: str) -> str:
        try:
            return find(self.state, name, text)
        except NotFound as error:
            if name not in _BY_NAME_ALONE:
                raise
            near = error.nearest
            if name == "part" and self.kind in _AS_ONE:
                try:
                    return self._as_one(AssemblyId(find(self.state, "assembly", text)))
                except NotFound as of_assemblies:
                    near = best((*near, *of_assemblies.nearest), text)
            if not self.new:
                raise NotDescribed(name, text, near) from error
        if len(text) > LONGEST_NAME:
            raise BadInput(
                f"a name of {len(text)} characters is too long",
                self.word,
                f"call the {name} by {LONGEST_NAME} at most, and note the rest",
            ) from None
        identity = _slug(text)
        body = Described(table=_BY_NAME_ALONE[name], id=identity, fields={"name": text})
        self.described.append(body)
        return identity

    def _as_one(self, whole: AssemblyId) -> PartId:
        """Take an assembly for its parts: those that are on yet, or those that are off."""
        parts, off = self.state.vehicle.assemblies[whole].parts, self.state.parts_off
        is_off = self.kind == "part off"
        self.members = tuple(part for part in parts if (part in off) != is_off) or parts
        if is_off:
            self.values.setdefault("whole", whole)
        return self.members[0]

    def _is_flag(self, name: str) -> bool:
        return self.body.model_fields[name].annotation in {bool, bool | None}

    def _add_count(self, so_many: int, of: int) -> None:
        counts = {"out": so_many, "of": of} if self.kind == "joint undone" else {"made": so_many}
        for name, number in counts.items():
            self._once(name)
            self.values[name] = number

    def _add_went(self, name: str, text: str) -> None:
        if not _WHOLE.fullmatch(text):
            raise BadInput(f"{text!r} is no number of fixings", name, f"write {name}=2")
        went = {"to": _WENT[name], "fixings": int(text)}
        self.values.setdefault("went", []).append(went)

    def _add_end(self, name: str, text: str) -> None:
        """Take an end of a move of hardware: a bag's tag, or a word such as scrap."""
        word = text.casefold().replace("-", " ")
        if word in set(Whither) - {Whither.TAG}:
            self.values[name] = word
            return
        try:
            self.values[f"{name}_tag"] = Tag(text)
        except BadTag as error:
            words = ", ".join(each for each in Whither if each is not Whither.TAG)
            raise BadInput(
                f"{text!r} is neither a tag nor one of {words}", name, error.remedy()
            ) from error
        self.values[name] = Whither.TAG

    # -- at the end of the line -------------------------------------------------------------

    def bodies(self) -> tuple[Body, ...]:
        """Give the entries that the line says."""
        self._fill_in()
        each = [{"part": part} for part in self.members] or [{}]
        try:
            said = (self.body.model_validate({**self.values, **own}) for own in each)
            return (*self.described, *said)
        except ValidationError as error:
            raise BadInput(fault_of(error), self.word, usage(self.word, self.form)) from error

    def _fill_in(self) -> None:
        """Add what follows from what was said, and from nothing else."""
        values = self.values
        match self.kind:
            case "temporary fit on":
                values.setdefault("fit", _slug(str(values.get("what", ""))))
            case "hold set":
                values.setdefault("hold", hold_called(str(values.get("words", ""))))
            case "place described":
                values.setdefault("place", _slug(str(values.get("name", ""))))
            case "counted":
                # What was not named is not said to be missing, unless somebody says so.
                if not values.setdefault("complete", False) and not values.get("pieces"):
                    raise BadInput(
                        "nothing was counted",
                        self.word,
                        f"name it ({self.form.example}), or add complete=yes if it is empty",
                    )
            case "one and the same":
                told = _contradicting(self.state, str(values.get("subject", "")))
                values.setdefault("entries", tuple(dict.fromkeys(told)))
                if len(values["entries"]) < 2:
                    raise BadInput(
                        "there are no entries on it that contradict each other",
                        self.word,
                        "log the count",
                    )
            case "weighed":
                weighing.fill_in(values, self.loads, self.state)
            case "checked" if found := self.state.joints.get(values.get("joint", "")):
                values.setdefault("of", found.made.entry if found.made else None)
            case "decided":
                common = self.state.common_of(values.get("of", ""))
                unsettled = _unsettled(common) if common else []
                if len(unsettled) == 1:
                    values.setdefault("about", unsettled[0])
        if self.zone is not None:
            self.described = [
                each.model_copy(update={"fields": {**each.fields, "zone": self.zone}})
                if isinstance(each, Described)
                else each
                for each in self.described
            ]


def _unsettled(common: Common) -> list[EntryId]:
    """Name the findings, and the readings outside their limits, that wait for a decision."""
    said = [each.said for each in common.findings if each.settled is None]
    said += [each.said for each in common.readings if each.outside and each.settled is None]
    return [each.entry for each in said]


def _contradicting(state: State, subject: str) -> Iterator[EntryId]:
    """Name the entries on a joint or a tag that contradict each other."""
    kind, _, identity = subject.partition(":")
    if kind == "joint" and (joint := state.joints.get(JointId(identity))):
        yield from (*joint.doubles, *joint.in_two_bags)
    if kind == "tag" and (container := state.containers.get(TagCode(identity))):
        yield from (each.said.entry for each in container.rivals)


def _zone(state: State, text: str) -> str:
    """Find a zone; while none is described, it goes by whatever it is called."""
    return find(state, "zone", text) if state.vehicle.zones else _slug(text)


def _check_text(word: str) -> None:
    """Refuse what no screen shows: bytes that are no text, and control characters."""
    if any("\ud800" <= each <= "\udfff" or (each < " " and each not in "\t\n") for each in word):
        raise BadInput(f"{word!a} holds characters that are no text", mend="type it anew")


def _figure(name: str, text: str) -> float:
    try:
        figure = float(text)
    except ValueError:
        figure = math.nan
    if not math.isfinite(figure):
        raise BadInput(f"{text!r} is no number", name, "write it like 8.7, its unit after it")
    return figure


def _pieces(text: str) -> dict[str, Any]:
    found = _PIECES.fullmatch(text.strip())
    if found is None:
        example = "4 x bolt 5/16-24 UNF x 1 in"
        raise BadInput(f"{text!r} does not say how many of what", mend=f'write "{example}"')
    return {"spec": parse_fastener(found[2]).text, "count": int(found[1])}


def _day(name: str, text: str) -> str:
    try:
        return date.fromisoformat(text).isoformat()
    except ValueError as error:
        raise BadInput(f"{text!r} is no day", name, "write it as 2031-06-01") from error


def _slug(text: str) -> str:
    slug = re.sub(r"[^\w]+", "-", text.casefold()).strip("-_")[:80]
    if not slug:
        raise BadInput(f"{text!r} has no letter or figure in it", mend="give it a name")
    return slug
