"""Ties before a lift: what holds, what to look at, what goes along, what to undo."""

import networkx as nx
import pytest

from putback.errors import BadInput, NotFound
from putback.logbook.entries.rebuilding import JointMade, Tightness
from putback.logbook.entries.working import (
    Drained,
    HungAside,
    OpeningClosed,
    SeenFree,
    StandingChanged,
    TemporaryFitOff,
    TemporaryFitOn,
)
from putback.planning.ties import Ties
from putback.planning.tying.tied import still_tied
from putback.planning.tying.walk import Tick
from putback.vehicle.assembly import Assembly
from putback.vehicle.joint import Joint
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import Zone
from tests.makers import ZONE, standing, vehicle
from tests.makers_logbook import Story
from tests.planning.hand_made import state_of
from tests.planning.tying import drawn, of, on_frame


def ticks(found: Ties) -> dict[str, Tick]:
    """How each tie is ticked."""
    return {tie.joint: tie.tick for tie in found.ties}


def names(alongs) -> list[str]:
    """The parts of what goes along."""
    return [each.part for each in alongs]


# -- what ties ----------------------------------------------------------------------------------


def test_a_strap_a_cable_and_the_mountings_are_ties_and_a_door_is_none():
    """Both ends of the cable are named; what hangs on the shell alone goes along."""
    story = on_frame(
        "strap = shell - frame",
        "near = cable - shell",
        "far = cable - frame",
        "hinge = door - shell",
        "wheel - frame",
    )
    found = of(story)
    assert ticks(found) == dict.fromkeys(
        ["front mount", "rear mount", "strap", "near", "far"], Tick.MADE
    )
    assert names(found.along) == ["door"]
    assert (found.parts, found.apart_from) == (("shell",), ("frame",))


def test_each_tie_says_how_far_it_is():
    """Made, half undone with its stuck ones, undone, seen free; made again it holds again."""
    story = on_frame("strap = shell - frame")
    story("A: undone front mount 1 of 1", "A: undone rear mount 1 of 1")
    story.says("B", SeenFree(joint="rear mount"))
    found = of(story)
    assert ticks(found) == {
        "front mount": Tick.UNDONE,
        "rear mount": Tick.SEEN_FREE,
        "strap": Tick.MADE,
    }
    assert [tie.joint for tie in found.left] == ["strap"]
    assert [tie.joint for tie in found.to_look_at] == ["front mount"]
    assert {tie.joint: tie.seen_by for tie in found.ties}["rear mount"] == "B"
    story.says("A", JointMade(joint="rear mount", tightness=Tightness.NIPPED))
    assert ticks(of(story))["rear mount"] is Tick.MADE


def test_a_joint_half_undone_holds_still():
    """Two of three out and one stuck: it is a tie, and says what it lacks."""
    story = on_frame("strap = shell - frame: 3 bolt M8x20")
    story("A: undone strap 2 of 3, stuck 1")
    (tie,) = (each for each in of(story).ties if each.joint == "strap")
    assert (tie.tick, tie.out, tie.of, tie.stuck, tie.holds) == (Tick.HALF_UNDONE, 2, 3, 1, True)


def test_a_joint_seen_free_that_the_logbook_has_as_made_ties_and_says_who_saw_it():
    """The two contradict each other: it is not believed free."""
    story = on_frame()
    story.says("B", SeenFree(joint="rear mount"))
    (tie,) = (each for each in of(story).ties if each.joint == "rear mount")
    assert (tie.tick, tie.seen_by, tie.holds) == (Tick.MADE, "B", True)


def test_both_ends_of_a_cable_that_is_undone_are_looked_at():
    """Either alone would tie nothing; both made would."""
    story = on_frame("near = cable - shell", "far = cable - frame")
    for joint in story.about.joints:
        story(f"A: undone {joint} 1 of 1")
    found = of(story)
    assert not found.left
    assert {tie.joint for tie in found.to_look_at} == set(story.about.joints)


def test_what_was_undone_between_parts_that_both_stay_is_not_looked_at():
    """Engine and gearbox are parted and both stand on the frame: nothing of it ties the shell."""
    story = on_frame(
        "bell = engine - gearbox", "engine - frame", "gearbox - frame", "hinge = door - shell"
    )
    story("A: undone bell 1 of 1", "A: undone hinge 1 of 1")
    assert not of(story).to_look_at


