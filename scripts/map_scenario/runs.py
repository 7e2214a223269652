"""Runs: every pipe, hose, cable and loom with its ends and clips as joints.

A line of the scenario becomes a part and a run of one identity; its ends are the joints
``L01-a`` and ``L01-b``, its clips on each part it is clipped to ``L01-c1``, ``L01-c2``. The seven
loom branches are not parts: their trunk ends stay with the loom, so they are branches of its run,
and only those of their clips that are opened apart from the loom's own are joints.
"""

from typing import Any

from scripts.map_scenario.parts import PHOTOS
from scripts.map_scenario.source import Row, Scenario

KINDS = {
    **dict.fromkeys(
        ("brake pipe", "hydraulic pipe", "fuel pipe", "vacuum pipe", "instrument line"), "pipe"
    ),
    **dict.fromkeys(("flexible hose", "fuel hose"), "hose"),
    **dict.fromkeys(
        ("control cable", "drive cable", "brake cable", "heavy cable", "earth strap"), "cable"
    ),
}

SYSTEMS = {
    **dict.fromkeys(("brake pipe", "brake cable", "flexible hose"), "brakes"),
    **dict.fromkeys(("fuel pipe", "fuel hose", "control cable"), "fuel"),
    **dict.fromkeys(("heavy cable", "earth strap"), "electrical"),
    "hydraulic pipe": "clutch",
    "vacuum pipe": "ignition",
    "drive cable": "instruments",
    "instrument line": "instruments",
}

ZONES = {
    **{"L01": "EB", "L02": "FS", "L03": "FS", "L04L": "FS", "L04R": "FS", "L05": "CH"},
    **{"L06": "RA", "L07L": "RA", "L07R": "RA", "L08": "EB", "L08H": "TR", "L09": "CH"},
    **{"L10": "EB", "L11": "EB", "L12": "EB", "L13": "CB", "L14": "TR", "L15": "RA"},
    **{"L15R": "RA", "L16": "EB", "L17": "EB", "L18": "EB", "L19": "EB", "L20": "BS"},
    "L26": "EB",
}

MEETS = {"L02-b": "L04L", "L03-b": "L04R", "L05-b": "L06", "L08-b": "L08H"}
"""Pipe ends that screw into the end of a hose, at a bracket that is only a plain hole."""

END_PIECES: dict[str, tuple[str, ...]] = {
    # A star before a piece: it stays on its part. A mark of exclamation after it: single use.
    "pipe nut": ("*pipe nut 3/8-24 UNF",),
    "hose end, fixed": (
        "*hose end 3/8-24 UNF",
        "shakeproof washer 1/2",
        "locknut 1/2-20 UNF, thin",
    ),
    "hose end, turning": ("copper washer 3/8!", "*hose end 3/8-24 UNF"),
    "union nut with olive": ("*olive 5/16", "*union nut 1/2-20 UNF"),
    "rubber sleeve, two hose clips": (
        "rubber sleeve 8 mm",
        "hose clip 9-15 mm",
        "hose clip 9-15 mm",
    ),
    "hose on tail, hose clip": ("*push-on connector, hose on tail", "hose clip 9-15 mm"),
    "banjo bolt": ("fibre washer 3/8!", "fibre washer 3/8!", "banjo bolt 3/8-24 UNF"),
    "ball socket": ("*ball socket 10-32",),
    "cable nipple": ("*cable nipple 6 mm",),
    "knob and bezel nut": ("bezel nut 14 mm",),
    "trunnion screw": ("*trunnion screw 2.5 mm",),
    "knurled nut": ("*knurled nut 7/8-18 special",),
    "threaded rod, adjusting nut and locknut": ("nut 5/16-24 UNF", "locknut 5/16-24 UNF"),
    "clevis, pin and split pin 2.4 mm": ("clevis pin 8 mm", "split pin 2.4 mm!"),
    "clevis, pin and split pin 1.6 mm": ("clevis pin 6 mm", "split pin 1.6 mm!"),
    "sealed gauge": ("*sits in, gauge with its sealed capillary",),
    "gland nut": ("*gland nut 5/8-18 UNF",),
    "compression nut with olive": ("*olive", "*union nut"),
    "union with hose tail": ("copper washer 1/8!", "*hose end, 1/8 BSP"),
    "clamp terminal": ("*clamp terminal, battery post",),
    "rubber sleeve": ("*rubber sleeve 4 mm",),
}

EARTHS: dict[str, tuple[str, ...]] = {
    "L18-b": ("*ring terminal", "spring washer 5/16!", "stud nut 5/16-24 UNF"),
    "L19-a": ("shakeproof washer 3/8!", "*ring terminal, under the mounting bolt"),
    "L19-b": ("shakeproof washer 5/16!", "*ring terminal", "stud nut 5/16-24 UNF"),
    "L20-a": ("shakeproof washer 5/16!", "*ring terminal", "bolt 5/16-24 UNF x 3/4"),
    "L20-b": ("shakeproof washer 5/16!", "*ring terminal", "stud nut 5/16-24 UNF"),
}

