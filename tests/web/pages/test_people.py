"""People: the first start, invitations, roles, devices, wrong passwords, and standing holds."""

import re

import pytest
from django.test import Client

from putback.logbook.entries.base import DeviceId, PersonId
from putback.logbook.entries.bookkeeping import TimeSpent
from putback.logbook.entries.working import NoteMade
from putback.web.pages.access import COOKIE
from putback.workshop.logbooks.ports import Role
from putback.workshop.plans.learned_minutes import LEARNED
from tests.web.site import NEIGHBOUR, OWNER, PASSWORD, VIEWER, WORKER

NEW = "another rusty hinge"


def text_of(answer) -> str:
    """The page's words, their white space alike."""
    return " ".join(answer.content.decode().split())


def invited(site, role: str = "worker") -> str:
    """The path of an invitation, made on the page as the owner does."""
    answer = site.browser().post(f"/v/{site.vehicle}/people/invite", {"role": role})
    return re.search(r"/join/[\w-]+", text_of(answer))[0]


# -- the first start --------------------------------------------------------------------------


def test_the_owner_sets_name_and_password_once(empty_site):
    """By the link of the first start; then it opens nothing, and nobody is asked again."""
    link = empty_site.here.letting_in.first_start(PersonId("pat"))
    path, browser = f"/start/{link.token}", Client()
    assert "Choose how you are called" in text_of(browser.get(path))
    said = {"name": "Pat", "password": "short"}
    refused = browser.post(path, said)
    assert refused.status_code == 400
    assert "A password of 5 characters is too short" in text_of(refused)
    assert browser.post(path, {"name": "Pat", "password": PASSWORD}).status_code == 302
    assert "Pat: your devices" in text_of(browser.get("/"))
    again = Client().get(path)
    assert again.status_code == 400
    assert "This link opens nothing any more" in text_of(again)
    assert Client().post(path, {"name": "Pat", "password": PASSWORD}).url == "/"
    assert Client().post(path, {"name": "Pat", "password": PASSWORD[1:]}).status_code == 400


def test_who_comes_before_the_owner_is_told_where_the_link_is(empty_site):
    """The page for signing in has nothing to ask yet."""
    said = text_of(Client().get("/in"))
    assert "Nobody has an account yet" in said
    assert "password" not in re.sub("sets name and password", "", said)


@pytest.mark.slow
def test_the_demo_is_one_tap_away_and_says_on_every_page_that_it_is_made_up(site):
    """In the middle of its strip; put away it leaves the list, and comes back."""
    browser = site.browser()
    assert "Show me the demo" in text_of(browser.get("/"))
    answer = browser.post("/demo")
    assert answer.url == "/v/demo/"
    for page in ("", "people", "hold"):
        assert 'class="notice"' in text_of(browser.get(f"/v/demo/{page}"))
    assert "made up, to try things on" in text_of(browser.get("/"))
    browser.post("/put-away", {"logbook": "demo", "away": "yes"})
    put_away = text_of(browser.get("/"))
    assert "Show me the demo" in put_away
    assert "or bring one back (1)" in put_away
    assert browser.get("/v/demo/").status_code == 200
    other = site.browser(NEIGHBOUR)
    assert other.post("/demo").url == "/v/demo/"
    assert site.here.workshop.store.roles("demo")[site.people[NEIGHBOUR]] is Role.VIEWER
    browser.post("/put-away", {"logbook": "demo"})
    assert "made up, to try things on" in text_of(browser.get("/"))


def test_nobody_puts_away_what_is_not_theirs(site):
    """It is not there for them."""
    said = {"logbook": site.vehicle, "away": "yes"}
    assert site.browser(NEIGHBOUR).post("/put-away", said).status_code == 404


# -- invitations ------------------------------------------------------------------------------


def test_somebody_new_comes_in_by_an_invitation(site):
    """With a name, a password, and the role that was chosen; the link works once."""
    path, browser = invited(site), Client()
    shown = text_of(browser.get(path))
    assert "Old Dunlin" in shown
    assert "Olive Owner invites you as a <b>worker</b>" in shown
    answer = browser.post(path, {"name": "Gus", "password": PASSWORD})
    assert answer.url == f"/v/{site.vehicle}/"
    assert browser.get(answer.url).status_code == 200
    roles = site.here.workshop.store.roles(site.vehicle)
    assert roles["gus"] is Role.WORKER
    assert site.here.workshop.state("garage").people["gus"] == "Gus"
    assert Client().get(path).status_code == 400


