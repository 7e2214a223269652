"""Put the vehicle together from its tables."""

from collections.abc import Iterable, Mapping
from typing import Any

from putback.vehicle.codec import from_plain, key_field
from putback.vehicle.file import write
from putback.vehicle.vehicle import Vehicle
from scripts.map_scenario import facts, jobs, rest, runs
from scripts.map_scenario.joints import joint_row
from scripts.map_scenario.parts import part_rows
from scripts.map_scenario.rebuild import AFTER_PREPARING
from scripts.map_scenario.source import Scenario
from scripts.map_scenario.times import POINTS, split

HEAD = """\
# The demonstration vehicle: the Tarnbeck Dunlin Fourteen.
#
# ALL OF IT IS INVENTED. No real maker, model or person is meant; masses, torques, times and
# tolerances are plausible for the trade and no more. Never use them on a real vehicle.
#
# Written by scripts/map_scenario; docs/demo-vehicle.md says how each thing was described, and
# docs/vehicle-file.md what each table and field means. Identities:
#   CH.. FS.. RA.. EB.. TR.. BT.. BS.. ST.. WH..   parts         L..   runs: pipes, hoses, cables
#   J...  joints   L..-a L..-b  ends of a run   L..-c1  its clips   W..   ends of the looms
#   Q..  openings   F..  fluids   T... jobs of the strip   R... S...  jobs of the rebuild alone
#   O..  what is in the way   B... R... A...  what comes before (strip, rebuild, both)
#   H..  what gets harder or easier once something else is done
"""

ANY: tuple[str, ...] = ()
TASK_STANDINGS: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(("T001", "T058", "T021", "T022", "T211"), ("WHEELS",)),
    **dict.fromkeys(("T005", "T038", "T040", "T042", "T045"), ("RAMPS", "STANDS")),
    **dict.fromkeys(("T003", "T057", "T061"), ANY),
    **dict.fromkeys(("T044", "T062", "T063"), ("STANDS", "BODYOFF")),
}
"""Standings in which the work of a task can be done, where it is not just the scenario's.

Work above the sills needs no particular standing: what the scenario does on the wheels can be done
on ramps or stands, except the survey, the bracing (level on its wheels) and the glass. Work at the
engine from below goes on ramps too; the axle and the runs are also reached with the body off.
"""
OWN_STANDINGS: dict[str, tuple[str, ...]] = {
    **dict.fromkeys(("L05", "L05-a", "L05-b", "L05-c1", "L09", "L09-c1"), ("WHEELS", "BODYOFF")),
    "L09-a": ("WHEELS", "RAMPS"),
    "EB02": ANY,
    "J064": ("STANDS",),
    "J065": ANY,
}
"""Exceptions: the stands' saddles sit on the long pipes; the bench needs no standing."""

CLIP_TASK = {"L14-c1": "T029", "L21-c1": "T050", "L21-c2": "T050", "L22-c1": "T050"}
JOB_WEIGHT = {
    **{"T002": 3.0, "T004": 10.0, "T005": 6.0, "T046": 8.0, "T046C": 5.0, "T057": 12.0},
    "T211": 4.0,
}
"""A job's share of its task where joints share it, in fixings; alone it takes all of it."""

LIFT_WEIGHT = 14.0
"""The lift itself, of T047, in fixings."""

OWN_MINUTES = {
    "J152": {"best": 40.0, "likely": 60.0, "worst": 150.0},
    "EB03": {"best": 15.0, "likely": 25.0, "worst": 60.0},
    "EB02": {"best": 4.0, "likely": 6.0, "worst": 12.0},
    "CH02": {"best": 10.0, "likely": 15.0, "worst": 30.0},
}
"""What no task of the scenario does: the crossmember, and the gearbox lowered by itself."""


_READY = (
    "everything that the lift needs is done before the hoist takes the weight, so that {} follows "
    "at once; gear: engine hoist, load leveller, trolley jack with cradle"
)
_HANGS = (
    "from here {} the unit hangs on the hoist and a jack: do not leave it, do not change the "
    "standing"
)
WORDS = {
    "clamp finally set with the engine's timing, R218": "clamp finally set with the timing",
    "slack 13 mm at mid run; set in R214": "slack 13 mm at mid run",
    "body mountings 1 to 12 (through pads BS22)": "body mountings 1 to 12 (through their pads)",
    "down the bulkhead beside L01": "down the bulkhead beside the brake master cylinder's pipe",
    _READY.format("T047"): _READY.format("the lift"),
    _HANGS.format("to the end of T047"): _HANGS.format("until it is out and down"),
    "On the wheels and laden: set door gaps at five places, then finally tighten body mountings "
    "J080": "On the wheels and laden: set door gaps at five places, then finally tighten the body "
    "mountings",
    "Shell on its trolley carried at all twelve mounting positions, levelled; braces of T058 "
    "still in": "Shell on its trolley carried at all twelve mounting positions, levelled; braces "
    "still in",
    "Measure the shell's diagonals against the record of T058": "Measure the shell's diagonals "
    "against the record made before bracing",
}
"""Texts of the scenario that name a task or part by its identity, and what they mean."""


