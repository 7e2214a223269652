"""The vehicle drawn: each part where it is, its state told, and what carries it."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial import ConvexHull

from putback.logbook.entries.working import StandingChanged
from putback.logbook.state import State
from putback.planning.balance import balance
from putback.vehicle.generate import generate
from putback.vehicle.ids import PartId, StandingId
from putback.vehicle.part import Part, Side
from putback.workshop.pictures.drawing import View, _area, _around, by_zone, draw
from putback.workshop.things.condition import Condition
from putback.workshop.things.parts_list import list_parts
from tests.makers import ZONE, standing, vehicle
from tests.makers_logbook import Story

SQUARE = ((0.0, 0.2), (1.0, 0.2), (1.0, 0.8), (0.0, 0.8))
FLAT = ((0.0, -0.3), (1.0, -0.3), (1.0, 0.1), (0.0, 0.1))


def part(name, **more):
    """A part of that name."""
    return Part(PartId(name), name, ZONE, **more)


@pytest.fixture
def story():
    """A box with a dot in it, on a frame of which nobody said where it is."""
    return Story(
        vehicle(
            "box - frame",
            "dot - box",
            part("box", outline_side=SQUARE, outline_plan=FLAT, cg_m=(0.5, -0.1, 0.5), mass_kg=40),
            part("dot", cg_m=(0.25, 0.2, 0.6), mass_kg=2),
        )
    )


def shapes(story, view=View.SIDE):
    """The shapes of one view, by part."""
    (drawing,) = (each for each in draw(story.state).views if each.view is view)
    return {shape.part: shape for shape in drawing.shapes}


def test_each_part_is_where_the_description_puts_it(story):
    """A metre is a hundred units; up is up, and from above the right is at the top."""
    side, plan = shapes(story), shapes(story, View.PLAN)
    assert side["box"].points == "0.0,-20.0 100.0,-20.0 100.0,-80.0 0.0,-80.0"
    assert (side["box"].middle, side["dot"].middle) == ((50.0, -50.0), (25.0, -60.0))
    assert plan["box"].points == "0.0,30.0 100.0,30.0 100.0,-10.0 0.0,-10.0"
    assert plan["dot"].middle == (25.0, -20.0)
    assert side["dot"].points == ""


def test_the_small_lie_on_the_large(story):
    """The box is drawn before the dot that is inside it."""
    assert list(shapes(story)) == ["box", "dot"]


def test_the_far_side_lies_beneath_the_near_one():
    """From the left the left wheel is in front; from above both are seen."""
    wheels = [part(f"wheel {side}", side=side, outline_side=SQUARE) for side in Side]
    for order in (wheels, wheels[::-1]):
        story = Story(vehicle("wheel left - frame", *order))
        assert list(shapes(story)) == ["wheel right", "wheel left"]


def test_the_state_of_each_part_is_told(story):
    """On as found, off, out for work, and on again."""
    assert shapes(story)["box"].condition is Condition.ON
    story("A: off box")
    assert shapes(story)["box"].condition is Condition.OFF
    story("A: on box")
    assert shapes(story)["box"].condition is Condition.BACK


def test_what_has_no_place_is_counted_and_in_the_list(story):
    """The frame is drawn nowhere, and named by its zone all the same."""
    drawn = draw(story.state)
    assert drawn.placeless == 1
    (zone,) = by_zone(list_parts(story.state))
    assert [each.name for each in zone.parts] == ["box", "dot", "frame"]


def test_nothing_is_drawn_where_nothing_has_a_place():
    """No part with an outline or a place: no view, and the list is all there is."""
    drawn = draw(Story(vehicle("box - frame")).state)
    assert (drawn.views, drawn.placeless) == ((), 2)
    empty = draw(State("van", vehicle()))
    assert (empty.views, empty.placeless) == ((), 0)


def test_what_carries_it_is_drawn_with_what_it_carries():
    """Loads are those of the balance; the footprint goes round the supports."""
    stands = standing("stands", "box", "box", "box")
    places = ((0.0, -0.5), (0.0, 0.5), (1.0, 0.0))
    stands = replace(
        stands,
        supports=tuple(
            replace(each, at_m=at) for each, at in zip(stands.supports, places, strict=True)
        ),
    )
    box = part("box", outline_side=SQUARE, outline_plan=FLAT, cg_m=(0.4, 0.0, 0.5), mass_kg=60)
    story = Story(vehicle("lid - box", box, stands))
    story.says("A", StandingChanged(standing=StandingId("stands")))
    drawn = draw(story.state)
    loads = balance(story.state.vehicle, story.state, "stands").loads
    assert [each.load for each in drawn.stands] == [f"{each.load_kg:.0f} kg" for each in loads]
    assert [each.middle for each in drawn.stands] == [(0.0, 50.0), (0.0, -50.0), (100.0, 0.0)]
    side, plan = drawn.views
    assert set(plan.footprint) == {(0.0, 50.0), (0.0, -50.0), (100.0, 0.0)}
    assert side.footprint == ()
    assert all(y <= 0 for stand in side.stands for _, y in stand.outline)
    x, y = side.weight_at
    assert drawn.balance.cg_m[0] * 100 == pytest.approx(x)
    assert drawn.balance.cg_m[2] * -100 == pytest.approx(y)


@given(st.integers(0, 200))
def test_all_that_is_drawn_is_inside_the_drawing(seed):
    """On whatever vehicle: every point of every shape and support is in the box."""
    state = State("van", generate(parts=12, seed=seed))
    for drawing in draw(state).views:
        left, top, width, height = drawing.box
        points = [p for each in drawing.shapes for p in (each.outline or (each.middle,))]
        points += [p for each in drawing.stands for p in each.outline]
        assert all(left <= x <= left + width and top <= y <= top + height for x, y in points)


@given(
    st.lists(
        st.tuples(st.integers(-50, 50), st.integers(-50, 50)), min_size=4, max_size=12, unique=True
    )
)
def test_the_line_around_points_is_scipys_hull(points):
    """`scipy.spatial.ConvexHull` has the same corners, and the same area inside."""
    if len({(x - points[0][0]) * (y - points[1][1]) for x, y in points}) < 2:
        return
    try:
        hull = ConvexHull(points)
    except Exception:  # noqa: BLE001 - SciPy refuses points on one line
        return
    around = _around([(float(x), float(y)) for x, y in points])
    assert set(around) == {tuple(map(float, points[each])) for each in hull.vertices}
    assert _area(around) == pytest.approx(hull.volume)
