"""The queue on the phone: whatever happens on the way, the server has each act exactly once.

Every test ends by comparing what the store has with what was logged.
"""

import base64
import hashlib
import json
import os
import shutil
import signal
import time
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from urllib.request import Request, urlopen

import pytest
from playwright.sync_api import Error, expect

from putback.errors import InputError
from putback.face import garage_in_memory
from putback.logbook.bundle.read import read_bundle
from putback.logbook.entries.base import PersonId, Unread, canonical, digest_of
from putback.logbook.entries.registry import decode
from putback.logbook.fold import fold
from putback.logbook.tags import Tag
from putback.web.here import open_here
from putback.web.pages.access import COOKIE
from putback.web.store import setup
from putback.workshop.logbooks.ports import Role
from putback.workshop.saying.short_forms import QUANTITIES
from tests.browser.conftest import PHONE, violations
from tests.browser.wire import Mode, Wire, wired
from tests.pictures.photographs import photo
from tests.pictures.sounds import ogg
from tests.web.site import OWNER, PASSWORD, WORKER

MODULE = """async ([name, work, given]) => {
  const at = document.querySelector("script[src$='/mark.js']").src.replace("mark.js", "");
  const module = await import(`${at}${name}.js`);
  return new Function("module", "given", `return (async () => {${work}})()`)(module, given);
}"""


COUNT = "return module.read([given], (t) => module.asked(t.objectStore(given).count()))"
RANDOM = """
  const [logbook, size] = given;
  const bytes = new Uint8Array(size);
  for (let at = 0; at < size; at += 65536) crypto.getRandomValues(bytes.subarray(at, at + 65536));
"""
HOLD_PHOTOS = f"""{RANDOM}
  for (let photo = 0; ; photo++) {{
    try {{
      await module.write(["seen"], async (transaction) => {{
        transaction.objectStore("seen").put({{ logbook, photo, picture: new Blob([bytes]) }});
      }});
    }} catch (error) {{
      if (error.isFull) return photo;
      throw error;
    }}
  }}"""
"""As many as there is room for; how many."""
ENQUEUE_SOUND = f"""{RANDOM}
  bytes.set([0x4f, 0x67, 0x67, 0x53]); // Ogg
  const entries = [{{ kind: "sound", sound: "media:0" }}];
  await module.enqueue({{ logbook, entries, media: [new Blob([bytes])] }});"""
WITH_MEDIA = """
  for (const [at, kind] of ["photo", "sound"].entries()) {
    const bytes = Uint8Array.from(atob(given.media[at]), (each) => each.charCodeAt(0));
    const entries = [{ kind, [kind]: "media:0" }];
    await module.enqueue({ logbook: given.logbook, entries, media: [new Blob([bytes])] });
  }"""


@pytest.fixture(scope="module")
def line(served) -> Iterator[Wire]:
    """A wire to the served site."""
    with wired(served.address) as laid:
        yield laid


@pytest.fixture
def wire(line) -> Iterator[Wire]:
    """The wire, whole again after each test."""
    yield line
    line.mode = Mode.THROUGH


@pytest.fixture
def garage(wire, served, chromium):
    """A phone on the wire, its page loaded, the owner signed in."""
    context = chromium.new_context(**of_a_phone(wire))
    context.add_cookies([{"name": COOKIE, "value": served.token, "url": wire.address}])
    page = context.new_page()
    page.goto(f"/v/{served.empty}/photos")
    yield page
    context.close()


def of_a_phone(wire):
    """What a phone on the wire is like; its worker is another test's affair."""
    return {
        "base_url": wire.address,
        "viewport": PHONE,
        "has_touch": True,
        "bypass_csp": True,
        "service_workers": "block",
    }


def run(page, name, work, given=None):
    """Run a piece of script with one of the page's own modules."""
    return page.evaluate(MODULE, [name, work, given])


