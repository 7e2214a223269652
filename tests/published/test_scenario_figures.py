"""The demonstration vehicle against the figures of the scenario it was made from.

The figures were printed by the scenario's own checker, which knows nothing of Putback. Here they
are computed once more from the mapped vehicle, in a few lines of numpy of their own.
"""

import json
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest

from putback.vehicle.demo import demo_vehicle
from putback.vehicle.fastener import Role
from putback.vehicle.goal import Goal
from putback.vehicle.vehicle import Vehicle

SCENARIO = json.loads(
    (Path(__file__).parent / "data" / "scenario.json").read_text(encoding="utf-8")
)
TASKS = {task["id"]: task for task in SCENARIO["tasks"]}
LINES = {line["id"] for line in SCENARIO["lines"] if line["kind"] != "loom branch"}

UNIT = {"EB01", "EB02", "EB03"}
SET_A = ((0.42, -0.36), (0.42, 0.36), (1.98, 0.46), (1.98, -0.46))
SET_B = ((0.42, -0.36), (0.42, 0.36), (1.52, 0.44), (1.52, -0.44))

# state: mass [kg], centre of gravity x, y, z [m], share on the front axle, margins [m] on A and B
FIGURES = {
    "kerb": (1115.5, (1.157, 0.000, 0.569), 0.53, 0.406, 0.363),
    "front stripped, ready to lift the unit": (856.3, (1.246, 0.012, 0.548), 0.49, 0.400, 0.274),
    "engine and gearbox out": (693.9, (1.475, 0.015, 0.547), 0.40, 0.412, 0.045),
    "body loose, not yet lifted": (537.7, (1.354, 0.007, 0.488), 0.45, 0.412, 0.166),
    "rolling chassis": (369.5, (1.306, 0.011, 0.340), 0.46, 0.405, 0.214),
}


@pytest.fixture(scope="module")
def vehicle() -> Vehicle:
    """The demonstration vehicle."""
    return demo_vehicle()


def _up_to(task: str) -> set[str]:
    found, queue = {task}, [task]
    while queue:
        new = {after["task"] for after in TASKS[queue.pop()]["after"]} - found
        found |= new
        queue += new
    return found


def _off_and_drained(state: str, rolling: Goal) -> tuple[set[str], set[str]]:
    """What is off, and which tasks are done, in a state of the table."""
    match state:
        case "kerb":
            done: set[str] = set()
        case "front stripped, ready to lift the unit":
            done = _up_to("T046")
        case "engine and gearbox out":
            done = _up_to("T047")
        case "body loose, not yet lifted":
            done = _up_to("T060") - {"T060"}
        case _:
            done = _up_to("T065")
    off = {part for task in done for part in TASKS[task]["removes"]}
    if state == "engine and gearbox out":
        off |= UNIT
    if state == "rolling chassis":
        off = {part["id"] for part in SCENARIO["parts"]} - set(rolling.on)
    return off, done


def _masses(vehicle: Vehicle, state: str) -> tuple[np.ndarray, np.ndarray]:
    off, done = _off_and_drained(state, vehicle.goals["ROLLING"])
    on = [part for part in vehicle.parts.values() if part.id not in off]
    left = [fluid for fluid in vehicle.fluids.values() if fluid.drained_by not in done]
    masses = np.array([each.mass_kg for each in (*on, *left)])
    places = np.array([each.cg_m for each in (*on, *left)])
    return masses, places


def _centre(vehicle: Vehicle, state: str) -> tuple[float, np.ndarray]:
    masses, places = _masses(vehicle, state)
    return float(masses.sum()), masses @ places / masses.sum()


def _margin(centre: np.ndarray, stands: Iterable[tuple[float, float]]) -> float:
    """Shortest way from the centre of gravity to an edge of the supports [m]."""
    corners = np.array(list(stands))
    edges = np.roll(corners, -1, axis=0) - corners
    to = centre[:2] - corners
    # Told clockwise in these axes, so that inside is to the right of every edge.
    crosses = edges[:, 1] * to[:, 0] - edges[:, 0] * to[:, 1]
    return float(np.min(crosses / np.hypot(*edges.T)))


