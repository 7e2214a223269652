"""Ties before a lift: as advice, the joints to undo that cost the least."""

import networkx as nx
import pytest

from putback.logbook.entries.working import JobDone
from putback.planning.ties import ties
from putback.vehicle.job import Job, JobKind
from tests.makers import vehicle
from tests.makers_logbook import Story
from tests.planning.hand_made import state_of
from tests.planning.tying import drawn, of


@pytest.mark.parametrize("seed", range(30))
def test_the_advice_parts_the_two_and_costs_the_least(seed):
    """Undone, the advised joints leave no tie; networkx finds no cheaper ones."""
    car, lift, datum, undone, found = drawn(seed, 40, 0.1)
    after = state_of(car, undone=[*undone, *found.cut.joints])
    again = ties(car, after, *(f"part:{part}" for part in lift), apart_from=[datum])
    assert not again.left
    assert not again.cut.joints
    assert {each.part for each in again.along} >= set(found.cut.then_along)
    network = nx.DiGraph()
    network.add_nodes_from(("lift", "rest"))
    merged = dict.fromkeys(lift, "lift") | {datum: "rest"}
    impossible = {
        fact.of.removeprefix("joint:")
        for fact in car.obstructions.values()
        if set(fact.any_of) <= set(lift)
    } | {
        fact.then.removeprefix("joint:")
        for fact in car.befores.values()
        if fact.first in {f"part:{part}" for part in lift}
    }
    for tie in found.left:
        minutes = tie.minutes + (1e6 if tie.joint in impossible else 0)
        network.add_edge((tie.joint, "in"), (tie.joint, "out"), capacity=round(1000 * minutes))
        for part in car.joints[tie.joint].parts:
            network.add_edge(merged.get(part, part), (tie.joint, "in"))
            network.add_edge((tie.joint, "out"), merged.get(part, part))
    value, _ = nx.minimum_cut(network, "lift", "rest")
    advised = [tie for tie in found.left if tie.advised]
    assert {tie.joint for tie in advised} == set(found.cut.joints)
    spent = sum(
        round(1000 * (tie.minutes + (1e6 if tie.joint in impossible else 0))) for tie in advised
    )
    assert spent == value
    assert found.cut.minutes == pytest.approx(sum(tie.minutes for tie in advised))


def test_the_advice_says_what_comes_first_and_what_goes_along_then():
    """Ten minutes at the far end of the cable beat thirty at the near one."""
    story = Story(
        vehicle(
            "near = cable - shell; 30 min",
            "far = cable - frame; 10 min",
            "strap = shell - frame; 5 min",
            "bumper - frame",
            "trim - frame",
            "bumper blocks far: it is behind it",
            "bumper or trim blocks strap",
            "survey before strap: as found",
            "survey before far: nothing touched yet",
            Job("survey", "survey", JobKind.SURVEY),
            datum="frame",
        )
    )
    cut = of(story).cut
    assert (cut.joints, cut.minutes, cut.then_along) == (("far", "strap"), 15.0, ("cable",))
    assert [(each.words, each.joints, each.what) for each in cut.first_off] == [
        ("bumper first: it is behind it", ("far",), ("part:bumper",)),
        (
            "survey first: nothing touched yet; as found",
            ("far", "strap"),
            ("job:survey",),
        ),
        ("bumper or trim first", ("strap",), ("part:bumper", "part:trim")),
    ]
    story("A: off bumper")
    story.says("A", JobDone(job="survey"))
    assert of(story).cut.first_off == ()


@pytest.mark.parametrize(
    "line",
    ["near = cable - shell: 1 welded; 1 min", "shell before near: reached from above"],
    ids=["welded", "only once the shell is off"],
)
def test_what_cannot_be_undone_before_the_lift_is_not_advised(line):
    """However quick it is said to be."""
    joints = ["near = cable - shell; 1 min", "far = cable - frame; 60 min"]
    lines = [line, joints[1]] if line.startswith("near") else [*joints, line]
    story = Story(vehicle(*lines, datum="frame"))
    assert of(story).cut.joints == ("far",)


def test_while_no_time_is_known_the_fewest_joints_are_advised():
    """Two straps at the near end, one bolt at the far one."""
    story = Story(
        vehicle(
            "a = cable - shell; 0 min",
            "b = cable - shell; 0 min",
            "c = cable - frame; 0 min",
            datum="frame",
        )
    )
    assert of(story).cut.joints == ("c",)


def test_fewer_joints_never_outweigh_less_time():
    """Three joints of two minutes together beat one that takes a thousandth longer."""
    near = [f"{name} = cable - shell; {minutes} min" for name, minutes in
            (("a", "1"), ("b", "0.5"), ("c", "0.5"))]  # fmt: skip
    for longer, advised in (("2.001", ("a", "b", "c")), ("2", ("far",))):
        story = Story(vehicle(*near, f"far = cable - frame; {longer} min", datum="frame"))
        assert of(story).cut.joints == advised
