"""The demonstration vehicle: mapped, whole, and free of knots both ways."""

import json
import re
import tomllib
from collections.abc import Iterable, Mapping

import networkx as nx
import pytest

from putback.vehicle.check import Severity, check
from putback.vehicle.demo import demo_text, demo_vehicle
from putback.vehicle.fastener import is_piece
from putback.vehicle.goal import Goal
from putback.vehicle.ids import PartId
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle
from scripts.map_scenario import edges, rebuild
from scripts.map_scenario.build import build, text
from scripts.map_scenario.facts import Kept, lines
from scripts.map_scenario.runs import MEETS
from scripts.map_scenario.source import SCENARIO, Scenario

RAW = json.loads(SCENARIO.read_text(encoding="utf-8"))

MAPPED, TABLE = build(Scenario())
DEMO = demo_vehicle()

Units = Mapping[str, tuple[PartId, ...]]
SINGLE: Units = {part: (part,) for part in DEMO.parts}
WHOLE: Units = SINGLE | {whole.id: whole.parts for whole in DEMO.assemblies.values()}


def strip(vehicle: Vehicle, goal: Goal, units: Units, never: Iterable[str] = ()) -> set[str]:
    """Undo, take off and do whatever can be, again and again, without what is forbidden."""
    befores: dict[str, list[str]] = {}
    for before in vehicle.befores.values():
        if before.phase != "rebuild":
            befores.setdefault(before.then, []).append(before.first)
    done: set[str] = set()
    stays = {goal.datum, *goal.on}

    def is_free(ref: str, unit: tuple[PartId, ...] = ()) -> bool:
        return (
            ref not in done
            and ref not in never
            and all(first in done for first in befores.get(ref, ()))
            and all(
                any(f"part:{part}" in done or part in unit for part in obstruction.any_of)
                for obstruction in vehicle.obstructions_of.get(ref, ())
            )
        )

    def can_go(unit: tuple[PartId, ...]) -> bool:
        rest = [part for part in vehicle.parts if f"part:{part}" not in done and part not in unit]
        held = {
            joint
            for part in unit
            for joint in vehicle.joints_of[part]
            if set(vehicle.joints[joint].parts) & set(rest)
        }
        return (
            not stays & set(unit)
            and all(f"joint:{joint}" in done for joint in held)
            and all(is_free(f"part:{part}", unit) for part in unit)
        )

    while True:
        jobs = [f"job:{job.id}" for job in vehicle.jobs.values() if job.phase != "rebuild"]
        joints = [f"joint:{joint}" for joint in vehicle.joints]
        new = {ref for ref in [*jobs, *joints] if is_free(ref)}
        new |= {f"part:{part}" for unit in units.values() if can_go(unit) for part in unit}
        if not new:
            return done
        done |= new


def missing(vehicle: Vehicle, goal: Goal, done: set[str]) -> set[str]:
    """What the goal asks for that was not reached."""
    rest = vehicle.parts.keys() - set(goal.on) - {goal.datum} if goal.off_rest else set()
    wanted = {f"part:{part}" for part in {*goal.off, *rest}} | {f"job:{job}" for job in goal.jobs}
    return wanted - done


def rebuild_graph(vehicle: Vehicle) -> nx.DiGraph:
    """What must come before what in the rebuild, for single parts, by joints and facts alone."""
    graph = nx.DiGraph()
    for joint in vehicle.joints.values():
        graph.add_edge(f"make:{joint.id}", f"joint:{joint.id}")
        for part in joint.parts:
            graph.add_edge(f"part:{part}", f"make:{joint.id}")
    for obstruction in vehicle.obstructions.values():
        if len(obstruction.any_of) == 1:
            graph.add_edge(obstruction.of, f"part:{obstruction.any_of[0]}")
    for before in vehicle.befores.values():
        if before.phase != "strip":
            graph.add_edge(before.first, before.then.replace("joint:", "make:"))
    for run in vehicle.runs.values():
        for turning in (end.joint for end in run.ends if end.turns):
            for other in {*(end.joint for end in run.ends), *run.clips} - {turning}:
                graph.add_edge(f"joint:{turning}", f"make:{other}")
    for job in vehicle.jobs.values():
        if job.kind in (JobKind.PREPARE, JobKind.PROVE, JobKind.REPAIR):
            graph.add_edges_from((f"job:{job.id}", f"part:{part}") for part in job.parts)
            graph.add_edges_from((f"job:{job.id}", f"make:{joint}") for joint in job.joints)
        if job.kind in (JobKind.SET, JobKind.TIGHTEN, JobKind.SECOND_CHECK):
            graph.add_edges_from((f"joint:{joint}", f"job:{job.id}") for joint in job.joints)
    return graph


