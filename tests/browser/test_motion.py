"""A page where motion is allowed: the other tests ask for none, as many people do."""

import pytest

from tests.browser.conftest import violations

pytestmark = pytest.mark.looks

MOVING = """() => document.getAnimations()
  .filter((each) => each.effect.getComputedTiming().endTime > 1000).length"""
"""Animations that take longer than a second, or never end."""


def test_with_motion_allowed_the_next_job_is_opened_and_counted_all_the_same(phone, served):
    """Nothing goes on moving, what is pressed answers, and axe-core finds nothing."""
    phone.emulate_media(reduced_motion="no-preference")
    phone.goto(f"/v/{served.demo}/?job=joint:J053")
    assert phone.evaluate("matchMedia('(prefers-reduced-motion: no-preference)').matches")
    phone.locator("summary.go").tap()
    before = int(phone.locator("#out").input_value())
    phone.get_by_role("button", name="One less").tap()
    assert int(phone.locator("#out").input_value()) == before - 1
    assert phone.evaluate(MOVING) == 0
    assert violations(phone) == []
    phone.locator("body").evaluate(
        "body => body.animate([{ opacity: 0.9 }], { iterations: Infinity, duration: 9 })"
    )
    assert phone.evaluate(MOVING) == 1  # what never ends would have been seen
