"""Baking, scatter of preload, friction and depth of engagement against printed tables."""

import pytest

from putback.bench.bolt.calculator import bolt_named
from putback.bench.bolt.engagement import engagement, hole_of
from putback.bench.coating.growth import baking_hours
from putback.bench.strength import strength_of
from putback.bench.threads import Series, inch_thread
from putback.bench.torque.conditions import friction_of, scatters
from tests.published.reference import rows

ROWS = rows("fastener_practice.csv")
KPSI = 6_894_757.293168


def of_kind(start):
    """The rows whose quantity begins so, as parameters."""
    found = [row for row in ROWS if row.quantity.startswith(start)]
    return pytest.mark.parametrize("row", found, ids=lambda row: str(row.inputs))


@of_kind("baking")
def test_baking_lasts_as_printed(row):
    """fastener_practice.csv: ASTM B850-98 (2009), at both ends of each range."""
    low, high = (float(each) * 1e6 for each in row.inputs["tensile_MPa"].split("-"))
    assert baking_hours(low) == int(row.expected)
    assert baking_hours(high - 1) == int(row.expected)


@of_kind("scatter")
def test_scatter_of_preload_is_as_printed(row):
    """fastener_practice.csv: a machinist's handbook and NASA, as a lecture quotes them."""
    assert dict(scatters())[row.inputs["method"]] * 100 == pytest.approx(float(row.expected))


@of_kind("friction class")
def test_friction_lies_within_its_class(row):
    """fastener_practice.csv: VDI 2230-1, friction classes A to C."""
    low, high = map(float, row.expected.split("-"))
    friction = friction_of(row.inputs["condition"])
    assert low <= friction.least < friction.usual < friction.most <= high


@of_kind("depth of engagement")
def test_depth_of_engagement_agrees_with_trials(row):
    """fastener_practice.csv: trials of M6 to M16 of class 8.8, coarse, to within a fifth."""
    low, high = map(float, row.expected.split("-"))
    hole = hole_of(row.inputs["into"], float(row.inputs["Rm_MPa"]) * 1e6)
    for size in ("M6", "M8", "M10", "M12", "M16"):
        bolt = bolt_named(size, row.inputs["class"])
        depth = engagement(bolt.thread, bolt.strength.tensile_pa, bolt.loads.area_m2, hole)
        assert 0.8 * low < depth.needed_m / bolt.thread.major_m < 1.2 * high


@of_kind("SAE J429")
def test_a_large_bolt_of_grade_2_is_weaker(row):
    """fastener_practice.csv: SAE J429, grade 2 over 3/4 in."""
    printed = [float(each) for each in row.expected.split("-")]
    for size in ("7/8", "1 1/2"):
        found = strength_of(row.inputs["grade"], inch_thread(size, series=Series.UNC))
        stresses = (found.proof_pa, found.yield_pa, found.tensile_pa)
        assert [each / KPSI for each in stresses] == pytest.approx(printed)
