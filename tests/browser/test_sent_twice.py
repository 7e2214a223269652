"""Somebody taps again while a slow network has not answered: it is logged once."""

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import signed_in
from tests.browser.own import begin
from tests.browser.queued import stored

SLOW = {"offline": False, "latency": 500, "downloadThroughput": -1, "uploadThroughput": -1}
"""A network that takes its time with every answer; latency in [ms]."""
AGAIN = """(button, most) => {
  let taps = 0;
  const tap = () => {
    button.click();
    if (++taps < most) setTimeout(tap, 50);
  };
  tap();
}"""
"""Taps twenty times a second for as long as the page is there, and so many times at most."""


@pytest.fixture
def slow_phone(served, chromium):
    """A phone of which every request takes the slow way: no worker of the app is in between."""
    context = signed_in(served, chromium, service_workers="block")
    yield context.new_page()
    context.close()


@pytest.mark.parametrize("has_scripts", [True, False], ids=["with scripts", "without"])
def test_impatient_taps_on_a_slow_network_log_once(slow_phone, served, has_scripts):
    """A plain form, and one that the queue takes and that goes on to another page by itself."""
    page, car = slow_phone, begin(slow_phone, f"Tapped again, {has_scripts}")
    network = page.context.new_cdp_session(page)
    network.send("Network.enable")
    for asks, button, most, told in (
        ("book", "Note it", 12, ".entries >> text=found mice"),
        ("pack-up", "Packed up", 100 if has_scripts else 12, "#thumb"),
    ):
        if not has_scripts:
            page.route("**/*.js", lambda route: route.abort())
        page.goto(f"/v/{car}/{asks}")
        page.evaluate("for (const each of document.querySelectorAll('details')) each.open = true")
        if asks == "book":
            page.get_by_label("What happened").fill("found mice")
        before = len(stored(served, car))
        network.send("Network.emulateNetworkConditions", SLOW)
        page.get_by_role("button", name=button).evaluate(AGAIN, most)
        expect(page.locator(told)).to_be_visible()
        network.send("Network.emulateNetworkConditions", SLOW | {"latency": 0})
        page.unroute_all()
        assert len(stored(served, car)) == before + 1, asks
