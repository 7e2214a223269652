"""The calculator of bent pipes: what it reads, what it finds in the way, what it draws."""

from math import pi, radians

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.bend.calculator import CALCULATOR, thinning, work
from putback.bench.calculator import OutsideLimits
from putback.errors import BadInput

PLAIN = {
    "unit": "mm",
    "tube_m": 0.00475,
    "radius_m": 0.02,
    "fitting_m": 0.025,
    "grip_m": 0.0,
    "flare_m": 0.0,
    "mirror": "no",
}
POINTS = "0 0 0\n100 0 0\n100 100 0\n100 100 100"


def column(answer, table, name):
    """One column of a table."""
    (found,) = (each for each in answer.tables if each.title.startswith(table))
    return [next(cell.value for cell in row if cell.name == name) for row in found.rows]


def found_clashes(**given_):
    """The words of all clashes."""
    answer = work(**{**PLAIN, **given_})
    if answer["fits"]:
        return []
    return column(answer, "Clashes", "clash")


def test_points_become_a_benders_rows():
    """Marks, straights, rotations and angles, with flares and springback allowed for."""
    answer = work(
        **{**PLAIN, "flare_m": 0.003}, points=POINTS, tried_rad=radians(90), got_rad=radians(86)
    )
    assert answer["cut"] == pytest.approx(0.282832 + 0.006, abs=1e-6)
    assert column(answer, "For the bender", "mark") == pytest.approx(
        [0.083, 0.083 + 0.06 + 0.01 * pi, 0.083 + 0.06 + 0.02 * pi]
    )
    assert column(answer, "For the bender", "rotation")[:2] == pytest.approx([0, pi / 2])
    assert column(answer, "For the bender", "set")[0] == pytest.approx(radians(90 * 90 / 86))


def test_rows_become_points_and_rows_again():
    """An old pipe's rows give its corners; with its own radius they come back."""
    answer = work(**PLAIN, rows="80 0 90\n60 90 90\n80")
    assert column(answer, "Points", "x") == pytest.approx([0, 0.1, 0.1, 0.1], abs=1e-12)
    assert column(answer, "Points", "z") == pytest.approx([0, 0, 0, 0.1], abs=1e-12)
    assert column(answer, "For the bender", "straight") == pytest.approx([0.08, 0.06, 0.08])


def test_an_old_pipe_is_made_anew_with_another_radius():
    """Its corners stay: what the new bend takes more of each leg, the straight has less."""
    answer = work(**PLAIN, rows="90 0 90\n80 90 90\n90", old_radius_m=0.01)
    assert column(answer, "For the bender", "straight") == pytest.approx([0.08, 0.06, 0.08])


@pytest.mark.parametrize("axis", ["x", "y", "z"])
def test_the_other_side_turns_the_other_way(axis):
    """Only rotations change, and one axis of the points."""
    one, other = work(**PLAIN, points=POINTS), work(**{**PLAIN, "mirror": axis}, points=POINTS)
    assert other["cut"] == one["cut"]
    assert column(other, "For the bender", "rotation")[1] == pytest.approx(-pi / 2)
    ours = [-each for each in column(one, "Points", axis)]
    assert column(other, "Points", axis) == pytest.approx(ours)


@pytest.mark.parametrize(
    ("given_", "clash"),
    [
        ({"points": "0 0 0|40 0 0|40 100 0"}, "the fitting of the first end runs into the first"),
        ({"points": "0 0 0|100 0 0|100 40 0"}, "the fitting of the last end runs into the last"),
        ({"points": "0 0 0|100 0 0|100 30 0|0 30 0"}, "bends 1 and 2 run into each other"),
        (
            {"points": "0 0 0|100 0 0|100 45 0|0 45 0", "grip_m": 0.01},
            "the bender cannot hold between bends 1 and 2",
        ),
        ({"points": "0 0 0|40 0 0"}, "the fittings of both ends meet"),
        (
            {"points": "0 0 0|200 0 0|200 60 0|100 60 0|100 -100 0"},
            "the pipe touches itself: straight 1 and straight 4",
        ),
    ],
)
def test_what_cannot_be_made_is_said(given_, clash):
    """Bend and fitting, bend and bend, the bender's grip, and the pipe itself."""
    (found,) = found_clashes(**given_)
    assert found.startswith(clash)


