"""The counts of a joint that is stuck: none says what another denies."""

import pytest
from playwright.sync_api import Page

pytestmark = pytest.mark.looks


def step(page: Page, name: str, by: int) -> None:
    """Press the plus or the minus beside a count."""
    word = "One more" if by > 0 else "One less"
    stepper = page.locator(".stepper").filter(has=page.locator(f"#{name}"))
    for _ in range(abs(by)):
        stepper.get_by_role("button", name=word).tap()


def test_what_comes_out_is_not_stuck_any_more(phone, served):
    """Out and Stuck share the fixings there are; a sheared one is out, and never more than are."""

    def counts() -> list[int]:
        names = ("out", "stuck", "sheared")
        return [int(phone.locator(f"#{name}").input_value()) for name in names]

    phone.goto(f"/v/{served.demo}/stuck?joint=J053")
    step(phone, "out", -6)  # whatever a test before this one had out
    step(phone, "stuck", 6)
    assert counts() == [0, 6, 0]
    step(phone, "out", 2)
    assert counts() == [2, 4, 0]
    step(phone, "stuck", 1)
    assert counts() == [1, 5, 0]
    step(phone, "sheared", 2)
    assert counts() == [2, 4, 2]
    step(phone, "out", -1)
    assert counts() == [1, 4, 1]