def test_what_is_off_ties_nothing():
    """A cable taken away is not walked round for, whichever ends were logged."""
    story = on_frame("near = cable - shell", "far = cable - frame")
    story("A: off cable")
    assert set(ticks(of(story))) == {"front mount", "rear mount"}


def graph_of(car, joints, off=()) -> nx.Graph:
    """Parts that are on and joints."""
    graph = nx.Graph()
    graph.add_nodes_from(part for part in car.parts if part not in off)
    for joint in joints:
        graph.add_edges_from(
            (("joint", joint), part) for part in car.joints[joint].parts if part not in off
        )
    return graph


@pytest.mark.parametrize("seed", range(30))
@pytest.mark.parametrize("parts", [8, 25, 60])
def test_ties_and_what_goes_along_are_what_networkx_says(seed, parts):
    """Ties are on ways from lift to rest; what no way leads from but over the lift goes along."""
    car, lift, datum, undone, found = drawn(seed, parts, (0.1, 0.3, 0.6)[seed % 3])
    made = [joint for joint in car.joints if joint not in undone]
    state = state_of(car, undone=undone)
    assert {tie.joint for tie in found.left} == set(still_tied(car, state, lift, [datum]))
    graph = graph_of(car, made)
    reach = {each for part in lift for each in nx.node_connected_component(graph, part)}
    without = graph.copy()
    without.remove_nodes_from(lift)
    staying = nx.node_connected_component(without, datum)
    assert set(names(found.along)) == {
        part for part in reach - staying - set(lift) if isinstance(part, str)
    }


@pytest.mark.parametrize("seed", range(30))
def test_nothing_but_what_is_looked_at_can_tie_a_lift_that_is_free(seed):
    """Whatever else of the undone were made in truth, the lift would come away all the same."""
    car, lift, datum, undone, found = drawn(seed, 9, 0.5)
    made = [joint for joint in car.joints if joint not in undone]
    look = {tie.joint for tie in found.to_look_at}
    assert look <= set(undone)
    held = {tie.joint for tie in found.left}
    freed = [joint for joint in made if joint not in held]
    believed = graph_of(car, [*freed, *(joint for joint in undone if joint not in look)])
    for part in lift:
        assert not nx.has_path(believed, part, datum)
    if not held:
        in_truth = graph_of(car, [*made, *undone])
        for other in lift[1:]:
            in_truth = nx.contracted_nodes(in_truth, lift[0], other, self_loops=False)
        ways = nx.all_simple_paths(in_truth, lift[0], datum)
        on_a_way = {node[1] for way in ways for node in way if isinstance(node, tuple)}
        assert look <= on_a_way


# -- what goes along ----------------------------------------------------------------------------


def test_what_merely_sits_on_the_lift_is_told_apart_from_what_is_fastened():
    """A cushion in its frame rests, and so does the lamp bolted to it; a door is fastened."""
    story = on_frame(
        "seat - shell",
        "cushion - seat: 1 sits in",
        "lamp - cushion",
        "door - shell: 2 bolt M8x20 & 1 sits in",
    )
    rests = {each.part: each.rests for each in of(story).along}
    assert rests == {"seat": False, "cushion": True, "lamp": True, "door": False}


def test_what_goes_along_and_is_on_no_list_is_named():
    """An assembly with the lift, or a goal, lists parts; the others are not to be forgotten."""
    unit = Assembly("unit", "engine unit", ("engine", "gearbox"))
    story = Story(vehicle("gearbox - engine", "starter - engine", "mount = engine - frame", unit))
    found = of(story, "part:engine", apart_from=["frame"])
    assert {each.part: each.listed for each in found.along} == {
        "gearbox": True,
        "starter": False,
    }
    assert names(found.unlisted) == ["starter"]
    whole = of(story, "assembly:unit", apart_from=["frame"])
    assert (whole.parts, names(whole.along)) == (("engine", "gearbox"), ["starter"])


def test_masses_add_up_as_far_as_they_are_known():
    """Of what is lifted and goes along; what nobody weighed is named."""
    story = on_frame(
        "door - shell",
        "lamp - shell",
        "wheel - frame",
        Part("shell", "shell", ZONE, mass_kg=165.0),
        Part("door", "door", ZONE, mass_kg=18.5),
        Part("wheel", "wheel", ZONE, mass_kg=12.0),
    )
    found = of(story)
    assert (found.mass_kg, found.unweighed) == (183.5, ("lamp",))


