"""Which thread was measured: likelihoods, ranking, wear."""

from dataclasses import replace
from math import exp, pi, sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.calculator import OutsideLimits
from putback.bench.designation import thread_named
from putback.bench.thread.ranking import Reading, crest_likelihood, rank, zone_of
from putback.bench.thread_form import dimensions
from putback.bench.threads import known_threads

MM = 1e-3
THREADS = [thread for thread in known_threads() if thread.pitch_m is not None]


def reading(diameter_mm, pitch_mm=None, *, wear_mm=0.1, pm_mm=0.05, is_internal=False):
    """A reading as a calliper and a pitch gauge give it."""
    pitch_m = None if pitch_mm is None else pitch_mm * MM
    return Reading(
        diameter_mm * MM, pm_mm * MM, wear_mm * MM, pitch_m, 0.02 * MM, is_internal=is_internal
    )


@settings(max_examples=50)
@given(st.sampled_from(THREADS), st.floats(0, 1), st.booleans())
def test_a_good_thread_is_among_the_candidates(thread, where, is_internal):
    """Whatever a good thread reads, it or one of its very size and pitch comes first."""
    low_m, high_m = zone_of(thread, is_internal)
    diameter_m = low_m + where * (high_m - low_m)
    pitch_m = dimensions(thread).pitch_m
    found = rank(Reading(diameter_m, 5e-5, 1e-4, pitch_m, 2e-6, is_internal))
    assert thread in {candidate.thread for candidate in found}
    assert dimensions(found[0].thread).pitch_m == pytest.approx(pitch_m, abs=2e-5)
    assert sum(candidate.share for candidate in found) == pytest.approx(1, abs=0.02)
    assert [c.share for c in found] == sorted((c.share for c in found), reverse=True)


@pytest.mark.parametrize("is_internal", [False, True])
@pytest.mark.parametrize("wear_mm", [0.0, 0.08, 0.3])
def test_the_likelihood_is_a_density(wear_mm, is_internal):
    """Over all readings it adds up to one, as a probability must: summed here by trapezia."""
    low_m, high_m = 9.732 * MM, 9.968 * MM
    step_m = 2e-6
    total = sum(
        crest_likelihood(
            reading(9.0 + 2e-3 * n, wear_mm=wear_mm, is_internal=is_internal), low_m, high_m
        )
        for n in range(900)
    )
    assert total * step_m == pytest.approx(1, abs=1e-3)


def test_an_exact_crest_has_the_normal_density():
    """Where zone and wear are next to nothing, the density is that of the normal distribution."""
    off_m, sigma_m = 2e-5, 2.5e-5
    plain = exp(-0.5 * (off_m / sigma_m) ** 2) / (sigma_m * sqrt(2 * pi))
    one = replace(reading(10 + off_m / MM), wear_m=0.0)
    found = crest_likelihood(one, 10 * MM - 1e-8, 10 * MM + 1e-8)
    assert found == pytest.approx(plain, rel=0.01)


@pytest.mark.parametrize(
    ("diameter_mm", "pitch_mm", "name"),
    [
        (7.85, 25.4 / 24, "5/16-24 UNF"),
        (7.9, 1.25, "M8x1.25"),
        (9.9, 1.0, "M10x1"),
        (9.45, 25.4 / 24, "3/8-24 UNF"),
        (11.05, 25.4 / 24, "7/16-24 special"),
        (11.03, 25.4 / 20, "7/16-20 UNF"),
        (4.65, 0.81, "2 BA"),
        (6.3, 25.4 / 26, "1/4-26 BSF"),
        (12.6, 25.4 / 12, "1/2-12 BSW"),
        (10.2, 25.4 / 27, "1/8-27 NPT"),
    ],
)
def test_what_was_measured_is_found(diameter_mm, pitch_mm, name):
    """Readings as they come from sound threads, each inside the standard's limits."""
    found = rank(reading(diameter_mm, pitch_mm))[:2]
    assert name in {candidate.thread.name for candidate in found}


def test_a_worn_thread_is_found_and_its_wear_told():
    """0.047 mm under the least that 5/16-24 UNF may measure (ASME B1.1 2A: 0.3042 in)."""
    worn = reading(7.68, 25.4 / 24)
    (best,) = rank(worn)
    assert best.thread.name == "5/16-24 UNF"
    assert best.worn_m(worn) == pytest.approx(0.3042 * 25.4 * MM - 7.68 * MM, abs=0.002 * MM)
    with pytest.raises(OutsideLimits, match="no thread in the tables reads like this; the near"):
        rank(replace(worn, diameter_m=7.5 * MM))


def test_a_bore_wears_the_other_way():
    """A nut's worn crests leave a wider bore: 8.676 is the most for M10 (ISO 965-1, 6H)."""
    worn = reading(8.74, 1.5, is_internal=True)
    best = rank(worn)[0]
    assert best.thread == thread_named("M10")
    assert best.worn_m(worn) == pytest.approx(0.064 * MM, abs=1e-6)


def test_without_a_pitch_more_threads_may_be_meant():
    """A diameter alone leaves several; a pitch settles it."""
    assert len(rank(reading(7.9))) > len(rank(reading(7.9, 1.25))) >= 1


@settings(max_examples=50)
@given(st.floats(2, 35), st.floats(1.5, 3))
def test_a_better_instrument_leaves_no_more_threads(diameter_mm, better):
    """Whatever a fine instrument leaves as a candidate, a coarse one leaves too."""
    try:
        fine = rank(reading(diameter_mm, pm_mm=0.1 / better))
    except OutsideLimits:
        return
    coarse = rank(reading(diameter_mm, pm_mm=0.1))
    likely = {candidate.thread for candidate in fine if candidate.share > 0.01}
    assert likely <= {candidate.thread for candidate in coarse}
