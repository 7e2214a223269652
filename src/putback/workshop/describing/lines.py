"""Answers of one line each thing: fasteners, ends, supports and the like.

What a line does not show of a record stays with it.
"""

import re
from collections.abc import Mapping, Sequence
from typing import Any

from putback.errors import BadInput
from putback.logbook.state import State
from putback.units import parse
from putback.vehicle.fastener import parse as parse_fastener
from putback.workshop.describing.single import (
    Known,
    Plain,
    Sort,
    lines_of,
    name_for,
    point,
    write_point,
)
from putback.workshop.saying.names import find

Row = dict[str, Any]


def _cells(line: str, most: int) -> list[str]:
    """Part a line at its bars."""
    cells = [cell.strip() for cell in line.split("|")]
    if len(cells) > most:
        raise BadInput(f"{line!r} has {len(cells)} parts", mend=f"at most {most}, between bars")
    return [*cells, *[""] * (most - len(cells))]


def _line(cells: Sequence[str]) -> str:
    """Write a line with bars between its cells, without the empty ones at its end."""
    return re.sub(r"( \| )+$", "", " | ".join(cells))


def table(*fields: str) -> Sort:
    """Make a sort of lines whose cells, between bars, are fields of records.

    Fields that no cell shows stay with the record whose first cell is the same.
    """

    def read(text: str, known: Known) -> list[Row]:
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
        return "\n".join(_line([str(each.get(name, "")) for name in fields]) for each in plain)

    return Sort(read, write)


# -- fasteners ----------------------------------------------------------------------------------

_COUNTED = re.compile(r"([0-9]{1,4})(?:\s*[x×]\s*|\s+)(?=\S)", re.IGNORECASE)
_PER_FIXING = re.compile(r"([0-9]{1,3})\s*[x×]\s*(?=[A-Za-z])")


def _fixings(text: str, known: Known) -> list[Row]:
    before = list(known.before or ())
    found: list[Row] = []
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


def _piece(said: str, notes: Mapping[str, str]) -> Row:
    text = said.strip()
    piece: Row = {}
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


def _free_letter(found: list[Row], before: list[Any]) -> str:
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


FIXINGS = Sort(_fixings, _write_fixings)

_STAGE = re.compile(r"(?P<torque>.*?)\s*(?:(?P<angle>[0-9.]+)\s*(?:°|deg\w*))?", re.IGNORECASE)


def _stages(text: str, known: Known) -> list[Row]:
    """Read passes of a tightening: a torque, a further angle, or both."""
    del known
    found = []
    for line in lines_of(text):
        said = _STAGE.fullmatch(line)
        stage: Row = {}
        if said is not None and said["torque"]:
            stage["torque_nm"] = parse.torque_nm(said["torque"])
        if said is not None and said["angle"]:
            stage["angle_deg"] = _number(said["angle"], "write an angle like 90 degrees")
        found.append(stage)
    return found


def _number(text: str, mend: str) -> float:
    try:
        return float(text)
    except ValueError as error:
        raise BadInput(f"{text!r} is no number", mend=mend) from error


def _write_stages(plain: Plain, state: State) -> str:
    del state
    lines = []
    for each in plain:
        torque = f"{each['torque_nm']:.10g} Nm" if each.get("torque_nm") is not None else ""
        angle = f"{each['angle_deg']:.10g} degrees" if each.get("angle_deg") is not None else ""
        lines.append(" ".join(filter(None, (torque, angle))))
    return "\n".join(lines)


STAGES = Sort(_stages, _write_stages)

_SELECTIVE = "by measuring"


def _shims(text: str, known: Known) -> list[Row]:
    """Read packs of shims: place, shims in order, how they are chosen, measured, order, taper."""
    del known
    found = []
    for line in lines_of(text):
        at, shims, chosen, measured, order, taper = _cells(line, 6)
        pack: Row = {"at": at, "shims": [_shim(each) for each in shims.split("+") if each.strip()]}
        pack |= {name: cell for name, cell in (("order", order), ("taper", taper)) if cell}
        if chosen:
            pack["selective"] = True
        if measured:
            pack["measured_m"] = parse.length_m(measured, bare="mm")
        found.append(pack)
    return found


def _shim(text: str) -> Row:
    thickness, material, shape = (*(each.strip() for each in text.split(",", 2)), "", "")[:3]
    shim: Row = {"thickness_m": parse.length_m(thickness, bare="mm")}
    if material and material != "steel":
        shim["material"] = material
    if shape:
        shim["shape"] = shape
    return shim


def _write_shims(plain: Plain, state: State) -> str:
    del state
    lines = []
    for each in plain:
        shims = []
        for shim in each["shims"]:
            said = [f"{shim['thickness_m'] * 1000:.10g} mm", shim.get("material", "")]
            if shim.get("shape"):
                said = [said[0], said[1] or "steel", shim["shape"]]
            shims.append(", ".join(filter(None, said)))
        measured = each.get("measured_m")
        cells = [each["at"], " + ".join(shims), _SELECTIVE if each.get("selective") else ""]
        cells += ["" if measured is None else f"{measured * 1000:.10g} mm"]
        lines.append(_line([*cells, each.get("order", ""), each.get("taper", "")]))
    return "\n".join(lines)


SHIMS = Sort(_shims, _write_shims)


# -- runs ---------------------------------------------------------------------------------------