def steps_after() -> dict[str, list[str]]:
    """What each step of the refit comes after, by the script's table."""
    found: dict[str, list[str]] = {}
    for firsts, step in lines(rebuild.STEPS):
        found.setdefault(step, []).extend(firsts.split())
    return found


def test_the_shipped_file_is_what_the_script_writes() -> None:
    """The file in the package is the script's output to the letter: edit the script."""
    assert demo_text() == text(MAPPED)


def test_it_says_that_it_is_invented() -> None:
    """Both the file's heading and the vehicle itself say that nothing of it is real."""
    assert "ALL OF IT IS INVENTED" in demo_text()[:200]
    assert DEMO.about.notice.startswith("Wholly invented")
    torques = [joint.tightening for joint in DEMO.joints.values() if joint.tightening.torque_nm]
    assert all(tightening.origin == "invented" for tightening in torques)


def test_no_text_points_by_an_identity() -> None:
    """A restorer reads names; an identity in a sentence names nothing to anybody."""
    words = {
        "name",
        "note",
        "cautions",
        "route",
        "why",
        "detail",
        "prop_first",
        "target",
        "record",
    }
    identity = re.compile(r"\b[A-Z]{1,4}\d{2,3}[A-Z]{0,2}\b")

    def texts(value: object, field: str) -> Iterable[str]:
        if isinstance(value, dict):
            for key, each in value.items():
                yield from texts(each, key)
        elif isinstance(value, list):
            for each in value:
                yield from texts(each, field)
        elif isinstance(value, str) and field in words:
            yield value

    tables = tomllib.loads(demo_text())
    found = [text for text in texts(tables, "") if identity.search(text)]
    assert found == []


def test_it_does_not_contradict_itself() -> None:
    """The check finds no error, and doubts only that nothing drains the battery's acid."""
    faults = check(DEMO)
    assert [fault for fault in faults if fault.severity is Severity.ERROR] == []
    (doubt,) = map(str, faults)
    assert "nothing drains fluid 'Battery acid" in doubt


def test_every_part_is_held_to_the_frame() -> None:
    """Every part hangs together with the datum by joints."""
    graph = nx.Graph()
    for joint in DEMO.joints.values():
        nx.add_path(graph, joint.parts)
    assert set(graph) == DEMO.parts.keys()
    assert nx.is_connected(graph)


@pytest.mark.parametrize("units", [SINGLE, WHOLE], ids=["piece by piece", "with wholes"])
@pytest.mark.parametrize("goal", DEMO.goals)
def test_every_goal_can_be_reached(goal: str, units: Units) -> None:
    """No goal is knotted, whether wholes are used or everything comes off by itself."""
    wanted = DEMO.goals[goal]
    assert missing(DEMO, wanted, strip(DEMO, wanted, units)) == set()


def test_everything_comes_off() -> None:
    """At the bare frame every joint is undone but those of the datum's own crossmember."""
    done = strip(DEMO, DEMO.goals["G3"], WHOLE)
    made = [joint for joint in DEMO.joints if f"joint:{joint}" not in done]
    assert set(made) <= {"J152"}


def test_the_engine_has_two_ways_out() -> None:
    """As one unit with the gearbox, or the gearbox from below first."""
    goal = DEMO.goals["G1"]
    lifts = ("UNIT", "ENGINE")
    without_unit = {name: unit for name, unit in WHOLE.items() if name != "UNIT"}
    together = strip(DEMO, goal, WHOLE, never={"joint:J064"})
    apart = strip(DEMO, goal, {n: u for n, u in without_unit.items() if n not in lifts})
    assert missing(DEMO, goal, together) == missing(DEMO, goal, apart) == set()
    neither = strip(DEMO, goal, without_unit, never={"joint:J064"})
    assert missing(DEMO, goal, neither) == {"part:EB01", "part:EB03"}