def test_who_sends_the_form_of_an_invitation_twice_is_in_by_either(site):
    """The answer to the first tap was never seen: the second is let in, and nothing is new."""
    path, said = invited(site), {"name": "Gus", "password": PASSWORD}
    first = Client().post(path, said)
    garage, browser = site.here.workshop.store.position("garage"), Client()
    for _ in range(2):
        assert browser.post(path, said).url == first.url
        assert browser.get(first.url).status_code == 200
    assert site.here.workshop.store.position("garage") == garage
    assert [each.name for each in site.here.people.store.people()].count("Gus") == 1
    for other in ({"password": "a wrong gate hinge"}, {"name": "Ned Neighbour"}, {"name": "Gil"}):
        refused = Client().post(path, said | other)
        assert refused.status_code == 400
        assert "This link opens nothing any more" in text_of(refused)
    assert site.browser(NEIGHBOUR).post(path).status_code == 400
    site.here.workshop.store.revoke(site.vehicle, "gus")
    assert Client().post(path, said).status_code == 400


def test_somebody_known_gains_the_role_with_one_tap(site):
    """And looking at the link uses nothing up."""
    path, browser = invited(site, "viewer"), site.browser(NEIGHBOUR)
    assert "You are signed in as <b>Ned Neighbour</b>" in text_of(browser.get(path))
    for _ in range(2):  # a second tap leads there as well
        assert browser.post(path).url == f"/v/{site.vehicle}/"
    roles = site.here.workshop.store.roles(site.vehicle)
    assert roles[site.people[NEIGHBOUR]] is Role.VIEWER


def test_an_invitation_is_shown_as_a_code_that_a_phone_reads(site):
    """The drawing holds the very link; a camera reads it back."""
    zxingcpp = pytest.importorskip("zxingcpp")
    import segno
    from PIL import Image

    answer = site.browser().post(f"/v/{site.vehicle}/people/invite", {"role": "worker"})
    link = re.search(r"http://[^<\s]+/join/[\w-]+", text_of(answer))[0]
    from putback.web.pages.qr import qr_of

    assert str(qr_of(link)) in answer.content.decode()
    matrix = segno.make(link, error="m", micro=False).matrix
    size = len(matrix) + 8
    picture = Image.new("L", (size, size), 255)
    for y, row in enumerate(matrix):
        for x, dark in enumerate(row):
            picture.putpixel((x + 4, y + 4), 0 if dark else 255)
    (read,) = zxingcpp.read_barcodes(picture.resize((size * 6, size * 6)))
    assert read.text == link


def test_an_invitation_is_withdrawn(site):
    """It is in the list until then, and opens nothing afterwards."""
    path, browser = invited(site), site.browser()
    shown = text_of(browser.get(f"/v/{site.vehicle}/people"))
    which = re.search(r'name="invitation" value="(\w+)"', shown)[1]
    browser.post(f"/v/{site.vehicle}/people/withdraw", {"invitation": which})
    assert "Invitations that wait" not in text_of(browser.get(f"/v/{site.vehicle}/people"))
    assert Client().get(path).status_code == 400


def test_only_an_owner_sees_invitations(site):
    """A worker sees who there is, and no forms to change it."""
    invited(site)
    shown = text_of(site.browser(WORKER).get(f"/v/{site.vehicle}/people"))
    assert "Olive Owner" in shown
    assert "Invitations that wait" not in shown
    assert "Make an invitation" not in shown


# -- roles ------------------------------------------------------------------------------------


def test_an_owner_changes_roles_and_takes_them_away(site):
    """Never the last owner's, which is told on a page."""
    browser, page = site.browser(), f"/v/{site.vehicle}/people/role"
    browser.post(page, {"person": site.people[WORKER], "role": "viewer"})
    browser.post(page, {"person": site.people[VIEWER], "role": "none"})
    roles = site.here.workshop.store.roles(site.vehicle)
    assert roles == {site.people[OWNER]: Role.OWNER, site.people[WORKER]: Role.VIEWER}
    last = browser.post(page, {"person": site.people[OWNER], "role": "none"})
    assert last.status_code == 400
    assert "A vehicle needs an owner, and this is the last" in text_of(last)
    assert browser.post(page, {"person": "nobody", "role": "owner"}).status_code == 400


def test_a_worker_leaves_by_themselves(site):
    """And is a stranger afterwards."""
    browser = site.browser(WORKER)
    assert browser.post(f"/v/{site.vehicle}/people/leave").url == "/"
    assert browser.get(f"/v/{site.vehicle}/").status_code == 404


# -- oneself ----------------------------------------------------------------------------------


