"""Dimensions of threads against published tables, and tolerances against the standards' laws."""

from math import degrees, pi, sqrt

import pytest

from putback.bench.designation import thread_named
from putback.bench.tables import data_table
from putback.bench.thread_form import BA, ISO, UNIFIED, WHITWORTH, dimensions, shaped
from putback.bench.thread_limits import thread_limits
from putback.bench.threads import known_threads
from tests.published.reference import rows

ROWS = rows("a_threads.csv")
IN = 0.0254
MM = 1e-3


def found(row):
    """What the bench gives for a row, in the row's unit; ``None`` where it is no dimension."""
    given = row.inputs
    what = row.quantity
    if "(ISO metric" in what or what.startswith(
        ("basic minor diameter d1", "basic pitch diameter d2", "root minor", "stress diameter",
         "lead angle", "thread height h3", "engaged height", "6g")
    ):  # fmt: skip
        of = shaped(ISO, float(given["d_mm"]) * MM, float(given["P_mm"]) * MM)
        limits = thread_limits(thread_named(f"M{given['d_mm']}x{given['P_mm']}"))
        return {
            "tensile": of.stress_area_m2 * 1e6,
            "basic m": of.minor_m / MM,
            "basic p": of.pitch_diameter_m / MM,
            "root mi": of.root_m / MM,
            "stress ": of.stress_diameter_m / MM,
            "lead an": degrees(of.lead_angle_rad),
            "thread ": (of.major_m - of.root_m) / 2 / MM,
            "engaged": (of.major_m - of.minor_m) / 2 / MM,
            "6g majo": (limits.major_max_m - limits.major_min_m) * 1e6
            if row.unit == "um"
            else limits.major_min_m / MM,
            "6g pitc": limits.pitch_min_m / MM,
        }[what[:7]]
    if what.startswith(("height of fund", "basic profile height", "root radius")):
        triangle = ISO.triangle * float(given["P_mm"])
        return triangle * {"h": 1, "b": 5 / 8, "r": 1 / 6}[what[0]]
    if what.endswith(("(UNC)", "(UNF)", "(BSW)", "(BSF)")):
        form = UNIFIED if "UN" in what else WHITWORTH
        of = shaped(form, float(given["d_in"]) * IN, IN / float(given["tpi"]))
        if "area" in what:
            return of.stress_area_m2 / IN**2
        return (of.minor_m if "minor" in what else of.pitch_diameter_m) / IN
    if what.startswith("BA core"):
        return shaped(BA, float(given["d_mm"]) * MM, float(given["p_mm"]) * MM).minor_m / IN
    return None


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row.quantity} {row.inputs}")
def test_a_dimension_is_as_printed(row):
    """a_threads.csv: ISO 68-1, 724, 898-1, 965-1; ASME B1.1; BS 84; BS 93, as named there."""
    given = found(row)
    if given is None:
        assert row.quantity.startswith(("coarse pitch", "BA pitch", "BA outside"))
    else:
        assert given == pytest.approx(float(row.expected), abs=row.slack)


def r40_step(number):
    """The distance of two neighbours in the R40 series (ISO 3), at most."""
    return number * 0.075


def test_crest_tolerances_follow_the_law_of_the_standard():
    """ISO 965-1: Td = 180 P^(2/3) - 3.15/√P; TD1 = 433 P - 190 P^1.22, 230 P^0.7 from 1 mm."""
    for row in data_table("thread_limits").rows:
        pitch = float(row["pitch_mm"])
        major = 180 * pitch ** (2 / 3) - 3.15 / sqrt(pitch)
        minor = 230 * pitch**0.7 if pitch >= 1 else 433 * pitch - 190 * pitch**1.22
        assert float(row["major_um"]) == pytest.approx(major, abs=r40_step(major))
        assert float(row["minor_um"]) == pytest.approx(minor, abs=r40_step(minor))
        assert float(row["gap_um"]) == pytest.approx(15 + 11 * pitch, abs=2)


def test_flank_tolerances_follow_the_law_of_the_standard():
    """ISO 965-1: Td2 = 90 P^0.4 d^0.1, d the geometric mean of the range; TD2 = 1.32 Td2."""
    for row in data_table("flank_limits").rows:
        middle = sqrt(float(row["over_mm"]) * float(row["upto_mm"]))
        bolt = 90 * float(row["pitch_mm"]) ** 0.4 * middle**0.1
        assert float(row["bolt_um"]) == pytest.approx(bolt, abs=r40_step(bolt))
        assert float(row["nut_um"]) == pytest.approx(1.32 * bolt, abs=r40_step(1.32 * bolt))