@pytest.mark.parametrize("state", FIGURES)
def test_mass_and_centre_of_gravity(vehicle: Vehicle, state: str) -> None:
    """Mass, centre of gravity and axle share in each state are those the checker printed."""
    mass, centre = _centre(vehicle, state)
    kg, place, front, *_ = FIGURES[state]
    assert round(mass, 1) == kg
    assert centre == pytest.approx(place, abs=0.0006)
    wheelbase = vehicle.about.wheelbase_m
    assert wheelbase is not None
    assert round(1 - centre[0] / wheelbase, 2) == front


@pytest.mark.parametrize("state", FIGURES)
def test_tipping_margins(vehicle: Vehicle, state: str) -> None:
    """On stands in their place it keeps 0.4 m; wrongly placed, 45 mm once the unit is out."""
    _, centre = _centre(vehicle, state)
    *_, right, wrong = FIGURES[state]
    assert _margin(centre, SET_A) == pytest.approx(right, abs=0.0006)
    assert _margin(centre, SET_B) == pytest.approx(wrong, abs=0.0006)


def test_the_stands_stand_where_the_figures_say(vehicle: Vehicle) -> None:
    """Both standings on stands have their supports at the points of the published margins."""
    for standing, points in (("STANDS", SET_A), ("STANDS-B", SET_B)):
        assert tuple(each.at_m for each in vehicle.standings[standing].supports) == points
    assert vehicle.standings["STANDS-B"].wrong
    assert not vehicle.standings["STANDS"].wrong


@pytest.mark.parametrize(("row", "points"), [(0, SET_A), (1, SET_B)])
def test_stand_loads(vehicle: Vehicle, row: int, points: tuple[tuple[float, float], ...]) -> None:
    """A rigid frame on four equally stiff stands loads each as the scenario says, to 0.1 kg."""
    for load in SCENARIO["support_sets"][row]["loads"]:
        mass, centre = _centre(vehicle, load["state"])
        x, y = np.array(points).T
        balance = np.vstack([np.ones(4), x, y])
        # Of all loads in balance, equal stiffness gives those of least squares.
        loads = np.linalg.pinv(balance) @ (mass * np.array([1, centre[0], centre[1]]))
        assert loads == pytest.approx(load["stand_kg"], abs=0.06)


def test_dry_and_fluids(vehicle: Vehicle) -> None:
    """1075.0 kg dry and 40.5 kg of fluids make the kerb mass."""
    dry = sum(part.mass_kg or 0 for part in vehicle.parts.values())
    fluids = sum(fluid.mass_kg for fluid in vehicle.fluids.values())
    assert (round(dry, 1), round(fluids, 1)) == (1075.0, 40.5)


def test_how_many_of_each(vehicle: Vehicle) -> None:
    """97 parts and 25 lines, 124 joints, 24 and 9 loom ends of which one is shared."""
    assert len(SCENARIO["parts"]) == 97
    assert len(vehicle.parts) == 97 + 25 == 97 + len(LINES)
    assert len({joint["id"] for joint in SCENARIO["joints"]} & vehicle.joints.keys()) == 124
    assert (len(vehicle.runs["BS18"].ends), len(vehicle.runs["BS19"].ends)) == (24, 9)
    assert sum(joint.startswith("W") for joint in vehicle.joints) == 24 + 9 - 1
    assert {line for line in LINES if line in vehicle.runs} == LINES
    assert sum(len(part.marks) for part in vehicle.parts.values()) == 72
    assert len(vehicle.temporary_supports) == 8


def test_closures(vehicle: Vehicle) -> None:
    """64 openings, of which 37 need 53 closures; 28 pipe and hose ends: 81 in all."""
    own = [each for each in vehicle.openings.values() if each.part not in LINES]
    ends = [each for each in vehicle.openings.values() if each.part in LINES]
    to_close = [each for each in own if each.needs_closing]
    assert (len(own), len(to_close)) == (64, 37)
    assert sum(each.ends for each in to_close) == 53
    assert all(each.needs_closing for each in ends)
    assert sum(each.ends for each in ends) == len(ends) == 28
    assert sum(each.ends for each in vehicle.openings.values() if each.needs_closing) == 81


