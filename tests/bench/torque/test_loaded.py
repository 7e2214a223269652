"""A load from outside on a tightened bolt: what it bears, and when the joint opens."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.calculator import OutsideLimits
from putback.bench.torque.calculator import work
from putback.bench.torque.loaded import bolt_stress_pa, joint_constant, loaded, opens_at_n

STIFF = st.floats(0.1, 100)
M10 = {
    "size": "M10", "grade": "8.8", "condition": "oiled", "friction": None, "nut_factor": None,
    "share": 0.75, "preload_n": None, "maker_nm": None, "face_m": None, "hole_m": None,
}  # fmt: skip


@settings(max_examples=50)
@given(STIFF, STIFF, st.floats(100, 1e5))
def test_at_opening_the_bolt_bears_all_of_the_load(kb, km, preload):
    """When a joint opens nothing is clamped any more: preload and share come to the load."""
    constant = joint_constant(kb, km)
    load = opens_at_n(preload, constant)
    assert bolt_stress_pa(preload, 1.0, load, constant) == pytest.approx(load)
    assert constant + joint_constant(km, kb) == pytest.approx(1)
    assert joint_constant(kb * 2, km) > constant


def test_what_is_not_known_is_taken_at_its_worst():
    """Without stiffnesses the bolt bears all, and the joint opens at the preload."""
    answer = work(**M10, load_n=5000.0)
    assert answer["borne"] == 1
    assert answer["opens"] == pytest.approx(answer["preload"])
    added = answer["loaded_stress"] - answer["preload"] / 58e-6
    assert added == pytest.approx(5000 / 58e-6, rel=0.01)
    known = work(**M10, load_n=5000.0, kb=1.0, km=4.0)
    assert known["borne"] == pytest.approx(0.2)
    assert known["loaded_stress"] < answer["loaded_stress"]
    assert known["opens"] == pytest.approx(answer["opens"] / 0.8)


def test_a_load_that_opens_the_joint_is_said():
    """The least preload counts; a light load says nothing, and none changes nothing."""
    assert "opens the joint" in work(**M10, load_n=40_000.0).verdict
    known = work(**M10, load_n=20_000.0, kb=1.0, km=3.0).verdict
    assert "the bolt stretches under 20000 N (4496 lbf)" in known
    assert "opens" not in known
    light, none = work(**M10, load_n=1000.0), work(**M10)
    assert light.verdict == none.verdict
    assert light.results[: len(none.results)] == none.results
    assert len(light.steps) == len(none.steps) + 1


@pytest.mark.parametrize(
    ("given", "field"),
    [((1e3, 1.0, None), "km"), ((1e3, None, 1.0), "kb"), ((None, 1.0, 4.0), "load")],
)
def test_half_of_what_is_needed_is_refused(given, field):
    """One stiffness without the other, or both without a load."""
    with pytest.raises(OutsideLimits) as refused:
        loaded(*given)
    assert refused.value.field == field
