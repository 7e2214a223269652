"""The torque calculator: guide values, the maker's figure, friction and its spread."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.calculator import OutsideLimits
from putback.bench.designation import thread_named
from putback.bench.thread_form import dimensions
from putback.bench.torque.calculator import work
from putback.bench.torque.conditions import conditions, friction_of, scatters
from putback.bench.torque.relation import (
    preload_at_yield_n,
    share_of_yield,
    torque_exact_nm,
    torque_nm,
)

THREADS = st.sampled_from(["M6", "M8", "M10x1.25", "M16", "3/8-24", "1/2-13", "1/4 BSF", "0 BA"])
FRICTIONS = st.floats(0.04, 0.3)
USUAL = {
    "condition": "oiled", "friction": None, "nut_factor": None, "share": 0.75,
    "preload_n": None, "maker_nm": None, "face_m": None, "hole_m": None,
}  # fmt: skip


def answer(size="M10", grade="8.8", **given):
    """The answer for an oiled M10 8.8 at 75 % of its proof load, unless told else."""
    return work(size=size, grade=grade, **{**USUAL, **given})


@settings(max_examples=50)
@given(THREADS, FRICTIONS, st.floats(100, 1e5), st.floats(1.2, 2))
def test_torque_grows_with_friction_and_with_preload(name, friction, preload, more):
    """More friction needs more torque for the same preload; twice the preload twice the torque."""
    of = dimensions(thread_named(name))
    bearing = 1.3 * of.major_m
    found = torque_nm(preload, of, friction, friction, bearing)
    assert torque_nm(preload, of, friction * more, friction, bearing) > found
    assert torque_nm(preload, of, friction, friction * more, bearing) > found
    assert torque_nm(preload * more, of, friction, friction, bearing) == pytest.approx(
        more * found
    )
    assert torque_exact_nm(preload, of, friction, friction, bearing) == pytest.approx(
        found, rel=0.02
    )


@settings(max_examples=50)
@given(THREADS, FRICTIONS, st.floats(0.3, 0.95))
def test_preload_and_share_of_yield_are_each_others_inverse(name, friction, share):
    """The preload at a share of the yield uses that share; less friction leaves more preload."""
    of = dimensions(thread_named(name))
    preload = preload_at_yield_n(of, 640e6, friction, share)
    assert share_of_yield(preload, of, 640e6, friction) == pytest.approx(share)
    assert preload < share * 640e6 * of.stress_area_m2
    assert preload_at_yield_n(of, 640e6, friction / 2, share) > preload


def test_without_friction_a_screw_is_a_lever():
    """Statics: work put in on one turn is the preload times the pitch."""
    of = dimensions(thread_named("M10"))
    turn = 2 * 3.141592653589793
    assert torque_nm(1000, of, 0, 0, 0.013) * turn == pytest.approx(1000 * 1.5e-3)
    assert torque_exact_nm(1000, of, 0, 0, 0.013) * turn == pytest.approx(1000 * 1.5e-3)


def test_a_guide_torque_shows_its_spread():
    """Class 8.8 M10 oiled: about 41 N·m by friction, 45 by nut factor 0.18, and what it leaves."""
    found = answer()
    torque = next(figure for figure in found.results if figure.name == "torque")
    assert torque.low < torque.value < torque.high
    assert found["preload"] == pytest.approx(0.75 * 580e6 * 58.0e-6)
    assert found["nut_factor_torque"] == pytest.approx(0.18 * found["preload"] * 0.010)
    assert found.verdict.startswith(
        "A guide value, where the maker gives none: 41.2 N·m (30.4 lbf·ft)"
    )
    assert found.cautions[0].startswith("A guide value: the maker's figure wins.")


def test_the_makers_figure_wins():
    """Given it, nothing else is advised; what it leaves is told."""
    found = answer(maker_nm=45.0)
    assert found["torque"] == 45.0
    assert found.verdict.startswith("The maker's figure wins; oiled it leaves 21.5 to 32.1 kN")
    again = answer(share=found["preload"] / found["proof"])
    assert again["torque"] == pytest.approx(45.0)


def test_a_torque_that_stretches_the_bolt_is_told():
    """Anti-seize on a thread whose torque was meant dry: 60 N·m is too much for M10 8.8."""
    assert answer(maker_nm=60.0, condition="anti-seize or moly").verdict.endswith(
        "at the least friction the bolt stretches."
    )
    assert not answer(maker_nm=30.0, condition="dry").verdict.endswith("stretches.")


def test_a_figure_that_breaks_the_bolt_is_doubted():
    """The maker's figure wins over ours, and is for another fastener where this one breaks."""
    assert "such a bolt breaks before" in answer(maker_nm=200.0).verdict
    assert "such a bolt breaks" not in answer(maker_nm=60.0).verdict