def stored(served, logbook=None):
    """The entries that the server has, by id, as it received them."""
    address = f"{served.address}/api/vehicles/{logbook or served.empty}/entries"
    entries, rows = [], [{"position": 0}]
    while rows:
        after = f"{address}?after={rows[-1]['position']}"
        asked = Request(after, headers={"Authorization": f"Bearer {served.token}"})
        with urlopen(asked) as answer:
            rows = json.load(answer)["entries"]
        entries += [each["entry"] for each in rows]
    assert len({each["id"] for each in entries}) == len(entries), "an entry is there twice"
    return {each["id"]: each for each in entries}


def new_vehicle(served, name):
    """Begin a vehicle of the owner's."""
    asked = Request(
        f"{served.address}/api/vehicles",
        data=json.dumps({"name": name}).encode(),
        headers={"Authorization": f"Bearer {served.token}", "Content-Type": "application/json"},
    )
    with urlopen(asked) as answer:
        return json.load(answer)["logbook"]


def bytes_of(served, digest):
    """The bytes of a photo or sound that the server has."""
    address = f"{served.address}/api/vehicles/{served.empty}/photos/{digest}"
    asked = Request(address, headers={"Authorization": f"Bearer {served.token}"})
    with urlopen(asked) as answer:
        return answer.read()


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
      return given.map(([name, ...said]) => {
        try { return module[name](...said) } catch { return null }
      })"""
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
    except InputError:
        return None


def test_what_two_tabs_make_at_once_is_read_without_fault_and_sent_once(garage, wire, served):
    """Identities and clocks rise over tabs; bytes are canonical, read and stored as they are."""
    wire.mode = Mode.DEAD
    other = garage.context.new_page()
    wire.mode = Mode.THROUGH
    other.goto(f"/v/{served.empty}/")
    wire.mode = Mode.DEAD
    enqueue(garage, served, "first")
    begin = """
      const said = (text) => [{ kind: "note", text }, { kind: "time", minutes: "1 h" }];
      window.made = Promise.all(given.texts.map((text) =>
        module.enqueue({ logbook: given.logbook, entries: said(text) })));
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
    assert {each.who for each in entries} == {"olive-owner"}
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


def begun_by(process):
    """The processes that a process began and that are there, by what each was begun as."""
    found = {}
    for task in Path(f"/proc/{process}/task").iterdir():
        for each in (task / "children").read_text().split():
            with suppress(FileNotFoundError):  # it has just ended
                found[int(each)] = Path(f"/proc/{each}/cmdline").read_text()
    return found


def who_answers():
    """The processes of the served site that answer requests."""
    serving = [each for each, words in begun_by(os.getpid()).items() if "serve\0" in words]
    masters = [
        each for one in serving for each, words in begun_by(one).items() if "granian" in words
    ]
    return [
        each
        for one in masters
        for each, words in begun_by(one).items()
        if "resource_tracker" not in words
    ]


def test_a_server_killed_in_the_middle_of_a_batch_has_all_of_it_once(garage, wire, served):
    """SIGKILL to what answers, while it works on twenty acts: its follower is sent them again.

    A photo and a spoken note are there before.
    """
    before, asked = stored(served), []
    wire.mode = Mode.DEAD
    media = [base64.b64encode(each).decode() for each in (photo("PNG"), ogg())]
    run(garage, "queue", WITH_MEDIA, {"logbook": served.empty, "media": media})
    enqueue(garage, served, *(f"killed {each}" for each in range(40)))
    made = {key for act in waiting(garage) for key in act["ids"]}
    killed = who_answers()

    def kill(path):
        asked.append(path)
        if sum("/entries" in each for each in asked) == 3:
            time.sleep(0.004)
            for each in killed:
                os.kill(each, signal.SIGKILL)

    wire.meanwhile, wire.mode = kill, Mode.THROUGH
    try:
        send(garage)
    finally:
        wire.meanwhile = lambda _: None
    assert len(waiting(garage)) in {20, 40}  # it may just have answered
    for _ in range(150):  # until another answers
        garage.wait_for_timeout(200)
        send(garage)
        if not waiting(garage):
            break
    assert waiting(garage) == []
    assert killed
    assert not set(killed) & set(who_answers())
    after = stored(served)
    new = after.keys() - before.keys()
    assert new == made
    for each in new:
        digest = after[each]["body"].get("photo") or after[each]["body"].get("sound")
        if digest:
            assert hashlib.sha256(bytes_of(served, digest)).hexdigest() == digest