def _pieces(vehicle: Vehicle, joints: Iterable[str]) -> Counter[str]:
    """Count pieces as the scenario does, captive nuts and the like among them."""
    stays_but_counts = {"captive nut", "dowel", "rivet", "bush", "bonded rubber bush", "loom clip"}
    found: Counter[str] = Counter()
    for joint in joints:
        for fixing in vehicle.joints[joint].fixings:
            for piece in fixing.stack:
                if piece.stays and piece.spec.kind not in stays_but_counts:
                    continue
                found[piece.role] += piece.per_fixing * fixing.count
                found["single use"] += piece.per_fixing * fixing.count * piece.single_use
    return found


def test_pieces(vehicle: Vehicle) -> None:
    """765 pieces hold, 163 lock and 50 seal; 397 of the 978 are for single use."""
    joints = [joint["id"] for joint in SCENARIO["joints"]]
    found = _pieces(vehicle, joints)
    assert (found[Role.HOLD], found[Role.LOCK], found[Role.SEAL]) == (765, 163, 50)
    assert found["single use"] == 397


def test_pieces_of_the_first_stage(vehicle: Vehicle) -> None:
    """In the 71 joints of the first stage: 556 hold, 133 lock, 32 seal, 268 for single use."""
    joints = [
        joint["id"]
        for joint in SCENARIO["joints"]
        if joint["opened_in"] and TASKS[joint["opened_in"]]["stage"] == 1
    ]
    found = _pieces(vehicle, joints)
    assert len(joints) == 71
    assert (found[Role.HOLD], found[Role.LOCK], found[Role.SEAL]) == (556, 133, 32)
    assert found["single use"] == 268


def test_joints_by_their_conditions(vehicle: Vehicle) -> None:
    """Final tightening, critical, crack first, by position and shims are as counted."""
    joints = [vehicle.joints[joint["id"]] for joint in SCENARIO["joints"]]
    assert Counter(joint.final_when.value for joint in joints) == {
        "as fitted": 85,
        "gaps set": 13,
        "at laden height": 13,
        "on wheels": 8,
        "re-nipped hot": 3,
        "after first run": 2,
    }
    assert sum(joint.critical for joint in joints) == 53
    assert len({run for run in LINES if _is_critical(vehicle, run)}) == 17
    assert sum(joint.by_position for joint in joints) == 2
    assert sum(joint.crack_in is not None for joint in joints) == 12
    assert sum(len(joint.shims) for joint in joints) == 41
    assert sum(pack.selective for joint in joints for pack in joint.shims) == 4
    assert sum(bool(joint.consumables) for joint in joints) == 47
    assert all(
        joint.tightening.origin == "invented" for joint in joints if joint.tightening.torque_nm
    )


def _is_critical(vehicle: Vehicle, run: str) -> bool:
    return any(vehicle.joints[end.joint].critical for end in vehicle.runs[run].ends)


def test_jobs_of_the_rebuild(vehicle: Vehicle) -> None:
    """31 steps that only the rebuild has, 21 of the repair, 47 joints to prove."""
    rebuild = [job.id for job in vehicle.jobs.values() if job.phase == "rebuild"]
    assert Counter(job[0] for job in rebuild) == {"R": 31, "S": 21}
    assert len(vehicle.jobs["R202"].joints) == 47


def test_hours(vehicle: Vehicle) -> None:
    """Elapsed task hours are the scenario's; nothing is lost where tasks were split."""
    own = {"J152", "EB02", "EB03", "CH02"}  # what no task of the scenario does
    twice = vehicle.joints["J064"].minutes  # in the vehicle; the scenario parts it on the floor
    strip = [job for job in vehicle.jobs.values() if job.phase != "rebuild"]
    records = [*vehicle.joints.values(), *vehicle.parts.values(), *strip]
    for point, hours in (("best", 30.6 + 7.9), ("likely", 48.6 + 12.8), ("worst", 107.2 + 32.5)):
        minutes = sum(getattr(each.minutes, point) for each in records if each.id not in own)
        assert (minutes - getattr(twice, point) / 2) / 60 == pytest.approx(hours, abs=0.11)
