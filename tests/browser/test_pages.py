"""Every page, as a person meets it: on both screens, in both themes, full and empty."""

from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from itertools import product

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import DESK, PHONE, complaints_of, seen_as, shuts_out, signed_in
from tests.browser.keyboard import walk

PAGES = [
    "/offline?v={vehicle}",
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
    "/v/{vehicle}/vehicle",
    "/v/{vehicle}/photos",
    "/v/{vehicle}/paper",
    "/v/{vehicle}/scan",
    "/v/{vehicle}/slate",
    "/v/{vehicle}/strip",
    "/v/{vehicle}/rebuild",
    "/v/{vehicle}/reach?what=gearbox",
    "/v/{vehicle}/ties?what=assembly:ENGINE",
    "/v/{vehicle}/why",
    "/v/{vehicle}/what-if",
    "/v/{vehicle}/calendar",
    "/v/{vehicle}/parts",
    "/v/{vehicle}/hardware?by=bags",
    "/v/{vehicle}/places",
    "/v/{vehicle}/partners",
    "/v/{vehicle}/book",
    "/v/{vehicle}/describe",
    "/v/{vehicle}/describe/new/joints",
]
OF_THE_SITE = [
    "/",
    "/me",
    "/trust",
    "/phone",
    "/take-in",
    "/bench/",
    "/bench/units?value=27%20lbf%20ft&to=Nm",
]
"""Pages that are the same whatever vehicle somebody comes from."""
OF_ONE = [
    "/v/{vehicle}/part/BS01",
    "/v/{vehicle}/joint/J024",
    "/v/{vehicle}/tag/2237",
    "/v/{vehicle}/describe/all/parts",
    "/v/{vehicle}/describe/one/joints/J024",
    "/v/{vehicle}/other-side",
]
"""Pages of one thing of the demo; nothing of the kind is on an empty vehicle."""


@pytest.fixture(scope="module")
def window(served, chromium) -> Iterator[Page]:
    """One for all the pages: only their looks are judged, and those are of the server alone."""
    context = signed_in(served, chromium, service_workers="block")
    yield context.new_page()
    context.close()


@pytest.fixture
def looker(window) -> Iterator[Page]:
    """The window, small and light; what a page complains of fails the test."""
    seen_as(window, PHONE, "light")
    with complaints_of(window) as complaints:
        yield window
    assert complaints == []


@pytest.mark.looks
@pytest.mark.parametrize(
    ("which", "page"),
    [*product(("demo", "empty"), PAGES), *product(("demo",), [*OF_THE_SITE, *OF_ONE])],
)
def test_no_page_shuts_anybody_out(served, looker, page, which):
    """axe-core finds no violation, the console no fault, and nothing runs off the screen.

    The tabulator reaches whatever can be clicked, and one sees where it is. Each page is loaded
    once and looked at on both screens in both themes, by `make looks` with every rule on each.
    """
    answer = looker.goto(page.format(vehicle=getattr(served, which)))
    assert answer.status == 200
    assert shuts_out(looker, PHONE, DESK) == []
    if which == "demo":  # an empty page has nothing that a full one has not
        walked = walk(looker)
        assert walked.stops > 1
        assert walked.faults == ()


def test_whoever_is_not_signed_in_is_not_shut_out_either(served, chromium):
    """The page for signing in, in a browser that nobody is signed in on, by keyboard as well."""
    context = chromium.new_context(
        base_url=served.address, viewport=PHONE, reduced_motion="reduce"
    )
    page = context.new_page()
    with complaints_of(page) as complaints:
        page.goto("/in")
        assert page.get_by_label("Password").count() == 1
        assert shuts_out(page, PHONE, DESK) == []
        assert walk(page).faults == ()
    assert complaints == []
    context.close()


@pytest.mark.parametrize(
    ("said", "fault"),
    [
        ('<button tabindex="-1">Never</button>', "missed"),
        ('<button onkeydown="event.preventDefault()">Trap</button><a href="/">On</a>', "missed"),
        ('<button style="outline: none">Blind</button>', "unseen"),
        ('<div style="height: 9px; overflow: auto">One<br>two<br>three</div>', "strays"),
    ],
)
def test_the_walk_by_keyboard_sees_faults(phone, said, fault):
    """A planted one is found: passed over, held fast, not shown, nothing to do."""
    phone.set_content(f"<a href='/'>First</a>{said}")
    assert getattr(walk(phone), fault)


DARK = "@media (prefers-color-scheme: dark)"


@pytest.mark.parametrize(
    ("at_the_desk", "fault"),
    [
        ("#seen { display: block; color: #bbb }", "1280 px, light: color-contrast"),
        (
            f"#seen {{ display: block }} {DARK} {{ #seen {{ color: #333 }} }}",
            "1280 px, dark: color",
        ),
        ("a.small { font-size: 5px; margin: 0 }", "1280 px, light: target-size"),
        ("p { height: 9px; overflow: auto }", "1280 px, light: scrollable-region-focusable"),
        ("#seen { display: block; width: 2000px }", "px run off the screen"),
    ],
)
def test_what_is_wrong_on_one_screen_alone_is_seen(phone, at_the_desk, fault):
    """A planted one: what only the desk shows, in one theme, and what only there is too small."""
    phone.set_content(f"""<html lang="en"><title>Planted</title><style>
      body {{ background: white; color: black }}
      #seen {{ display: none }}
      a.small {{ font-size: 40px; margin: 30px; display: inline-block }}
      {DARK} {{ body {{ background: black; color: white }} a {{ color: white }} }}
      @media (min-width: 900px) {{ {at_the_desk} }}
    </style><main><h1>Planted</h1><div id="seen">Seen</div><a class="small" href="/">One</a
      ><a class="small" href="/two">Two</a><p>Three<br>four<br>five</p></main>""")
    found = [each for each in shuts_out(phone, PHONE, DESK) if fault in each]
    assert len(found) >= 1


def test_a_page_tells_the_server_which_day_it_is_where_somebody_is(served, chromium):
    """A line that says today is of their today, hours after it began in UTC, or before."""
    context = signed_in(served, chromium, timezone_id="Pacific/Kiritimati")  # UTC+14, all the year
    page = context.new_page()
    page.goto("/me")
    page.wait_for_function("document.cookie.includes('putback_ahead=840')")
    page.goto(f"/v/{served.demo}/say?line=note%20%22x%22%20@today")
    today = datetime.now(timezone(timedelta(hours=14)))
    told = page.locator("#understood").inner_text()
    assert f"When: {today.day} {today:%b %Y}." in told
    context.close()
