"""Weighing, tipping, towing and tying down against printed figures and rules."""

from math import degrees, radians

import pytest

from putback.bench import lashing, tiedown
from putback.bench.balance.weighing import (
    behind_front_m,
    height_by_tilting_m,
    sideways_at_tip,
    stability_factor,
    tilt_rad,
    tips_at_rad,
)
from putback.bench.tables import data_table
from putback.bench.trailer import HABITS
from tests.published.reference import Row, rows

ROWS = rows("g_balance_cargo.csv")


def of(start: str) -> list[Row]:
    """The rows whose quantity begins so, of which there must be some."""
    found = [row for row in ROWS if row.quantity.startswith(start)]
    assert found
    return found


def one(start: str) -> Row:
    """The one row whose quantity begins so."""
    (row,) = of(start)
    return row


def inputs(row: Row) -> dict[str, float]:
    """The inputs that are plain numbers, by name."""
    return {
        name: float(value.split()[0])
        for name, value in row.inputs.items()
        if value.split()[0].replace(".", "", 1).isdigit()
    }


def agrees(found: float, row: Row) -> bool:
    """Whether a value is within the tolerance of its row."""
    return found == pytest.approx(float(row.expected), abs=row.slack + 1e-9)


@pytest.mark.parametrize("row", of("mass centre from"), ids=lambda row: row.quantity)
def test_axle_loads_give_the_place_along(row):
    """Jazar's example 40, from the front axle and from the rear."""
    given = inputs(row)
    from_front = behind_front_m(given["Fz1_N"], given["Fz2_N"], given["l_m"])
    assert agrees(from_front if "front" in row.quantity else given["l_m"] - from_front, row)


def test_raising_one_axle_gives_the_height():
    """Worked back from a height of 34 cm: the printed example contradicts itself."""
    row = one("centre of gravity height by lifting")
    given = inputs(row)
    found = height_by_tilting_m(
        given["front_level_N"],
        given["front_tilted_N"],
        given["W_N"],
        given["wheelbase_m"],
        radians(given["angle_deg"]),
        given["R_m"],
    )
    assert agrees(found, row)


def test_the_height_holds_for_a_steep_tilt_too():
    """By b cot X (W1 − W0) / M, over the line of the axles."""
    row = one("same case, exact")
    above_axles = height_by_tilting_m(550, 590, 1000, 2.5, tilt_rad(0.6, 2.5), 1.0) - 1.0
    assert agrees(above_axles * 1000, row)


def test_tipping_sideways():
    """T/2H, its angle, and what springs and tyres leave of it."""
    assert agrees(stability_factor(1.400, 0.560), one("static stability factor"))
    assert agrees(degrees(tips_at_rad(0.700, 0.560)), one("tip angle"))
    for row in of("lateral g at tip"):
        given = inputs(row)
        assert agrees(sideways_at_tip(given["SSF"], given["fraction"]), row)


def test_the_habit_of_nose_weight():
    """10 to 15 % of the loaded trailer."""
    assert one("tongue load share").expected == "10 to 15 % of loaded trailer weight"
    assert HABITS["10 to 15 %"] == (0.10, 0.15)


def test_the_wider_habit_of_nose_weight():
    """9 to 15 %: 630 to 1050 lb of a trailer of 7000 lb."""
    row = one("tongue weight range")
    least, most = (share * inputs(row)["trailer_lb"] for share in HABITS["9 to 15 %"])
    assert f"{least:.0f} to {most:.0f}" == row.expected


def test_rules_for_lifting_gear():
    """ASME PALD-2009: every figure of its rows is in the table, in the same order."""
    ours = [float(row["value"]) for row in data_table("lifting_gear").rows]
    theirs = [float(row.expected) for row in of("ASME PALD")]
    theirs.insert(3, 1.0)  # the range of one row, whose name has its lower end
    assert ours == theirs


@pytest.mark.parametrize("row", of("49 CFR 393.102"), ids=lambda row: row.quantity)
def test_forces_to_be_held(row):
    """What must hold without breaking, and within the working load limit."""
    if "downward" in row.quantity:
        assert float(row.expected) == tiedown.DOWNWARD_SHARE
        return
    words = {"forward": "forward", "rearward": "rearward", "lateral": "sideways"}
    way = next(ours for theirs, ours in words.items() if theirs in row.quantity)
    place = 0 if "breaking strength" in row.quantity else 1
    assert tiedown.FORCES[way][place] == float(row.expected)


def test_working_load_limits():
    """Half the weight is asked for; a direct strap counts half, one over the top whole."""
    assert agrees(tiedown.least_wll_kg(3000), one("49 CFR 393.106 aggregate"))
    direct = tiedown.counted_kg(3333, "to the vehicle itself")
    assert agrees(direct, one("WLL counted from direct"))
    over = tiedown.counted_kg(3333, "over it to the other side")
    assert agrees(over, one("WLL counted from tiedown over"))


def test_direct_straps_for_a_vehicle():
    """Two by their limit, and four by the rule of two at each end."""
    row = one("direct straps needed")
    answer = tiedown.tiedown(
        4000 * tiedown.LB_KG, 15 * tiedown.FT_M, 3333 * tiedown.LB_KG, "to the vehicle itself",
        True, False,
    )  # fmt: skip
    assert answer["by_limit"] == 2
    assert answer["number"] == int(row.expected)
    assert one("393.128 applies").expected.startswith("10000 lb")
    assert pytest.approx(10_000 * 0.45359237) == tiedown.LIGHT_KG


@pytest.mark.parametrize("row", of("393.110"), ids=lambda row: str(row.inputs))
def test_number_by_length_and_weight(row):
    """Of an article that nothing blocks forward."""
    given = inputs(row)
    found = tiedown.number_by_length(
        given["length_ft"] * tiedown.FT_M,
        given["weight_lb"] * tiedown.LB_KG,
        is_blocked=False,
    )
    assert found == int(row.expected)


@pytest.mark.parametrize("way", ["sideways", "forward"])
def test_lashings_over_the_top(way):
    """EN 12195-1:2010, before rounding up (from memory)."""
    row = one(f"EN 12195-1:2010 top-over lashings {way}")
    assert agrees(lashing.over_the_top(1500, 0.4, 4000, radians(90), way), row)


def test_what_the_editions_of_the_standard_ask():
    """A tenth more than without a safety factor, as the comparison of editions says."""
    row = one("lashing demand ratio prEN")
    assert agrees(lashing.SAFETY["sideways"], row)
