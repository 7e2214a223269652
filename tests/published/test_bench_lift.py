"""The revised NIOSH equation against the figures that its manual prints."""

import csv
from math import prod, radians

import pytest

from putback.bench.lift.calculator import OUTSIDE
from putback.bench.lift.equation import (
    METRIC,
    US,
    Lift,
    Limit,
    asymmetry_multiplier,
    coupling_multiplier,
    distance_multiplier,
    duration_class,
    frequency_multiplier,
    frequency_over_a_quarter,
    horizontal_multiplier,
    is_low,
    minutes_in_one_go,
    recommended_limit,
    vertical_multiplier,
)
from tests.published.reference import DATA, Row, rows

ROWS = rows("f_lifting_niosh.csv")
with (DATA / "f_niosh_fm_table.csv").open(encoding="utf-8", newline="") as _table:
    TABLE_5 = list(csv.DictReader(_table))
LB_KG = 0.45359237  # exact: NIST SP 811, appendix B
IN_M = 0.0254
PRINTED_HM = {"22": 0.46, "23": 0.44}
"""Where Table 1 prints otherwise than 10/H gives; the examples use what it prints."""
MINUTES = {"<=1h": 60, ">1<=2h": 120, ">2<=8h": 480}


def of(start: str) -> list[Row]:
    """The rows whose quantity begins so, of which there must be some."""
    found = [row for row in ROWS if row.quantity.startswith(start)]
    assert found
    return found


def named(row: Row) -> str:
    """A row as its test is called."""
    return f"{row.quantity} {row.inputs}"


def single(of_what: str, row: Row) -> float:
    """Give one multiplier by the letter of its input."""
    given = {name: float(value) for name, value in row.inputs.items()}
    match of_what, *given:
        case "HM", "H_in":
            return horizontal_multiplier(given["H_in"] * IN_M, US)
        case "HM", "H_cm":
            return horizontal_multiplier(given["H_cm"] / 100, METRIC)
        case "VM", "V_in":
            return vertical_multiplier(given["V_in"] * IN_M, US)
        case "VM", "V_cm":
            return vertical_multiplier(given["V_cm"] / 100, METRIC)
        case "DM", "D_in":
            return distance_multiplier(given["D_in"] * IN_M, US)
        case "DM", "D_cm":
            return distance_multiplier(given["D_cm"] / 100, METRIC)
        case "AM", "A_deg":
            return asymmetry_multiplier(radians(given["A_deg"]))
    raise AssertionError(row)


@pytest.mark.parametrize(
    "row", [row for what in ("HM", "VM", "DM", "AM") for row in of(what)], ids=named
)
def test_multipliers_of_tables_1_to_4(row):
    """Each multiplier is that of the table, to the places it prints."""
    assert single(row.quantity[:2], row) == pytest.approx(float(row.expected), abs=row.slack)


@pytest.mark.parametrize("row", of("FM"), ids=named)
def test_frequency_multipliers_of_table_5(row):
    """By lifts a minute, duration and height, and on a straight line between two rows."""
    found = frequency_multiplier(
        float(row.inputs["F_per_min"]),
        MINUTES[row.inputs["duration"]],
        is_low(float(row.inputs["V_in"]) * IN_M, US),
    )
    assert found == pytest.approx(float(row.expected), abs=row.slack + 1e-9)


@pytest.mark.parametrize("row", TABLE_5, ids=lambda row: row["F_per_min"])
def test_the_whole_of_table_5(row):
    """f_niosh_fm_table.csv: every frequency, by duration and height; over 15 a minute, none."""
    at = row["F_per_min"]
    per_minute = 15.5 if at == ">15" else float(at)
    for hours, minutes in (("le1h", 60), ("gt1_le2h", 120), ("gt2_le8h", 480)):
        for height, low in (("lt", True), ("ge", False)):
            found = frequency_multiplier(per_minute, minutes, low)
            assert found == pytest.approx(float(row[f"{hours}_V_{height}_30in"]), abs=1e-9)


@pytest.mark.parametrize("row", of("CM"), ids=named)
def test_coupling_multipliers_of_table_7(row):
    """By grip and height."""
    found = coupling_multiplier(row.inputs["coupling"], float(row.inputs["V_in"]) < 30)
    assert found == float(row.expected)


@pytest.mark.parametrize("row", of("Example"), ids=named)
def test_worked_examples(row):
    """Limits and indices of the manual's examples, by whole multipliers or by those it prints."""
    given = row.inputs
    end = Lift(
        float(given["H_in"]) * IN_M,
        float(given["V_in"]) * IN_M,
        float(given["D_in"]) * IN_M,
        radians(float(given["A_deg"])),
        float(given.get("F", "0.2")),
        60,
        given["coupling"],
    )
    limit = recommended_limit(end, US)
    limit_lb = limit.weight_kg / LB_KG
    if "full precision" not in row.quantity:
        limit_lb = by_printed_places(limit, PRINTED_HM.get(given["H_in"]))
    found = float(given["L_lb"]) / round(limit_lb, 1) if "LI" in row.quantity else limit_lb
    assert found == pytest.approx(float(row.expected), abs=row.slack)


def by_printed_places(limit: Limit, hm: float | None = None) -> float:
    """Multiply as the manual does, by multipliers of two places [lb]."""
    each = (hm or limit.hm, limit.vm, limit.dm, limit.am, limit.fm, limit.cm)
    return 51 * prod(round(one + 1e-9, 2) for one in each)


def test_a_worked_table_without_frequency():
    """51 x .50 x .82 x .93 x 1 x .95, printed as 18.4."""
    (row,) = of("RWL without FM")
    end = Lift(20 * IN_M, 6 * IN_M, 16 * IN_M, per_minute=0, grip="fair")
    assert by_printed_places(recommended_limit(end, US)) == pytest.approx(
        float(row.expected), abs=row.slack
    )


def test_lifting_for_part_of_a_quarter_of_an_hour():
    """10 a minute for 8 of 15 minutes are 5.33 a minute."""
    (row,) = of("frequency for work")
    assert frequency_over_a_quarter(10, 8) == pytest.approx(float(row.expected), abs=row.slack)


def test_a_rest_too_short_joins_two_spells():
    """Lifting 30 and 45 minutes with 10 of light work between is 75 minutes, and moderate."""
    (row,) = of("duration class")
    together = minutes_in_one_go([(30, 10), (45, 0)])
    assert f"{duration_class(together)} ({together:g} min of lifting)" == row.expected


def test_what_the_manual_leaves_out_is_refused():
    """Every exclusion is a way of lifting that the calculator offers, to refuse it by name."""
    (row,) = of("equation does not apply")
    assert row.expected == "refuse to compute"
    wanted = {"one hand", "seated or kneeling", "cramped", "pushing, pulling or carrying",
              "load that shifts", "slippery floor"}  # fmt: skip
    assert wanted <= set(OUTSIDE)
