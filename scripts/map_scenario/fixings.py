"""Stacks of each joint, hole by hole, from the scenario's three lists of pieces.

The scenario counts a joint's pieces (eight bolts, eight washers, a gasket); a joint is described
by its holes, each with its stack. Where the numbers say it (four bolts, eight washers) the stack
follows. Where they do not, `GROUPS` says which pieces share a hole. What lies between the faces
(gasket, seal, dowel, spline) goes with the last hole: once that is out it is free.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from scripts.map_scenario.source import Row

INCHES = {
    **{12: "1/2", 16: "5/8", 19: "3/4", 22: "7/8", 25: "1", 32: "1 1/4", 35: "1 3/8"},
    **{38: "1 1/2", 45: "1 3/4", 57: "2 1/4", 64: "2 1/2", 76: "3", 89: "3 1/2", 90: "3 1/2"},
    **{102: "4", 108: "4 1/4", 150: "6"},
}
"""Lengths of the scenario [mm] as a bolt with a Unified thread is sold [in]."""

STAY = frozenset({"captive nut", "dowel", "rivet", "bush", "bonded rubber bush"})
"""Counted as pieces in the scenario, but never in a bag: they stay in their part."""

WORDS = {
    "sits in spigot; clamped by the four bolts of J128": "sits in, spigot, clamped by the housing",
    "sits in spigot; clamped by the four bolts of J138": "sits in, spigot, clamped by the housing",
    "sits in lower pan, end of coil in the step": "sits in, lower pan, coil end in the step",
    "spire nut 10-32": "spire nut 10-32 UNF",
    "shakeproof washer 10": "shakeproof washer No. 10",
    "gasket housing to plate, paper": "gasket, bearing housing, paper",
    "rivet 6 mm, hold the castor shims": "rivet 6 mm, castor shims",
    "sealant thread of the long bolt": "sealant, long bolt",
    "loom clip, welded strap bent over soft metal": "loom clip, welded strap",
    "felt strip between tank and strap": "felt strip, tank strap",
}
"""Specifications of the scenario that read better otherwise."""

FIRST = ("taper", "spline", "key", "sits in", "bolt", "setscrew", "screw", "countersunk screw")
LAST = ("nut", "stud nut", "castle nut", "self-locking insert", "locknut", "split pin")

GROUPS: dict[str, tuple[tuple[str, int, str], ...]] = {
    "J002": (("bolts", 4, "bolt, spring washer, plain washer, plain washer"),),
    "J008": (
        ("nuts", 4, "shakeproof washer, stud nut"),
        ("last nut of each lamp", 2, "gasket, shakeproof washer, stud nut"),
    ),
    "J013": (("feet", 2, "bolt, spring washer, rubber pad, sleeve, rubber pad"),),
    "J015": (("upper bolts", 2, "bolt, spring washer"), ("lower bolts", 2, "bolt, spring washer")),
    **dict.fromkeys(
        ("J020", "J021", "J022", "J023"),
        (("hinge bolts", 6, "bolt, spring washer"), ("strap", 1, "clevis pin, split pin")),
    ),
    "J024": (
        ("clips", 48, "spring clip"),
        ("screws", 16, "screw"),
        ("last screw of each door", 4, "vapour sheet, screw"),
    ),
    "J030": (
        ("bolts", 6, "bolt, spring washer"),
        ("bolts through the packing", 2, "bolt, spring washer, spacer"),
    ),
    "J033": (("screws", 9, "screw"), ("stay bolts", 4, "bolt")),
    "J034": (("nut", 1, "spline, locking tab washer, nut"),),
    "J035": (
        ("clamp bolts", 2, "bolt, spring washer"),
        ("plate screws", 2, "setscrew"),
        ("last plate screw", 1, "grommet, setscrew"),
    ),
    "J036": (
        ("pinch bolt", 1, "pinch bolt, nut, self-locking insert"),
        ("last pinch bolt", 1, "spline, pinch bolt, nut, self-locking insert"),
    ),
    "J038": (
        ("motor bolts", 3, "rubber pad, bolt"),
        ("spindles", 2, "sealing ring, spindle nut"),
    ),
    **dict.fromkeys(
        ("J042", "J043"),
        (
            ("push rod", 1, "clevis pin, split pin"),
            ("bolt", 1, "bolt, spring washer"),
            ("last bolt", 1, "gasket, bolt, spring washer"),
        ),
    ),
    "J045": (("hook bolts", 2, "hook bolt"), ("tray bolts", 4, "bolt")),
    "J046": (
        ("straps", 9, "loom clip, welded strap bent over"),
        ("P-clips", 16, "P-clip screw"),
        ("P-clip at the bulkhead", 1, "P-clip screw, grommet"),
    ),
    "J047": (
        ("straps", 10, "loom clip, welded strap bent over"),
        ("straps beside the grommets", 2, "loom clip, welded strap bent over, grommet"),
    ),
    "J051": (
        ("nuts", 3, "spring washer, stud nut"),
        ("last nut", 1, "gasket, gasket, spring washer, stud nut"),
    ),
    "J057": (
        ("coil bracket", 2, "bolt"),
        ("clamp", 1, "sits in, sealing ring, pinch bolt"),
    ),
    "J058": (
        ("adjuster bolts", 2, "bolt#2, spring washer"),
        ("front pivot bolt", 1, "bolt#1, spring washer"),
        ("rear pivot bolt", 1, "bolt#1, spacer, spring washer"),
    ),
    "J060": (
        ("nut", 1, "spring washer, stud nut"),
        ("last nut", 1, "gasket, gasket, spring washer, stud nut"),
    ),
    "J061": (
        ("short bolts", 3, "bolt#1"),
        ("long bolt, lower left", 1, "gasket, sealant, bolt#2"),
    ),
    "J064": (
        ("short bolts", 5, "bolt#1, spring washer"),
        ("long bolt, starter side", 1, "dowel, dowel, spline, bolt#2, spring washer"),
    ),
    "J071": (
        ("heater outlet", 1, "push-on connector, hose clip#2"),
        ("main outlet", 1, "push-on connector, hose clip#1"),
    ),
    "J078": (
        ("heater return", 1, "push-on connector, hose clip#2"),
        ("main inlet", 1, "push-on connector, hose clip#1"),
    ),
    "J075": (
        ("strap studs", 2, "stud nut, locknut"),
        ("strap studs with the felt", 2, "felt strip, stud nut, locknut"),
        ("strap hinges", 2, "clevis pin, split pin"),
    ),
    "J080": (
        ("positions 1 2 7 8", 4, "bolt#1, sleeve, cup washer, nut, self-locking insert"),
        ("positions 3 4 11 12", 4, "bolt#1, sleeve, cup washer, captive nut"),
        ("positions 5 6 9 10", 4, "bolt#2, sleeve, cup washer, nut, self-locking insert"),
    ),
    "J081": (("pads", 12, "sits in, rubber pad, rubber pad"),),
    **dict.fromkeys(
        ("J109", "J119"),
        (
            (
                "link",
                1,
                "cup washer, rubber, rubber, cup washer, sleeve, cup washer, rubber, rubber, "
                "cup washer, nut, nut, self-locking insert, self-locking insert",
            ),
        ),
    ),
    **dict.fromkeys(
        ("J126", "J136"), (("nut", 1, "taper, key, thick washer, castle nut, split pin"),)
    ),
    **dict.fromkeys(
        ("J124", "J134"), (("pins", 2, "shackle pin, rubber, rubber, nut, self-locking insert"),)
    ),
    **dict.fromkeys(
        ("J125", "J135"),
        (
            ("front U-bolt", 1, "U-bolt, nut, nut, self-locking insert, self-locking insert"),
            (
                "rear U-bolt",
                1,
                "dowel, U-bolt, nut, nut, self-locking insert, self-locking insert",
            ),
        ),
    ),
    "J140": (
        ("front bolts", 2, "bolt, spring washer"),
        ("rear bolts, with the bush", 2, "rubber, bolt, spring washer"),
    ),
    "J141": (
        (
            "stems",
            2,
            "cup washer, rubber, rubber, cup washer, nut, self-locking insert, locknut",
        ),
    ),
    "J150": (
        (
            "eyes",
            2,
            "cup washer, rubber, sleeve, rubber, cup washer, nut, self-locking insert",
        ),
    ),
    "J151": (
        (
            "eyes",
            2,
            "bolt, cup washer, rubber, sleeve, rubber, cup washer, nut, self-locking insert",
        ),
    ),
    "J152": (
        ("bolts", 4, "bolt"),
        ("bolts at the castor shims", 4, "rivet, bolt"),
    ),
}
"""By joint: name of the holes, how many, and the kinds in one stack, in the order they go on."""


NTH = re.compile(r"#\d+$")
"""Which of several lines of one kind: ``bolt#2``."""