def keep_photo(page, content, words=""):
    """Choose a photo on the page of photos, and keep it."""
    file = {"name": "bench.jpg", "mimeType": "image/jpeg", "buffer": content}
    page.locator("#files").set_input_files(file)
    page.locator("[data-sent] li").filter(has_text="is kept on this phone").wait_for()
    page.get_by_label("In words, if you like").fill(words)
    page.get_by_role("button", name="Keep", exact=True).tap()


def begun_in(folder):
    """The group of processes of the browser that keeps what it holds in a folder."""
    for each in Path("/proc").glob("[0-9]*/cmdline"):
        with suppress(OSError):  # it has just ended
            words = each.read_bytes().split(b"\0")
            if f"--user-data-dir={folder}".encode() in words:
                return os.getpgid(int(each.parent.name))
    raise AssertionError(f"no browser is in {folder}")


def test_what_was_queued_survives_the_death_of_the_phone(wire, served, chromium, tmp_path):
    """The browser killed as a phone dies, with acts and a photo queued; begun anew, it sends them.

    All its processes end at the same moment, and none can put anything away. While the acts wait,
    the time of the browser's token is over as well: they wait for their person to sign in.
    """
    before, content = stored(served), photo(orientation=3)
    about = {
        "user_data_dir": tmp_path / "profile",
        "executable_path": shutil.which("chromium"),
        "args": ["--no-sandbox"],
    } | of_a_phone(wire)
    cookie = {"name": COOKIE, "value": served.token, "url": wire.address}
    first = chromium.browser_type.launch_persistent_context(**about)
    first.add_cookies([cookie])
    page = first.new_page()
    page.goto(f"/v/{served.empty}/photos")
    wire.mode = Mode.DEAD
    enqueue(page, served, "before the photo")
    keep_photo(page, content, "the bench")
    page.get_by_text("Queued on this phone").wait_for()
    page.get_by_role("link", name="2 queued").wait_for()
    os.killpg(begun_in(about["user_data_dir"]), signal.SIGKILL)
    with suppress(Error):
        first.close()
    assert stored(served).keys() == before.keys()
    wire.mode = Mode.CUT  # pages come, and what is sent breaks off
    again = chromium.browser_type.launch_persistent_context(**about)
    again.add_cookies([cookie | {"expires": time.time() + 3600}])
    page = again.new_page()
    page.goto(f"/v/{served.empty}/photos")
    page.get_by_role("link", name="2 queued").wait_for()
    again.add_cookies([cookie | {"expires": time.time() + 1}])
    while any(each["name"] == COOKIE for each in again.cookies()):
        page.wait_for_timeout(100)
    wire.mode = Mode.THROUGH
    send(page)
    assert run(page, "queue", "return module.halted()")["why"] == "signed out"
    assert len(waiting(page)) == 2
    again.add_cookies([cookie])  # she signs in
    send(page)
    assert waiting(page) == []
    page.locator("[data-queue]").wait_for(state="hidden")
    again.close()
    after = stored(served)
    words, shown = (after[each]["body"] for each in sorted(after.keys() - before.keys()))
    digest = hashlib.sha256(content).hexdigest()
    assert words["text"] == "before the photo"
    assert (shown["photo"], shown["caption"]) == (digest, "the bench")
    assert bytes_of(served, digest) == content