def test_a_part_that_nothing_holds_any_more_is_named_until_it_is_logged_off():
    """A door whose hinges are out may still stand in its hole."""
    story = on_frame("hinge = door - shell")
    story("A: undone hinge 1 of 1")
    assert of(story).loose == ("door",)
    story("A: off door")
    assert of(story).loose == ()


def test_what_hangs_aside_what_is_fitted_for_now_and_what_is_full_is_named():
    """None of these is a joint, and each can tie, come along or run out."""
    story = on_frame(
        "engine - shell",
        "caliper - frame",
        "wheel - frame",
        Part("shell", "shell", ZONE, mass_kg=100.0),
        Part("engine", "engine", ZONE, mass_kg=120.0),
        Fluid("oil", "oil", "engine", mass_kg=4.0),
        Fluid("water", "water", "engine", mass_kg=6.0),
        Fluid("petrol", "petrol", "frame", mass_kg=30.0),
    )
    for fit, on in (("brace", "part:shell"), ("dolly", "part:frame"), ("strap", None)):
        story.says("A", TemporaryFitOn(fit=fit, what=fit, on=on))
    story.says("A", TemporaryFitOn(fit="wedge", what="wedge", on="joint:rear mount"))
    story.says("A", TemporaryFitOn(fit="cap", what="cap", on="part:engine"))
    story.says("A", TemporaryFitOff(fit="cap"))
    story.says("A", HungAside(part="caliper"))
    story.says("A", Drained(fluid="water"))
    found = of(story)
    assert (found.hung, found.fits) == (("caliper",), ("brace", "strap", "wedge"))
    assert of(story, "part:shell", "part:caliper").hung == ()
    assert (found.fluids, found.mass_kg) == (("oil",), 224.0)


def test_a_joint_of_which_nobody_said_what_it_holds_may_be_a_tie():
    """Described by its name alone, or only spoken of; undone it is none."""
    story = on_frame(Joint("j1", "odd bolts", ()), Joint("j2", "one-sided", ("shell",)))
    story("A: undone j9 1 of 3", "A: undone j8 2 of 2")
    assert of(story).unknown == ("j1", "j2", "j9")
    story("A: undone j1 1 of 1")
    assert of(story).unknown == ("j2", "j9")


# -- the walk-round -----------------------------------------------------------------------------


def stops(found: Ties) -> dict[str, list[str]]:
    """The joints by the names of their zones."""
    return {stop.name: [tie.joint for tie in stop.ties] for stop in found.walk}


def test_zones_are_walked_as_they_were_described_while_no_place_is_known():
    """A joint's own zone, else that of its first part; what has none comes last, unnamed."""
    story = Story(
        vehicle(
            "c = shell - frame; zone tail",
            "a = cable - shell; zone nose",
            "b = cable - frame",
            Zone("nose", "nose"),
            Zone("tail", "tail"),
            Part("cable", "cable", "tail"),
            Part("shell", "shell", ZONE),
            Part("frame", "frame", ZONE),
            datum="frame",
        )
    )
    assert list(stops(of(story)).items()) == [("nose", ["a"]), ("tail", ["b", "c"])]


def test_zones_are_walked_from_front_to_rear_and_within_from_left_to_right():
    """Where the lightest part of each joint lies, since a shell is everywhere."""

    def bracket(name, zone, x_m, y_m):
        return Part(name, name, zone, mass_kg=1.0, cg_m=(x_m, y_m, 0.5))

    story = Story(
        vehicle(
            *(f"{name}1 = {name} - shell" for name in "pqrs"),
            *(f"{name}2 = {name} - frame" for name in "pqrs"),
            Zone("tail", "tail"),
            Zone("nose", "nose"),
            bracket("p", "tail", 2.5, 0.4),
            bracket("q", "nose", 0.1, 0.6),
            bracket("r", "nose", 0.2, -0.6),
            bracket("s", "tail", 2.6, -0.4),
            Part("shell", "shell", ZONE, mass_kg=100.0, cg_m=(1.2, 0.0, 0.8)),
            Part("frame", "frame", ZONE, mass_kg=80.0, cg_m=(1.2, 0.0, 0.4)),
            datum="frame",
        )
    )
    assert list(stops(of(story)).items()) == [
        ("nose", ["r1", "r2", "q1", "q2"]),
        ("tail", ["s1", "s2", "p1", "p2"]),
    ]