def _ends(text: str, known: Known) -> list[Row]:
    """Read ends of a run: joint, where, terminal, how it behaves, branch, colours."""
    before = {each["joint"]: each for each in known.before or ()}
    shown = {"at", "terminal", "passes", "turns", "branch", "colours"}
    found = []
    for line in lines_of(text):
        joint, at, terminal, behaves, branch, colours = _cells(line, 6)
        identity = find(known.state, "joint", joint)
        was = before.get(identity, {})
        end = {name: value for name, value in was.items() if name not in shown}
        end["joint"] = identity
        words = (("at", at), ("terminal", terminal), ("branch", branch))
        end |= {name: cell for name, cell in words if cell}
        if colours:
            end["colours"] = [each.strip() for each in colours.split(",") if each.strip()]
        for each in filter(None, (each.strip().casefold() for each in behaves.split(","))):
            if each == "turns":
                end["turns"] = True
            elif each in {_STUCK, "no"}:
                end["passes"] = False
            elif each not in {"passes", "yes"}:
                raise BadInput(f"{each!r} says nothing of an end", mend=f"{_STUCK}, or turns")
        found.append(end)
    return found


_STUCK = "does not pass"


def _write_ends(plain: Plain, state: State) -> str:
    lines = []
    for each in plain:
        passes = "" if each.get("passes", True) else _STUCK
        cells = [name_for("joint", each["joint"], state), each.get("at", "")]
        cells += [each.get("terminal", "")]
        cells += [", ".join(filter(None, (passes, "turns" if each.get("turns") else "")))]
        lines.append(_line([*cells, each.get("branch", ""), ", ".join(each.get("colours", ()))]))
    return "\n".join(lines)


ENDS = Sort(_ends, _write_ends)


def _passages(text: str, known: Known) -> list[Row]:
    """Read what a run passes through: what it is, in which part, its bore."""
    found = []
    for line in lines_of(text):
        what, part, bore = _cells(line, 3)
        passage: Row = {"what": what}
        if part:
            passage["part"] = find(known.state, "part", part)
        if bore:
            passage["bore_m"] = parse.length_m(bore, bare="mm")
        found.append(passage)
    return found


def _write_passages(plain: Plain, state: State) -> str:
    lines = []
    for each in plain:
        part = name_for("part", each["part"], state) if each.get("part") else ""
        bore = each.get("bore_m")
        lines.append(_line([each["what"], part, "" if bore is None else f"{bore * 1000:.10g} mm"]))
    return "\n".join(lines)


PASSAGES = Sort(_passages, _write_passages)


# -- standings and places -----------------------------------------------------------------------

_BESIDE = "beside the vehicle"


def _supports(text: str, known: Known) -> list[Row]:
    """Read supports: what, under which part, place on the ground, rating, hidden, beside."""
    before = list(known.before or ())
    found: list[Row] = []
    for at, line in enumerate(lines_of(text)):
        kind, under, place, rating, hides, beside = _cells(line, 6)
        if not kind or not under or not place:
            mend = "write it like: axle stand | chassis frame | 2.1, -0.5 | 2 t"
            raise BadInput(f"{line!r} is no support", mend=mend)
        was = before[at] if at < len(before) else {}
        shown = {"rating_kg", "hides", "beside"}
        support = {name: value for name, value in was.items() if name not in shown}
        support |= {"id": was.get("id") or _free_number(found, before), "kind": kind}
        support["bears_on"] = find(known.state, "part", under)
        support["at_m"] = point(place, 2)
        if rating:
            support["rating_kg"] = parse.mass_kg(rating, bare="kg")
        if hidden := [each.strip() for each in hides.split(";") if each.strip()]:
            support["hides"] = [find(known.state, "part", each) for each in hidden]
        if beside:
            support["beside"] = True
        found.append(support)
    return found


def _free_number(found: list[Row], before: list[Any]) -> str:
    taken = {each["id"] for each in (*found, *before)}
    return next(each for at in range(len(taken) + 1) if (each := f"s{at + 1}") not in taken)


def _write_supports(plain: Plain, state: State) -> str:
    lines = []
    for each in plain:
        rating = f"{each['rating_kg']:.10g} kg" if each.get("rating_kg") is not None else ""
        hides = "; ".join(name_for("part", part, state) for part in each.get("hides", ()))
        cells = [each["kind"], name_for("part", each["bears_on"], state)]
        cells += [write_point(each["at_m"]), rating, hides]
        lines.append(_line([*cells, _BESIDE if each.get("beside") else ""]))
    return "\n".join(lines)


SUPPORTS = Sort(_supports, _write_supports)


def _changes(text: str, known: Known) -> dict[str, float]:
    """Read how long it takes to stand the vehicle otherwise: standing, minutes."""
    found = {}
    for line in lines_of(text):
        standing, time = _cells(line, 2)
        if not time:
            raise BadInput(f"{line!r} has no time", mend="write it like: on its wheels | 30 min")
        minutes = parse.duration_minutes(time, bare="min")
        found[find(known.state, "standing", standing)] = minutes
    return found


def _write_changes(plain: Plain, state: State) -> str:
    return "\n".join(
        f"{name_for('standing', standing, state)} | {minutes:.10g} min"
        for standing, minutes in plain.items()
    )


CHANGES = Sort(_changes, _write_changes)

OUTLINE = Sort(
    lambda text, _: [point(line, 2) for line in lines_of(text)],
    lambda plain, _: "\n".join(write_point(each) for each in plain),
)
