"""Chassis surveys: readings as typed, the fit on a reference, and what damage looks like."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.spatial.transform import Rotation

from putback.bench.calculator import OutsideLimits
from putback.bench.survey import adjust
from putback.bench.survey.calculator import CALCULATOR
from putback.bench.survey.compared import compare, survey_of
from putback.bench.survey.damage import Damage
from putback.bench.survey.diagonals import CALCULATOR as DIAGONALS
from putback.bench.survey.diagonals import pushed_m, width_m
from putback.bench.survey.fit import rigid_fit
from putback.bench.survey.readings import (
    Edge,
    Kind,
    Reading,
    between_centres_m,
    read_points,
    read_readings,
)
from putback.errors import BadInput
from tests.bench.chassis import PLACES, bent, heights, lengths, points

SIGMA_M = 0.001
IN_TURN = np.array([[1.0, -1.0, 1.0], [-1.0, 1.0, 1.0]] * (len(PLACES) // 2))
"""Neighbours moved against each other: no free motion of a net."""


def survey(**given):
    """Work out a survey of what is given, all else as it is by default."""
    usual = {"unit": "mm", "kind": "true", "edge": "centre", "holes": None, "sigma_m": SIGMA_M,
             "fixed": None, "reference": None, "base": None, "tolerance_m": 0.005}  # fmt: skip
    return CALCULATOR.work(**{**usual, **given})


def typed(readings):
    """Readings as a person types them, in millimetres."""
    return "\n".join(
        f"{r.start} height {r.length_m * 1000:.2f}" if r.kind is Kind.HEIGHT
        else f"{r.start} {r.to} {r.length_m * 1000:.2f} {r.kind}"
        for r in readings
    )  # fmt: skip


REFERENCE = "\n".join(
    f"{name} {x * 1000} {y * 1000} {z * 1000}" for name, (x, y, z) in points(PLACES).items()
)


@pytest.mark.parametrize(
    ("edge", "read"), [("centre", 100), ("inner", 90), ("outer", 110), ("like", 100)]
)
def test_edges_of_holes_come_to_their_centres(edge, read):
    """Two holes of 10 mm, 100 mm apart, read at every edge."""
    found = between_centres_m(read, Edge(edge), (10, 10))
    assert found == 100
    (line,) = read_readings(f"A B {read} {edge}", "mm", Kind.TRUE, Edge.CENTRE,
                            {"A": 0.01, "B": 0.01})  # fmt: skip
    assert line == Reading("A", "B", pytest.approx(0.1))


def test_lines_say_how_they_were_read():
    """A word on a line wins over what is chosen for all; heights have a form of their own."""
    text = "A B 1000\nA C 500 true inner  # trammed\n'rear left' height -12"
    found = read_readings(text, "mm", Kind.PLAN, Edge.CENTRE, {"A": 0.02})
    assert found == (
        Reading("A", "B", 1.0, Kind.PLAN),
        Reading("A", "C", 0.51, Kind.TRUE),
        Reading("rear left", "", -0.012, Kind.HEIGHT),
    )


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "no reading is given"),
        ("A B", "line 1 of readings: the reading is missing"),
        ("A A 5", "'A' is measured to itself"),
        ("A B 5 askew", "'askew' says nothing about a reading"),
        ("A B 200000", "200 m is no reading of a chassis"),
        ("A height -200000", "-200 m is no reading of a chassis"),
        ("A B -5", "two points are further apart than nothing"),
        ("A B 5 outer", "two points are further apart than nothing"),
        ("A B 500 like", "like edges of holes of two sizes"),
    ],
)
def test_what_cannot_be_read_is_refused(text, what):
    """It says which line, and what is wrong with it."""
    with pytest.raises(BadInput, match=what):
        read_readings(text, "mm", Kind.TRUE, Edge.CENTRE, {"A": 0.012, "B": 0.010})


def test_a_point_is_given_once():
    """A reference with two places for one point says nothing."""
    with pytest.raises(BadInput, match="line 2 of reference: 'A' is there twice"):
        read_points("A 0 0 0\nA 1 1 1", "mm", "reference")
    with pytest.raises(BadInput, match="'A' is further than 100 m from the origin"):
        read_points("A 0 0 200", "m", "reference")


@given(
    st.integers(0, 2**32 - 1), st.tuples(*[st.floats(-180, 180)] * 3),
    st.tuples(*[st.floats(-5, 5)] * 3),
)  # fmt: skip
@settings(max_examples=30)
def test_the_fit_is_that_of_scipy(seed, angles, shift):
    """Turned, moved and noisy: rotation and remainder against Rotation.align_vectors."""
    noise = np.random.default_rng(seed).normal(0, 0.01, PLACES.shape)
    measured = Rotation.from_euler("zyx", angles, degrees=True).apply(PLACES) + shift + noise
    fit = rigid_fit(measured, PLACES)
    a, b = measured - measured.mean(axis=0), PLACES - PLACES.mean(axis=0)
    other, rssd = Rotation.align_vectors(b, a)
    assert fit.rotation == pytest.approx(other.as_matrix(), abs=1e-6)
    assert fit.rms_m == pytest.approx(rssd / len(PLACES) ** 0.5, abs=1e-9)
    assert fit.placed(measured) - PLACES == pytest.approx(fit.deviations_m)
    assert np.linalg.det(fit.rotation) == pytest.approx(1)


def test_a_scale_is_shown_and_not_taken_off():
    """A tape that reads 1 % long leaves deviations, and is named as a fault."""
    fit = rigid_fit(PLACES * 1.01, PLACES)
    assert fit.scale == pytest.approx(1 / 1.01)
    assert fit.is_scaled
    assert fit.rms_m > 0.005
    assert not rigid_fit(PLACES, PLACES).is_scaled


def test_a_mirror_image_is_refused():
    """The fit turns only, and says that the other hand would fit."""
    fit = rigid_fit(PLACES * (1, -1, 1), PLACES)
    assert fit.is_mirrored
    assert fit.rms_m > 0.05
    assert np.linalg.det(fit.rotation) == pytest.approx(1)


@pytest.mark.parametrize("kind", ["mash", "diamond", "sway", "sag", "twist"])
@pytest.mark.parametrize("size_m", [0.02, -0.014])
def test_each_kind_of_damage_is_known_by_its_shape(kind, size_m):
    """It alone is named, and its size is right to a millimetre or so."""
    places = bent(**{kind: size_m})
    found = survey_of(
        lengths(places, sigma_m=SIGMA_M / 4) + heights(places, SIGMA_M / 4), {},
        points(PLACES), SIGMA_M / 4,
    )  # fmt: skip
    compared = compare(found, points(PLACES), (), 0.005)
    assert [each.kind for each in compared.damages] == [kind]
    assert compared.damages[0].size_m == pytest.approx(size_m, abs=0.0015)


def test_a_tape_that_is_long_is_said_beside_the_damage():
    """A scale of 0.4 % looks like a stretched frame, and the tape is named."""
    answer = survey(
        readings=typed(lengths(PLACES * 1.004, Kind.PLAN)), reference=REFERENCE, kind="plan"
    )
    assert answer.verdict.endswith("All lengths together read 0.40% long: look at the tape first.")
    straight = survey(readings=typed(lengths(PLACES, Kind.PLAN)), reference=REFERENCE)
    assert "tape" not in straight.verdict


def test_a_reading_left_out_is_named_beside_the_reference():
    """Whoever reads one sentence alone hears of the wrong reading."""
    readings = lengths(PLACES, sigma_m=SIGMA_M / 2) + heights(PLACES, SIGMA_M / 2)
    lines = typed(readings).splitlines()
    lines[5] = f"{readings[5].start} {readings[5].to} {readings[5].length_m * 1000 + 40:.1f}"
    answer = survey(readings="\n".join(lines), reference=REFERENCE)
    assert answer["wrong"] == readings[5].name
    assert answer.verdict.endswith(f" {readings[5].name} reads wrong and was left out.")


@pytest.mark.parametrize(
    "line",
    ["FL RR 2650.5 plan", "FL-RR 2650.5 plan", "FL-RR: 2650.5 plan", "FL to RR 2650.5 plan",
     "FL–RR 2650-1/2 plan", "FL-RR 2650 1/2 plan", "FL-RR 2.6505 m plan"],
)  # fmt: skip
def test_a_pair_is_read_however_it_is_written(line):
    """With a blank, a dash, a colon or a word between."""
    (found,) = read_readings(line, "mm", Kind.TRUE, Edge.CENTRE, {})
    assert (found.start, found.to, found.kind) == ("FL", "RR", Kind.PLAN)
    assert found.length_m == pytest.approx(2.6505)


@pytest.mark.parametrize("line", ["front-left 2 860", "2 front-left 860", "1 2 860", "A to 860"])
def test_a_name_with_a_dash_stays_one_point(line):
    """Where two points stand before the reading."""
    (found,) = read_readings(line, "mm", Kind.TRUE, Edge.CENTRE, {})
    assert [found.start, found.to] == line.split()[:2]
    assert found.length_m == pytest.approx(0.86)


@pytest.mark.parametrize("edge", [Edge.INNER, Edge.OUTER])
def test_edges_want_the_size_of_a_hole(edge):
    """Without any diameter an edge is not taken for a centre; a mark among holes has none."""
    with pytest.raises(BadInput, match=f"line 1 of readings: {edge} edges are no centres"):
        read_readings("FL RR 2650", "mm", Kind.TRUE, edge, {})
    (found,) = read_readings("FL RR 2650", "mm", Kind.TRUE, edge, {"XX": 0.01})
    assert found.length_m == 2.65


def test_a_good_chassis_is_said_to_be_good():
    """Nothing is named that chance explains."""
    readings = lengths(PLACES, sigma_m=SIGMA_M / 2) + heights(PLACES, SIGMA_M / 2)
    answer = survey(readings=typed(readings), reference=REFERENCE)
    assert answer.verdict.startswith("True to its reference within what is allowed: ")
    assert answer["looks_like"] == "no one kind of damage"
    assert answer["scale_fault"] is False


def test_damage_in_plan_alone_says_nothing_of_sag():
    """A diamond is seen in plan; heights are neither known nor guessed."""
    places = bent(diamond=0.02, sag=0.03)
    answer = survey(readings=typed(lengths(places, Kind.PLAN)), reference=REFERENCE)
    assert answer["flat"] is True
    words = "Damage, by its looks: diamond: the right side is 20.0 mm behind the other."
    assert answer.verdict == words
    assert "cannot tell up from down" in answer.limits[0]
    assert [drawing.title.split(",")[0] for drawing in answer.drawings] == ["From above"]


def test_one_point_off_is_no_kind_of_damage():
    """Fitted by the points known to be good, the whole of it is that point's."""
    places = PLACES.copy()
    places[1] += (0.0, 0.02, 0.0)
    given = {"readings": typed(lengths(places) + heights(places)), "reference": REFERENCE}
    answer = survey(**given, base="AL AR BL BR RL RR")
    assert answer["largest_at"] == "FR"
    assert answer["largest"] == pytest.approx(0.02, abs=1e-4)
    assert answer["rms"] == pytest.approx(0, abs=1e-4)
    row = answer.tables[0].rows[0]
    assert row[2].value == pytest.approx(0.02, abs=1e-4)
    assert all("fitted by all points" not in limit for limit in answer.limits)
    assert any("fitted by all points" in limit for limit in survey(**given).limits)


