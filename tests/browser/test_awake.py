"""The screen stays lit where gloved hands read from it, and a page seen again is of now."""

from playwright.sync_api import expect

from tests.browser.own import ask

LOCKS = """
window.asked = [];
Object.defineProperty(navigator, "wakeLock", { configurable: true, value: {
  request: async (what) => {
    const lock = { what, released: false };
    window.asked.push(lock);
    if (window.asked.length === 1 && window.name === "refuse") throw new DOMException("no");
    return lock;
  },
} });
"""
"""Stands in for the browser's own, which a page without a window is not given."""
IN_SIGHT = """how => {
  Object.defineProperty(document, "visibilityState", { configurable: true, value: how });
  document.dispatchEvent(new Event("visibilitychange"));
}"""


PAGES = ["/v/{demo}/", "/offline", "/v/{demo}/scan", "/v/{demo}/slate", "/v/{demo}/ties"]


def test_the_screen_is_kept_lit_and_again_when_the_page_comes_back(own_phone, served):
    """Once while a page is in sight; once more when the browser let it go meanwhile."""
    phone = own_phone
    phone.add_init_script(LOCKS)
    for page in PAGES:
        phone.goto(page.format(demo=served.demo))
        phone.wait_for_function("window.asked.length === 1")
        assert phone.evaluate("window.asked[0].what") == "screen"
        phone.evaluate(IN_SIGHT, "visible")
        assert phone.evaluate("window.asked.length") == 1, page
        phone.evaluate("window.asked[0].released = true")
        phone.evaluate(IN_SIGHT, "hidden")
        assert phone.evaluate("window.asked.length") == 1, page
        phone.evaluate(IN_SIGHT, "visible")
        phone.wait_for_function("window.asked.length === 2")


def test_where_the_screen_cannot_be_kept_nothing_is_said_of_it(own_phone, served):
    """Refused by a phone that saves its battery, or not known to the browser at all."""
    phone = own_phone
    phone.add_init_script("window.name = 'refuse';" + LOCKS)
    phone.goto(f"/v/{served.demo}/")
    phone.wait_for_function("window.asked.length === 1")
    phone.evaluate(IN_SIGHT, "visible")
    phone.wait_for_function("window.asked.length === 2")
    phone.add_init_script(
        "Object.defineProperty(navigator, 'wakeLock', { value: undefined, configurable: true })"
    )
    phone.reload()
    assert phone.locator("#job").is_visible()


LOOKED_AWAY = """async minutes => {
  const seen = (how) => {
    Object.defineProperty(document, "hidden", { configurable: true, value: how });
    document.dispatchEvent(new Event("visibilitychange"));
  };
  seen(true);
  const now = Date.now;
  Date.now = () => now() + minutes * 60_000;
  seen(false);
  Date.now = now;
}"""
"""The page is out of sight for so long."""


def test_a_page_seen_again_tells_what_others_said_meanwhile(own_phone, served):
    """Once: not where it was away for a moment only, nor while somebody is at work in it."""
    phone, there = own_phone, f"/v/{served.empty}/"
    asked: list[str] = []
    phone.on("request", lambda each: asked.append(each.url) if each.method == "HEAD" else None)
    for page in ("hold", "", "pack-up", "resume"):
        phone.goto(f"{there}{page}")
        said = {"kind": "hold set", "hold": f"on {page}", "words": f"nobody starts it {page}"}
        ask(served, served.empty, "acts", said)
        if page == "hold":
            phone.evaluate(LOOKED_AWAY, 0.5)
            phone.get_by_label("Hold").fill("lamp")
            phone.evaluate(LOOKED_AWAY, 2)
            phone.get_by_label("Hold").fill("")
        phone.evaluate(LOOKED_AWAY, 2)
        expect(phone.locator(".hold").last).to_contain_text(f"Nobody starts it {page}".strip())
        lifted = {"kind": "hold lifted", "hold": f"on {page}", "why": "done"}
        ask(served, served.empty, "acts", lifted)
    assert asked == [
        f"{served.address}{there}{page}" for page in ("hold", "", "pack-up", "resume")
    ]
