"""The demo's stands that are too far forward: told, and left, before the unit comes out."""

import csv
from dataclasses import replace

import pytest

from putback.planning.balance import balance, support_now
from putback.planning.balance_over import balance_over
from putback.planning.check import check_strip
from putback.planning.strip import plan_strip
from putback.vehicle.demo import demo_vehicle
from putback.vehicle.ids import StandingId
from tests.planning.hand_made import state_of
from tests.published.reference import DATA

WRONG = StandingId("STANDS-B")
UNIT = {"assembly:UNIT", "part:EB01"}

with (DATA / "m_demo_balance.csv").open(encoding="utf-8", newline="") as _table:
    _STRIPPED = next(row for row in csv.DictReader(_table) if row["state"].startswith("front"))
OFF, OUT = _STRIPPED["off"].split(), _STRIPPED["out"].split()


@pytest.fixture(scope="module")
def begun():
    """The demo with its front stripped, the unit still in, on the wrong stands."""
    vehicle = demo_vehicle()
    drains = [fluid.drained_by for fluid in vehicle.fluids.values() if fluid.id in OUT]
    return state_of(vehicle, off=OFF, done=drains, standing=WRONG)


def standing_of_unit(plan):
    """How it stands when the unit, or the engine by itself, comes out."""
    return next(step.standing for step in plan.steps if step.what in UNIT)


def test_the_wrong_stands_hold_it_only_while_the_unit_is_in(begun):
    """Its weight lies well inside now, and too near the edge without engine and gearbox."""
    vehicle = begun.vehicle
    assert balance(vehicle, begun, WRONG).margin_m > 0.2
    assert support_now(vehicle, begun, WRONG) is None
    parts = [part for part in vehicle.assemblies["UNIT"].parts if part not in begun.parts_off]
    without = state_of(
        vehicle,
        off=[*begun.parts_off, *parts],
        done=begun.jobs_done,
        standing=WRONG,
    )
    assert balance(vehicle, without, WRONG).margin_m < 0.1
    assert support_now(vehicle, without, WRONG).supports[0].place_of in {"SET-A-3", "SET-A-4"}


def test_the_strip_leaves_the_wrong_stands_before_the_unit_comes_out(begun):
    """It goes over to proper ones first, and the checker agrees."""
    vehicle = begun.vehicle
    goal = vehicle.goals["G1"]
    plan = plan_strip(vehicle, begun, goal)
    assert standing_of_unit(plan) != WRONG
    over = balance_over(vehicle, begun, plan)
    assert all(each.holds for each in over)
    assert check_strip(vehicle, begun, goal, plan) == ()


def test_it_leaves_them_where_nothing_else_asks_for_it(begun):
    """Even where every step could be done as it stands, and a change costs half an hour."""
    vehicle = begun.vehicle.with_records(
        **{
            table: {
                name: replace(record, standings=())
                for name, record in getattr(begun.vehicle, table).items()
            }
            for table in ("parts", "joints", "jobs")
        }
    )
    begun = replace(begun, vehicle=vehicle)
    goal = vehicle.goals["G1"]
    plan = plan_strip(vehicle, begun, goal)
    assert standing_of_unit(plan) == "STANDS"
    assert all(each.holds for each in balance_over(vehicle, begun, plan))
    assert check_strip(vehicle, begun, goal, plan) == ()
