"""The bench on a phone: worked out for a part and kept there; and without a network."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import violations

pytestmark = pytest.mark.looks


def test_something_is_worked_out_for_a_part_and_kept_there(phone, served):
    """From the part to the calculator, a fault at its field, the answer, and back to the part."""
    phone.goto(f"/v/{served.demo}/parts")
    phone.get_by_label("Find").fill("boot lid")
    phone.get_by_role("link", name="Boot lid").first.tap()
    phone.get_by_role("link", name="Work something out for it").tap()
    phone.get_by_role("link", name="Units").tap()
    phone.get_by_label("What is to be converted").fill("26")
    phone.get_by_label("The unit it is wanted in").fill("kg")
    phone.get_by_role("button", name="Work it out").tap()
    expect(phone.locator("#wrong-value")).to_contain_text("say in which unit")
    phone.get_by_label("What is to be converted").fill("26 lb")
    phone.get_by_role("button", name="Work it out").tap()
    expect(phone.locator(".verdict")).to_have_text("26 lb = 11.7934016 kg.")
    assert violations(phone) == []
    phone.get_by_role("button", name="Log it").tap()
    expect(phone.locator("#thing .entries")).to_contain_text("26 lb = 11.7934016 kg")
    phone.get_by_role("button", name="Strike out").tap()
    expect(phone.locator("#thing .entries")).not_to_contain_text("11.7934016")


def test_a_pipe_is_drawn_and_runs_off_no_screen(phone):
    """Its lines typed as lines; pictures are told in words, and tables scroll by themselves."""
    phone.goto("/bench/bend?example")
    expect(phone.get_by_role("img").first).to_be_visible()
    assert violations(phone) == []
    wide = phone.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert wide <= 0


def test_without_a_network_the_bench_says_that_it_waits(own_phone):
    """And leads on: nobody is left with a page that does not open."""
    phone = own_phone
    phone.goto("/bench/")
    phone.evaluate("navigator.serviceWorker.ready.then(() => true)")
    phone.wait_for_function("navigator.serviceWorker.controller !== null")
    phone.context.set_offline(True)
    phone.goto("/bench/units?value=3+mm&to=in")
    expect(phone.get_by_role("status")).to_contain_text("worked out on the server")
    phone.context.set_offline(False)
    phone.get_by_role("link", name="Try again").tap()
    expect(phone.get_by_role("heading", name="Bench")).to_be_visible()
