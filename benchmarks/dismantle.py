"""Dismantling on published instances, beside a plain CP-SAT model of the same.

``python -m benchmarks.dismantle DIR --seconds S [--json] [--alone] [--seed N]`` reads every
`.json` file of a folder: the real, anonymised disassembly of an airliner (C. Thomas and P.
Schaus, CPAIOR 2024): operations with durations and precedences, technicians by certificate with
their absences, locations that hold so many, and the mass removed, whose difference fore and aft,
and left and right, must stay within limits all along. Each schedule is checked here, from the file
and by none of the solver's code. Best known values are read from a `known.csv` beside the files,
if there is one. The ratio is the plain model's makespan to ours.

Without a folder, as ``python -m benchmarks dismantle``, the instances of the tests are taken.
"""

import json
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from time import perf_counter
from typing import Any

from benchmarks.beside import best_known, command, measure_folder, shown, solved
from benchmarks.measure import Figure
from putback.solvers.schedule.crews import Staffed
from putback.solvers.schedule.site import Job, Need, Site
from putback.solvers.schedule.site_search import SiteSearch, Timetable

BUNDLED = Path(__file__).parent.parent / "tests" / "published" / "data" / "dismantle"

Instance = dict[str, Any]
"""A file as it stands; its authors' readme tells what each field means."""

_AXES = (("balanceAF", "FWD", "AFT"), ("balanceLR", "RH", "LH"))
"""Each limit, the zone whose mass counts up, and the one whose mass counts down."""


@dataclass(frozen=True, slots=True)
class Row:
    """What came of an instance; seconds [s] are wall time."""

    name: str
    operations: int
    makespan: int | None
    """None if no schedule was found."""
    lower_bound: int
    seconds: float
    best_known: int | None
    gap: float | None
    """How far above the best known [-]."""
    plain_objective: int | None
    """The makespan that the plain model found in the same time."""
    plain_lower_bound: int | None
    plain_seconds: float | None
    ratio: float | None
    """The plain model's makespan over ours [-]."""


def site_of(instance: Instance) -> Site:
    """Say an instance in the solver's words."""
    people: dict[str, list[int]] = {}
    for number, person in enumerate(instance["resources"]):
        people.setdefault(person["category"], []).append(number)
    room_of = {place["id"]: number for number, place in enumerate(instance["locations"])}
    zone_of = {place["id"]: place["zone"] for place in instance["locations"]}
    number_of = {each["id"]: number for number, each in enumerate(instance["operations"])}

    def shift(operation: dict[str, Any], up: str, down: str) -> int:
        zone = zone_of[operation["location"]]
        return int(operation["mass"]) * ((zone == up) - (zone == down))

    jobs = [
        Job(
            each["duration"],
            tuple(
                Need(
                    frozenset(p for kind in need["category"] for p in people.get(kind, ())),
                    need["quantity"],
                )
                for need in each["resources"]
            ),
            ((room_of[each["location"]], each["occupancy"]),),
            tuple(shift(each, up, down) for _, up, down in _AXES),
        )
        for each in instance["operations"]
    ]
    return Site(
        tuple(jobs),
        tuple(
            (number_of[first], number_of[each["id"]])
            for each in instance["operations"]
            for first in each["precedences"]
        ),
        tuple(
            tuple(sorted((spell["start"], spell["end"]) for spell in person["unavailable"]))
            for person in instance["resources"]
        ),
        tuple(place["capacity"] for place in instance["locations"]),
        tuple((-instance[limit], instance[limit]) for limit, _, _ in _AXES),
        instance["maxTime"],
    )


def checked_makespan(instance: Instance, plan: Staffed) -> int:
    """How long a schedule takes by the file.

    Raises
    ------
    ValueError
        If it does not keep something that the file asks for.
    """
    name, operations = instance["name"], instance["operations"]
    if len(plan.starts) != len(operations) or min(plan.starts) < 0:
        raise ValueError(f"{name}: not every operation begins at 0 or later")
    begin = {each["id"]: start for each, start in zip(operations, plan.starts, strict=True)}
    end = {each["id"]: begin[each["id"]] + each["duration"] for each in operations}
    for each in operations:
        for first in each["precedences"]:
            if end[first] > begin[each["id"]]:
                raise ValueError(f"{name}: {each['id']} begins before {first} has ended")
    _check_people(instance, plan)
    _check_places(instance, begin, end)
    if max(end.values()) > instance["maxTime"]:
        raise ValueError(f"{name}: not done in time")
    return max(end.values())