def build(scenario: Scenario) -> tuple[Vehicle, list[facts.Kept]]:
    """Map the whole scenario."""
    joints, tasks = joints_and_tasks(scenario)
    loose = {line["id"]: line for line in scenario.lines.values()}
    parts = part_rows(scenario) + [runs.run_part(scenario, line) for line in loose.values()]
    critical = [joint["id"] for joint in joints if joint["critical"]]
    strip = jobs.strip_jobs(scenario)
    openings = rest.openings(scenario)
    closed = [row["id"] for row in openings if row.get("needs_closing", True)]
    after = list(jobs.rebuild_jobs(scenario, critical, _first_on(joints), closed))
    _times_and_standings(scenario, joints, parts, strip, tasks)
    ref = facts.Refs(
        (row["id"] for row in joints),
        (row["id"] for row in parts),
        (row["id"] for row in [*strip, *after]),
    )
    blocked = list(facts.obstructions(scenario, ref))
    befores = facts.Befores()
    implied = facts.Precedence(joints, blocked)
    table = facts.strip_befores(scenario, ref, implied, befores)
    facts.survey_first(ref, (ref(row["id"]) for row in [*strip, *joints]), implied, befores)
    again = facts.rebuild_befores(scenario, ref)
    tables: dict[str, list[dict[str, Any]]] = {
        "zones": rest.zones(scenario),
        "parts": parts,
        "joints": joints,
        "runs": [
            *(
                runs.loom_run(scenario, loom, f"J04{n}")
                for n, loom in enumerate(scenario.looms.values(), 6)
            ),
            *(runs.run(line) for line in loose.values()),
        ],
        "openings": openings,
        "fluids": rest.fluids(scenario),
        "standings": rest.standings(scenario),
        "temporary_supports": rest.temporary_supports(scenario),
        "jobs": [*strip, *after],
        "obstructions": blocked,
        "befores": [*befores.rows, *again.rows],
        "harder_afters": list(facts.harder_afters(ref)),
        "assemblies": _assemblies(parts),
        "goals": rest.goals(scenario),
    }
    return Vehicle(
        from_plain("about", _about(scenario)),
        **{name: _records(name, rows) for name, rows in tables.items()},
    ), table


def _first_on(joints: Iterable[Mapping[str, Any]]) -> list[str]:
    """Name the parts that go on first: what is fixed to the frame, and what the scenario adds."""
    frame = {"CH01", "CH02"}
    on_frame = {part for joint in joints if frame & set(joint["parts"]) for part in joint["parts"]}
    return sorted(on_frame - frame | set(AFTER_PREPARING.split()))


def text(vehicle: Vehicle) -> str:
    """The vehicle file, with its heading."""
    return f"{HEAD}\n{write(vehicle)}"


def _records(table: str, rows: Iterable[Mapping[str, Any]]) -> dict[Any, Any]:
    records = [from_plain(table, _said(row)) for row in rows]
    found = {getattr(record, key_field(table)): record for record in records}
    if len(found) != len(records):
        raise ValueError(f"an identity is given twice in {table}")
    return found


def _said(row: Mapping[str, Any]) -> dict[str, Any]:
    """Only what is said: a null is not a value of a vehicle file."""
    return {key: _in_words(value) for key, value in row.items() if value is not None}


def _in_words(value: Any) -> Any:
    """Say in words what the scenario points at by an identity that nobody else knows."""
    if isinstance(value, str):
        return WORDS.get(value, value)
    if isinstance(value, dict):
        return _said(value)
    return [_in_words(each) for each in value] if isinstance(value, list) else value


def _about(scenario: Scenario) -> dict[str, Any]:
    said = scenario.raw["vehicle"]
    kept = (
        *("make", "model", "body_style", "year", "layout", "thread_standard"),
        *("wheelbase_m", "track_front_m", "track_rear_m", "length_m"),
    )
    return {
        "id": "demo",
        "name": f"{said['make']} {said['model']}",
        "notice": scenario.raw["notice"],
    } | {key: said[key] for key in kept}


