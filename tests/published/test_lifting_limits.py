"""What people lift by hand, as the open item on lifts says it."""

import pytest

from putback.bench.lift.equation import TEAM_SHARE
from putback.logbook.open_items import USUAL
from tests.makers import vehicle
from tests.makers_logbook import Story

LB_KG = 0.45359237  # exact: NIST SP 811, appendix B


def test_one_person_lifts_the_load_constant_of_niosh():
    """23 kg, which is the 51 lb behind a worked example of the same publication.

    Source: DHHS (NIOSH) 94-110, revised 9/2021, example 4: the recommended weight at the origin is
    34.9 lb = load constant x 1.0 x .94 x .87 x 1.0 x .88 x .95.
    """
    constant_lb = 34.9 / (1.0 * 0.94 * 0.87 * 1.0 * 0.88 * 0.95)
    assert round(constant_lb) == 51
    assert pytest.approx(constant_lb * LB_KG, rel=0.01) == USUAL.one_person_kg


@pytest.mark.parametrize(("people", "team_kg"), [(1, 20), (2, 26.6), (3, 30)])
def test_a_team_lifts_less_than_the_sum_of_its_people(people, team_kg):
    """Two thirds of the sum for two people, half for three, and no figure for more.

    Source: HSE guidance L23 on the Manual Handling Operations Regulations 1992; its example as
    given by Network Rail, "Lifting and handling in teams": 20 kg for one makes "around 26.6 kg"
    for two.
    """
    situation = Story(vehicle()).situation(one_person_kg=20)
    assert situation.team_kg(people) == pytest.approx(team_kg, abs=0.1)
    assert situation.team_kg(4) is None
    assert set(TEAM_SHARE) == {1, 2, 3}