def test_a_lost_phone_is_signed_out_from_another(site):
    """Each by itself, or all others at once; nobody ends what is not theirs."""
    phone, laptop = site.browser(), site.browser()
    shown = text_of(laptop.get("/me"))
    own, lost = re.findall(r'name="device" value="(browser-\w+)"', shown)[:2]
    wills = site.here.people.sign_in(site.people[WORKER], "x", "browser").device.id
    assert laptop.post("/me/end", {"device": wills}).status_code == 404
    laptop.post("/me/end", {"device": "others"})
    assert phone.get("/me").status_code == 404
    assert laptop.get("/me").status_code == 200
    assert own != lost


def test_a_token_is_shown_once_and_opens_the_api_until_it_is_ended(site):
    """A program sends it; the page lists the program, not the token."""
    browser = site.browser(WORKER)
    made = text_of(browser.post("/me/token", {"label": "scales by the bench"}))
    token = re.search(r'class="copied">([\w-]+)<', made)[1]
    shown = text_of(browser.get("/me"))
    assert "scales by the bench" in shown
    assert token not in shown
    program = Client(headers={"authorization": f"Bearer {token}"})
    address = f"/api/vehicles/{site.vehicle}/acts"
    said = {"entries": [{"kind": "note", "text": "42 kg"}]}
    assert program.post(address, said, content_type="application/json").status_code == 200
    which = re.search(r'value="(program-\w+)"', shown)[1]
    browser.post("/me/end", {"device": which})
    assert program.post(address, said, content_type="application/json").status_code == 401


def test_a_changed_password_signs_the_other_devices_out(site):
    """The old one is asked for, and opens nothing afterwards."""
    here, there = site.browser(), site.browser()
    wrong = here.post("/me/password", {"old": "wrong", "new": NEW})
    assert wrong.status_code == 400
    assert here.post("/me/password", {"old": PASSWORD, "new": NEW}).status_code == 302
    assert here.get("/me").status_code == 200
    assert there.get("/me").status_code == 404
    assert site.here.people.vouch(OWNER, NEW, "192.0.2.1")


def test_another_name_is_taken(site):
    """It is what the book says of what was logged before, and with what one signs in."""
    browser = site.browser(WORKER)
    log = [NoteMade(text="rust behind the sill")]
    site.here.workshop.log(site.vehicle, log, who=site.people[WORKER], device=DeviceId("phone"))
    assert browser.post("/me/name", {"name": "Wilma  Worker"}).status_code == 302
    assert "Wilma Worker" in text_of(browser.get(f"/v/{site.vehicle}/book"))
    assert site.here.people.vouch("Wilma Worker", PASSWORD, "192.0.2.1")
    taken = browser.post("/me/name", {"name": OWNER.upper()})
    assert taken.status_code == 400
    assert "already" in text_of(taken)
    assert browser.post("/me/name", {"name": " "}).status_code == 400


# -- signing in -------------------------------------------------------------------------------


def test_signing_in_gives_a_cookie_that_scripts_cannot_read(site):
    """And leads where one wanted to go, on this site only."""
    browser = Client()
    said = {"name": OWNER, "password": PASSWORD, "next": f"/v/{site.vehicle}/people"}
    assert browser.post("/in", said).url == f"/v/{site.vehicle}/people"
    cookie = browser.cookies[COOKIE]
    assert (cookie["httponly"], cookie["samesite"], cookie["secure"]) == (True, "Lax", "")
    away = Client().post("/in", {**said, "next": "https://example.org/"})
    assert away.url == "/"
    secure = Client().post("/in", said, secure=True)
    assert secure.cookies[COOKIE]["secure"] is True


def test_signing_in_anew_ends_what_the_browser_was_before(site):
    """A browser is one device, whoever sits before it."""
    browser = site.browser(VIEWER)
    browser.post("/in", {"name": WORKER, "password": PASSWORD})
    devices = site.here.people.store.devices(site.people[VIEWER])
    assert all(each.ended_at for each in devices)


def test_wrong_passwords_wait_and_the_wait_is_told(site):
    """429 with Retry-After, and the right password is not looked at meanwhile."""
    browser, wrong = Client(), {"name": OWNER, "password": "wrong"}
    assert {browser.post("/in", wrong).status_code for _ in range(6)} == {403}
    answer = browser.post("/in", {"name": OWNER, "password": PASSWORD})
    assert answer.status_code == 429
    assert 1 <= int(answer["Retry-After"]) <= 15
    assert "Too many wrong passwords; try again in" in text_of(answer)
    assert "putback people reset-password" in text_of(answer)