def test_any_of_offers_a_real_choice() -> None:
    """Each part named by an obstruction with several is enough by itself to free the joint."""
    choices = [each for each in DEMO.obstructions.values() if len(each.any_of) > 1]
    assert len(choices) == 3
    for choice in choices:
        for used in choice.any_of:
            others = {f"part:{part}" for part in choice.any_of if part != used}
            assert choice.of in strip(DEMO, DEMO.goals["G3"], WHOLE, never=others)


@pytest.mark.slow
def test_harder_after_can_change_an_order() -> None:
    """Of what gets harder or easier, eight subjects at least can be done before or after."""
    goal = DEMO.goals["G3"]
    free = {
        (harder.after, harder.why)
        for harder in DEMO.harder_afters.values()
        if harder.after in strip(DEMO, goal, WHOLE, never={harder.job})
        and harder.job in strip(DEMO, goal, WHOLE, never={harder.after})
    }
    assert len(free) >= 8


def test_the_rebuild_is_free_of_knots() -> None:
    """Joints and obstructions turned round, facts and jobs of the rebuild: no cycle among them."""
    cycles = nx.simple_cycles(rebuild_graph(DEMO))
    assert next(cycles, None) is None


def test_the_rebuild_is_not_the_strip_turned_round() -> None:
    """Orders of the strip that the refit gives up are not orders of the rebuild."""
    order = nx.transitive_closure_dag(rebuild_graph(DEMO))
    for dropped in (("joint:J033", "part:BS06"), ("part:BS01", "part:EB01")):
        assert dropped not in order.edges
    assert ("job:R101", "part:BS01") in order.edges  # pressure-tested before the body is on
    assert ("joint:L05-c1", "part:BS01") in order.edges


def test_every_order_of_the_scenario_is_kept_or_argued() -> None:
    """No edge between two tasks is dropped silently: each has its row in the table."""
    asked = {f"{after['task']}>{task['id']}" for task in RAW["tasks"] for after in task["after"]}
    assert {row.edge for row in TABLE} == asked
    assert all(row.how for row in TABLE)


def test_what_is_called_implied_is_implied() -> None:
    """A chain of joints and obstructions stands behind every order that got no fact."""
    graph = nx.DiGraph()
    for joint in DEMO.joints.values():
        graph.add_edges_from((f"joint:{joint.id}", f"part:{part}") for part in joint.parts)
    for obstruction in DEMO.obstructions.values():
        if len(obstruction.any_of) == 1:
            graph.add_edge(f"part:{obstruction.any_of[0]}", obstruction.of)
    implied = [row for row in TABLE if row.how.startswith("implied")]
    assert len(implied) > 50
    for row in implied:
        assert nx.has_path(graph, *row.pair.split(" > "))


def test_every_before_of_the_table_is_in_the_vehicle() -> None:
    """Each pair that became a fact is there, with the scenario's own reason."""
    facts = {(before.first, before.then, before.why) for before in DEMO.befores.values()}
    for row in (row for row in TABLE if row.how.startswith("before")):
        first, then = row.pair.split(" > ")
        assert any(facts >= {(first, then, why)} for why in _reasons(row))


def _reasons(row: Kept) -> list[str]:
    """The reasons of all edges that share the pair: one fact serves for several."""
    return [other.why for other in TABLE if other.pair == row.pair]


def test_every_order_of_the_refit_is_kept() -> None:
    """What the scenario says must precede what in the refit has its line in the tables."""
    asked = {f"{row['first']}>{row['then']}" for row in RAW["refit"]["must_precede"]}
    assert {edge for edge, *_ in lines(rebuild.MUST_PRECEDE)} == asked
    steps = steps_after()
    for step in RAW["refit"]["steps"]:
        own = {after for after in step["after"] if after[0] in "RS"}
        tasks = {after for after in step["after"] if after[0] == "T"}
        assert own <= set(steps[step["id"]])
        assert tasks == set(rebuild.TASKS_MEANT.get(step["id"], ()))


