"""Facts: obstructions, what comes before what, what gets harder; and how every edge is kept."""

from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from scripts.map_scenario import edges, rebuild
from scripts.map_scenario.source import Scenario

OF_JOINT = {
    ("BS09", "BS08"): "J003",
    ("WHRL", "RA05L"): "J121",
    ("WHRR", "RA05R"): "J131",
    ("RA05L", "RA07L"): "J126",
    ("RA05R", "RA07R"): "J136",
    ("FS04", "FS03L"): "J103",
    ("FS04", "FS03R"): "J113",
    ("BS01", "L05"): "L05-c1",
    ("BS01", "L09"): "L09-c1",
}
"""Obstructions of a part whose reason speaks of its fasteners: in the way of the joint."""

ANY_OF = {"T038": ("J059", "TR01", "BS21"), "T045": ("J068", "TR01", "BS21")} | {
    "T054": ("J075", "WH05", "TR02")
}
"""The scenario's either-or access, by the joint and the parts of which one must be off."""

STRIP_ONLY = {("BS06", "J033"), ("EB01", "BS01")}
"""Obstructions that the refit may ignore (`refit.drop`): they become a *before* of the strip."""

TIES = {("L14", "BS01")}
"""Obstructions that are a joint: the cable's clip on the floor ties the body, and that is all.

As an obstruction it would ask for the whole cable off before the body, and it comes off after.
"""


@dataclass(frozen=True)
class Kept:
    """How one edge of the scenario is kept: a row of the table the script prints."""

    edge: str
    why: str
    pair: str
    how: str


class Refs:
    """Turns the short names of the tables into references."""

    def __init__(self, joints: Iterable[str], parts: Iterable[str], jobs: Iterable[str]) -> None:
        self._kinds = {
            **dict.fromkeys(parts, "part"),
            **dict.fromkeys(joints, "joint"),
            **dict.fromkeys(jobs, "job"),
        }

    def __call__(self, identity: str) -> str:
        """Say what sort of thing an identity is."""
        return f"{self._kinds[identity]}:{identity}"


def obstructions(scenario: Scenario, ref: Refs) -> Iterator[dict[str, Any]]:
    """What is in the way, without what is kept as a joint or as a *before*."""
    either = {(part, joint) for joint, *parts in ANY_OF.values() for part in parts}
    for number, row in enumerate(scenario.raw["obstructions"], 1):
        pair = (row["blocker"], row["blocks"])
        if pair in TIES | STRIP_ONLY | either:
            continue
        yield {
            "id": f"O{number:02}",
            "any_of": [row["blocker"]],
            "of": ref(OF_JOINT.get(pair, row["blocks"])),
            "why": row["why"],
        }
    for row in scenario.raw["any_of"]:
        joint, *parts = ANY_OF[row["task"]]
        yield {"id": f"O-{joint}", "any_of": parts, "of": ref(joint), "why": row["why"]}


class Precedence:
    """What joints and obstructions alone put before what, for single parts."""

    def __init__(self, joints: Iterable[Mapping[str, Any]], blocked: Iterable[Mapping[str, Any]]):
        self._after: dict[str, set[str]] = {}
        for joint in joints:
            for part in joint["parts"]:
                self._after.setdefault(f"joint:{joint['id']}", set()).add(f"part:{part}")
        for row in blocked:
            if len(row["any_of"]) == 1:
                self._after.setdefault(f"part:{row['any_of'][0]}", set()).add(row["of"])

    def add(self, first: str, then: str) -> None:
        """Put one reference before another."""
        self._after.setdefault(first, set()).add(then)

    def all_after(self, first: str) -> set[str]:
        """Everything that some chain puts after a reference."""
        found, queue = set[str](), [first]
        while queue:
            new = self._after.get(queue.pop(), set()) - found
            found |= new
            queue += new
        return found

    def path(self, first: str, then: str) -> list[str]:
        """The shortest chain of facts from one to the other; empty if there is none."""
        came: dict[str, str | None] = {first: None}
        queue = deque([first])
        while queue:
            here = queue.popleft()
            if here == then:
                chain = [here]
                while (back := came[chain[-1]]) is not None:
                    chain.append(back)
                return chain[::-1]
            for after in sorted(self._after.get(here, ())):
                if after not in came:
                    came[after] = here
                    queue.append(after)
        return []


def lines(table: str) -> Iterator[list[str]]:
    """The fields of each line of a table."""
    for line in table.strip().splitlines():
        yield [field.strip() for field in line.split("|")]


