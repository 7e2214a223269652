"""Coming in by an invitation, and a hold that everybody sees: as people do it on their phones."""

from collections.abc import Iterator
from contextlib import contextmanager

from playwright.sync_api import Page, expect

from tests.browser.conftest import DESK, PHONE, shuts_out
from tests.browser.keyboard import walk
from tests.browser.own import begin, press

HINGES = "hinges and a rusty gate"


def test_somebody_comes_in_by_an_invitation_and_sees_the_hold(phone, chromium, served):
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

    with another(chromium, served) as guest:
        guest.goto(link)
        assert shuts_out(guest, PHONE, DESK) == []
        assert walk(guest).faults == ()
        guest.get_by_label("Your name").fill("Gus Guest")
        guest.get_by_label("A password").fill(HINGES)
        guest.get_by_role("button", name="Come in").tap()
        guest.get_by_role("link", name="Lift it").tap()
        guest.get_by_label("Why it is safe now").fill("new hoses, the pedal is hard")
        guest.get_by_role("button", name="Lift this hold").tap()
        guest.get_by_text("Nothing is held.").wait_for()


def test_who_was_invited_is_let_in_changed_signed_out_and_shut_out(phone, served, chromium):
    """To a vehicle with nothing but a name; a link that was withdrawn lets nobody in.

    After wrong passwords one has to wait, with the right one as well.
    """
    own = begin(phone, "Orchard find")
    people = f"/v/{own}/people"

    def invited(role: str) -> str:
        phone.goto(people)
        phone.get_by_label(role).check()
        phone.get_by_role("button", name="Make an invitation").tap()
        return phone.locator(".copied").inner_text()

    def becomes(role: str) -> None:
        phone.goto(people)
        phone.get_by_label("Role of Hal Helper").select_option(role)
        press(phone, "Change the role of Hal Helper")

    with another(chromium, served) as first, another(chromium, served) as second:
        withdrawn = invited("Viewer:")
        phone.goto(people)
        press(phone, "Withdraw the invitation as viewer")
        assert first.goto(withdrawn).status == 400
        link = invited("Worker:")
        first.goto(link)
        first.get_by_label("Your name").fill("Hal Helper")
        first.get_by_label("A password").fill(HINGES)
        first.get_by_role("button", name="Come in").tap()
        expect(first.locator("#job")).to_have_text("Begin with what comes off")
        assert second.goto(link).status == 400, "it works once"

        assert sign_in(second, HINGES) == 200
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

        assert {sign_in(first, "hinges without rust") for _ in range(6)} == {403}
        assert sign_in(first, HINGES) == 429
        expect(first.get_by_role("alert")).to_contain_text("Too many wrong passwords")


@contextmanager
def another(chromium, served) -> Iterator[Page]:
    """The phone of somebody else, in which nobody is signed in."""
    context = chromium.new_context(
        base_url=served.address, viewport=PHONE, has_touch=True, service_workers="block"
    )
    yield context.new_page()
    context.close()


def sign_in(page: Page, password: str) -> int:
    """Sign Hal in with a password; gives the status of the page that follows."""
    page.goto("/in")
    page.get_by_label("Name").fill("Hal Helper")
    page.get_by_label("Password").fill(password)
    with page.expect_navigation() as answer:
        page.get_by_role("button", name="Sign in").tap()
    return answer.value.status
