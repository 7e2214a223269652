"""Coming in by an invitation, and a hold that everybody sees: as people do it on their phones."""

from tests.browser.conftest import DESK, PHONE, shuts_out
from tests.browser.keyboard import walk


def test_somebody_comes_in_by_an_invitation_and_sees_the_hold(chromium, served):
    """The owner invites and sets a hold; the guest opens the link elsewhere, and lifts it."""
    from putback.web.pages.access import COOKIE

    owner = chromium.new_context(base_url=served.address, viewport=PHONE, has_touch=True)
    owner.add_cookies([{"name": COOKIE, "value": served.token, "url": served.address}])
    page = owner.new_page()
    page.goto(f"/v/{served.empty}/hold")
    page.get_by_label("Hold", exact=True).fill("no brakes: do not roll")
    page.get_by_role("button", name="Set it").tap()
    page.get_by_role("link", name="Lift it").wait_for()
    page.goto(f"/v/{served.empty}/people")
    page.get_by_role("button", name="Make an invitation").tap()
    link = page.locator(".copied").inner_text()
    assert page.get_by_role("img", name="as a QR code").is_visible()
    assert shuts_out(page) == []

    guest = chromium.new_context(viewport=PHONE, has_touch=True)
    phone = guest.new_page()
    phone.goto(link)
    assert shuts_out(phone, PHONE, DESK) == []
    assert walk(phone).faults == ()
    phone.get_by_label("Your name").fill("Gus Guest")
    phone.get_by_label("A password").fill("hinges and a rusty gate")
    phone.get_by_role("button", name="Come in").tap()
    phone.get_by_role("link", name="Lift it").tap()
    phone.get_by_label("Why it is safe now").fill("new hoses, the pedal is hard")
    phone.get_by_role("button", name="Lift this hold").tap()
    phone.get_by_text("Nothing is held.").wait_for()
    owner.close()
    guest.close()