def joints_and_tasks(scenario: Scenario) -> tuple[list[dict[str, Any]], dict[str, str]]:
    """Every joint, and the task that opens it."""
    joints, tasks = [], {}

    def add(joint: dict[str, Any], task: str | None) -> None:
        joints.append(joint)
        if task:
            tasks[joint["id"]] = CLIP_TASK.get(joint["id"], task)
            joint.setdefault("crew", scenario.tasks[task]["people"])

    for row in scenario.joints.values():
        add(joint_row(scenario, row), row["opened_in"])
    for line in scenario.lines.values():
        for end in "ab":
            add(runs.end_joint(scenario, line, end), line[f"end_{end}"]["opened_in"])
        for number, _ in enumerate(line["clips"], 1):
            add(runs.clip_joint(line, number) | {"critical": False}, line["comes_off_in"])
    for loom in scenario.looms.values():
        for end in loom["ends"]:
            if end["id"] not in runs.MATED:
                add(runs.loom_joint(scenario, loom, end) | {"critical": False}, end["opened_in"])
    for branch in runs.OWN_CLIPS:
        line = scenario.branches[branch]
        for number, _ in enumerate(line["clips"], 1):
            joint = runs.clip_joint(line, number) | {"critical": False}
            joint["parts"] = [line["end_a"]["part"], joint["parts"][1]]
            add(joint, "T050")
    return joints, tasks


def _times_and_standings(
    scenario: Scenario,
    joints: list[dict[str, Any]],
    parts: list[dict[str, Any]],
    strip: list[dict[str, Any]],
    tasks: dict[str, str],
) -> None:
    rows = {row["id"]: row for row in [*parts, *joints, *strip]}
    weights: dict[str, dict[str, float]] = {task: {} for task in scenario.tasks}
    for job in strip:
        task = "T046" if job["id"] == "T046C" else job["id"]
        weights[task][job["id"]] = JOB_WEIGHT.get(job["id"], 1.0)
    for joint in joints:
        if task := tasks.get(joint["id"]):
            holes = sum(fixing["count"] for fixing in joint["fixings"])
            weights[task][joint["id"]] = float(holes + (joint["id"][0] == "L"))
    for part, task in scenario.removed_in.items():
        if part in ("EB01", "EB02", "EB03"):
            continue
        weights[task][part] = 4.0 if rows[part].get("crew", 1) > 1 else 2.0
        if part in scenario.lines:
            weights[task][part] = 1.0
    weights["T047"]["EB01"] = LIFT_WEIGHT
    for task, shares in weights.items():
        for identity, minutes in split(scenario.tasks[task], shares).items():
            rows[identity]["minutes"] = minutes
        for identity in shares:
            standings = TASK_STANDINGS.get(task, _usual(scenario.tasks[task]["standing"]))
            rows[identity]["standings"] = OWN_STANDINGS.get(identity, standings)
    _share_cracking(scenario, rows)
    for identity in ("EB01", "EB03"):
        rows[identity]["standings"] = ["STANDS"]
    for identity, minutes in OWN_MINUTES.items():
        rows[identity]["minutes"] = minutes
    rows["J152"]["standings"] = ["STANDS"]
    # On the floor the bellhousing takes its task's time; in the vehicle twice that (harder after).
    rows["J064"]["minutes"] = {point: 2 * rows["J064"]["minutes"][point] for point in POINTS}


def _share_cracking(scenario: Scenario, rows: dict[str, dict[str, Any]]) -> None:
    """Give the breaking loose itself to the joints that are broken loose."""
    task = scenario.tasks["T211"]
    shares = split(task, {"T211": JOB_WEIGHT["T211"], **dict.fromkeys(task["cracks"], 1.0)})
    rows["T211"]["minutes"] = shares.pop("T211")
    for joint, more in shares.items():
        minutes = rows[joint]["minutes"]
        rows[joint]["minutes"] = {p: round(minutes[p] + more[p], 1) for p in POINTS}


def _usual(standing: str) -> tuple[str, ...]:
    return ANY if standing == "WHEELS" else (standing,)


def _assemblies(parts: list[dict[str, Any]]) -> list[dict[str, Any]]:
    minutes = {part["id"]: part.get("minutes", dict.fromkeys(POINTS, 0.0)) for part in parts}
    found = []
    for row in rest.ASSEMBLIES:
        lifted = ["EB01"] if "EB01" in row["parts"] else row["parts"]
        whole = {point: round(sum(minutes[part][point] for part in lifted), 1) for point in POINTS}
        found.append({**row, "minutes": whole})
    return found
