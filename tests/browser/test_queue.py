"""The queue on the phone: whatever happens on the way, the server has each act exactly once.

Every test ends by comparing what the store has with what was logged.
"""

import hashlib
import json
from collections.abc import Iterator
from urllib.request import Request, urlopen

import pytest

from putback.logbook.bundle.read import check_bundle
from putback.logbook.entries.base import Unread, canonical, digest_of
from putback.logbook.entries.registry import decode
from putback.logbook.tags import BadTag, Tag
from putback.web.pages.access import COOKIE
from putback.workshop.saying.short_forms import QUANTITIES
from tests.browser.conftest import PHONE
from tests.browser.wire import Mode, Wire, wired
from tests.pictures.photographs import photo
from tests.web.site import OWNER, PASSWORD, WORKER

MODULE = """async ([name, work, given]) => {
  const at = document.querySelector("script[src$='/mark.js']").src.replace("mark.js", "");
  const module = await import(`${at}${name}.js`);
  return new Function("module", "given", `return (async () => {${work}})()`)(module, given);
}"""


@pytest.fixture(scope="module")
def wire(served) -> Iterator[Wire]:
    """A wire to the served site."""
    with wired(served.address) as laid:
        yield laid


@pytest.fixture
def garage(wire, served, chromium):
    """A phone on the wire, its page loaded, the owner signed in."""
    wire.mode = Mode.THROUGH
    context = chromium.new_context(
        base_url=wire.address, viewport=PHONE, has_touch=True, bypass_csp=True
    )
    context.add_cookies([{"name": COOKIE, "value": served.token, "url": wire.address}])
    page = context.new_page()
    page.goto(f"/v/{served.empty}/photos")
    yield page
    wire.mode = Mode.THROUGH
    context.close()


def run(page, name, work, given=None):
    """Run a piece of script with one of the page's own modules."""
    return page.evaluate(MODULE, [name, work, given])


def stored(served, logbook=None):
    """The entries that the server has, by id, as it received them."""
    address = f"{served.address}/api/vehicles/{logbook or served.empty}/entries"
    asked = Request(address, headers={"Authorization": f"Bearer {served.token}"})
    with urlopen(asked) as answer:
        entries = [each["entry"] for each in json.load(answer)["entries"]]
    assert len({each["id"] for each in entries}) == len(entries), "an entry is there twice"
    return {each["id"]: each for each in entries}


def notes(served):
    """The texts of all notes that the server has, in order of arrival."""
    return [each["body"]["text"] for each in stored(served).values() if each["kind"] == "note"]


def enqueue(page, served, *texts):
    """Log notes, each an act, by the page's own queue."""
    work = """
      for (const text of given.texts) {
        await module.enqueue({ logbook: given.logbook, entries: [{ kind: "note", text }] });
      }"""
    run(page, "queue", work, {"logbook": served.empty, "texts": texts})


def send(page):
    """Send what waits, and wait until nothing more can be done."""
    run(page, "queue", "await module.send()")


def waiting(page):
    """What waits on the phone."""
    return run(page, "queue", "return module.queued()")


