"""The thread calculator's answer: what it shows and what it refuses."""

import pytest

from putback.bench.calculator import OutsideLimits
from putback.bench.designation import thread_named
from putback.bench.thread.calculator import work
from putback.bench.thread.drilling import bought_drill_m
from putback.bench.thread.ranking import measurable_threads
from putback.bench.thread_form import (
    BA,
    ISO,
    TAPERED,
    WHITWORTH,
    growth_factor,
    tapping_drill_m,
)
from putback.bench.thread_limits import thread_limits
from putback.errors import BadInput

MM = 1e-3
USUAL = {"diameter_pm_m": 5e-5, "pitch_pm_m": 2e-5, "wear_m": 1e-4}
NOTHING = {"size": None, "major_m": None, "minor_m": None, "pitch_m": None, "per_m": None}


def answer(**given):
    """The answer for what is given, with the usual instrument."""
    return work(**{**NOTHING, **USUAL, **given})


def test_the_answer_has_drill_area_and_lookalikes():
    """M10x1.5: drill 8.5 mm (ISO 2306), stress area 58.0 mm² (ISO 898-1)."""
    found = answer(major_m=9.9 * MM, pitch_m=1.5 * MM)
    assert found["thread"] == "M10x1.5"
    assert found["drill"] == pytest.approx(8.5 * MM)
    assert found["stress_area"] == pytest.approx(58.0e-6, rel=2e-3)
    assert found.verdict == "It is over 99% likely M10x1.5."
    assert [table.title for table in found.tables] == ["Candidates", "Could be mistaken for"]
    assert found.steps[2].put_in(lambda figure: f"{figure.value * 1000:g}") == (
        "π/4 (10 - 0.938194 1.5)²"
    )


def test_threads_per_inch_do_for_a_pitch():
    """1/24 in is 1.058 mm."""
    found = answer(major_m=7.85 * MM, per_m=24 / 0.0254)
    assert found["thread"] == "5/16-24 UNF"
    assert found["thread_pitch"] == pytest.approx(25.4 / 24 * MM)


def test_two_that_are_alike_are_both_named_with_how_to_tell():
    """Quarter-inch Whitworth and unified coarse differ by the angle alone."""
    found = answer(major_m=6.3 * MM, per_m=20 / 0.0254)
    assert "1/4-20 BSW" in found.verdict
    assert "1/4-20 UNC" in found.verdict
    assert "to tell them apart, a thread gauge against the light" in found.verdict


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({}, "no diameter was given; measure over the crests"),
        ({"size": "M10", "major_m": 0.01}, "a thread is either named or measured; leave"),
        ({"major_m": 0.01, "minor_m": 0.0085}, "a thread has one diameter to go by"),
        ({"major_m": 0.01, "pitch_m": 1e-3, "per_m": 945}, "say two things; give one"),
        ({"major_m": 0.0127, "per_m": 40 / 0.0254}, "no thread in the tables reads like this"),
    ],
)
def test_what_cannot_be_meant_is_refused(given, says):
    """Nothing is guessed from half a measurement, nor from one that fits nothing."""
    with pytest.raises(OutsideLimits, match=says):
        answer(**given)


def test_a_thread_that_is_known_is_looked_up():
    """M10x1 by its name: the same figures, its lookalikes, and nothing to rank."""
    found = answer(size="M10x1")
    assert found["drill"] == pytest.approx(9.0 * MM)
    assert [table.title for table in found.tables] == ["Could be mistaken for"]
    assert found.verdict.startswith("M10x1 is 10 mm over its crests, with 1 mm from one")
    assert answer(size="7/8-18 special")["status"] == "in no table"
    with pytest.raises(BadInput, match="no thread M13x1 is in the tables"):
        answer(size="M13x1")


def test_what_fits_nothing_well_is_said_before_any_name():
    """A bore of 8.5 mm with 1.25 mm pitch is no thread of the tables: the nearest is no answer."""
    found = answer(minor_m=8.5 * MM, pitch_m=1.25 * MM)
    assert found.verdict.startswith(f"Nothing fits well: {found['thread']} is nearest")
    assert "outside what it may measure; measure again" in found.verdict


@pytest.mark.parametrize(("iso", "name"), [("G 1/4", "1/4-19 BSP"), ("R1/8", "1/8-28 BSPT")])
def test_pipe_threads_go_by_isos_letters_too(iso, name):
    """ISO 228-1 writes G for parallel ones, ISO 7-1 R for tapers."""
    assert answer(size=iso)["thread"] == name


def test_a_taper_has_no_drill_and_no_stress_area():
    """Its hole is the tap maker's to say."""
    found = answer(major_m=10.2 * MM, per_m=27 / 0.0254)
    assert found["thread"] == "1/8-27 NPT"
    with pytest.raises(KeyError):
        found["drill"]
    with pytest.raises(BadInput, match="1/8-27 NPT is tapered; ask the tap's maker"):
        tapping_drill_m(thread_named("1/8-27 NPT"))


@pytest.mark.parametrize(
    ("name", "drill_mm"),
    [("M3", 2.5), ("M5", 4.2), ("M6", 5), ("M8x1", 7), ("M12", 10.25), ("1/4-20 UNC", 5.08)],
)
def test_tapping_drills_are_the_usual_ones(name, drill_mm):
    """ISO 2306 (M12 rounded there to 10.2); 1/4-20: 5.1 mm or no. 7, common practice."""
    assert tapping_drill_m(thread_named(name)) == pytest.approx(drill_mm * MM, abs=1e-5)


@pytest.mark.parametrize(
    ("name", "drill_mm"),
    [
        *(("M2.5", 2.05), ("M3", 2.5), ("M5", 4.2), ("M8", 6.8), ("M10", 8.5), ("M10x1.25", 8.8)),
        *(("M12", 10.2), ("M16", 14), ("5/16-24 UNF", 6.9), ("1/4-20 UNC", 5.1)),
        *(("1/2-13 UNC", 10.7), ("1/2-12 BSW", 10.5), ("5/8-11 BSW", 13.5)),
    ],
)
def test_the_drill_one_can_buy_is_the_usual_one(name, drill_mm):
    """From memory: ISO 2306; no. 7, I and 27/64 in to the tenth; tap makers for Whitworth."""
    assert bought_drill_m(thread_named(name)) == pytest.approx(drill_mm * MM, abs=1e-9)


def test_every_drill_leaves_the_bore_within_its_limits():
    """Of every parallel thread of the table, by the tenth or half of it."""
    for known in measurable_threads():
        if known.thread.series not in TAPERED:
            limits, drill = thread_limits(known.thread), bought_drill_m(known.thread)
            name = known.thread.name
            assert limits.bore_min_m - 1e-9 <= drill <= limits.bore_max_m + 1e-9, name
            assert drill / (0.05 * MM) == pytest.approx(round(drill / (0.05 * MM)), abs=1e-6), name


def test_a_coat_grows_the_pitch_diameter_by_the_angle():
    """Four coats at 60 degrees (ISO 4042); more where the flanks are steeper."""
    assert growth_factor(ISO) == pytest.approx(4)
    assert growth_factor(WHITWORTH) == pytest.approx(4.331, abs=1e-3)
    assert growth_factor(BA) > growth_factor(WHITWORTH)