def test_a_mirrored_survey_is_turned_the_right_way_round():
    """Lengths alone do not tell left from right; the reference does."""
    for kind in Kind.TRUE, Kind.PLAN:
        found = survey_of(lengths(PLACES, kind), {}, points(PLACES), SIGMA_M)
        assert compare(found, points(PLACES), (), 0.005).fit.rms_m < 1e-4


def test_two_points_each_within_can_be_too_far_apart():
    """3 mm outwards on either side is 6 mm between them."""
    places = PLACES.copy()
    places[0, 1] -= 0.003
    places[1, 1] += 0.003
    answer = survey(readings=typed(lengths(places) + heights(places)), reference=REFERENCE,
                    base="AL AR BL BR RL RR", tolerance_m=0.004)  # fmt: skip
    assert answer["pair"] == "FL-FR"
    assert answer["pair_off"] == pytest.approx(0.006, abs=1e-4)
    assert answer.verdict == (
        "Each point is within what is allowed, and FL and FR are 6.0 mm too far apart."
    )


def test_weak_readings_are_not_called_damage():
    """Lengths alone of a shallow frame leave heights to chance, and that is what is said."""
    places = PLACES.copy()
    answer = survey(readings=typed(lengths(places, sigma_m=0.002, seed=3)), reference=REFERENCE,
                    sigma_m=0.002)  # fmt: skip
    assert answer["largest"] > 0.005
    assert answer.verdict.startswith("Not sure: ")
    assert any("come from lengths alone" in limit for limit in answer.limits)