CLIP_PIECES = {
    "P-clip": "P-clip screw 10-32 UNF x 1/2",
    "clip band": "clip band",
    "bracket": "*bracket",
    "loom clip": "*loom clip, welded strap",
    "abutment": "*abutment, floor",
    "riveted guide": "*guide, riveted",
    "clip": "spring clip",
}

LOOM_PIECES = {
    "bullet connector": "*bullet connector",
    "bullet connector, block 46 mm": "*block connector, six-way",
    "push-on connector": "*push-on connector",
    "ring terminal": "*ring terminal",
    "ring terminal, block 62 mm": "screw 10-32 UNF x 1/2",
    "bare end under clamp screw": "*clamp screw",
    "bare end under grub screw": "*grub screw",
}

TOOLS = {
    "pipe nut": "pipe-nut spanner 7/16 AF",
    "hose end, fixed": "spanner 3/4 AF",
    "hose end, turning": "spanner 5/8 AF",
    "union nut with olive": "spanner 11/16 AF",
    "rubber sleeve, two hose clips": "screwdriver",
    "hose on tail, hose clip": "screwdriver",
    "banjo bolt": "spanner 9/16 AF",
    "knob and bezel nut": "spanner 14 mm",
    "trunnion screw": "screwdriver",
    "threaded rod, adjusting nut and locknut": "spanner 1/2 AF",
    "gland nut": "spanner 11/16 AF",
    "compression nut with olive": "spanner 1/2 AF",
    "union with hose tail": "spanner 1/2 AF",
    "ring terminal": "spanner 1/2 AF",
    "clamp terminal": "spanner 1/2 AF",
    "clevis, pin and split pin 2.4 mm": "pliers",
    "clevis, pin and split pin 1.6 mm": "pliers",
    "ball socket": "pliers",
    "cable nipple": "pliers",
}

TORQUES = {
    "pipe nut": 14,
    "hose end, fixed": 22,
    "hose end, turning": 20,
    "union nut with olive": 18,
    "banjo bolt": 20,
    "threaded rod, adjusting nut and locknut": 8,
    "hose on tail, hose clip": 3,
    "rubber sleeve, two hose clips": 3,
}
"""Torques of the lines' ends [N·m]: the scenario has none, these are invented as well."""

OWN_CLIPS = ("L21", "L22")
"""Branches whose clips are opened when the engine bay is cleared, before the loom's own (J046).

The clips of the facia and wiper branches are among the 26 of J046, those of the rear loom are the
twelve and the grommets of J047: they are counted there and not twice.
"""

MATED = {"W31": "W22"}
"""The two halves of the six-way block are one joint, though each loom lists its own half."""


def pieces(texts: tuple[str, ...]) -> list[dict[str, Any]]:
    """Read the short way of writing pieces: ``*stays``, ``single use!``."""
    found: list[dict[str, Any]] = []
    for text in texts:
        spec = text.strip("*!")
        if found and found[-1]["spec"] == spec:
            found[-1]["per_fixing"] += 1
            continue
        found.append(
            {
                "spec": spec,
                "per_fixing": 1,
                "stays": text.startswith("*"),
                "single_use": text.endswith("!"),
            }
        )
    return found


def where(scenario: Scenario, end: Row) -> str:
    """An opening's name, short enough to say where an end goes."""
    name: str = scenario.openings[end["opening"]]["name"]
    return name.split(" (")[0].split(",")[0]


def run_part(scenario: Scenario, line: Row) -> dict[str, Any]:
    """The part of a line; its mass is counted with the parts it runs between, as it was."""
    ends = [scenario.parts[line[end]["part"]]["cg_m"] for end in ("end_a", "end_b")]
    return {
        "id": line["id"],
        "name": line["name"],
        "zone": ZONES[line["id"]],
        "side": _side(line["name"]),
        "kind": KINDS[line["kind"]],
        "system": "clutch" if line["id"] == "L08H" else SYSTEMS[line["kind"]],
        "mass_kg": 0.0,
        "cg_m": [round((one + two) / 2, 2) for one, two in zip(*ends, strict=True)],
        "photos": PHOTOS.get(line["id"], ()),
        "store_as": "pattern board" if line["keep_as_pattern"] else "shelf",
        "note": line["note"] or "",
    }


def _side(name: str) -> str | None:
    return next((side for side in ("left", "right") if name.endswith(f" {side}")), None)


