"""The picture of a thread: corners where the standard has them."""

from math import atan2, degrees

import pytest

from putback.bench.designation import thread_named
from putback.bench.thread.profile import drawing, profile_m
from putback.bench.thread_form import dimensions
from putback.bench.threads import known_threads


@pytest.mark.parametrize("name", ["M10", "3/8-24", "1/2 BSW", "2 BA"])
def test_flanks_stand_at_their_angle_and_ridges_a_pitch_apart(name):
    """ISO 68-1, BS 84, BS 93: half of 60, 55 and 47.5 degrees; half a pitch at the pitch line."""
    of = dimensions(thread_named(name))
    points = profile_m(of, 3 * of.pitch_m)
    (crest_x, crest_y), (root_x, root_y) = points[1:3]
    assert degrees(atan2(root_x - crest_x, crest_y - root_y)) == pytest.approx(
        degrees(of.form.half_angle_rad)
    )
    share = (crest_y - of.pitch_diameter_m / 2) / (crest_y - root_y)
    assert crest_x + share * (root_x - crest_x) == pytest.approx(of.pitch_m / 4)
    assert points[5][0] - points[1][0] == pytest.approx(of.pitch_m)


def test_every_profile_goes_forward():
    """No corner lies behind the one before it, so no ridge is wider than its pitch."""
    for thread in known_threads():
        of = dimensions(thread)
        along = [x for x, _ in profile_m(of, 4 * of.pitch_m)]
        assert along == sorted(along)


def test_the_drawing_lays_the_other_thread_over():
    """Two profiles and two names; one of each where there is no other."""
    one, other = thread_named("M10x1"), thread_named("3/8-24")
    both = drawing(one, other)
    assert [shape.role for shape in both.shapes] == ["outline", "text", "warn", "text"]
    assert "drift apart" in both.words
    assert len(drawing(one, None).shapes) == 2
