"""What the server does not take, or not from this person, stays on the phone until it is right.

Every test ends by comparing what the store has with what was logged.
"""

from threading import Event
from urllib.request import Request, urlopen

import pytest
from playwright.sync_api import Error, expect

from putback.logbook.bundle.read import read_bundle
from putback.logbook.entries.base import PersonId, Unread
from putback.web.here import open_here
from putback.web.store import setup
from putback.workshop.logbooks.ports import Role
from tests.browser.conftest import violations
from tests.browser.queued import (
    enqueue,
    notes,
    run,
    send,
    sign_in,
    stored,
    waiting,
)
from tests.browser.wire import Mode
from tests.web.site import OWNER, WORKER


def test_what_one_person_logged_is_never_sent_as_another(garage, wire, served):
    """The token ended, another signed in, then the first again: it waits, says so, and goes."""
    garage.context.clear_cookies()
    sign_in(garage, OWNER)
    wire.mode = Mode.DEAD
    enqueue(garage, served, "Olive's")
    device = garage.evaluate("document.body.dataset.device")
    ending = Request(
        f"{served.address}/api/tokens/{device}",
        method="DELETE",
        headers={"Authorization": f"Bearer {served.token}"},
    )
    urlopen(ending).close()  # by another device of hers
    wire.mode = Mode.THROUGH
    send(garage)
    assert run(garage, "queue", "return module.halted()")["why"] == "signed out"
    sign_in(garage, WORKER)
    garage.get_by_role("link", name="1 queued").wait_for()
    enqueue(garage, served, "Will's")
    send(garage)
    assert run(garage, "queue", "return module.halted()")["why"] == "other person"
    assert [each["name"] for each in waiting(garage)] == [OWNER]
    lines = waiting(garage)[0]["bytes"]
    forged = "return (async () => { try { await module.sendEntries(given.logbook, given.lines,"
    forged += " (await module.whoAmI()).csrf) } catch (error) { return error.status } })()"
    told = run(garage, "api", forged, {"logbook": served.empty, "lines": lines})
    assert told == 403, "the server refuses it, too"
    garage.goto("/me")  # where one signs out
    garage.get_by_text(f"1 act waits here for {OWNER} to sign in").wait_for()
    sign_in(garage, OWNER)
    send(garage)
    assert waiting(garage) == []
    mine = {
        each["body"]["text"]: each["who"]
        for each in stored(served).values()
        if each["kind"] == "note"
    }
    assert (mine["Olive's"], mine["Will's"]) == ("olive-owner", "will-worker")


def test_what_the_server_does_not_take_stays_until_it_is_right(garage, served):
    """With its reason; what comes after it goes; corrected it is sent, set aside it is kept."""
    before = stored(served)
    work = """
      for (const amount of ["twelve", "thirteen"]) {
        const entries = [{ kind: "money", amount, currency: "GBP", what: "gasket" }];
        await module.enqueue({ logbook: given, entries, sentences: [`Paid ${amount}`] });
      }"""
    run(garage, "queue", work, served.empty)
    enqueue(garage, served, "after what was refused")
    send(garage)
    assert [each["state"] for each in waiting(garage)] == ["refused"] * 2
    assert notes(served)[-1] == "after what was refused"
    garage.get_by_role("link", name="2 not taken").tap()
    lines = garage.locator("[data-acts] > li")
    lines.filter(has_text="amount: 'twelve' is no number").wait_for()
    assert violations(garage) == []
    lines.first.get_by_role("button", name="Correct it").tap()
    assert violations(garage) == []
    lines.first.get_by_label("amount").fill("12")
    lines.first.get_by_role("button", name="Send it again").tap()
    lines.nth(1).wait_for(state="detached")
    lines.first.get_by_role("button", name="Set aside").tap()
    lines.first.locator("[data-state]", has_text="set aside").wait_for()
    garage.reload()
    garage.get_by_role("link", name="1 set aside").wait_for()
    send(garage)
    assert [each["sentences"] for each in waiting(garage)] == [["Paid thirteen"]]
    with garage.expect_download() as saving:
        garage.get_by_role("button", name="Export a bundle").click()
    (kept,) = read_bundle(saving.value.path()).entries
    assert isinstance(kept.body, Unread), "kept as it was said"
    after = stored(served)
    new = [after[each] for each in after.keys() - before.keys()]
    assert sorted(each["kind"] for each in new) == ["money", "note"]
    assert [each["body"]["amount"] for each in new if each["kind"] == "money"] == ["12"]