# -- standing holds ---------------------------------------------------------------------------


def test_a_standing_hold_is_on_every_page_until_it_is_lifted_with_a_reason(site):
    """A worker sets and lifts it; a viewer sees it."""
    browser, words = site.browser(WORKER), "no brakes: do not roll"
    browser.post(f"/v/{site.vehicle}/hold/set", {"words": words})
    for page in ("", "people", "hold"):
        shown = text_of(site.browser(VIEWER).get(f"/v/{site.vehicle}/{page}"))
        assert 'class="hold" role="alert">Hold: No brakes: do not roll.' in shown
    page, held = f"/v/{site.vehicle}/hold/lift", held_on(browser, site)
    without = browser.post(page, held | {"why": " "})
    assert without.status_code == 400
    browser.post(page, held | {"why": "hoses are on"})
    assert "Nothing is held" in text_of(browser.get(f"/v/{site.vehicle}/hold"))
    book = site.here.workshop.standing(site.vehicle)
    assert book[-1].body.why == "hoses are on"


def held_on(browser, site) -> dict[str, str]:
    """The fields of the first hold on its page, as it is shown."""
    page = browser.get(f"/v/{site.vehicle}/hold").content.decode()
    return dict(re.findall(r'<input type="hidden" name="(hold|set_by)" value="([^"]*)">', page))


def test_a_hold_that_was_set_again_is_not_lifted_from_a_page_of_before(site):
    """Somebody may be under it by now who said the same; one that is gone is not lifted twice."""
    will, olive, there = site.browser(WORKER), site.browser(OWNER), f"/v/{site.vehicle}/hold"
    will.post(f"{there}/set", {"words": "nobody starts it"})
    seen = held_on(will, site) | {"why": "I am out"}
    olive.post(f"{there}/set", {"words": "Nobody starts it!"})
    refused = will.post(f"{there}/lift", seen)
    assert refused.status_code == 400
    assert "This hold was set again since you looked at it." in text_of(refused)
    assert [each.words for each in site.here.workshop.state(site.vehicle).in_force] == [
        "Nobody starts it!"
    ]
    assert f">{WORKER}, {OWNER}</span>" in text_of(will.get(there))
    now = held_on(will, site) | {"why": "we are both out"}
    assert will.post(f"{there}/lift", now).status_code == 302
    again = olive.post(f"{there}/lift", now)
    assert (again.status_code, "lifted already" in text_of(again)) == (400, True)
    olive.post(f"{there}/set", {"words": "nobody starts it"})
    assert f">{OWNER}</span>" in text_of(will.get(there))


def test_a_hold_without_words_is_refused(site):
    """Nothing was logged."""
    before = site.here.workshop.store.position(site.vehicle)
    answer = site.browser().post(f"/v/{site.vehicle}/hold/set", {"words": ""})
    assert answer.status_code == 400
    assert site.here.workshop.store.position(site.vehicle) == before


def test_the_hand_that_holds_a_device_and_minutes_are_chosen_and_kept_on_it(site):
    """Without a script; another device of the same person stays as it was."""
    phone, laptop = site.browser(OWNER), site.browser(OWNER)
    assert '<body class=""' in text_of(phone.get("/me"))
    said = {"hand": "left", "minutes": "hidden"}
    assert phone.post("/me/like", said).status_code == 302
    shown = text_of(phone.get("/me"))
    assert '<body class="left-hand no-minutes"' in shown
    assert shown.count("checked") == 3  # the hand, the minutes, and no language: as asked
    assert 'value="left" checked' in shown
    assert 'value="hidden" checked' in shown
    assert '<body class="left-hand no-minutes"' in text_of(phone.get(f"/v/{site.vehicle}/"))
    assert '<body class=""' in text_of(laptop.get("/me"))
    phone.post("/me/like", {"hand": "right", "minutes": "shown"})
    assert '<body class=""' in text_of(phone.get("/me"))


def test_hidden_minutes_are_shown_once_they_are_learned(site):
    """Time was logged on ten things: what is guessed from then on has something to go by."""
    phone, workshop, owner = site.browser(OWNER), site.here.workshop, site.people[OWNER]
    phone.post("/me/like", {"minutes": "hidden"})
    for at in range(LEARNED):
        assert 'class=" no-minutes"' in text_of(phone.get(f"/v/{site.vehicle}/"))
        spent = TimeSpent(minutes=10.0, of=f"part:p{at}")
        workshop.log(site.vehicle, [spent], who=owner, device=DeviceId("laptop"))
    assert "no-minutes" not in text_of(phone.get(f"/v/{site.vehicle}/"))