@dataclass
class Line:
    """One line of the scenario's lists, and how many of its pieces have found their hole."""

    row: Row
    left: int

    @property
    def spec(self) -> str:
        """The specification, as a person would type it."""
        kind, size, length = self.row["kind"], self.row["size"] or "", self.row.get("length_mm")
        size = size.removesuffix(", fitted shank")
        text = " ".join(filter(None, (kind, size, f"x {INCHES[length]} in" if length else "")))
        return WORDS.get(text, text) + (
            ", fitted shank" if size != (self.row["size"] or "") else ""
        )

    def piece(self, per_fixing: int) -> dict[str, Any]:
        """One piece of a stack."""
        stays = not self.row["piece"] or self.row["kind"] in STAY or "welded" in self.row["kind"]
        return {
            "spec": self.spec,
            "per_fixing": per_fixing,
            "single_use": self.row["single_use"],
            "stays": stays,
            "note": self.row["note"] or "",
        }


def fixings(joint: Row) -> list[dict[str, Any]]:
    """Say every hole of a joint."""
    lines = [
        Line(row, row["qty"]) for role in ("holding", "locking", "sealing") for row in joint[role]
    ]
    groups = list(_said(joint["id"], lines) if joint["id"] in GROUPS else _counted(lines))
    left = [line.spec for line in lines if line.left]
    if left:
        raise ValueError(f"{joint['id']}: no hole for all of {left}")
    for group in groups:
        group["head"] = joint["head"] or ""
    return groups