def test_a_known_friction_is_used_with_its_own_spread():
    """Measured friction spreads less than a condition that somebody guessed."""
    known, guessed = answer(friction=0.12), answer()
    assert known["torque"] == pytest.approx(guessed["torque"])
    spreads = [
        next(each for each in found.results if each.name == "preload")
        for found in (known, guessed)
    ]
    assert spreads[0].high - spreads[0].low < spreads[1].high - spreads[1].low


def test_a_preload_may_be_aimed_at_and_a_nut_factor_given():
    """T = K F d with both as given; ISO 16047 beside it within 1 %."""
    found = answer(preload_n=20e3, nut_factor=0.15)
    assert found["preload"] == pytest.approx(20e3)
    assert found["nut_factor_torque"] == pytest.approx(0.15 * 20e3 * 0.010)
    assert found["torque_exact"] == pytest.approx(found["torque"], rel=0.01)


def test_a_bigger_face_takes_more_torque():
    """A washer that turns with the head moves its friction outwards."""
    assert answer(face_m=0.020)["torque"] > answer()["torque"]


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"size": "M7"}, "no hexagon head for M7x1 is in the tables; measure the face"),
        (
            {"preload_n": 40e3},
            "that preload is more than the proof load of M10x1.5 class 8.8, 33.6",
        ),
        ({"hole_m": 0.016}, "the hole is no smaller than the face on it"),
        ({"size": "1/4 BSF"}, "ISO 898-1 says nothing of 1/4-26 BSF"),
    ],
)
def test_what_no_table_has_is_refused(given, says):
    """Nothing is stretched beyond the standards."""
    with pytest.raises(OutsideLimits, match=says):
        answer(**given)


def test_tables_of_conditions_and_methods_are_in_order():
    """Least, usual, most; and every condition and method has its row in the answer."""
    found = answer()
    assert [len(table.rows) for table in found.tables] == [len(conditions()), len(scatters())]
    for condition in conditions():
        friction = friction_of(condition)
        assert friction.least < friction.usual < friction.most
    for row in found.tables[0].rows:
        low, usual, high = (cell.value for cell in row[3:6])
        assert low < usual < high


def test_the_steps_have_their_numbers():
    """The formula of the torque with figures in the places of its symbols."""
    said = answer().steps[0].put_in(lambda figure: f"<{figure.name}>")
    assert said == "<F> (0.159 <P> + 0.577 <μ> <d2> + <μ> <D> / 2)"
    assert answer(maker_nm=45.0).steps[0].put_in(lambda figure: figure.name).startswith("M / (")


def test_the_picture_has_a_bar_for_each_way_of_tightening():
    """From the least preload to the most, as a share of the proof load; broken beyond it."""
    (drawing,) = answer(share=0.75).drawings
    bars = [shape for shape in drawing.shapes if shape.role in ("accent", "warn")]
    for bar, (_, scatter) in zip(bars, scatters(), strict=True):
        (low, _), (high, _) = bar.points_m
        assert (low, high) == pytest.approx((0.75 * (1 - scatter), 0.75 * (1 + scatter)))
        assert bar.role == ("warn" if high > 1 else "accent")
    assert {bar.role for bar in bars} == {"accent", "warn"}
    (proof,) = (shape.points_m for shape in drawing.shapes if shape.role == "outline")
    assert {x for x, _ in proof} == {1.0}
