"""Declared jobs: what of the scenario's tasks and refit steps no joint says."""

from collections.abc import Iterator
from typing import Any

from scripts.map_scenario.source import Row, Scenario
from scripts.map_scenario.times import flat, spread

STRIP: dict[str, dict[str, Any]] = {
    "T001": {"kind": "survey"},
    "T002": {"kind": "prepare", "name": "Isolate the battery, earth lead off first", "zone": "EB"},
    "T003": {"kind": "drain", "fluid": "F03", "zone": "FE"},
    "T004": {"kind": "drain", "fluid": "F04", "zone": "BT", "name": "Drain fuel, outdoors"},
    "T005": {"kind": "drain", "fluid": "F01", "zone": "EB", "name": "Drain engine oil"},
    "T006": {"kind": "drain", "fluid": "F02", "zone": "TR"},
    "T008": {"kind": "drain", "fluid": "F05", "zone": "CH", "tool": "pipe-nut spanner 7/16 AF"},
    "T046": {
        "kind": "prepare",
        "name": "Take the engine's weight on the hoist",
        "phase": "both",
        "zone": "EB",
        "parts": ["EB01"],
        "same_sitting_as": "T046C",
    },
    "T046C": {
        "task": "T046",
        "kind": "prepare",
        "name": "Take the gearbox tail on a cradle jack",
        "phase": "both",
        "zone": "TR",
        "parts": ["EB03"],
        "cautions": ["without the hoist taut, hang the engine's tail from a beam first"],
    },
    "T057": {
        "kind": "check",
        "name": "Walk the whole joint line looking for anything still tying body to chassis",
        "zone": "BS",
    },
    "T058": {"kind": "brace", "zone": "BS", "parts": ["BS01"]},
    "T064": {"kind": "check", "zone": "CH", "parts": ["CH01"]},
    "T065": {"kind": "move", "zone": "CH", "parts": ["CH01"]},
    "T211": {
        "kind": "crack",
        "name": "Chock both ways and lay the long bar ready, for cracking what the tyres hold",
        "zone": "CH",
    },
    "T212": {"kind": "drain", "fluid": "F06", "zone": "RA"},
}
"""Jobs of the strip; name, minutes, crew, photos and cautions are the task's where not said."""

KINDS = {
    **dict.fromkeys(("R201", "R203", "R205", "R220"), "prepare"),
    "R202": "prove",
    **dict.fromkeys(("R204", "R221"), "cure"),
    **dict.fromkeys(("R210", "R211", "R212", "R213", "R214", "R215", "R218"), "set"),
    **dict.fromkeys(("R102", "R106", "R226"), "set"),
    **dict.fromkeys(("R101", "R108", "R219", "R222", "R224", "R225"), "check"),
    "R103": "bleed",
    "R104": "weigh",
    **dict.fromkeys(("R105", "R223", "R227"), "tighten"),
    "R107": "second check",
    **dict.fromkeys(("R109", "R110"), "run"),
}
"""What each step of the refit is for.

R220 fills the masters on the bench, before the lines exist: it prepares, it does not bleed the
vehicle. R224 tightens again what R227 has finished: a check.
"""

STEP_STANDINGS: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(("R104", "R105", "R227", "R102", "R226", "R106", "R223"), ("WHEELS",)),
    **dict.fromkeys(("R224", "R109", "R110"), ("WHEELS",)),
    **dict.fromkeys(("R212", "R222", "R225"), ("STANDS",)),
}

STEP_PARTS = {
    "R101": ["L02", "L03", "L05", "L09"],
    "R203": ["CH01", "BS01"],
    "R204": ["CH01", "BS01"],
    "R220": ["EB18", "EB19"],
    "R222": ["FS01L", "FS02L", "FS01R", "FS02R"],
    "R225": ["FS02L", "FS02R", "RA01"],
}

REPAIRS = {
    **{"support": "prepare", "hang doors": "prove", "measure": "survey", "brace check": "check"},
    **{"fire ready": "prepare", "cut": "repair", "tack": "repair", "offer door": "prove"},
    **{"re-measure": "survey", "weld": "repair", "fire watch": "check", "change side": "check"},
    "doors off": "prepare",
}

DOORS = {
    "hang doors": ["BS05FL", "BS05FR", "BS05RL", "BS05RR"],
    "doors off": ["BS05FL", "BS05FR", "BS05RL", "BS05RR"],
}
SIDE_DOORS = {"left": ["BS05FL", "BS05RL"], "right": ["BS05FR", "BS05RR"]}

HOT = "hot work: trim, wax and fuel lines away, extinguisher and water at hand, second person told"


def strip_jobs(scenario: Scenario) -> list[dict[str, Any]]:
    """Jobs of the strip, without minutes and standings."""
    found = []
    for identity, said in STRIP.items():
        task = scenario.tasks[said.get("task", identity)]
        found.append(
            {
                "id": identity,
                "name": task["title"],
                "crew": task["people"],
                "photos": task["photos_needed"],
                "cautions": task["hazards"],
                "joints": task.get("cracks", []),
                "note": "; ".join(filter(None, (task["note"], _gear(task)))),
            }
            | {key: value for key, value in said.items() if key != "task"}
        )
    return found


def _gear(task: Row) -> str:
    return f"gear: {', '.join(task['gear'])}" if task["gear"] else ""


def rebuild_jobs(
    scenario: Scenario, critical: list[str], first_on: list[str], closed: list[str]
) -> Iterator[dict[str, Any]]:
    """The steps that only the rebuild has, and the repairs.

    ``critical`` are the joints that a second person checks, ``first_on`` the parts that wait
    for R205, ``closed`` the openings whose closures are accounted for.
    """
    parts = STEP_PARTS | {"R205": first_on}
    joints_of = {
        step: row.get("joints") or row.get("must_prove") or []
        for step, row in scenario.steps.items()
    }
    joints_of["R107"] = critical
    joints_of["R104"] = [each for step in ("R105", "R227", "R102") for each in joints_of[step]]
    for step in scenario.steps.values():
        kind = KINDS[step["id"]]
        yield {
            "id": step["id"],
            "name": step["title"],
            "kind": kind,
            "phase": "rebuild",
            "minutes": (flat if kind == "cure" else spread)(step["time_min"]),
            "crew": 2 if kind in ("bleed", "prove") else 1,
            "standings": STEP_STANDINGS.get(step["id"], ()),
            "joints": joints_of[step["id"]],
            "parts": parts.get(step["id"], []),
            "openings": closed if step["id"] == "R108" else step.get("points", []),
            "fluid": step["fluid"] if kind == "bleed" else None,
            "target": step.get("value") or "",
            "cautions": step.get("gear") or [],
        }
    for repair in scenario.raw["repairs"]:
        for step in repair["steps"]:
            yield _repair(repair, step)


def _repair(repair: Row, step: Row) -> dict[str, Any]:
    what, hot = step["what"], step["what"] in ("cut", "tack", "weld")
    doors = DOORS.get(what) or (SIDE_DOORS[step["side"]] if what == "offer door" else [])
    watch = what in ("fire watch", "change side")
    return {
        "id": step["id"],
        "name": step["title"],
        "kind": REPAIRS[what],
        "phase": "rebuild",
        "minutes": (flat if watch else spread)(step["time_min"]),
        "crew": step["people"],
        "zone": "BS",
        "parts": [repair["part"], *doors],
        "cautions": [HOT] if hot else [],
        "note": repair["rule"] if what == "support" else "",
    }