def test_what_is_set_aside_while_it_is_sent_stays_aside(garage, wire, served):
    """The server's answer that it does not take it comes after the person has decided."""
    sent, is_aside = Event(), Event()

    def meanwhile(_: str) -> None:
        sent.set()
        is_aside.wait(60)

    work = """
      const entries = [{ kind: "money", amount: "twelve", currency: "GBP", what: "gasket" }];
      await module.enqueue({ logbook: given, entries });
      window.sending = module.send();"""
    wire.meanwhile = meanwhile
    run(garage, "queue", work, served.empty)
    assert sent.wait(60)
    run(garage, "queue", "await module.setAside((await module.queued())[0].act)")
    is_aside.set()
    garage.evaluate("window.sending")
    assert [each["state"] for each in waiting(garage)] == ["aside"]


def test_who_is_shut_out_loses_nothing_that_was_queued(garage, wire, served):
    """It stays with the reason, and is sent once they are let in again.

    What they set aside and save as a file may be taken off the phone, and nothing else may.
    """
    before = stored(served)
    garage.context.clear_cookies()
    sign_in(garage, WORKER)
    garage.goto(f"/v/{served.empty}/photos")
    wire.mode = Mode.DEAD
    enqueue(garage, served, "tea money", "gearbox drained")
    opened = setup(served.home, "")
    roles, worker = open_here(opened).workshop.store, PersonId("will-worker")
    roles.revoke(served.empty, worker)
    wire.mode = Mode.THROUGH
    send(garage)
    garage.get_by_role("link", name="2 queued").tap()
    lines = garage.locator("[data-acts] > li")
    expect(lines.filter(has_text="You were shut out of this vehicle")).to_have_count(2)
    with pytest.raises(Error, match="Save it as a file first"):
        run(garage, "queue", "await module.takeOff((await module.queued())[0].act)")
    lines.first.get_by_role("button", name="Set aside").tap()
    with garage.expect_download() as saving:
        lines.first.get_by_role("button", name="Save it as a file").tap()
    lines.first.get_by_text("saved as a file").wait_for()
    assert violations(garage) == []
    lines.first.get_by_role("button", name="Take it off this phone").tap()
    expect(lines).to_have_count(1)
    roles.grant(served.empty, worker, Role.WORKER)
    opened.close()
    for _ in range(20):
        send(garage)
        if not waiting(garage):
            break
        garage.wait_for_timeout(250)  # one try from before they were let in was under way
    assert waiting(garage) == []
    (saved,) = read_bundle(saving.value.path()).entries
    assert saved.body.text == "tea money"
    after = stored(served)
    (new,) = after.keys() - before.keys()
    assert (after[new]["body"]["text"], after[new]["who"]) == ("gearbox drained", worker)


HELD_BACK = """
const let_go = new Promise((on) => { window.letGo = on; });
const { fetch } = window;
window.fetch = async (...asked) => { await let_go; return fetch(...asked); };
const { storage } = navigator;
for (const name of ["estimate", "persisted"]) {
  const answers = storage[name].bind(storage);
  storage[name] = async () => { await let_go; return answers(); };
}"""
"""What a page asks of the server and of the browser's storage is answered when it is let go."""


def test_what_is_found_out_late_moves_no_line_of_the_queue(garage, wire, served):
    """A thumb that is coming down meets the button that it was meant for.

    Late are what the browser says of its room, that the server does not answer, and the mark.
    """
    garage.add_init_script(HELD_BACK)
    wire.mode = Mode.CUT  # pages come, and what is sent breaks off
    garage.goto("/phone")
    enqueue(garage, served, "tea money", "gearbox drained")
    last = garage.locator("[data-acts] > li").nth(1)
    last.get_by_role("button", name="Strike out").wait_for()
    before = last.bounding_box()
    garage.evaluate("letGo()")
    send(garage)
    garage.locator("[data-halt]", has_text="The server does not answer").wait_for()
    garage.locator("[data-space]", has_text="that the browser allows").wait_for()
    assert garage.evaluate("scrollY") == 0, "else the browser itself keeps what is seen in place"
    assert last.bounding_box() == before
    garage.evaluate("document.querySelector('[data-queue]').hidden = true")
    assert last.bounding_box() == before