def _said(joint: str, lines: list[Line]) -> Iterator[dict[str, Any]]:
    for name, count, tokens in GROUPS[joint]:
        stack: list[dict[str, Any]] = []
        for token in _tokens(tokens, lines):
            kind, _, nth = token.partition("#")
            line = [line for line in lines if line.row["kind"] == kind][int(nth or 1) - 1]
            line.left -= count
            if line.left < 0:
                raise ValueError(f"{joint}: more {token} in the stacks than there are")
            if stack and stack[-1]["spec"] == line.spec:
                stack[-1]["per_fixing"] += 1
            else:
                stack.append(line.piece(1))
        yield {"id": name, "count": count, "stack": stack}


def _tokens(text: str, lines: list[Line]) -> list[str]:
    kinds = {line.row["kind"] for line in lines}
    tokens, words = [], text.split(", ")
    while words:  # a kind may have a comma in it
        size = next(
            n for n in range(len(words), 0, -1) if NTH.sub("", ", ".join(words[:n])) in kinds
        )
        tokens.append(", ".join(words[:size]))
        words = words[size:]
    return tokens


def _counted(lines: list[Line]) -> Iterator[dict[str, Any]]:
    main = lines[0]
    holes = main.left
    regular = [line for line in lines if line.left % holes == 0]
    between = [line for line in lines if line.left % holes]
    name = "s".join((main.row["kind"], "")) if holes > 1 else main.row["kind"]
    stack = _in_order([line.piece(line.left // holes) for line in regular], regular)
    if between:
        last = _in_order(
            [line.piece(line.left) for line in between]
            + [line.piece(line.left // holes) for line in regular],
            between + regular,
        )
        yield {"id": name, "count": holes - 1, "stack": stack}
        yield {"id": f"last {main.row['kind']}", "count": 1, "stack": last}
    else:
        yield {"id": name, "count": holes, "stack": stack}
    for line in lines:
        line.left = 0


def _in_order(pieces: list[dict[str, Any]], lines: list[Line]) -> list[dict[str, Any]]:
    def rank(pair: tuple[dict[str, Any], Line]) -> int:
        kind = pair[1].row["kind"]
        if kind in LAST:
            return 10 + LAST.index(kind)
        if kind in ("gasket", "sealing ring", "oil seal", "sealant", "boot", "dowel"):
            return 0
        return 1 + FIRST.index(kind) if kind in FIRST else 9

    return [piece for piece, _ in sorted(zip(pieces, lines, strict=True), key=rank)]