def test_a_task_that_a_step_waits_for_is_said_by_its_joints() -> None:
    """Each task behind a refit step is stood for by a joint that the task opens, or by a fluid."""
    opened = {joint["id"]: joint["opened_in"] for joint in RAW["joints"]}
    for line in RAW["lines"]:
        opened |= {f"{line['id']}-{end}": line[f"end_{end}"]["opened_in"] for end in "ab"}
    filled = {fluid["drained_in"] for fluid in RAW["fluids"]}
    steps = steps_after()
    for step, tasks in rebuild.TASKS_MEANT.items():
        before = [each for first in steps[step] for each in steps.get(first, ())]
        told = {opened.get(each) for each in (*steps[step], *before)}
        for task in set(tasks) - filled - {"T060", "T211"}:  # the lift itself, and cracking
            assert task in told, (step, task)


def test_every_end_and_clip_is_a_joint_of_its_run() -> None:
    """Ends and clips are all that holds a run, but for the pipe that screws into a hose."""
    for run in DEMO.runs.values():
        named = {*(end.joint for end in run.ends), *run.clips}
        into = {joint for joint, hose in MEETS.items() if hose == run.part}
        assert named | into == set(DEMO.joints_of[run.part])


def test_a_pipe_that_ends_in_a_hose_comes_out_of_it_first() -> None:
    """The turning end of each hose is undone last and made first."""
    turning = {end.joint for run in DEMO.runs.values() for end in run.ends if end.turns}
    assert turning == {"L04L-b", "L04R-b", "L06-b", "L08H-b"}
    pairs = {(before.first, before.then, before.phase) for before in DEMO.befores.values()}
    for joint in turning:
        other = joint.replace("-b", "-a")
        assert (f"joint:{other}", f"joint:{joint}", "strip") in pairs
        assert (f"joint:{joint}", f"joint:{other}", "rebuild") in pairs


def test_nothing_captive_goes_into_a_bag() -> None:
    """What is made by the parts themselves, or stays in them, is marked so."""
    for joint in DEMO.joints.values():
        for fixing in joint.fixings:
            for piece in fixing.stack:
                assert piece.stays or is_piece(piece.spec.kind), (joint.id, piece.spec.text)


def test_every_joint_can_be_planned() -> None:
    """Every joint has minutes, a tool, a zone, and standings of the vehicle or none."""
    for joint in DEMO.joints.values():
        assert joint.minutes.likely > 0, joint.id
        assert joint.tool, joint.id
        assert joint.zone in DEMO.zones
        assert set(joint.standings) <= DEMO.standings.keys()


def test_the_larger_parts_can_be_drawn() -> None:
    """Side and plan of 45 parts and more, each round its own centre of gravity."""
    drawn = [part for part in DEMO.parts.values() if part.outline_side and part.outline_plan]
    assert len(drawn) >= 45
    for part in drawn:
        assert part.cg_m is not None
        x, y, z = part.cg_m
        for outline, high in ((part.outline_side, z), (part.outline_plan, y)):
            along, across = zip(*outline, strict=True)
            assert min(along) - 0.16 <= x <= max(along) + 0.16, part.id
            assert min(across) - 0.16 <= high <= max(across) + 0.16, part.id


def test_tables_of_the_script_name_only_what_there_is() -> None:
    """Every short name in the tables of orders is a joint, a part or a job."""
    known = {*DEMO.joints, *DEMO.parts, *DEMO.jobs}
    for table in (edges.STRIP, edges.WITHIN, edges.REBUILD, rebuild.STEPS, rebuild.MUST_PRECEDE):
        for fields in lines(table):
            names = [name for field in fields[:2] if "=" not in field for name in field.split()]
            assert {name for name in names if ">" not in name} <= known


def test_its_page_tells_how_many_there_are() -> None:
    """The table in docs/demo-vehicle.md counts what is in the file."""
    page = (SCENARIO.parents[3] / "docs" / "demo-vehicle.md").read_text(encoding="utf-8")
    told = {
        row[1].strip().replace(" ", "_"): int(row[2])
        for row in (line.split("|") for line in page.splitlines() if line.startswith("| "))
        if row[2].strip().isdigit()
    }
    assert len(told) == 11
    assert told == {table: len(getattr(DEMO, table)) for table in told}
