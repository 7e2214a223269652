"""Two phones that were apart: one state after they met, and one tap for what they told otherwise.

The test ends by comparing what the store has with what was logged on either phone.
"""

import pytest

from putback.logbook.entries.base import canonical
from putback.logbook.entries.registry import decode
from putback.logbook.fold import fold
from putback.web.pages.access import COOKIE
from tests.browser.conftest import of_a_phone, violations
from tests.browser.queued import run, send, sign_in, stored, waiting
from tests.browser.wire import Mode, wired
from tests.web.site import WORKER

AN_HOUR_BEHIND = """(() => {
  const shift = -3600_000, Real = Date;
  globalThis.Date = class extends Real {
    constructor(...given) {
      if (given.length) super(...given);
      else super(Real.now() + shift);
    }
    static now() { return Real.now() + shift; }
  };
})()"""
"""A phone whose clock was never put forward in spring."""
MASS = {"kind": "described", "table": "parts", "id": "rail", "fields": {"name": "Rail"}}


def log(page, served, *entries):
    """Log one act on the phone's own queue."""
    work = "await module.enqueue({ logbook: given.logbook, entries: given.entries })"
    run(page, "queue", work, {"logbook": served.empty, "entries": list(entries)})


@pytest.fixture
def phones(served, chromium):
    """The owner's phone and the worker's, an hour apart, each on a wire of its own."""
    with wired(served.address) as near, wired(served.address) as far:
        contexts = [chromium.new_context(**of_a_phone(wire)) for wire in (near, far)]
        contexts[0].add_cookies([{"name": COOKIE, "value": served.token, "url": near.address}])
        contexts[1].add_init_script(AN_HOUR_BEHIND)
        pages = [context.new_page() for context in contexts]
        sign_in(pages[1], WORKER)
        for page in pages:
            page.goto(f"/v/{served.empty}/photos")
        yield pages, (near, far)
        for context in contexts:
            context.close()


def test_two_phones_an_hour_apart_show_one_state_and_a_tap_settles_it(served, phones):
    """Both offline, both undo one joint and describe one part; then both show the same."""
    pages, wires = phones
    before = stored(served)
    for wire in wires:
        wire.mode = Mode.DEAD
    for page, out, mass in ((pages[0], "3", 2.5), (pages[1], "4", 4.0)):
        log(page, served, {"kind": "joint undone", "joint": "rail-bolts", "out": out, "of": "4"})
        fields = {"name": "Rail", "mass_kg": mass}
        log(page, served, {**MASS, "fields": fields})
    made = [waiting(page) for page in pages]
    assert [len(each) for each in made] == [2, 2]
    for wire, page in zip(wires, pages, strict=True):
        wire.mode = Mode.THROUGH
        send(page)
        assert waiting(page) == []
    shown = []
    for page in pages:
        page.goto(f"/v/{served.empty}/")
        section = page.locator("section", has=page.locator("#doubles"))
        shown.append(section.locator("p, button").all_inner_texts())
    assert shown[0] == shown[1]
    assert sum("Counts of rail-bolts" in each for each in shown[0]) == 1
    assert sum("is described twice" in each for each in shown[0]) == 1
    assert violations(pages[0]) == []
    pages[1].get_by_role("button", name="4 of 4 are out").click()
    pages[1].wait_for_load_state()
    pages[0].goto(f"/v/{served.empty}/")
    assert pages[0].get_by_text("Counts of rail-bolts").count() == 0
    pages[0].get_by_role("button", name="Mass 2.5 kg").click()
    pages[0].wait_for_load_state()
    for page in pages:
        page.goto(f"/v/{served.empty}/")
        assert page.locator("#doubles").count() == 0
    after = stored(served)
    logged = {key for each in made for act in each for key in act["ids"]}
    new = after.keys() - before.keys()
    assert logged <= new
    assert len(new) == len(logged) + 3  # one settled the count, two the description
    state = fold([decode(canonical(each)) for each in after.values()]).state()
    assert state.joints["rail-bolts"].out == 4
    assert state.vehicle.parts["rail"].mass_kg == 2.5
