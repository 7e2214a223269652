"""Joints of the scenario as joints of a vehicle."""

from typing import Any

from scripts.map_scenario.fixings import fixings
from scripts.map_scenario.source import Row, Scenario

FINAL = {"exhaust aligned then re-nipped hot": "re-nipped hot"}

ACROSS_FLATS = {
    **{"1/4": "7/16", "5/16": "1/2", "3/8": "9/16", "7/16": "5/8", "1/2": "3/4"},
    **{"9/16": "7/8", "5/8": "15/16", "3/4": "1 1/8"},
}
"""Spanner [in] for a Unified bolt or nut, *common practice*; thread by its size."""

TOOLS = {
    **dict.fromkeys(("J004", "J005", "J033", "J044"), "screwdriver"),
    "J003": "spanner 3/8 AF",
    "J008": "spanner 3/8 AF",
    "J024": "trim lever",
    **dict.fromkeys(("J025", "J026"), "cord and soapy water"),
    **dict.fromkeys(("J032", "J074", "J076", "J079", "J081"), "fingers"),
    "J034": "wheel puller",
    "J038": "spanner 7/16 AF",
    **dict.fromkeys(("J046",), "screwdriver"),
    "J047": "fingers",
    "J070": "fingers",
    **dict.fromkeys(("J071", "J072", "J073", "J078"), "screwdriver"),
    **dict.fromkeys(("J103", "J113"), "spring compressor"),
    **dict.fromkeys(("J104", "J105", "J114", "J115"), "ball joint splitter"),
    **dict.fromkeys(("J108", "J118", "J146", "J147", "J148", "J149"), "ball joint splitter"),
    **dict.fromkeys(("J121", "J131"), "impact driver"),
    **dict.fromkeys(("J126", "J136"), "hub puller"),
    **dict.fromkeys(("J127", "J137", "J129", "J139"), "sliding hammer"),
    **dict.fromkeys(("J122", "J132"), "soft mallet"),
    **dict.fromkeys(("J100", "J110", "J120", "J130"), "wheel brace"),
}

ZONES = {"J036": "EB", "J066": "TR", "J080": "BS", "J079": "EB", "J152": "FS", "J065": "EB"}

ALL_THERE = ("J024", "J032")
"""Door clips and carpet studs: a bag of them, and nobody counts."""

NOTES = {
    "J046": "six of the straps are those of the facia branch and of the wiper and heater feeds",
    "J047": "the clips are those of the rear loom run, a grommet that of the sender wire",
    "J080": "positions 5 and 10, opposite corners, stay in finger tight until the beams are taut",
}


def joint_row(scenario: Scenario, row: Row) -> dict[str, Any]:
    """One joint as a plain record, without minutes and standings."""
    undone, crack, retorque = row["when_undone"], row["crack_first"], row["retorque_after"]
    sequence = row["sequence"] or ""
    torque = row["torque_nm"]
    halves = torque and "half, then full" in sequence
    task = scenario.tasks.get(row["opened_in"])
    return {
        "id": row["id"],
        "name": row["name"],
        "parts": row["parts"],
        "fixings": fixings(row),
        "through": row["through"],
        "tool": TOOLS.get(row["id"]) or _spanner(row),
        "zone": ZONES.get(row["id"], scenario.parts[row["parts"][0]]["zone"]),
        "crack_in": crack["crack_in"] if crack else None,
        "tightening": {
            "torque_nm": torque,
            "origin": "invented" if torque else None,
            "condition": row["torque_condition"] or "",
            "stages": [{"torque_nm": torque / 2}, {"torque_nm": torque}] if halves else [],
            "sequence": sequence,
            "retorque_after": retorque["after"] if retorque else "",
        },
        "final_when": FINAL.get(row["final_when"], row["final_when"]),
        "by_position": row["by_position"],
        "critical": row["safety_critical"],
        "shims": [_pack(pack) for pack in row["shims"]],
        "when_undone": {
            "does": _does(undone["does"]) if undone else "stays",
            "detail": _detail(undone) if undone else "",
            "prop_first": row["prop_first"] or "",
        },
        "crew": task["people"] if task else 1,
        "access": row["access"] or "",
        "consumables": row["consumables"],
        "care": "all there" if row["id"] in ALL_THERE else None,
        "note": "; ".join(filter(None, (row["note"], NOTES.get(row["id"])))),
    }


def _spanner(row: Row) -> str:
    """The spanner for the first threaded piece."""
    for piece in row["holding"]:
        thread = (piece["size"] or "").split("-")[0]
        if thread in ACROSS_FLATS:
            return f"spanner {ACROSS_FLATS[thread]} AF"
    raise ValueError(f"{row['id']} needs a tool")


def _does(text: str) -> str:
    return text.split()[0]


def _detail(undone: Row) -> str:
    words = undone["does"].split(maxsplit=1)
    how = words[1] if len(words) > 1 and not words[1].startswith("(") else ""
    return ": ".join(filter(None, (how, undone["detail"])))


def _pack(pack: Row) -> dict[str, Any]:
    return {
        "at": pack["at"],
        "shims": [
            {
                "thickness_m": shim["t_mm"] / 1000,
                "material": shim["material"],
                "shape": shim["shape"],
            }
            for shim in pack["pack"]
        ],
        "order": pack["order"] or "",
        "taper": _taper(pack["taper"]),
        "selective": pack["selective"],
        "measured_m": round(pack["measured_mm"] / 1000, 6),
    }


def _taper(taper: Row | None) -> str:
    if taper is None:
        return ""
    return f"thick end {taper['thick_end']}, {taper['mm']:g} mm over {taper['over_mm']:g} mm"