def _check_people(instance: Instance, plan: Staffed) -> None:
    """Look at who does what: enough, able, one thing at a time, and there."""
    name, people = instance["name"], instance["resources"]
    busy: dict[int, list[tuple[int, int]]] = {
        number: [(spell["start"], spell["end"]) for spell in person["unavailable"]]
        for number, person in enumerate(people)
    }
    for each, start, teams in zip(instance["operations"], plan.starts, plan.who, strict=True):
        for need, team in zip(each["resources"], teams, strict=True):
            if len(team) != need["quantity"]:
                raise ValueError(f"{name}: {each['id']} has too few or too many people")
            for person in team:
                if people[person]["category"] not in need["category"]:
                    raise ValueError(f"{name}: {person} may not do {each['id']}")
                busy[person].append((start, start + each["duration"]))
    for person, spells in busy.items():
        spells.sort()
        for (_, until), (since, _) in pairwise(spells):
            if since < until:
                raise ValueError(f"{name}: {person} is away or has two things to do at {since}")


def _check_places(instance: Instance, begin: dict[int, int], end: dict[int, int]) -> None:
    """Look at how many are at each place, and at the mass removed, whenever something begins."""
    name, operations = instance["name"], instance["operations"]
    place = {each["id"]: each for each in instance["locations"]}
    for now in sorted(set(begin.values())):
        there: Counter[int] = Counter()
        removed: Counter[str] = Counter()
        for each in operations:
            if begin[each["id"]] <= now < end[each["id"]]:
                there[each["location"]] += each["occupancy"]
            if begin[each["id"]] <= now:
                removed[place[each["location"]]["zone"]] += each["mass"]
        for where, many in there.items():
            if many > place[where]["capacity"]:
                raise ValueError(f"{name}: {many} at location {where} at {now}")
        for limit, up, down in _AXES:
            if abs(removed[up] - removed[down]) > instance[limit]:
                raise ValueError(f"{name}: out of balance between {up} and {down} at {now}")


def solve(instance: Instance, seconds: float, seed: int) -> tuple[Timetable, float]:
    """Search for so long [s], laying out included; give the best and the time taken [s]."""
    begun = perf_counter()
    search = SiteSearch(site_of(instance), seed)
    best = search.run(seconds=seconds - (perf_counter() - begun))
    return best, perf_counter() - begun


def solve_plainly(instance: Instance, seconds: float) -> tuple[int | None, int, float]:
    """Solve by CP-SAT as one writes it down: an optional interval for each who could do it.

    Gives makespan, if any schedule was found, bound and time taken [s].
    """
    from ortools.sat.python import cp_model

    begun = perf_counter()
    model: Any = cp_model.CpModel()
    horizon, operations = instance["maxTime"], instance["operations"]
    start = {each["id"]: model.new_int_var(0, horizon, "") for each in operations}
    run = {
        each["id"]: model.new_fixed_size_interval_var(start[each["id"]], each["duration"], "")
        for each in operations
    }
    end = model.new_int_var(0, horizon, "")
    duration = {each["id"]: each["duration"] for each in operations}
    busy: list[list[Any]] = [
        [
            model.new_fixed_size_interval_var(s["start"], s["end"] - s["start"], "")
            for s in person["unavailable"]
        ]
        for person in instance["resources"]
    ]
    for each in operations:
        number = each["id"]
        model.add(end >= start[number] + duration[number])
        for first in each["precedences"]:
            model.add(start[number] >= start[first] + duration[first])
        for need in each["resources"]:
            does = []
            for person, of_whom in enumerate(instance["resources"]):
                if of_whom["category"] in need["category"]:
                    chosen = model.new_bool_var("")
                    does.append(chosen)
                    busy[person].append(
                        model.new_optional_fixed_size_interval_var(
                            start[number], duration[number], chosen, ""
                        )
                    )
            model.add(sum(does) == need["quantity"])
    for intervals in busy:
        model.add_no_overlap(intervals)
    for place in instance["locations"]:
        here = [each for each in operations if each["location"] == place["id"]]
        model.add_cumulative(
            [run[each["id"]] for each in here],
            [each["occupancy"] for each in here],
            place["capacity"],
        )
    zone = {place["id"]: place["zone"] for place in instance["locations"]}
    for limit, up, down in _AXES:
        heavy = [each for each in operations if zone[each["location"]] in {up, down}]
        model.add_reservoir_constraint(
            [start[each["id"]] for each in heavy],
            [each["mass"] * (1 if zone[each["location"]] == up else -1) for each in heavy],
            -instance[limit],
            instance[limit],
        )
    model.minimize(end)
    makespan, bound = solved(model, seconds)
    return makespan, bound, perf_counter() - begun


