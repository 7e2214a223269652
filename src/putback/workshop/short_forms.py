"""Short forms: one line that a person types, read as entries.

``undone "front bumper irons" 3/4 stuck=1 tag=3CAH`` is a word for the kind, what it is about, and
details as ``name=value``. Every kind of entry can be said so; the common ones have a short word.
Names are looked up, quantities are read in any unit, and nothing is guessed.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any

from pydantic import ValidationError

from putback.errors import BadInput, NotFound
from putback.logbook.entries.base import Body
from putback.logbook.entries.describing import Described
from putback.logbook.entries.registry import KINDS
from putback.logbook.entries.working import PartOff, Whither
from putback.logbook.state import State
from putback.logbook.tags import Tag
from putback.units import parse
from putback.vehicle.fastener import parse as parse_fastener
from putback.vehicle.ids import PartId
from putback.workshop.names import find, find_subject


@dataclass(frozen=True, slots=True)
class Form:
    """How one kind of entry is said: what its bare words stand for, and an example."""

    kind: str
    bare: tuple[str, ...] = ()
    example: str = ""
    fixed: Mapping[str, Any] = field(default_factory=dict)


FORMS: Mapping[str, Form] = {
    "off": Form("part off", ("part",), 'off "radiator" tag=3CAH'),
    "undone": Form("joint undone", ("joint",), 'undone "front bumper irons" 3/4 stuck=1 tag=3CAH'),
    "cracked": Form("joint cracked", ("joint",), 'cracked "wheel nuts, front left"'),
    "aside": Form("hung aside", ("part",), 'aside "brake caliper, left" on="upper wishbone"'),
    "mark": Form("mark made", ("part",), 'mark "propeller shaft" how=punch where="both flanges"'),
    "closed": Form("opening closed", ("opening", "ends"), 'closed "master cylinder outlet" 1'),
    "opened": Form("opening opened", ("opening",), 'opened "master cylinder outlet"'),
    "note": Form("note", ("text", "of"), 'note "two washers here, not one" "front bumper irons"'),
    "found": Form("found", ("what", "of"), 'found "cracked near the eye" "leaf spring, left"'),
    "measured": Form(
        "measured as found", ("of", "what", "value", "unit"), 'measured "disc" thickness 8.7 mm'
    ),
    "fit": Form("temporary fit on", ("what", "on"), 'fit "door brace" "body shell"'),
    "unfit": Form("temporary fit off", ("fit",), 'unfit "door brace"'),
    "standing": Form("standing changed", ("standing",), "standing STANDS rock_tested=yes"),
    "drained": Form("drained", ("fluid",), 'drained "engine oil" volume=4l'),
    "done": Form("job done", ("job",), 'done "survey"'),
    "bag": Form("container made", ("tag", "name"), 'bag 3CAH "bumper bolts"'),
    "box": Form("container made", ("tag", "name"), "box 3HNA", {"container": "box"}),
    "crate": Form("container made", ("tag", "name"), "crate 3HNA", {"container": "crate"}),
    "put": Form("put in", ("what", "tag"), 'put "radiator" 3HNA'),
    "moved": Form("moved", ("what", "place"), 'moved 3HNA "dry store"'),
    "counted": Form("counted", ("tag", "pieces"), 'counted 3CAH "3 x bolt 7/16-20 UNF x 38 mm"'),
    "seen": Form("hands laid on", ("what",), 'seen "radiator"'),
    "pattern": Form("kept as pattern", ("part",), 'pattern "clutch pipe"'),
    "bought": Form("bought", ("pieces",), 'bought "4 x split pin 2.4 mm" joint="track rod, left"'),
    "decided": Form("decided", ("of", "choice"), 'decided "disc" replace why="under the limit"'),
    "sent": Form("sent out", ("what", "firm"), 'sent "front bumper" plater due=2031-06-01'),
    "back": Form("came back", ("what",), 'back "front bumper"'),
    "offered": Form("offered up", ("what",), 'offered "leaf spring, left" fits=no misfit=3mm'),
    "on": Form("part on", ("part",), 'on "radiator"'),
    "made": Form("joint made", ("joint", "tightness"), 'made "radiator" final torque="18 N·m"'),
    "checked": Form("checked", ("joint",), 'checked "track rod, left"'),
    "time": Form("time", ("minutes", "of"), 'time "1 h 30" "radiator"'),
    "money": Form("money", ("amount", "currency", "what"), 'money 12.50 GBP "split pins"'),
    "person": Form("person named", ("person", "name"), 'person A "Ann"'),
}
"""The short words. Any kind can also be said by its own name, its words joined by hyphens."""

_COUNT = re.compile(r"^(\d+)\s*/\s*(\d+)$")
_PIECES = re.compile(r"^(\d+)\s*[x×*]\s*(.+)$", re.IGNORECASE)
_DETAIL = re.compile(r"^([a-z_]+)=(.*)$", re.DOTALL)
_YES = {"yes": True, "true": True, "y": True, "no": False, "false": False, "n": False}
_WENT = {
    "own": Whither.OWN_HOLE,
    "on_part": Whither.ON_PART,
    "scrap": Whither.SCRAP,
    "pattern": Whither.PATTERN,
    "lost": Whither.LOST,
}
_QUANTITIES: Mapping[str, Callable[[str], float]] = {
    "torque_nm": parse.torque_nm,
    "misfit_m": parse.length_m,
    "volume_m3": parse.volume_m3,
    "minutes": parse.duration_minutes,
}
_SUBJECT_FIELDS = frozenset({"of", "on", "what"})
_LISTS = frozenset({("photo", "of"), ("note", "of"), ("sent out", "what"), ("came back", "what")})
_PLAIN_WHAT = frozenset({"found", "measured as found", "temporary fit on", "money", "filled"})
_LOOKED_UP = frozenset({"part", "joint", "opening", "fluid", "job", "standing", "fit", "place"})


def form_of(word: str) -> Form:
    """Give the form that a first word asks for.

    Raises
    ------
    NotFound
        If there is no such kind of entry; with the nearest words.
    """
    if word in FORMS:
        return FORMS[word]
    kind = word.replace("-", " ")
    if kind in KINDS:
        required = [name for name, info in KINDS[kind].model_fields.items() if info.is_required()]
        return Form(kind, tuple(required))
    known = [*FORMS, *(kind.replace(" ", "-") for kind in KINDS)]
    raise NotFound("kind of entry", word, tuple(get_close_matches(word, known, n=3, cutoff=0.4)))


def read_line(words: Sequence[str], state: State, *, new: bool = False) -> tuple[Body, ...]:
    """Read a line, already parted into words, as the entries of one act.

    ``new`` allows a part that nobody described yet: it is described by the name given, in the
    same act.

    Raises
    ------
    InputError
        If the line cannot be meant; it says which word and how to mend it.
    """
    if not words:
        raise BadInput("nothing was said", mend=f"for example: {FORMS['off'].example}")
    form = form_of(words[0])
    values = dict(form.fixed)
    described: tuple[Body, ...] = ()
    body_class = KINDS[form.kind]
    names = body_class.model_fields
    bare = list(form.bare)
    for word in words[1:]:
        detail = _DETAIL.match(word)
        if detail and _is_detail(form.kind, detail[1], names):
            _add_detail(form.kind, values, detail[1], detail[2], state)
        elif (count := _COUNT.match(word)) and form.kind in {"joint undone", "joint made"}:
            _add_count(form.kind, values, int(count[1]), int(count[2]))
        elif bare:
            name = bare[0]
            if name != "pieces":
                bare.pop(0)
            try:
                _add(form.kind, values, name, word, state)
            except NotFound:
                if not (new and name == "part" and body_class is PartOff):
                    raise
                values["part"], described = _described(word, words)
        else:
            raise BadInput(f"{word!r} is one word too many", words[0], _usage(words[0], form))
    if form.kind == "temporary fit on" and "fit" not in values:
        values["fit"] = _slug(str(values.get("what", "")))
    values.pop("zone", None)
    try:
        return (*described, body_class.model_validate(values))
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        name = ".".join(str(step) for step in first["loc"])
        what = f"{name}: {first['msg']}" if name else str(first["msg"])
        raise BadInput(what, words[0], _usage(words[0], form)) from error


def _is_detail(kind: str, name: str, names: Mapping[str, Any]) -> bool:
    if name in names or f"{name}_nm" in names or f"{name}_m" in names or f"{name}_m3" in names:
        return True
    if kind == "joint undone" and name in _WENT:
        return True
    return name == "zone" and kind == "part off"


def _add_detail(kind: str, values: dict[str, Any], name: str, text: str, state: State) -> None:
    if kind == "joint undone" and name in _WENT:
        if not text.isdigit():
            raise BadInput(f"{name}={text} is not a number of fixings", mend=f"write {name}=2")
        values.setdefault("went", []).append({"to": _WENT[name], "fixings": int(text)})
        return
    fields = KINDS[kind].model_fields
    full = next(
        (each for each in (name, f"{name}_nm", f"{name}_m", f"{name}_m3") if each in fields), name
    )
    _add(kind, values, full, text, state)


def _add(kind: str, values: dict[str, Any], name: str, text: str, state: State) -> None:
    if name == "tag" or name.endswith("_tag"):
        values[name] = Tag(text)
    elif name in {"pieces", "new"}:
        values.setdefault(name, []).append(_pieces(text))
    elif name in _QUANTITIES:
        values[name] = _QUANTITIES[name](text)
    elif (kind, name) in _LISTS:
        values.setdefault(name, []).append(find_subject(state, text))
    elif name in _SUBJECT_FIELDS and not (name == "what" and kind in _PLAIN_WHAT):
        values[name] = find_subject(state, text)
    elif name == "place":
        values[name] = find(state, "place", text)
    elif name == "whole":
        values[name] = find(state, "assembly", text)
    elif name == "same_as":
        values[name] = find(state, "part", text)
    elif name in _LOOKED_UP and kind not in {"temporary fit on", "place described"}:
        values[name] = find(state, name, text)
    elif text.casefold() in _YES and _is_flag(kind, name):
        values[name] = _YES[text.casefold()]
    else:
        values[name] = text


def _is_flag(kind: str, name: str) -> bool:
    info = KINDS[kind].model_fields.get(name)
    return info is not None and info.annotation in {bool, bool | None}


def _add_count(kind: str, values: dict[str, Any], so_many: int, of: int) -> None:
    if kind == "joint undone":
        values["out"], values["of"] = so_many, of
    else:
        values["made"] = so_many


def _pieces(text: str) -> dict[str, Any]:
    found = _PIECES.match(text.strip())
    if found is None:
        example = "4 x bolt 5/16-24 UNF x 1 in"
        raise BadInput(f"{text!r} does not say how many of what", mend=f'write "{example}"')
    return {"spec": parse_fastener(found[2]).text, "count": int(found[1])}


def _described(name: str, words: Sequence[str]) -> tuple[PartId, tuple[Body, ...]]:
    """Describe a part by nothing but its name, and its zone if the line says it."""
    identity = PartId(_slug(name))
    fields = {"name": name}
    for word in words:
        if word.startswith("zone="):
            fields["zone"] = word.removeprefix("zone=")
    return identity, (Described(table="parts", id=identity, fields=fields),)


def _slug(text: str) -> str:
    slug = re.sub(r"[^a-z0-9]+", "-", text.casefold()).strip("-")
    if not slug:
        raise BadInput(f"{text!r} has no letter or figure in it", mend="give it a name")
    return slug


def _usage(word: str, form: Form) -> str:
    if form.example:
        return f"for example: {form.example}"
    return f"say: {word} {' '.join(name.upper() for name in form.bare)} [detail=value ...]"