def run(line: Row) -> dict[str, Any]:
    """The path of a line."""
    order = line["end_order"] or {}
    turning = order.get("last_undone")
    return {
        "part": line["id"],
        "ends": [
            {"joint": f"{line['id']}-{end}", "at": "", "turns": end == turning} for end in "ab"
        ],
        "clips": [f"{line['id']}-c{n}" for n, _ in enumerate(line["clips"], 1)],
        "route": line["route"],
        "undo_order": order.get("undo", ()),
        "fit_order": order.get("fit", ()),
        "length_m": line["length_mm"] / 1000,
        "bends": line["bends"],
        "remake": line["remake"],
        "keep_as_pattern": line["keep_as_pattern"],
        "note": order.get("why", ""),
    }


def end_joint(scenario: Scenario, line: Row, end: str) -> dict[str, Any]:
    """The joint at one end of a line."""
    said, identity = line[f"end_{end}"], f"{line['id']}-{end}"
    other = MEETS.get(identity, said["part"])
    into = "into the hose at " if identity in MEETS else ""
    torque = TORQUES.get(said["kind"])
    return {
        "id": identity,
        "name": f"{line['name']}: {into}{where(scenario, said)}",
        "parts": [line["id"], other],
        "fixings": [
            {
                "id": "end",
                "count": 1,
                "stack": pieces(EARTHS.get(identity) or END_PIECES[said["kind"]]),
            }
        ],
        "tool": TOOLS.get(said["kind"], "fingers"),
        "zone": _zone(scenario, line["id"], other),
        "critical": line["safety_critical"],
        "tightening": {"torque_nm": torque, "origin": "invented", "condition": "dry"}
        if torque
        else {},
        "note": f"{said['kind']}, {said['size']}",
    }


def clip_joint(line: Row, number: int, name: str = "") -> dict[str, Any]:
    """The joint of the clips of a line, or of a loom's branch, on one part."""
    clip = line["clips"][number - 1]
    return {
        "id": f"{line['id']}-c{number}",
        "name": f"{name or line['name']}: {clip['kind']}{'s' if clip['qty'] > 1 else ''}",
        "parts": [line["id"], clip["on"]],
        "fixings": [
            {
                "id": clip["kind"],
                "count": clip["qty"],
                "stack": pieces((CLIP_PIECES[clip["kind"]],)),
            }
        ],
        "tool": "screwdriver" if clip["kind"] in ("P-clip", "clip band") else "fingers",
        "zone": ZONES.get(line["id"], "EB"),
    }


def _zone(scenario: Scenario, line: str, other: str) -> str:
    shared = other in ("CH01", "BS01") or other not in scenario.parts
    return ZONES[line] if shared else str(scenario.parts[other]["zone"])


def loom_joint(scenario: Scenario, loom: Row, end: Row) -> dict[str, Any]:
    """The joint at one end of a loom."""
    other = scenario.parts[end["part"]]
    zone = other["zone"] if end["part"] not in ("CH01", "BS01", "BS18", "BS19") else ""
    by_side = {"engine bay": "EB", "cabin": "CB", "boot": "BT"}
    screw = f", {end['screw']}" if end["screw"] else ""
    fixings = 2 if end["screw"] == "two fixing screws" else 1
    return {
        "id": end["id"],
        "name": f"{loom['name'].lower()} at {end['at']}",
        "parts": [loom["id"], end["part"]],
        "fixings": [
            {"id": "end", "count": fixings, "stack": pieces((LOOM_PIECES[end["terminal"]],))}
        ],
        "tool": "terminal screwdriver" if "screw" in end["terminal"] else "fingers",
        "zone": zone or by_side[end["side_of_grommet"]],
        "note": f"{', '.join(end['colours'])}; {end['size']}; {end['terminal']}{screw}",
    }


def loom_run(scenario: Scenario, loom: Row, trunk: str) -> dict[str, Any]:
    """The path of a loom with all its branches."""
    branches = [line for line in scenario.branches.values() if line["end_a"]["part"] == loom["id"]]
    return {
        "part": loom["id"],
        "ends": [
            {
                "joint": MATED.get(end["id"], end["id"]),
                "at": end["at"],
                "branch": scenario.branches[end["branch"]]["name"],
                "colours": end["colours"],
                "terminal": ", ".join(filter(None, (end["terminal"], end["size"], end["screw"]))),
                "passes": end["passes_grommet"],
            }
            for end in loom["ends"]
        ],
        "clips": [trunk]
        + [
            f"{line['id']}-c{n}"
            for line in branches
            if line["id"] in OWN_CLIPS
            for n, _ in enumerate(line["clips"], 1)
        ],
        "route": [f"{line['name']}: {way}" for line in branches for way in line["route"]],
        "passages": [
            {
                "what": f"grommet, {grommet['where']}",
                "part": "BS01",
                "bore_m": grommet["bore_mm"] / 1000,
            }
            for grommet in loom["grommets"]
        ],
        "comes_out": f"into the {loom['comes_out_to']}",
        "why": loom["why"],
        "before_drawing": loom["before_drawing"],
        "length_m": max(line["length_mm"] for line in branches) / 1000,
        "keep_as_pattern": True,
        "note": "; ".join(line["note"] for line in branches if line["note"]),
    }