def measure(
    paths: list[Path], seconds: float, *, seed: int = 1, plain: bool = True
) -> Iterator[Row]:
    """Measure instance after instance, each for so long at most [s]."""
    known = best_known(paths[0].parent)
    for path in paths:
        instance = json.loads(path.read_text(encoding="utf-8"))
        best, spent = solve(instance, seconds, seed)
        makespan = None if best.plan is None else checked_makespan(instance, best.plan)
        if best.plan is not None and makespan != best.plan.ends:
            raise ValueError(f"{path.stem}: takes {makespan}, said to take {best.plan.ends}")
        target = known.get(path.stem)
        other, below, took = solve_plainly(instance, seconds) if plain else (None, None, None)
        yield Row(
            name=path.stem,
            operations=len(instance["operations"]),
            makespan=makespan,
            lower_bound=best.bound,
            seconds=round(spent, 3),
            best_known=target,
            gap=round(makespan / target - 1, 5) if target and makespan is not None else None,
            plain_objective=other,
            plain_lower_bound=below,
            plain_seconds=None if took is None else round(took, 3),
            ratio=round(other / makespan, 4) if other and makespan else None,
        )


def warm_up() -> float:
    """Load the solvers on a tiny instance; give the time that took [s]."""
    begun = perf_counter()
    needs = (Need(frozenset({0, 1}), 1),)
    jobs = tuple(Job(each, needs, shifts=()) for each in (3, 3, 2))
    SiteSearch(Site(jobs, ((0, 2),), ((), ((2, 4),)), (), (), 20)).run(seconds=1.0)
    return perf_counter() - begun


def run() -> Iterator[Figure]:
    """Measure the instances that the tests have, for 10 s each."""
    warm_up()
    for row in measure(sorted(BUNDLED.glob("*.json")), 10.0):
        yield Figure(
            f"dismantle {row.name}, {row.operations} operations",
            row.seconds,
            row.seconds,
            1,
            "< 10.2 s, as short as known",
            row.seconds < 10.2 and row.makespan == row.best_known,
            f"takes {row.makespan}, bound {row.lower_bound}; plain CP-SAT {row.plain_objective}",
        )


def main() -> int:
    """Measure a folder."""
    heading = (
        f"{'name':28}{'operations':>11}{'makespan':>9}{'bound':>7}{'s':>8}"
        f"{'best known':>12}{'gap':>8}{'plain':>7}{'ratio':>8}\n"
    )
    return measure_folder(
        command("dismantle", __doc__, seconds=10.0),
        ".json",
        measure,
        heading,
        _said,
        begun=lambda: f"loading the solvers took {warm_up():.2f} s\n",
    )


def _said(row: Row) -> str:
    """Say a row in a line."""
    gap, ratio = shown(row.gap, ".2%"), shown(row.ratio, ".3f")
    known = shown(row.best_known)
    plain = shown(row.plain_objective)
    ours = "none" if row.makespan is None else str(row.makespan)
    proved = "=" if row.makespan is not None and row.lower_bound >= row.makespan else " "
    return (
        f"{row.name:28}{row.operations:11}{ours:>9}{row.lower_bound:6}{proved}{row.seconds:8.2f}"
        f"{known:>12}{gap:>8}{plain:>7}{ratio:>8}\n"
    )


if __name__ == "__main__":
    sys.exit(main())