@pytest.mark.parametrize(
    ("name", "crests", "pitch", "bore"),
    [
        ("1/4-20 UNC", (0.2408, 0.2489), (0.2127, 0.2164), (0.196, 0.207)),
        ("1/2-13 UNC", (0.4876, 0.4985), (0.4435, 0.4485), (0.417, 0.434)),
        ("3/8-24 UNF", (0.3667, 0.3739), (0.3430, 0.3468), (0.330, 0.340)),
        ("10-32 UNF", (0.1831, 0.1891), (0.1658, 0.1688), (0.156, 0.164)),
    ],
)
def test_unified_limits_are_those_of_the_tables(name, crests, pitch, bore):
    """ASME B1.1, Table of standard limits for 2A and 2B, from memory [in]."""
    limits = thread_limits(thread_named(name))
    assert (limits.major_min_m / IN, limits.major_max_m / IN) == pytest.approx(crests, abs=1.5e-4)
    assert (limits.pitch_min_m / IN, limits.pitch_max_m / IN) == pytest.approx(pitch, abs=1.5e-4)
    assert (limits.bore_min_m / IN, limits.bore_max_m / IN) == pytest.approx(bore, abs=6e-4)


def test_the_least_core_is_that_of_the_breaking_torques():
    """ISO 898-7, Table 2 (from memory): d3 min of M2 to M10, root radius 0.125 P, class 6g."""
    printed = {"2": 1.408, "2.5": 1.84, "3": 2.272, "4": 3.002, "5": 3.868, "6": 4.596,
               "8": 6.272, "10": 7.938}  # fmt: skip
    for size, core in printed.items():
        limits = thread_limits(thread_named(f"M{size}"))
        assert limits.root_min_m / MM == pytest.approx(core, abs=1e-3)


def test_every_thread_of_the_table_has_dimensions_in_order():
    """Root, bore, pitch diameter and crests lie inside one another, and so do the areas."""
    for thread in known_threads():
        of, limits = dimensions(thread), thread_limits(thread)
        assert 0 < of.root_m <= of.minor_m < of.pitch_diameter_m < of.major_m
        assert pi / 4 * of.root_m**2 < of.stress_area_m2 < pi / 4 * of.pitch_diameter_m**2
        assert limits.major_min_m < limits.major_max_m
        assert limits.bore_min_m < limits.bore_max_m < limits.major_min_m + of.pitch_m
        assert limits.root_min_m < limits.pitch_min_m < limits.pitch_max_m


@pytest.mark.parametrize(
    ("form", "drop"), [(ISO, 0.938194), (UNIFIED, 0.974279), (WHITWORTH, 0.960491), (BA, 0.9)]
)
def test_the_stress_circle_is_that_of_the_standard(form, drop):
    """ISO 898-1: d - 0.9382 P; ASME B1.1: d - 0.9743/n; the others the mean of two diameters."""
    assert form.stress_drop == pytest.approx(drop, abs=1e-6)


LIMITS = rows("thread_limits.csv")


@pytest.mark.parametrize("row", LIMITS, ids=lambda row: f"{row.quantity} {row.inputs}")
def test_a_limit_is_as_printed(row):
    """thread_limits.csv: ISO 965-1 (6g, 6H), BS 93 and ISO 228-1, by way of its sources."""
    thread = thread_named(row.inputs["size"])
    limits, of = thread_limits(thread), dimensions(thread)
    got_m = {
        "6g major max": limits.major_max_m,
        "6g major min": limits.major_min_m,
        "6g pitch max": limits.pitch_max_m,
        "6g pitch min": limits.pitch_min_m,
        "6g root min": limits.root_min_m,
        "6H pitch max": limits.nut_pitch_max_m,
        "6H minor max": limits.bore_max_m,
        "BA external major tolerance": limits.major_max_m - limits.major_min_m,
        "BA internal minor tolerance": limits.bore_max_m - limits.bore_min_m,
        "BA internal effective tolerance": limits.nut_pitch_max_m - of.pitch_diameter_m,
        "G major diameter": of.major_m,
    }[row.quantity]
    assert got_m / MM == pytest.approx(float(row.expected), abs=row.slack + 1e-9)
