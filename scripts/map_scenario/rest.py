"""Zones, standings, supports, openings, fluids, goals and assemblies."""

from typing import Any

from scripts.map_scenario.runs import MEETS, where
from scripts.map_scenario.source import Row, Scenario

OPENED_BY = {
    **{"Q33": ["J046"], "Q34": ["W01", "W02", "W03", "W04", "W05", "W06"], "Q35": ["W08", "W09"]},
    **{"Q36": ["W18", "W19", "W20", "W21"], "Q37": ["W22"], "Q39": ["W38", "W39"]},
    **{"Q38": ["W32", "W33", "W34", "W35", "W36", "W37"], "Q42": ["W10"], "Q43": ["W17"]},
    **{"Q50": ["L09-a"], "Q51": ["J051"], "Q52": ["J052"], "Q53": ["J053"], "Q54": ["J057"]},
    **{"Q55": ["J060"], "Q56": ["J071"], "Q57": ["J072"], "Q58": ["J073"], "Q59": ["J070"]},
    **{"Q60": ["J074"], "Q61": ["J059"], "Q62": ["J061"], "Q63": ["J078"]},
    **{"Q64L": ["J127", "J128"], "Q64R": ["J137", "J138"]},
}
"""Openings that no end of a line names, and the joints whose undoing opens them."""


def zones(scenario: Scenario) -> list[dict[str, Any]]:
    """The regions to work in."""
    return [{"id": row["id"], "name": row["name"]} for row in scenario.raw["zones"]]


def standings(scenario: Scenario) -> list[dict[str, Any]]:
    """The four standings, and the wrong one that the balance lesson needs."""
    supports = {row["id"]: row for row in scenario.raw["supports"]}
    found = []
    for row in scenario.raw["standings"]:
        body_off = row["id"] == "BODYOFF"
        jacks = [supports[jack] for jack in row.get("raised_with", ())]
        raised = "; ".join(f"{jack['id']} {jack['why']}" for jack in jacks)
        found.append(
            {
                "id": row["id"],
                "name": row["name"],
                "supports": [_support(supports[each]) for each in row["supports"]],
                "change_minutes": row["change_min"],
                "needs_off": ["BS01"] if body_off else [],
                "note": f"{row['raised_rule']}. {raised}" if jacks else "",
            }
        )
    wrong = next(row for row in scenario.raw["support_sets"] if row["id"] == "SET-B")
    found.append(
        {
            "id": "STANDS-B",
            "name": wrong["name"],
            "supports": [_support(supports[each]) for each in wrong["supports"]],
            "change_minutes": {"WHEELS": 30, "STANDS": 25},
            "wrong": True,
            "note": "tips tail-down once the engine and gearbox are out",
        }
    )
    return found


def _support(row: Row) -> dict[str, Any]:
    beside = row["kind"] == "trolley"
    return {
        "id": row["id"],
        "kind": row["kind"],
        "bears_on": row["bears_on"],
        "at_m": row["at_m"],
        "rating_kg": row["rating_kg"],
        "hides": [] if beside else row["obstructs"],
        "beside": beside,
        "floor": row["floor"],
        "why": row["why"],
    }


SPANS = {
    "X1": ("job:T046C", "part:EB03"),
    "X2": ("job:T046", "part:EB01"),
    "X3": ("joint:J103", "part:FS03L"),
    "X4": ("joint:J113", "part:FS03R"),
    "X5": ("joint:J150", "part:RA01"),
    "X6": ("joint:J075", "part:BT01"),
    "X7": ("joint:J080", "part:BS01"),
    "X8": ("joint:J064", "joint:J064"),
}
"""From when until when each jack, hoist or beam bears: the tasks, said by what they undo."""


def temporary_supports(scenario: Scenario) -> list[dict[str, Any]]:
    """Jacks, the hoist and the beams."""
    return [
        {
            "id": row["id"],
            "kind": row["kind"],
            "bears_on": row["bears_on"],
            "first": SPANS[row["id"]][0],
            "last": SPANS[row["id"]][1],
            "at_m": row["at_m"],
            "rating_kg": row["rating_kg"],
            "load_kg": row["load_kg"],
            "note": row["note"],
        }
        for row in scenario.raw["temporary_supports"]
    ]


