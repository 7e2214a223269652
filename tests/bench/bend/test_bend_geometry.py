"""Points to length, rotation and angle, and back."""

from math import cos, degrees, hypot, pi, radians, sin, tan

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.bend.geometry import Bend, Pipe, arc_points, from_corners, to_corners
from putback.bench.calculator import OutsideLimits

RIGHT_ANGLES = ((0.0, 0.0, 0.0), (0.1, 0.0, 0.0), (0.1, 0.1, 0.0), (0.1, 0.1, 0.1))


@st.composite
def pipes(draw):
    """Pipes of up to six bends whose straights all have room."""
    bends = draw(
        st.lists(
            st.builds(
                Bend,
                st.floats(0.005, 0.5),
                st.floats(-pi + 1e-3, pi),
                st.floats(radians(1), radians(170)),
            ),
            min_size=1,
            max_size=6,
        )
    )
    first = Bend(bends[0].straight_m, 0.0, bends[0].angle_rad)
    return Pipe((first, *bends[1:]), draw(st.floats(0.005, 0.5)), draw(st.floats(0.001, 0.05)))


def bent(pipe):
    """Bend a pipe as a bender does, by turning frames: its corners, another way than ours."""
    frame, at = np.eye(3), np.zeros(3)
    corners, before = [at], 0.0
    for bend in pipe.bends:
        c, s = cos(bend.rotation_rad), sin(bend.rotation_rad)
        frame = frame @ np.array([[1, 0, 0], [0, c, -s], [0, s, c]])
        cut = pipe.radius_m * tan(bend.angle_rad / 2)
        at = at + frame @ np.array([before + bend.straight_m + cut, 0, 0])
        corners.append(at)
        c, s = cos(bend.angle_rad), sin(bend.angle_rad)
        frame = frame @ np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]])
        before = cut
    return np.array([*corners, at + frame @ np.array([before + pipe.last_m, 0, 0])])


@settings(max_examples=25)
@given(pipes())
def test_rows_are_laid_out_as_a_bender_bends_them(pipe):
    """Against frames turned one after the other: right-handed about the pipe, then in plane."""
    assert np.array(to_corners(pipe)) == pytest.approx(bent(pipe), abs=1e-9)


@settings(max_examples=25)
@given(pipes())
def test_there_and_back_is_the_same_pipe(pipe):
    """Rows to points to rows."""
    back = from_corners(to_corners(pipe), pipe.radius_m)
    assert back.straights_m == pytest.approx(pipe.straights_m, abs=1e-7)
    assert back.length_m == pytest.approx(pipe.length_m, abs=1e-6)
    for one, other in zip(back.bends, pipe.bends, strict=True):
        assert one.angle_rad == pytest.approx(other.angle_rad, abs=1e-7)
        turn = one.rotation_rad - other.rotation_rad
        assert hypot(sin(turn), cos(turn) - 1) == pytest.approx(0, abs=1e-6)


@settings(max_examples=25)
@given(pipes(), st.floats(-3, 3), st.floats(-3, 3), st.floats(-1, 1))
def test_rows_do_not_depend_on_where_the_pipe_lies(pipe, spin, tip, shift):
    """Turned and moved in space it is the same pipe; mirrored it is that of the other side."""
    c, s = cos(spin), sin(spin)
    t, u = cos(tip), sin(tip)
    turn = np.array([[c, -s, 0], [s, c, 0], [0, 0, 1]]) @ np.array(
        [[t, 0, u], [0, 1, 0], [-u, 0, t]]
    )
    laid = np.array(to_corners(pipe)) @ turn.T + shift
    moved = from_corners(tuple(map(tuple, laid.tolist())), pipe.radius_m)
    mirrored = from_corners(tuple((x, -y, z) for x, y, z in laid.tolist()), pipe.radius_m)
    for own, there, other in zip(pipe.bends, moved.bends, mirrored.bends, strict=True):
        assert cos(there.rotation_rad - own.rotation_rad) == pytest.approx(1, abs=1e-9)
        assert cos(other.rotation_rad + own.rotation_rad) == pytest.approx(1, abs=1e-9)
    assert mirrored.length_m == pytest.approx(moved.length_m)


def test_a_rotation_is_clockwise_as_seen_along_the_pipe():
    """Along x, then y, then z: from the second leg a U would go left; up is clockwise of left.

    Whoever looks along y with z up has x at the right hand.
    """
    assert degrees(from_corners(RIGHT_ANGLES, 0.02).bends[1].rotation_rad) == pytest.approx(90)
    down = (*RIGHT_ANGLES[:3], (0.1, 0.1, -0.1))
    assert degrees(from_corners(down, 0.02).bends[1].rotation_rad) == pytest.approx(-90)
    u_shape = (*RIGHT_ANGLES[:3], (0.0, 0.1, 0.0))
    assert from_corners(u_shape, 0.02).bends[1].rotation_rad == pytest.approx(0)
    z_shape = (*RIGHT_ANGLES[:3], (0.2, 0.1, 0.0))
    assert from_corners(z_shape, 0.02).bends[1].rotation_rad == pytest.approx(pi)


def test_marks_are_where_bends_begin():
    """80 mm, then 31.4 mm of arc and 60 mm more."""
    pipe = from_corners(RIGHT_ANGLES, 0.02)
    assert pipe.marks_m == pytest.approx((0.08, 0.14 + 0.02 * pi / 2))


@settings(max_examples=25)
@given(pipes())
def test_an_arc_is_round_and_joins_its_straights(pipe):
    """Every point of it is a radius from one centre, its chords add up to R A."""
    corners = to_corners(pipe)
    points = np.array(arc_points(corners, 1, pipe.radius_m, 200))
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1).sum()
    assert steps == pytest.approx(pipe.radius_m * pipe.bends[0].angle_rad, rel=1e-4)
    assert points[0] == pytest.approx([pipe.bends[0].straight_m, 0, 0], abs=1e-9)


def test_a_point_on_a_straight_line_is_no_bend():
    """Somebody may measure more points than there are bends."""
    pipe = from_corners(((0, 0, 0), (0.05, 0, 0), (0.1, 0, 0), (0.1, 0.1, 0)), 0.02)
    assert len(pipe.bends) == 1
    assert pipe.straights_m == pytest.approx((0.08, 0.08))


@pytest.mark.parametrize(
    ("points", "message"),
    [
        (((0, 0, 0),), "a pipe has two ends"),
        (((0, 0, 0), (1, 0, 0), (1, 0, 0)), "points 2 and 3 are one"),
        (((0, 0, 0), (1, 0, 0), (0, 1e-3, 0)), "a bend of 180° has no corner"),
    ],
)
def test_what_is_no_pipe_is_refused(points, message):
    """One end, a point given twice, a bend back on itself."""
    with pytest.raises(OutsideLimits, match=message):
        from_corners(points, 0.02)


def test_rows_of_a_whole_turn_back_are_refused():
    """180° in one bend has its corner nowhere."""
    with pytest.raises(OutsideLimits, match="two bends of 90° with no straight between"):
        to_corners(Pipe((Bend(0.1, 0.0, pi),), 0.1, 0.02))
