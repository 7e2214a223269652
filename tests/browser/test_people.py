"""Coming in by an invitation, and a hold that everybody sees: as people do it on their phones."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import count

import pytest
from playwright.sync_api import Page, expect

from putback.web.pages.access import COOKIE
from putback.web.store import setup
from scripts.serving import serving
from tests.browser.conftest import DESK, EVERY_LOOK, ON_THE_PHONE, PHONE, shuts_out
from tests.browser.keyboard import walk
from tests.browser.own import PLANNED_MS, begin, press
from tests.ready_made import lay_file
from tests.web.site import OWNER, PASSWORD, Site

pytestmark = pytest.mark.looks

HINGES = "hinges and a rusty gate"
AS_MANY = count(1)
"""Numbers those who come in: each is somebody else."""
LAID_OUT_MS = 90_000
"""What laying the demo out may take on a machine that is busy with other tests [ms]."""


def test_somebody_comes_in_by_an_invitation_and_sees_the_hold(phone, chromium, served, look):
    """The owner invites and sets a hold; the guest opens the link elsewhere, and lifts it."""
    phone.goto(f"/v/{served.empty}/hold")
    phone.get_by_label("Hold", exact=True).fill("no brakes: do not roll")
    phone.get_by_role("button", name="Set it").tap()
    phone.get_by_role("link", name="Lift it").wait_for()
    phone.goto(f"/v/{served.empty}/people")
    phone.get_by_role("button", name="Make an invitation").tap()
    link = phone.locator(".copied").inner_text()
    assert phone.get_by_role("img", name="as a QR code").is_visible()
    assert shuts_out(phone) == []

    with another(chromium, served.address, look) as guest:
        guest.goto(link)
        assert shuts_out(guest, PHONE, DESK) == []
        assert walk(guest).faults == ()
        guest.get_by_label("Your name").fill(f"Gus Guest {next(AS_MANY)}")
        guest.get_by_label("A password").fill(HINGES)
        guest.get_by_role("button", name="Come in").tap()
        guest.get_by_role("link", name="Lift it").tap()
        guest.get_by_label("Why it is safe now").fill("new hoses, the pedal is hard")
        guest.get_by_role("button", name="Lift this hold").tap()
        guest.get_by_text("Nothing is held.").wait_for()


@pytest.mark.looks(EVERY_LOOK[0], EVERY_LOOK[-1])  # wrong passwords count against the machine too
def test_who_was_invited_is_let_in_changed_signed_out_and_shut_out(phone, served, chromium, look):
    """To a vehicle with nothing but a name; a link that was withdrawn lets nobody in.

    After wrong passwords one has to wait, with the right one as well.
    """
    own, hal = begin(phone, "Orchard find"), f"Hal Helper {next(AS_MANY)}"
    people = f"/v/{own}/people"

    def invited(role: str) -> str:
        phone.goto(people)
        phone.get_by_label(role).check()
        phone.get_by_role("button", name="Make an invitation").tap()
        return phone.locator(".copied").inner_text()

    def becomes(role: str) -> None:
        phone.goto(people)
        phone.get_by_label(f"Role of {hal}").select_option(role)
        press(phone, f"Change the role of {hal}")

    at = served.address
    with another(chromium, at, look) as first, another(chromium, at, look) as second:
        withdrawn = invited("Viewer:")
        phone.goto(people)
        press(phone, "Withdraw the invitation as viewer")
        assert first.goto(withdrawn).status == 400
        link = invited("Worker:")
        first.goto(link)
        first.get_by_label("Your name").fill(hal)
        first.get_by_label("A password").fill(HINGES)
        first.get_by_role("button", name="Come in").tap()
        expect(first.locator("#job")).to_have_text("Begin with what comes off")
        assert second.goto(link).status == 400, "it works once"

        assert sign_in(second, hal, HINGES) == 200
        second.goto("/me")
        press(second, "Sign out everywhere else")
        assert first.goto(f"/v/{own}/").status == 404
        expect(first.get_by_role("link", name="Sign in")).to_be_visible()

        assert second.goto(f"/v/{own}/describe").status == 200
        becomes("viewer")
        assert second.goto(f"/v/{own}/describe").status == 403
        assert second.goto(f"/v/{own}/").status == 200
        becomes("none")
        assert second.goto(f"/v/{own}/").status == 404

        assert {sign_in(first, hal, "hinges without rust") for _ in range(6)} == {403}
        assert sign_in(first, hal, HINGES) == 429
        expect(first.get_by_role("alert")).to_contain_text("Too many wrong passwords")


def test_the_demo_is_one_tap_away_and_can_be_put_away(chromium, served, look):
    """It says that all of it is invented; whoever is not the first to ask for it may look."""
    with another(chromium, served.address, look) as ned:
        cookie = {"name": COOKIE, "value": served.neighbour, "url": served.address}
        ned.context.add_cookies([cookie])
        ned.goto("/")
        press(ned, "Show me the demo")
        expect(ned.locator(".notice")).to_contain_text("nvented")
        expect(ned.locator("#job")).to_be_visible()
        name = ned.locator("header.top h1").text_content().strip()
        ned.goto("/")
        ned.locator("summary", has_text="Put a vehicle away").tap()
        press(ned, f"Put away {name}")
        expect(ned.get_by_role("button", name="Show me the demo")).to_be_visible()


@pytest.mark.looks(*ON_THE_PHONE[:1])
@pytest.mark.skipif("EVERY_LOOK" not in os.environ, reason="takes long: a case for `make looks`")
def test_the_demo_is_laid_out_by_one_tap_for_whoever_is_the_first(chromium, tmp_path, look):
    """It is theirs: what is next can be logged at once."""
    home = tmp_path / "home"
    lay_file(home)
    opened = setup(home, "")
    Site(home, opened)
    opened.close()
    with serving(home) as address, another(chromium, address, look) as phone:
        assert sign_in(phone, OWNER, PASSWORD) == 200
        phone.goto("/")
        with phone.expect_navigation(timeout=LAID_OUT_MS):
            phone.get_by_role("button", name="Show me the demo").tap()
        expect(phone.locator(".notice")).to_contain_text("nvented")
        expect(phone.locator("summary.go")).to_be_visible(timeout=PLANNED_MS)


@contextmanager
def another(chromium, address, look) -> Iterator[Page]:
    """The phone of somebody else, in which nobody is signed in."""
    context = chromium.new_context(
        base_url=address,
        viewport=look.screen,
        color_scheme=look.theme,
        has_touch=True,
        service_workers="block",
    )
    yield context.new_page()
    context.close()


def sign_in(page: Page, name: str, password: str) -> int:
    """Sign somebody in with a password; gives the status of the page that follows."""
    page.goto("/in")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(password)
    with page.expect_navigation() as answer:
        page.get_by_role("button", name="Sign in").tap()
    return answer.value.status