def openings(scenario: Scenario) -> list[dict[str, Any]]:
    """The 64 openings of the scenario, and each pipe or hose end that has to be closed as well."""
    lines = scenario.lines.values()
    ends = [(line, end, line[f"end_{end}"]) for line in lines for end in "ab"]
    by_opening: dict[str, list[str]] = {}
    for line, end, said in ends:
        if f"{line['id']}-{end}" in MEETS:
            continue  # it ends in the hose, not in the bracket's plain hole
        by_opening.setdefault(said["opening"], []).append(f"{line['id']}-{end}")
    found = [
        {
            "id": row["id"],
            "name": row["name"],
            "part": row["part"],
            "joints": by_opening.get(row["id"]) or OPENED_BY[row["id"]],
            "ends": row["holes"],
            "thread": row["size"],
            "closed_with": row["cap_kind"] or "",
            "needs_closing": row["needs_cap"],
            "fluid": row["fluid"],
        }
        for row in scenario.openings.values()
    ]
    found += [
        {
            "id": f"Q-{line['id']}-{end}",
            "name": f"{line['name']}: open end, {where(scenario, said)}",
            "part": line["id"],
            "joints": [f"{line['id']}-{end}"],
            "thread": f"{said['size']}, {said['gender']}",
            "closed_with": said["closed_with"],
            "fluid": scenario.openings[said["opening"]]["fluid"],
        }
        for line, end, said in ends
        if said["needs_closing"]
    ]
    return found


def fluids(scenario: Scenario) -> list[dict[str, Any]]:
    """What the parts hold."""
    return [
        {
            "id": row["id"],
            "name": f"{row['name']}: {row['kind']}",
            "part": row["where"],
            "volume_m3": round(row["litres"] / 1000, 6),
            "mass_kg": row["kg"],
            "cg_m": row["cg_m"],
            "drained_by": row["drained_in"],
            "leaks_if_off": row["leaks_if_off"],
            "never_mix": row["never_mix"],
            "hazard": row["hazard"],
        }
        for row in scenario.raw["fluids"]
    ]


GOAL_JOBS = {"ROLLING": ["T001", "T057", "T058", "T064", "T065"], "G3": ["T211"]}
AFTER = {"G2": "G1", "ROLLING": "G2", "G3": "ROLLING"}


def goals(scenario: Scenario) -> list[dict[str, Any]]:
    """The goals, one after another, from the engine bay to the bare frame."""
    target = scenario.raw["strip_target"]
    found = []
    for row in scenario.raw["goals"]:
        rolling = row["id"] == target["id"]
        found.append(
            {
                "id": row["id"],
                "name": row["name"],
                "datum": "CH01",
                "off": row.get("off", []),
                "on": target["on"] if rolling else ["CH01", "CH02"] if row["id"] == "G3" else [],
                "off_rest": rolling,
                "jobs": GOAL_JOBS.get(row["id"], []),
                "after": AFTER.get(row["id"]),
                "note": target["state"] if rolling else "",
            }
        )
    return found


ASSEMBLIES: list[dict[str, Any]] = [
    {
        "id": "UNIT",
        "name": "engine and gearbox as one unit",
        "parts": ["EB01", "EB02", "EB03"],
        "crew": 2,
        "hoist": "engine hoist, load leveller, trolley jack with cradle",
        "cautions": ["suspended load: nobody under it", "the mass moves to the rear as it leaves"],
        "note": "parted on the floor afterwards; its rival: gearbox off from below first",
    },
    {
        "id": "ENGINE",
        "name": "engine with clutch, the gearbox already off",
        "parts": ["EB01", "EB02"],
        "crew": 2,
        "hoist": "engine hoist and load leveller",
        "cautions": ["suspended load: nobody under it"],
        "note": "shorter and lighter than the unit, easier to bring out over the horns",
    },
    {
        "id": "PEDALS",
        "name": "pedal box with both master cylinders",
        "parts": ["EB20", "EB18", "EB19"],
        "note": "the masters are easier to part from the box on the bench",
    },
    {
        "id": "FACIA",
        "name": "facia with the temperature gauge's capillary",
        "parts": ["BS16", "L16"],
        "crew": 2,
        "note": "sealed system: gauge, capillary and bulb stay together",
    },
    {
        "id": "EXHAUST",
        "name": "exhaust in one length",
        "parts": ["TR01", "TR02"],
        "crew": 2,
        "note": "where the clamp between them will not part",
    },
    {
        "id": "FRONT",
        "name": "radiator support panel with the radiator in it",
        "parts": ["BS20", "EB13"],
        "crew": 2,
        "note": "two carry it level",
    },
    {
        "id": "LINKAGE",
        "name": "relay rod with both track rods",
        "parts": ["ST03", "ST04L", "ST04R"],
        "note": "lengths stay as set",
    },
    *(
        {
            "id": f"SHAFT-{side}",
            "name": f"half shaft with its bearing housing, {word}",
            "parts": [f"RA06{side}", f"RA08{side}"],
            "note": "drawn together; the bearing is a press fit and stays on the shaft",
        }
        for side, word in (("L", "left"), ("R", "right"))
    ),
]
