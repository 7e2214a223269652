"""Ticks of a walk-round, and the entries that they mean."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import BadInput
from putback.logbook.entries.working import JointUndone, SeenFree
from putback.planning.ties import ties
from putback.planning.tying.walk import Tick
from putback.vehicle.part import Part
from putback.workshop.plans.walk_round import ticked, walk_round
from tests.makers import vehicle
from tests.strategies.stories import stories
from tests.workshop.lines import Lines


@pytest.fixture
def lines():
    """A shell on a frame by a mounting and a strap of two screws; its door."""
    return Lines(
        vehicle(
            "mount = shell - frame",
            "strap = shell - frame: 2 screw M6x12",
            "hinge = door - shell",
            datum="frame",
        )
    )


def test_a_tick_undoes_what_holds_and_sees_free_what_is_undone(lines):
    """Half undone holds as well; ticked twice is ticked once."""
    lines("undone mount 1/1")
    lines("undone strap 1/2")
    found = ties(lines.state.vehicle, lines.state, "part:shell")
    assert ticked(lines.state, found, ["strap", "mount", "strap"]) == (
        JointUndone(joint="strap"),
        SeenFree(joint="mount", before="part:shell"),
    )


def test_a_joint_of_which_nobody_said_what_it_holds_is_ticked_undone(lines):
    """It may be a tie."""
    lines("cracked 'Horn bolts'", new=True)
    found = ties(lines.state.vehicle, lines.state, "part:shell")
    assert ticked(lines.state, found, ["horn-bolts"]) == (JointUndone(joint="horn-bolts"),)


def test_what_does_not_tie_the_lift_is_not_ticked(lines):
    """The hinge of its door: nothing of the whole gesture is logged."""
    found = ties(lines.state.vehicle, lines.state, "part:shell")
    with pytest.raises(BadInput) as refused:
        ticked(lines.state, found, ["strap", "hinge"])
    assert str(refused.value) == (
        "'hinge' does not tie shell; name joints of the walk-round; nothing was logged"
    )


@given(stories(), st.sampled_from(["part:lid", "part:engine", "assembly:unit", "part:hose"]))
def test_who_walks_round_twice_and_ticks_all_has_freed_the_lift(story, lift):
    """The first walk undoes what holds, the second looks at it; whatever went before."""
    for left in ("left", "to_look_at", ""):
        try:
            found = ties(story.state.vehicle, story.state, lift, apart_from=["frame"])
        except BadInput as refused:
            assert refused.what.endswith(("is off already", "to lift it off"))  # noqa: PT017
            return
        assert not found.left or left == "left"
        assert not found.to_look_at or left
        for body in ticked(story.state, found, [tie.joint for tie in found.ties]):
            story.says("B", body)
    assert not found.cut.joints


def test_each_line_of_the_walk_bears_the_entry_that_ticks_it(lines):
    """What holds is ticked undone, what is undone seen free; what was seen free is done."""
    lines("undone mount 1/1")
    lines("undone strap 1/2")

    def told():
        found = ties(lines.state.vehicle, lines.state, "part:shell")
        walk = walk_round(lines.state, found)
        return walk, {line.joint: line for stop in walk.stops for line in stop.lines}

    walk, line = told()
    assert (walk.holding, walk.to_look_at, walk.seen_free) == (1, 1, 0)
    assert (line["strap"].kind, line["strap"].words) == (
        "joint undone",
        "half undone: 1 of 2 out",
    )
    assert dict(line["mount"].fields) == {"joint": "mount", "before": "part:shell"}
    assert (line["mount"].kind, line["mount"].is_done) == ("seen free", False)
    lines("seen-free mount")
    walk, line = told()
    assert (walk.to_look_at, walk.seen_free) == (0, 1)
    assert line["mount"].is_done
    assert any("seen free by" in each for each in line["mount"].details)


def test_a_line_that_was_ticked_stays():
    """However far off, it is to be looked at, and a count alone would not say what to look at."""
    far = Lines(
        vehicle(
            "bolts = engine - manifold; 20 min",
            "cable end = manifold - cable; 1 min",
            "clip = cable - shell; 9 min",
            "mount = shell - frame; 90 min",
            "pedal = shell - pedals",
            "stay = pedals - frame",
            datum="frame",
        )
    )

    def names():
        found = ties(far.state.vehicle, far.state, "part:engine", apart_from=["frame"])
        assert not any(tie.near for tie in found.ties if tie.joint == "stay")
        stops = walk_round(far.state, found).stops
        return {line.name: line.tick for stop in stops for line in stop.lines}

    assert "stay" not in names()
    far("undone stay")
    assert names()["stay"] is Tick.UNDONE
    far("free stay engine")
    assert names()["stay"] is Tick.SEEN_FREE


def test_what_goes_along_and_what_frees_it_are_told(lines):
    """The door on its shell goes along; the advice names how many joints."""
    walk = walk_round(lines.state, ties(lines.state.vehicle, lines.state, "part:shell"))
    assert (walk.lift, walk.apart_from) == ("shell", "frame")
    assert any("door" in names for _, names in walk.along)
    assert walk.cut.startswith("2 joints")
    assert walk.lines == 2


def test_that_nothing_ties_is_said_only_of_what_somebody_described(lines):
    """A seat of which no joint is described may be fixed to anything."""
    lines("undone mount 1/1")
    lines("off 'Seat'", new=True)
    lines("on seat")
    words = {}
    for part in ("door", "seat"):
        found = ties(lines.state.vehicle, lines.state, f"part:{part}", apart_from=["shell"])
        words[part] = walk_round(lines.state, found).untied
    assert words["door"] == "nothing that is described ties it"
    assert words["seat"].startswith("nobody described what it is fixed to")


def test_of_a_bare_list_it_is_lifted_off_all_the_rest():
    """Three names picked at random would say something that nobody knows."""
    bare = Lines(
        vehicle(Part("engine", "engine", "here"), Part("a", "a", "here"), Part("b", "b", "here"))
    )
    found = ties(bare.state.vehicle, bare.state, "part:engine")
    walk = walk_round(bare.state, found)
    assert walk.apart_from == ""
    assert "look all round" in walk.untied
    named = ties(bare.state.vehicle, bare.state, "part:engine", apart_from=["a"])
    assert walk_round(bare.state, named).apart_from == "a"