@pytest.mark.parametrize(
    "points",
    [
        POINTS,
        "0 0 0|100 0 0|100 40 0|0 40 0",
        "0 0 0|200 0 0|200 60 0|100 60 0|100 60 100|100 -100 100",
        "0 0 0|200 0 0|200 60 0|100 60 0|100 60 5|100 -100 5",
    ],
)
def test_what_goes_past_itself_is_no_clash(points):
    """A U of two bends without a straight between; legs that pass at a distance."""
    assert not [clash for clash in found_clashes(points=points) if "itself" in clash]


def test_a_near_miss_is_told_from_a_touch():
    """Two legs that cross 5 mm apart clear a tube of 4.75 mm, not one of 5.25 mm."""
    crossing = "0 0 0|200 0 0|200 60 0|100 60 60|100 60 5|100 -100 5"
    for tube_m, touches in ((0.00475, False), (0.00525, True)):
        clashes = found_clashes(points=crossing, tube_m=tube_m, radius_m=0.01)
        assert any("itself" in clash for clash in clashes) is touches


def test_a_tight_radius_is_said_to_kink():
    """Under three times the tube's diameter."""
    assert "it may kink" in work(**{**PLAIN, "tube_m": 0.0079375}, points=POINTS).verdict
    assert "it may kink" not in work(**{**PLAIN, "tube_m": 0.00635}, points=POINTS).verdict


@settings(max_examples=50)
@given(st.floats(1e-3, 0.1), st.floats(1e-3, 1))
def test_a_tighter_bend_thins_its_wall_more(tube, radius):
    """Between nothing and half; the same at any scale."""
    share = thinning(tube, radius)
    assert 0 < share < 1
    assert thinning(tube, radius * 1.1) < share
    assert thinning(tube * 2, radius * 2) == pytest.approx(share)


def test_three_views_show_every_corner():
    """Each to scale in its two axes, and told in words."""
    answer = work(**PLAIN, points=POINTS)
    assert [drawing.title for drawing in answer.drawings] == [
        "From above",
        "From the side",
        "From the end",
    ]
    above = answer.drawings[0]
    assert "A tube of 283 mm with 2 bends: 90°, 90°." in above.words
    (outline,) = (shape for shape in above.shapes if shape.role == "outline")
    assert outline.points_m[0] == (0, 0)
    assert outline.points_m[-1] == pytest.approx((0.1, 0.1))
    assert max(x for x, _ in outline.points_m) == pytest.approx(0.1)


@pytest.mark.parametrize(
    ("given_", "message"),
    [
        ({}, "give one of the two"),
        ({"points": POINTS, "rows": "80"}, "give one of the two"),
        ({"points": "0 0"}, "line 1 of points: the z is missing"),
        ({"points": "0 0 0 0"}, "line 1 of points: '0' is one too many"),
        ({"rows": ""}, "rows: no rows"),
        ({"rows": "80 0 90\n60 90 90"}, "line 2 of rows: '90' is one too many"),
        ({"rows": "80 0 200\n60"}, "line 1 of rows: no such bend"),
        ({"rows": "80 0 90\n-60"}, "line 2 of rows: a straight below zero"),
        ({"points": POINTS, "tried_rad": 1.0}, "give got too"),
        ({"points": POINTS, "tried_rad": 1.0, "got_rad": 1.1}, "springs back, not on"),
        ({"points": POINTS, "tried_rad": 2.0, "got_rad": 0.5}, "have to be set for a bend"),
    ],
)
def test_what_cannot_be_meant_is_refused(given_, message):
    """By the line that is wrong, or the field that is missing."""
    with pytest.raises(BadInput, match=message):
        work(**PLAIN, **given_)


def test_a_straight_pipe_has_no_bends():
    """Two points are a pipe too."""
    answer = work(**PLAIN, points="0 0 0|500 0 0")
    assert answer["cut"] == pytest.approx(0.5)
    assert "no bend" in answer.verdict


def test_half_a_test_piece_names_its_field():
    """So that the form can point at it."""
    with pytest.raises(OutsideLimits) as caught:
        work(**PLAIN, points=POINTS, got_rad=1.0)
    assert caught.value.field == "tried"


def test_every_argument_is_asked_for():
    """The form and the function agree."""
    assert {asked.argument for asked in CALCULATOR.asked} == set(
        work.__code__.co_varnames[: work.__code__.co_argcount]
    )
