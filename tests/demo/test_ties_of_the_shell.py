"""Lifting the demo's shell: every pipe, cable, loom, strap and mounting is named."""

import networkx as nx
import pytest

from putback.logbook.entries.base import LogbookId
from putback.logbook.state import State
from putback.planning.ties import ties
from putback.vehicle.demo import demo_vehicle
from putback.vehicle.part import RUN_KINDS


@pytest.fixture(scope="module")
def found():
    """The ties of the shell before anything is undone."""
    vehicle = demo_vehicle()
    return ties(vehicle, State(LogbookId("demo"), vehicle), "part:BS01")


def test_every_run_that_leads_from_the_shell_to_what_stays_is_named_with_its_ends(found):
    """Pipes, cables and looms: each joint of one that networkx finds on a way to the chassis."""
    vehicle = demo_vehicle()
    graph = nx.Graph((joint.id, part) for joint in vehicle.joints.values() for part in joint.parts)
    graph.add_edge("BS01", "CH01")
    block = next(each for each in nx.biconnected_components(graph) if {"BS01", "CH01"} <= each)
    runs = {part.id for part in vehicle.parts.values() if part.kind in RUN_KINDS}
    expected = {
        joint.id
        for joint in vehicle.joints.values()
        if joint.id in block and runs.intersection(joint.parts)
    }
    named = {tie.joint for tie in found.left}
    assert expected <= named
    for some in ("L01-a", "L01-b", "L08-a", "L08H-b", "L14-b", "L13-b", "L11-b", "W38", "W16"):
        assert some in expected, "a brake pipe, a clutch hose, cables and looms are among them"


def test_mountings_and_earth_straps_are_named(found):
    """The body's own, through their pads, and both ends of the strap to the chassis."""
    assert {"J080", "L20-a", "L20-b"} <= {tie.joint for tie in found.left}


def test_the_doors_go_along(found):
    """And so do the lids, the glass, the seats and the spare wheel."""
    along = {each.part for each in found.along}
    assert {"BS05FL", "BS05FR", "BS05RL", "BS05RR", "WH05"} <= along
    assert not along & {tie_part for tie in found.left for tie_part in tie.parts}


def test_what_can_only_be_reached_with_the_shell_off_is_not_advised(found):
    """The cheapest cut is one that can be made."""
    befores = demo_vehicle().befores.values()
    late = {each.then for each in befores if each.first == "part:BS01"}
    assert late
    assert not {f"joint:{joint}" for joint in found.cut.joints} & late
