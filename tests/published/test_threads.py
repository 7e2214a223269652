"""The thread table against published sizes and pitches, and against the laws of its series."""

from fractions import Fraction

import pytest

from putback.bench.threads import Series, inch_thread, known_threads, metric_thread
from tests.published.reference import rows

ROWS = rows("a_threads.csv")
UNIFIED = [row for row in ROWS if row.quantity.endswith(("(UNC)", "(UNF)", "(BSW)", "(BSF)"))]
COARSE = [row for row in ROWS if row.quantity == "coarse pitch"]
COARSE_AREAS = [
    row for row in ROWS if row.quantity == "tensile stress area As (ISO metric coarse)"
]
FINE_AREAS = [row for row in ROWS if row.quantity == "tensile stress area As (ISO metric fine)"]
BA = [row for row in ROWS if row.quantity.startswith(("BA pitch", "BA outside"))]


def inputs_of(row):
    """A row as pytest names it."""
    return f"{row.quantity} {row.inputs}"


@pytest.mark.parametrize("row", UNIFIED, ids=inputs_of)
def test_a_published_inch_thread_is_in_its_series(row):
    """a_threads.csv: ASME B1.1 and BS 84 by way of the sources named there."""
    series = Series(row.quantity[-4:-1])
    size_mm = float(row.inputs["d_in"]) * 25.4
    found = [
        thread
        for thread in known_threads()
        if thread.series is series
        and thread.tpi == row.inputs["tpi"]
        and thread.major_m * 1000 == pytest.approx(size_mm, abs=1e-9)
    ]
    assert len(found) == 1


@pytest.mark.parametrize("row", COARSE, ids=inputs_of)
def test_a_published_coarse_pitch_is_what_a_bare_size_means(row):
    """a_threads.csv: ISO 262."""
    assert float(metric_thread(row.inputs["d_mm"]).pitch_mm) == float(row.expected)


@pytest.mark.parametrize("row", COARSE_AREAS, ids=inputs_of)
def test_a_published_coarse_size_has_its_pitch(row):
    """a_threads.csv: the pitch column of ISO 898-1, Tables 4 and 5."""
    assert metric_thread(row.inputs["d_mm"]).pitch_mm == row.inputs["P_mm"]


@pytest.mark.parametrize("row", FINE_AREAS, ids=inputs_of)
def test_a_fine_pitch_of_the_standard_is_known(row):
    """a_threads.csv: the pitch column of ISO 898-1, Tables 6 and 7 (from memory)."""
    found = metric_thread(row.inputs["d_mm"], row.inputs["P_mm"])
    assert found.series is Series.METRIC
    assert found != metric_thread(row.inputs["d_mm"])


@pytest.mark.parametrize("row", BA, ids=inputs_of)
def test_a_published_ba_thread_is_as_printed(row):
    """a_threads.csv: BS 93 by way of the sources named there."""
    thread = inch_thread(row.inputs["n"], series=Series.BA)
    printed = thread.pitch_mm if "pitch" in row.quantity else thread.major_mm
    assert float(printed) == pytest.approx(float(row.expected), abs=1e-9)


def test_every_ba_thread_follows_the_law_of_its_series():
    """BS 93: pitch 0.9^n mm and diameter 6 p^1.2 mm, each rounded to two figures."""
    for thread in known_threads():
        if thread.series is Series.BA:
            pitch_mm = 0.9 ** int(thread.size)
            assert float(thread.pitch_mm) == pytest.approx(pitch_mm, abs=0.005)
            assert float(thread.major_mm) == pytest.approx(6 * pitch_mm**1.2, abs=0.05)


@pytest.mark.parametrize(("number", "inches"), [("4", 0.112), ("8", 0.164), ("10", 0.19)])
def test_a_screw_number_gives_its_diameter(number, inches):
    """ASME B1.1: 0.060 in + 0.013 in a number; 4 and 8 from memory, 10 as published."""
    assert inch_thread(number, series=Series.UNC).major_m == pytest.approx(inches * 0.0254)


def test_every_row_said_to_be_published_is():
    """No row of the table claims a source that a_threads.csv does not have."""
    printed = {
        (row.quantity[-4:-1], Fraction(row.inputs["d_in"]), row.inputs["tpi"])
        for row in UNIFIED
        if row.status == "published"
    }
    metric = {
        (Fraction(row.inputs["d_mm"]), Fraction(row.inputs["P_mm"]))
        for row in ROWS
        if row.status == "published" and {"d_mm", "P_mm"} <= set(row.inputs)
    } | {(Fraction(row.inputs["d_mm"]), Fraction(row.expected)) for row in COARSE}
    ba = {row.inputs["n"] for row in BA if row.status == "published" and "outside" in row.quantity}
    for thread in known_threads():
        if thread.status != "published":
            continue
        match thread.series:
            case Series.METRIC:
                assert (Fraction(thread.size), Fraction(thread.pitch_mm)) in metric
            case Series.BA:
                assert thread.size in ba
            case _:
                size_in = Fraction(round(thread.major_m / 0.0254 * 320000), 320000)
                assert (thread.series.value, size_in, thread.tpi) in printed