def test_a_full_phone_keeps_nothing_by_half_and_saves_it_as_a_file(
    wire, served, chromium, tmp_path
):
    """Nothing of the act is in its database; the file is a sound bundle with all of it.

    Photos from before that are held make room first. The vehicle is a new one: what is held of
    another would take room. How much of its room the browser takes for itself is not known.
    """
    served = replace(served, empty=new_vehicle(served, "Nothing held of it"))
    context = chromium.new_context(**of_a_phone(wire))
    context.add_cookies([{"name": COOKIE, "value": served.token, "url": wire.address}])
    garage = context.new_page()
    session = context.new_cdp_session(garage)
    full = {"origin": wire.address, "quotaSize": 12_000_000}
    session.send("Storage.overrideQuotaForOrigin", full)
    garage.goto(f"/v/{served.empty}/photos")
    wire.mode, content = Mode.DEAD, photo() + bytes(13_000_000)  # more than there is room for
    assert run(garage, "store", HOLD_PHOTOS, [served.empty, 1_000_000]) > 1
    run(garage, "queue", ENQUEUE_SOUND, [served.empty, 1_000_000])
    assert [run(garage, "store", COUNT, name) for name in ("seen", "blobs")] == [0, 1]
    enqueue(garage, served, "before it was full")
    keep_photo(garage, content, "no room")
    with garage.expect_download() as saving:
        garage.get_by_role("button", name="Save it as a file").click()
    path = tmp_path / "bundle.zip"
    saving.value.save_as(path)
    assert [each["said"][0]["kind"] for each in waiting(garage)] == ["sound", "note"]
    assert run(garage, "store", COUNT, "blobs") == 1
    bundle = read_bundle(path)
    (entry,) = bundle.entries
    assert (entry.body.caption, bundle.logbook) == ("no room", served.empty)
    assert bundle.photo(hashlib.sha256(content).hexdigest()) == content
    taken = garage_in_memory().take_in(path)
    assert [each.id for each in taken.book.workshop.standing(taken.id)] == [entry.id]
    wire.mode = Mode.THROUGH
    send(garage)
    context.close()
    assert notes(served)[-1] == "before it was full"


def sign_in(page, name):
    """Come in by name and password."""
    page.goto("/in")
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Sign in").click()
    page.wait_for_url("**/")
    named = """
      const soon = () => new Promise((on) => setTimeout(on, 50));
      while ((await module.signedIn())?.name !== given) await soon();
    """
    run(page, "identity", named, name)  # the server says it a moment after the page


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


def test_an_act_that_waits_is_struck_by_an_entry_of_its_own(garage, wire, served):
    """Both are sent, the struck one first: nothing vanishes, and it is out."""
    before = stored(served)
    wire.mode = Mode.DEAD
    enqueue(garage, served, "a cuff's press")
    strike = "const [act] = await module.queued(); await module.strike(act.act)"
    run(garage, "queue", strike)
    assert len(waiting(garage)) == 2
    wire.mode = Mode.THROUGH
    send(garage)
    assert waiting(garage) == []
    after = stored(served)
    struck, strike = sorted(after.keys() - before.keys())
    assert after[strike]["body"] == {"act": after[struck]["act"]}


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


def test_what_was_said_last_stands_last_though_the_clock_was_set_back(garage, wire, served):
    """An act from before its own last one, by the phone's clock, says after which it came."""
    wire.mode = Mode.DEAD
    enqueue(garage, served, "first")
    garage.evaluate("window.now = Date.now; Date.now = () => window.now() - 3_600_000")
    enqueue(garage, served, "second", "third")
    garage.evaluate("Date.now = window.now")
    entries = [decode(act["bytes"].encode()) for act in waiting(garage)]
    first, second, _ = entries
    assert second.happened_ms < first.happened_ms
    assert [each.after for each in entries] == [None, first.id, second.id]
    assert [each.id for each in fold(entries).standing_entries()] == [each.id for each in entries]
    wire.mode = Mode.THROUGH
    send(garage)
    enqueue(garage, served, "fourth")
    assert decode(waiting(garage)[0]["bytes"].encode()).after is None
    send(garage)


def test_a_page_of_somebody_else_logs_nothing(garage, served):
    """Another signed in meanwhile, in another tab: nobody could say whose act it is."""
    before = stored(served)
    other = garage.context.new_page()
    garage.context.clear_cookies()  # whose device stays signed in, for the tests after this one
    sign_in(other, WORKER)
    with pytest.raises(Error, match="This page is another person's: Will Worker is signed in now"):
        enqueue(garage, served, "Olive's or Will's")
    assert waiting(garage) == []
    assert stored(served) == before