def test_the_phone_reads_and_writes_as_the_server_does(garage):
    """Canonical form, digests, tags and quantities: each as the program's own."""
    documents = [
        {
            "b": [1, 2.5, 1e-7, 1.5e-5, 0.001, 1e16, 1e22, -3],
            "a": 'é€😀\n\t\x7f\x01"\\/',
            "": None,
        },
        {"deep": {"z": True, "y": [{}], "x": []}, "A": 0},
    ]
    written = run(
        garage,
        "canonical",
        "return given.map((each) => module.canonical(JSON.parse(each)))",
        [json.dumps(each) for each in documents],
    )
    assert [digest_of(json.loads(each)) for each in written] == [
        hashlib.sha256(each.encode()).hexdigest() for each in written
    ]
    assert [json.loads(each) for each in written] == documents
    texts = ["", "abc", "x" * 55, "y" * 56, "z" * 1000, "é" * 64]
    here = """
      const hex = (buffer) => [...new Uint8Array(buffer)]
        .map((byte) => byte.toString(16).padStart(2, "0")).join("");
      return Promise.all(given.map(async (text) => [
        await module.sha256(text), hex(module.sha256_here(new TextEncoder().encode(text))),
      ]))"""
    for text, found in zip(texts, run(garage, "digest", here, texts), strict=True):
        assert found == [hashlib.sha256(text.encode()).hexdigest()] * 2
    tags = [
        "k7f 4",
        "K7F4",
        "3CAH",
        "3CAC",
        "K7F",
        "KF74",
        "o-2cc",
        "AAAA",
        "K7G4",
        "WT8F",
        "2222",
    ]
    attempt = """
      return given.map((said) => { try { return module[said[0]](...said.slice(1)) } catch { return null } })"""
    read = run(garage, "tag", attempt, [["readTag", each] for each in tags])
    assert read == [_or_none(Tag, each) for each in tags]
    assert any(read)
    said = [
        *(("torque_nm", each) for each in ("25 Nm", "18 lb ft", "1/2 kgf m", "25", "ft 18")),
        *(("misfit_m", each) for each in ('1 1/2"', "5/16", "190,5 mm", "5 ft 6 in", "3 mil")),
        *(("volume_m3", each) for each in ("7 imp pints", "4.5 l", "1 pint", "1,500 ml")),
        *(("minutes", each) for each in ("1 h 30", "1:30", "1½ hours", "90 min", "2 days", "")),
        ("uncertainty_kg", "27 lb 8 oz"),
        ("uncertainty_kg", "3"),
    ]
    found = run(garage, "units", attempt, [["quantity", *each] for each in said])
    expected = [_or_none(QUANTITIES[field], text) for field, text in said]
    assert found == [each if each is None else pytest.approx(each, rel=1e-12) for each in expected]


def _or_none(read, text):
    try:
        return read(text)
    except Exception:
        return None


def test_what_two_tabs_make_at_once_is_read_without_fault_and_sent_once(garage, wire, served):
    """Identities and clocks rise over tabs; the bytes are canonical, read and stored as they are."""
    wire.mode = Mode.DEAD
    other = garage.context.new_page()
    wire.mode = Mode.THROUGH
    other.goto(f"/v/{served.empty}/")
    wire.mode = Mode.DEAD
    enqueue(garage, served, "first")
    begin = """
      window.made = Promise.all(given.texts.map((text) =>
        module.enqueue({ logbook: given.logbook, entries: [{ kind: "note", text }, { kind: "time", minutes: "1 h" }] })));
    """
    for page, name in ((garage, "a"), (other, "b")):
        texts = [f"{name}{number}" for number in range(20)]
        run(page, "queue", begin, {"logbook": served.empty, "texts": texts})
    garage.evaluate("window.made.then(() => 0)")
    other.evaluate("window.made.then(() => 0)")
    acts = waiting(garage)
    lines = [line for act in acts for line in act["bytes"].split("\n")]
    entries = [decode(line.encode()) for line in lines]
    assert len(entries) == 81
    assert not [each for each in entries if isinstance(each.body, Unread) or each.brief.flag]
    assert all(canonical(json.loads(line)) == line.encode() for line in lines)
    ids, clocks = [each.id for each in entries], [each.clock for each in entries]
    assert ids == sorted(set(ids)), "identities rise with the order of acts"
    assert clocks == sorted(set(clocks))
    assert {each.id[14] for each in entries} == {"7"}
    assert {each.device for each in entries} and {each.who for each in entries} == {"olive-owner"}
    before = stored(served)
    wire.mode = Mode.THROUGH
    garage.evaluate("window.dispatchEvent(new Event('online'))")
    send(other)
    send(garage)
    after = stored(served)
    assert {key: after[key] for key in after.keys() - before.keys()} == {
        each.id: json.loads(line) for each, line in zip(entries, lines, strict=True)
    }
    assert waiting(garage) == []


def test_a_cut_request_and_a_lost_answer_are_made_good(garage, wire, served):
    """Killed in the middle of it, or after it: sent again with the same bytes, there once."""
    before = stored(served)
    for number, mode in enumerate((Mode.CUT, Mode.LOST)):
        wire.mode, was = mode, wire.sent
        enqueue(garage, served, f"{mode.value} {number}")
        send(garage)
        assert (wire.sent > was) == (mode is Mode.LOST)
        assert len(waiting(garage)) == 1
        wire.mode = Mode.THROUGH
        send(garage)
        assert waiting(garage) == []
    after = stored(served)
    texts = [after[each]["body"]["text"] for each in after.keys() - before.keys()]
    assert sorted(texts) == ["cut 0", "lost 1"]