class Befores:
    """Gathers *befores*, one for each pair and phase, in the order in which they are told."""

    def __init__(self) -> None:
        self.rows: list[dict[str, Any]] = []
        self._seen: set[tuple[str, str, str]] = set()

    def add(self, first: str, then: str, why: str, phase: str = "strip") -> str:
        """Add one unless it is there already; give its identity."""
        key = (first, then, phase)
        if key not in self._seen:
            self._seen.add(key)
            letter = {"strip": "B", "rebuild": "R", "both": "A"}[phase]
            count = sum(row["id"].startswith(letter) for row in self.rows)
            self.rows.append(
                {"id": f"{letter}{count + 1:03}", "first": first, "then": then}
                | {"why": why, "phase": phase}
            )
        return next(
            str(row["id"]) for row in self.rows if (row["first"], row["then"], row["phase"]) == key
        )


def strip_befores(
    scenario: Scenario, ref: Refs, implied: Precedence, befores: Befores
) -> list[Kept]:
    """Keep every edge of the scenario's tasks; say how."""
    reasons = {
        f"{after['task']}>{task['id']}": after["why"]
        for task in scenario.tasks.values()
        for after in task["after"]
    }
    table: list[Kept] = []
    for edge, *fields in lines(edges.STRIP):
        why = reasons[edge]
        if fields[0].startswith("="):
            table.append(Kept(edge, why, "", fields[0].removeprefix("=").strip()))
            continue
        firsts, thens = ([ref(each) for each in field.split()] for field in fields)
        for first in firsts:
            for then in thens:
                chain = implied.path(first, then)
                phase = "both" if first == "job:T046" else "strip"  # the hoist is there both ways
                how = (
                    "implied: " + " > ".join(chain)
                    if chain
                    else "before " + befores.add(first, then, why, phase)
                )
                table.append(Kept(edge, why, f"{first} > {then}", how))
    missing = reasons.keys() - {row.edge for row in table}
    if missing:
        raise ValueError(f"edges not kept: {sorted(missing)}")
    for firsts_text, thens_text, why in lines(edges.WITHIN):
        phase = "both" if firsts_text == "T046C" else "strip"
        for first in firsts_text.split():
            for then in thens_text.split():
                befores.add(ref(first), ref(then), why, phase)
    return table


def survey_first(ref: Refs, touched: Iterable[str], implied: Precedence, befores: Befores) -> None:
    """Put the survey before whatever of the strip no other fact puts after it."""
    survey = ref("T001")
    for row in befores.rows:
        implied.add(row["first"], row["then"])
    for each in touched:
        if each != survey and each not in implied.all_after(survey):
            befores.add(survey, each, "recorded before anything is touched")
            implied.add(survey, each)


def rebuild_befores(scenario: Scenario, ref: Refs) -> Befores:
    """Orders of the rebuild alone."""
    found = Befores()
    steps = scenario.steps
    for firsts_text, step in lines(rebuild.STEPS):
        for first in firsts_text.split():
            found.add(ref(first), ref(step), _why(first, steps[step]["title"]), "rebuild")
    for row in (step for repair in scenario.raw["repairs"] for step in repair["steps"]):
        for first in row["after"]:
            found.add(
                ref(first), ref(row["id"]), "one step of the repair after another", "rebuild"
            )
    reasons = {
        f"{row['first']}>{row['then']}": row["why"]
        for row in scenario.raw["refit"]["must_precede"]
    }
    for edge, firsts_text, *rest in lines(rebuild.MUST_PRECEDE):
        if firsts_text.startswith("="):
            continue
        (thens_text,) = rest
        for first in firsts_text.split():
            for then in thens_text.split():
                if ref(first).startswith("part:") and ref(then).startswith("joint:"):
                    continue  # a joint is made only when all its parts are on
                found.add(ref(first), ref(then), reasons[edge], "rebuild")
    if reasons.keys() - {edge for edge, *_ in lines(rebuild.MUST_PRECEDE)}:
        raise ValueError("an order of the refit is not kept")
    for firsts_text, thens_text, why in lines(edges.REBUILD):
        for first in firsts_text.split():
            for then in thens_text.split():
                found.add(ref(first), ref(then), why, "rebuild")
    return found


def _why(first: str, title: str) -> str:
    what = title.split(":")[0].split(";")[0]
    what = what if len(what) < 60 else what.split(",")[0]
    return f"first, then: {what[0].lower()}{what[1:]}"


def harder_afters(ref: Refs) -> Iterator[dict[str, Any]]:
    """What gets harder or easier once something else is done."""
    number = 0
    for jobs, after, factor, why in lines(edges.HARDER):
        for job in jobs.split():
            number += 1
            yield {
                "id": f"H{number:02}",
                "job": ref(job),
                "after": ref(after),
                "factor": float(factor),
                "why": why,
            }