@pytest.mark.parametrize(
    ("readings", "words"),
    [
        ("A B 100", "The points are found, and no reading checks another: measure more."),
        ("A B 100 | B C 100 | C A 300", "One reading is wrong and nothing tells which: A-B or"),
        ("A B 9 | B C 9 | C D 9 | D E 9 | E A 9", "The readings leave open where these lie: A,"),
        ("A B 100 | A B 101", "The readings agree. They say nothing of heights."),
    ],
)
def test_too_few_readings_are_said_to_be_too_few(readings, words):
    """Whatever is typed has an answer that claims no more than it can."""
    assert survey(readings=readings).verdict.startswith(words)


def test_places_that_are_still_moving_are_no_answer(monkeypatch):
    """Where the steps run out short of the least sum of squares, that comes before all else."""
    readings = typed(lengths(PLACES, sigma_m=SIGMA_M) + heights(PLACES, SIGMA_M))
    assert survey(readings=readings)["at_rest"]
    monkeypatch.setattr(adjust, "settle", lambda net, places: (places + 0.005 * IN_TURN, 0.0))
    answer = survey(readings=readings)
    assert not answer["at_rest"]
    assert answer.verdict.startswith("No answer yet: ")
    assert answer.limits[0].startswith("the search for places stopped")


def test_a_fit_that_nothing_checks_says_so():
    """Three lengths make a triangle of any reference."""
    answer = survey(readings="A B 100|B C 100|C A 141.4",
                    reference="A 0 0 0|B 100 0 0|C 100 100 0")  # fmt: skip
    assert answer.verdict.endswith("No reading checks another.")
    with pytest.raises(BadInput, match="not in one line"):
        survey(readings="A B 100|B C 100|C A 141.4", reference="A 0 0 0|B 0 0 0|C 0 0 0")


