"""Every page, as a person meets it: on both screens, in both themes, full and empty."""

import pytest

from tests.browser.conftest import violations

PAGES = [
    "/",
    "/me",
    "/trust",
    "/v/{vehicle}/people",
    "/v/{vehicle}/hold",
    "/v/{vehicle}/",
    "/v/{vehicle}/say?line=off%20bonet",
    "/v/{vehicle}/stuck",
    "/v/{vehicle}/not-now",
    "/v/{vehicle}/else",
    "/v/{vehicle}/pack-up",
    "/v/{vehicle}/resume?minutes=60",
    "/v/{vehicle}/newcomer",
    "/v/{vehicle}/catch-up",
    "/v/{vehicle}/vehicle/",
    "/v/{vehicle}/photos/",
    "/v/{vehicle}/strip/",
    "/v/{vehicle}/rebuild/",
    "/v/{vehicle}/reach/?what=gearbox",
    "/v/{vehicle}/ties/?what=assembly:ENGINE",
    "/v/{vehicle}/why/",
    "/v/{vehicle}/what-if/",
    "/v/{vehicle}/parts",
    "/v/{vehicle}/hardware?by=bags",
    "/v/{vehicle}/places",
    "/v/{vehicle}/book",
    "/v/{vehicle}/describe",
    "/v/{vehicle}/describe/new/joints",
    "/take-in",
]


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("which", ["demo", "empty"])
def test_no_page_shuts_anybody_out(served, tab, page, which):
    """axe-core finds no violation, the console no fault, and nothing runs off the screen."""
    answer = tab.goto(page.format(vehicle=getattr(served, which)))
    assert answer.status == 200
    assert violations(tab) == []
    assert tab.complaints == []
    wide = tab.evaluate("document.documentElement.scrollWidth - window.innerWidth")
    assert wide <= 0, f"{wide} px run off the screen"