def test_a_line_says_what_it_ties_with_what_and_what_it_takes():
    """What is lifted first; tool, minutes, standings, and the ends to close until they are."""
    story = Story(
        vehicle(
            "pipe end = frame - pipe: 1 bolt M8x20; 7 min; tool 11 mm spanner; in stands",
            "other end = pipe - shell",
            Part("pipe", "brake pipe", ZONE, kind=PartKind.PIPE),
            Opening("o1", "five-way", "frame", ("pipe end",), ends=2),
            Opening("o2", "spare", "frame", ("pipe end",), needs_closing=False),
            standing("stands", "frame"),
            datum="frame",
        )
    )
    tie = next(each for each in of(story).ties if each.joint == "pipe end")
    assert (tie.tool, tie.minutes, tie.standings) == ("11 mm spanner", 7.0, ("stands",))
    assert (tie.parts, tie.openings) == (("frame", "pipe"), ("o1",))
    other = next(each for each in of(story).ties if each.joint == "other end")
    assert other.parts == ("shell", "pipe")
    story.says("A", OpeningClosed(opening="o1", ends=1))
    assert next(each for each in of(story).ties if each.joint == "pipe end").openings == ("o1",)
    story.says("A", OpeningClosed(opening="o1"))
    assert next(each for each in of(story).ties if each.joint == "pipe end").openings == ()


def test_ties_further_off_are_told_apart_from_those_on_the_lift_and_on_its_runs():
    """The pump that a hose of the shell leads to is bolted down far from the shell."""
    story = on_frame(
        "near = hose - shell",
        "far = hose - pump",
        "bolts = pump - frame",
        Part("hose", "hose", ZONE, kind=PartKind.HOSE),
    )
    assert {tie.joint for tie in of(story).ties if not tie.near} == {"bolts"}


# -- what it is lifted off ----------------------------------------------------------------------


def test_without_a_goal_it_is_lifted_off_what_the_vehicle_stands_on():
    """Else off its heaviest structure; with nothing known, off what most is joined to."""
    bare = vehicle("shell - hub", "hub - axle", "lamp - shell", standing("stands", "axle"))
    story = Story(bare)
    assert of(story).apart_from == ("hub",)
    story.says("A", StandingChanged(standing="stands"))
    assert of(story).apart_from == ("axle",)
    heavy = Story(
        vehicle(
            "shell - hub",
            "hub - axle",
            Part("axle", "axle", ZONE, kind=PartKind.STRUCTURE, mass_kg=40.0),
            Part("hub", "hub", ZONE, mass_kg=90.0),
        )
    )
    assert of(heavy).apart_from == ("axle",)
    listed = (Part(each, each, ZONE, mass_kg=m) for each, m in (("shell", 60), ("battery", 15)))
    unknown = Story(vehicle(*listed, Part("seat", "seat", ZONE)))
    assert of(unknown).apart_from == ("battery", "seat")


def test_a_lift_off_several_parts_names_what_ties_it_to_any():
    """The engine stays with the frame when it is said so."""
    story = on_frame("hose = shell - engine; 1 min", "engine - frame; 1 min")
    assert {tie.joint for tie in of(story).left} > {"hose", "engine-frame"}
    off_both = of(story, apart_from=["frame", "engine"])
    assert {tie.joint for tie in off_both.left} == {"front mount", "rear mount", "hose"}


def test_what_cannot_be_meant_is_refused():
    """Nothing by that name; all of it off; nothing left to lift it off."""
    story = on_frame("seat - shell")
    with pytest.raises(NotFound, match="no part or assembly 'roof'"):
        of(story, "part:roof")
    with pytest.raises(BadInput, match="nothing is left to lift it off"):
        of(story, apart_from=["shell"])
    story("A: off shell")
    with pytest.raises(BadInput, match="shell is off already; name what is still on"):
        of(story)
    assert of(story, "part:shell", "part:seat").parts == ("seat",)