def test_without_a_reference_places_and_readings_are_told():
    """The points in their own axes, the wrong reading marked."""
    readings = lengths(PLACES, sigma_m=SIGMA_M / 2) + heights(PLACES, SIGMA_M / 2)
    lines = typed(readings).splitlines()
    lines[5] = f"{readings[5].start} {readings[5].to} {readings[5].length_m * 1000 + 40:.1f}"
    answer = survey(readings="\n".join(lines))
    assert answer["wrong"] == readings[5].name
    assert answer.verdict == "1 reading is wrong; the others agree."
    assert answer.tables[0].rows[0][3].value == pytest.approx(0.04, abs=0.002)
    assert "marked as wrong" in answer.drawings[0].words
    assert sum(shape.role == "warn" for shape in answer.drawings[0].shapes) == 1


def test_a_fit_needs_points_that_span_a_plane():
    """Two points, points in a line, or a name that is in neither list."""
    found = survey_of(lengths(PLACES), {}, {}, SIGMA_M)
    three = {name: points(PLACES)[name] for name in ("FL", "FR")}
    with pytest.raises(BadInput, match="three points or more that are not in one line"):
        compare(found, three, (), 0.005)
    with pytest.raises(BadInput, match="'XX' is no point of both survey and reference"):
        compare(found, points(PLACES), ("FL", "XX"), 0.005)


@pytest.mark.parametrize(
    ("damage", "words"),
    [
        (Damage("mash", 0.012, 0.001), "mash: 12.0 mm short over its length"),
        (Damage("mash", -0.012, 0.001), "mash: 12.0 mm long over its length"),
        (Damage("sway", 0.008, 0.001), "sway: the middle lies 8.0 mm to the right of its ends"),
        (Damage("sag", -0.007, 0.001), "sag: the middle stands 7.0 mm above its ends"),
        (Damage("twist", 0.02, 0.001), "twist: one corner is 20.0 mm off the plane of the other"),
    ],
)
def test_damage_is_said_in_the_trades_words(damage, words):
    """With its way and its size."""
    assert damage.words.startswith(words)


@given(st.floats(1, 5), st.floats(0.3, 1.5), st.floats(-0.05, 0.05))
@settings(max_examples=40)
def test_diagonals_give_back_the_push_they_were_made_of(length, wide, push):
    """A parallelogram of known sides."""
    right, left = np.hypot(length + push, wide), np.hypot(length - push, wide)
    assert pushed_m(right, left, length) == pytest.approx(push, abs=1e-9)
    assert width_m(right, left, length) == pytest.approx(wide)


def test_diagonals_are_judged_by_tape_and_tolerance():
    """Square as far as the tape tells, within what is allowed, or a diamond."""
    usual = {"length_m": 2.5, "sigma_m": 0.001, "tolerance_m": 0.005}
    for differ, words in [
        (0.002, "Square, as far as this tape tells"),
        (0.004, "Square within what is allowed"),
        (0.014, "Diamond: the diagonals differ by 14.0 mm, so the right side is 7.4 mm behind"),
        (-0.014, "Diamond: the diagonals differ by 14.0 mm, so the left side is 7.4 mm behind"),
    ]:
        answer = DIAGONALS.work(right_m=2.65 + differ, left_m=2.65, **usual)
        assert answer.verdict.startswith(words)
    with pytest.raises(OutsideLimits, match="too short for this side"):
        DIAGONALS.work(right_m=2.4, left_m=2.4, **usual)