def test_nothing_held_is_not_told_as_nothing_queued(garage, wire, served):
    """Each of the two has a line of its own, and the first comes and goes without the second."""
    garage.goto("/phone")
    garage.wait_for_load_state("networkidle")  # nothing to come is held
    wire.mode = Mode.DEAD
    nothing_waits = garage.get_by_text("Nothing waits: all that was logged")
    none_held = garage.get_by_text("None yet. A vehicle is held once")
    forget = """await module.write(["held"], (transaction) => {
      transaction.objectStore("held").clear();
    });
    document.dispatchEvent(new CustomEvent("held"));"""
    run(garage, "store", forget)
    none_held.wait_for()
    nothing_waits.wait_for()
    enqueue(garage, served, "tea money")
    garage.locator("[data-acts] > li").wait_for()
    expect(nothing_waits).to_be_hidden()
    expect(none_held).to_be_visible()


@pytest.mark.parametrize("width", [390, 900, 1280])
def test_the_mark_of_what_is_queued_moves_nothing_on_any_page(garage, wire, served, width):
    """It has its room beside the name before a script shows it, and can be tapped there."""
    garage.set_viewport_size({"width": width, "height": 844})
    wire.mode = Mode.CUT
    garage.goto(f"/v/{served.demo}/parts")
    enqueue(garage, served, "tea money", "gearbox drained")
    for page in (f"/v/{served.demo}/", f"/v/{served.demo}/parts", "/", "/offline"):
        garage.goto(page)
        mark = garage.get_by_role("link", name="2 queued")
        mark.wait_for()
        box = mark.bounding_box()
        assert box["height"] >= 48
        assert box["x"] + box["width"] <= width
        below = [garage.locator(each).first for each in ("main", ".top h1", ".top nav, main")]
        shown = [each.bounding_box() for each in below]
        garage.evaluate("document.querySelector('[data-queue]').hidden = true")
        assert [each.bounding_box() for each in below] == shown, page


def test_what_is_refused_at_once_goes_back_to_its_form(garage, wire, served):
    """Beside the field; nothing of it is queued. What waits is called by the words of its form."""
    before = stored(served, served.demo)
    garage.goto(f"/v/{served.demo}/stuck?joint=J053")
    wrong = garage.locator(".stepper:has([aria-invalid]) + [data-wrong]")
    garage.get_by_label("Out, of").fill("two")
    garage.get_by_role("button", name="stay on it").tap()
    wrong.filter(has_text="Not logged. Out, of 6: 'two' is no whole number.").wait_for()
    garage.get_by_label("Out, of").fill("1")
    garage.evaluate("document.getElementById('sheared').value = '2'")  # as no tap of it would
    garage.get_by_role("button", name="stay on it").tap()
    wrong.filter(has_text="Not logged. More fixings are cut, sheared or rounded").wait_for()
    assert garage.locator("[data-wrong]").count() == 1
    assert garage.evaluate("document.activeElement.id") == "sheared"
    assert waiting(garage) == []
    garage.locator("[data-queue]").wait_for(state="hidden")
    assert violations(garage) == []
    assert stored(served, served.demo) == before
    garage.get_by_label("Sheared").fill("1")
    wire.mode = Mode.DEAD
    garage.get_by_role("button", name="stay on it").tap()
    garage.get_by_text("Queued on this phone").wait_for()
    assert garage.locator("[data-wrong]").count() == 0
    (act,) = waiting(garage)
    (words,) = act["sentences"]
    assert words.startswith("Stuck: ")
    assert "; Sheared, of those out: 1;" in words
    wire.mode = Mode.THROUGH
    send(garage)
    assert waiting(garage) == []
    after = stored(served, served.demo)
    (new,) = after.keys() - before.keys()
    assert (after[new]["kind"], after[new]["body"]["sheared"]) == ("joint undone", "1")


def test_a_page_of_somebody_else_logs_nothing(garage, served):
    """Another signed in meanwhile, in another tab: nobody could say whose act it is."""
    before = stored(served)
    other = garage.context.new_page()
    garage.wait_for_load_state("networkidle")  # no answer to come brings a token of its own
    garage.context.clear_cookies()  # whose device stays signed in, for the tests after this one
    sign_in(other, WORKER)
    with pytest.raises(Error, match="This page is another person's: Will Worker is signed in now"):
        enqueue(garage, served, "Olive's or Will's")
    assert waiting(garage) == []
    assert stored(served) == before
