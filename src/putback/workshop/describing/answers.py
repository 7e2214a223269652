"""What a person types into a form of description, to the plain values of a record and back.

Each sort of answer is read by one function and written by another. What is written reads back as
the same value, so that a form that nobody changed changes nothing.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from putback.errors import BadInput, InputError
from putback.logbook.state import State
from putback.units import parse
from putback.units.show import duration_text, length_text, mass_text, torque_text
from putback.vehicle.fastener import parse as parse_fastener
from putback.workshop.saying.names import find, find_subject, names_of

Plain = Any
"""A plain value of a record, as the vehicle file has it."""


class Answer(StrEnum):
    """Sorts of answers."""

    TEXT = "text"
    LONG = "long"
    LINES = "lines"
    WHOLE = "whole"
    CHOICE = "choice"
    TICK = "tick"
    MASS = "mass"
    LENGTH = "length"
    TORQUE = "torque"
    MINUTES = "minutes"
    PART = "part"
    PARTS = "parts"
    JOINTS = "joints"
    STANDINGS = "standings"
    OPENED = "part or joint"
    WORK = "part, joint or job"
    GOAL = "goal"
    ZONE = "zone"
    MARKS = "marks"
    NUMBERS = "numbers"
    USED_UP = "used up"
    FIXINGS = "fixings"
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
    return _SORTS[answer].read(said, _Known(state, before))


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


@dataclass(frozen=True, slots=True)
class _Known:
    state: State
    before: Plain


@dataclass(frozen=True, slots=True)
class _Sort:
    read: Callable[[str, _Known], Plain]
    write: Callable[[Plain, State], str]


def lines_of(text: str) -> list[str]:
    """Part a text into its lines, without empty ones."""
    return [line.strip() for line in text.splitlines() if line.strip()]


def _cells(line: str, most: int) -> list[str]:
    """Part a line at its bars."""
    cells = [cell.strip() for cell in line.split("|")]
    if len(cells) > most:
        raise BadInput(f"{line!r} has {len(cells)} parts", mend=f"at most {most}, between bars")
    return [*cells, *[""] * (most - len(cells))]


# -- single values ------------------------------------------------------------------------------


def _whole(text: str, known: _Known) -> int:
    del known
    if not re.fullmatch(r"[0-9]{1,6}", text):
        raise BadInput(f"{text!r} is no whole number", mend="write it in figures, like 4")
    return int(text)


def _quantity(read: Callable[..., float], bare: str) -> Callable[[str, _Known], float]:
    def quantity(text: str, known: _Known) -> float:
        del known
        return read(text, bare=bare)

    return quantity


def _written(unit: str, of: float = 1) -> Callable[[Plain, State], str]:
    def write(plain: Plain, state: State) -> str:
        del state
        return f"{plain * of:.10g} {unit}"

    return write


_THREE = re.compile(r"([0-9.]+)[\s,/-]+([0-9.]+)[\s,/-]+([0-9.]+)\s*(?:min(?:utes)?)?")


def _minutes(text: str, known: _Known) -> Mapping[str, float]:
    del known
    try:
        if three := _THREE.fullmatch(text):
            best, likely, worst = map(float, three.groups())
        else:
            best = likely = worst = parse.duration_minutes(text, bare="min")
    except ValueError as error:
        raise BadInput(f"{text!r} is no time", mend="write it like 10 15 30") from error
    if not 0 <= best <= likely <= worst:
        raise BadInput(f"{text!r} is out of order", mend="best, likely and worst, in minutes")
    return {"best": best, "likely": likely, "worst": worst}


def _write_minutes(plain: Plain, state: State) -> str:
    del state
    times = [f"{plain[each]:.10g}" for each in ("best", "likely", "worst")]
    return f"{times[0]} min" if len(set(times)) == 1 else " ".join(times)


# -- references ---------------------------------------------------------------------------------


def _one(kind: str) -> Callable[[str, _Known], str]:
    return lambda text, known: find(known.state, kind, text)


def _several(kind: str) -> Callable[[str, _Known], list[str]]:
    def several(text: str, known: _Known) -> list[str]:
        return list(dict.fromkeys(find(known.state, kind, line) for line in lines_of(text)))

    return several


def name_for(kind: str, identity: str, state: State) -> str:
    """Name a thing so that it is found by that: by its name, or its identity if that is not."""
    name = next(filter(None, names_of(state, kind).get(identity, ())), identity)
    try:
        found = find(state, kind, name)
    except InputError:  # several go by it
        return identity
    return name if found == identity else identity


def _write_one(kind: str) -> Callable[[Plain, State], str]:
    return lambda plain, state: name_for(kind, plain, state)


def _write_several(kind: str) -> Callable[[Plain, State], str]:
    return lambda plain, state: "\n".join(name_for(kind, each, state) for each in plain)


def _subject_of(*kinds: str) -> Callable[[str, _Known], str]:
    return lambda text, known: find_subject(known.state, text, kinds)


def _write_subject(plain: Plain, state: State) -> str:
    kind, _, identity = plain.partition(":")
    return f"{kind}:{name_for(kind, identity, state)}"


def _zone(text: str, known: _Known) -> str:
    """Find a zone; one that is not there is left as it was typed, to be described with it."""
    wanted = text.casefold()
    zones = known.state.vehicle.zones.values()
    return next((each.id for each in zones if wanted in {each.id, each.name.casefold()}), text)


# -- lines --------------------------------------------------------------------------------------

_COUNTED = re.compile(r"([0-9]{1,4})(?:\s*[x×]\s*|\s+)(?=\S)", re.IGNORECASE)
_PER_FIXING = re.compile(r"([0-9]{1,3})\s*[x×]\s*(?=[A-Za-z])")


def _fixings(text: str, known: _Known) -> list[dict[str, Any]]:
    before = list(known.before or ())
    found: list[dict[str, Any]] = []
    for at, line in enumerate(lines_of(text)):
        said, _, head = line.partition(";")
        counted = _COUNTED.match(said)
        was = before[at] if at < len(before) else {}
        notes = {each["spec"]: each.get("note", "") for each in was.get("stack", ())}
        rest = said[counted.end() :] if counted else said
        stack = [_piece(each, notes) for each in rest.split(" + ") if each.strip()]
        fixing = {
            "id": was.get("id") or _free_letter(found, before),
            "count": int(counted[1]) if counted else 1,
            "stack": stack,
        }
        if head.strip():
            fixing["head"] = head.strip()
        found.append(fixing)
    return found


def _piece(said: str, notes: Mapping[str, str]) -> dict[str, Any]:
    text = said.strip()
    piece: dict[str, Any] = {}
    while text.endswith(("!", "*")):
        piece["single_use" if text.endswith("!") else "stays"] = True
        text = text[:-1].strip()
    if per_fixing := _PER_FIXING.match(text):
        piece["per_fixing"] = int(per_fixing[1])
        text = text[per_fixing.end() :]
    piece["spec"] = parse_fastener(text).text
    if note := notes.get(piece["spec"]):
        piece["note"] = note
    return {name: value for name, value in piece.items() if (name, value) != ("per_fixing", 1)}


def _free_letter(found: list[dict[str, Any]], before: list[Any]) -> str:
    taken = {each["id"] for each in (*found, *before)}
    letters = (chr(ord("A") + at) for at in range(26))
    return next((each for each in letters if each not in taken), f"F{len(taken) + 1}")


def _write_fixings(plain: Plain, state: State) -> str:
    del state
    lines = []
    for each in plain:
        pieces = []
        for piece in each.get("stack", ()):
            many = f"{piece['per_fixing']} x " if piece.get("per_fixing", 1) != 1 else ""
            once = " !" if piece.get("single_use") else ""
            stays = " *" if piece.get("stays") else ""
            pieces.append(f"{many}{piece['spec']}{once}{stays}")
        head = f"; {each['head']}" if each.get("head") else ""
        lines.append(f"{each['count']} x {' + '.join(pieces)}{head}")
    return "\n".join(lines)


def _table(*fields: str) -> _Sort:
    """Make a sort of lines whose cells, between bars, are fields of records.

    Fields that no cell shows stay with the record whose first cell is the same.
    """

    def read(text: str, known: _Known) -> list[dict[str, Any]]:
        first, found = fields[0], []
        for line in lines_of(text):
            cells = zip(fields, _cells(line, len(fields)), strict=True)
            row = {name: cell for name, cell in cells if cell}
            was = (each for each in known.before or () if each.get(first) == row.get(first))
            kept = {name: each for name, each in next(was, {}).items() if name not in fields}
            found.append({**kept, **row})
        return found

    def write(plain: Plain, state: State) -> str:
        del state
        rows = ([str(each.get(name, "")) for name in fields] for each in plain)
        return "\n".join(re.sub(r"( \| )+$", "", " | ".join(row)) for row in rows)

    return _Sort(read, write)


def _ends(text: str, known: _Known) -> list[dict[str, Any]]:
    """Read ends of a run: joint, where, terminal, ``does not pass``."""
    before = {each["joint"]: each for each in known.before or ()}
    found = []
    for line in lines_of(text):
        joint, at, terminal, passes = _cells(line, 4)
        identity = find(known.state, "joint", joint)
        kept = {
            name: value
            for name, value in before.get(identity, {}).items()
            if name not in {"at", "terminal", "passes"}
        }
        end = {**kept, "joint": identity}
        end |= {name: cell for name, cell in (("at", at), ("terminal", terminal)) if cell}
        if passes:
            end["passes"] = not passes.casefold().startswith(("no", "does not"))
        found.append(end)
    return found


def _write_ends(plain: Plain, state: State) -> str:
    lines = []
    for each in plain:
        passes = "" if each.get("passes", True) else "does not pass"
        cells = [name_for("joint", each["joint"], state), each.get("at", "")]
        cells += [each.get("terminal", ""), passes]
        lines.append(re.sub(r"( \| )+$", "", " | ".join(cells)))
    return "\n".join(lines)


def _supports(text: str, known: _Known) -> list[dict[str, Any]]:
    """Read supports: what, under which part, place on the ground, rating."""
    before = list(known.before or ())
    found: list[dict[str, Any]] = []
    for at, line in enumerate(lines_of(text)):
        kind, under, place, rating = _cells(line, 4)
        was = before[at] if at < len(before) else {}
        spot = re.fullmatch(r"(-?[0-9.]+)\s*[,;]\s*(-?[0-9.]+)\s*(?:m)?", place)
        if not kind or not under or spot is None:
            mend = "write it like: axle stand | chassis frame | 2.1, -0.5 | 2 t"
            raise BadInput(f"{line!r} is no support", mend=mend)
        support = {**was, "id": was.get("id") or f"s{at + 1}", "kind": kind}
        support["bears_on"] = find(known.state, "part", under)
        support["at_m"] = [float(spot[1]), float(spot[2])]
        support.pop("rating_kg", None)
        if rating:
            support["rating_kg"] = parse.mass_kg(rating, bare="kg")
        found.append(support)
    return found


def _write_supports(plain: Plain, state: State) -> str:
    lines = []
    for each in plain:
        rating = f" | {each['rating_kg']:.10g} kg" if each.get("rating_kg") is not None else ""
        under = name_for("part", each["bears_on"], state)
        x, y = each["at_m"]
        lines.append(f"{each['kind']} | {under} | {x:.10g}, {y:.10g}{rating}")
    return "\n".join(lines)


def _as_it_is(text: str, known: _Known) -> str:
    del known
    return text


def _text_of(plain: Plain, state: State) -> str:
    del state
    return str(plain)


_TEXT = _Sort(_as_it_is, _text_of)

_SORTS: Mapping[Answer, _Sort] = {
    **dict.fromkeys((Answer.TEXT, Answer.LONG, Answer.CHOICE), _TEXT),
    Answer.LINES: _Sort(
        lambda text, _: lines_of(text), lambda plain, _: "\n".join(map(str, plain))
    ),
    Answer.WHOLE: _Sort(_whole, _text_of),
    Answer.TICK: _Sort(lambda text, _: True, lambda plain, _: "yes" if plain else ""),
    Answer.MASS: _Sort(_quantity(parse.mass_kg, "kg"), _written("kg")),
    Answer.LENGTH: _Sort(_quantity(parse.length_m, "mm"), _written("mm", 1000)),
    Answer.TORQUE: _Sort(_quantity(parse.torque_nm, ""), _written("Nm")),
    Answer.MINUTES: _Sort(_minutes, _write_minutes),
    Answer.PART: _Sort(_one("part"), _write_one("part")),
    Answer.GOAL: _Sort(_one("goal"), _write_one("goal")),
    Answer.PARTS: _Sort(_several("part"), _write_several("part")),
    Answer.JOINTS: _Sort(_several("joint"), _write_several("joint")),
    Answer.STANDINGS: _Sort(_several("standing"), _write_several("standing")),
    Answer.OPENED: _Sort(_subject_of("joint", "part"), _write_subject),
    Answer.WORK: _Sort(_subject_of("joint", "part", "job"), _write_subject),
    Answer.ZONE: _Sort(_zone, lambda plain, state: state.name_of(f"zone:{plain}")),
    Answer.MARKS: _table("how", "where", "record"),
    Answer.NUMBERS: _table("kind", "value"),
    Answer.USED_UP: _table("what", "how"),
    Answer.PASSAGES: _table("what"),
    Answer.FIXINGS: _Sort(_fixings, _write_fixings),
    Answer.ENDS: _Sort(_ends, _write_ends),
    Answer.SUPPORTS: _Sort(_supports, _write_supports),
}
