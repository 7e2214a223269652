"""Drawings to scale in picture coordinates."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.calculator import Drawing, Shape
from putback.workshop.benching.drawing import MARGIN, MOST_HEIGHT, WIDTH, drawn


def points_of(line) -> list[tuple[float, float]]:
    """Its points as numbers."""
    return [tuple(map(float, pair.split(","))) for pair in line.points.split()]


def test_a_drawing_is_to_scale_and_y_goes_up():
    """Twice as wide as high: as wide as the picture, the upper edge first."""
    square = Shape("outline", ((0, 0), (2, 0), (2, 1), (0, 1), (0, 0)))
    picture = drawn(Drawing("t", "w", (square,)))
    inner = WIDTH - 2 * MARGIN
    assert points_of(picture.lines[0]) == [
        (MARGIN, pytest.approx(MARGIN + inner / 2)),
        (WIDTH - MARGIN, pytest.approx(MARGIN + inner / 2)),
        (WIDTH - MARGIN, MARGIN),
        (MARGIN, MARGIN),
        (MARGIN, pytest.approx(MARGIN + inner / 2)),
    ]
    assert picture.view_box == f"0 0 {WIDTH:g} {inner / 2 + 2 * MARGIN:.0f}"


def test_dots_and_words_have_their_places():
    """Dots one by one; words on the side that has room."""
    shapes = (
        Shape("dot", ((0, 0), (1, 1))),
        Shape("text", ((0, 0),), "left"),
        Shape("text", ((1, 1),), "right"),
    )
    dots, left, right = drawn(Drawing("t", "w", shapes)).lines
    assert len(dots.dots) == 2
    assert (left.anchor, right.anchor) == ("start", "end")
    assert left.words == "left"


def test_labels_do_not_lie_upon_one_another():
    """The second at one point moves down a line."""
    here = ((0.0, 0.0), (1.0, 0.0))
    shapes = (
        Shape("outline", here),
        Shape("text", here[:1], "A"),
        Shape("text", here[:1], "B"),
    )
    _, first, second = drawn(Drawing("t", "w", shapes)).lines
    assert float(second.y) >= float(first.y) + 10


COORDINATES = st.floats(-5, 5).map(lambda metres: round(metres, 4))


@given(st.lists(st.tuples(COORDINATES, COORDINATES), max_size=6))
@settings(max_examples=50)
def test_every_point_is_in_the_picture(points):
    """However wide, high, flat or empty the drawing is."""
    picture = drawn(Drawing("t", "w", (Shape("outline", tuple(points)),)))
    _, _, width, height = map(float, picture.view_box.split())
    assert width == WIDTH
    assert height <= MOST_HEIGHT
    for line in picture.lines:
        for x, y in points_of(line):
            assert MARGIN - 0.1 <= x <= width - MARGIN + 0.1
            assert 0 <= y <= height


def test_a_word_in_an_open_space_stands_in_its_middle():
    """As in a bar of a cutting list; at a line it stands beside it."""
    bar = Shape("outline", ((0, 0), (4, 0), (4, 1), (0, 1), (0, 0)))
    shapes = (bar, Shape("text", ((1, 0.5),), "rear"), Shape("text", ((0, 1),), "edge"))
    _, inside, edge = drawn(Drawing("t", "w", shapes)).lines
    assert (inside.anchor, edge.anchor) == ("middle", "start")
    assert float(inside.x) == pytest.approx(MARGIN + (WIDTH - 2 * MARGIN) / 4)
    assert float(edge.x) > MARGIN


def test_what_is_higher_than_wide_is_tall():
    """A desk writes in it with larger letters, since it shows it hardly larger than a phone."""
    high = Drawing("", "", (Shape("outline", ((0.0, 0.0), (0.5, 2.0))),))
    wide = Drawing("", "", (Shape("outline", ((0.0, 0.0), (2.0, 0.5))),))
    assert drawn(high).is_tall
    assert not drawn(wide).is_tall
