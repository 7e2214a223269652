"""The queue on the phone: whatever happens on the way, the server has each act exactly once.

Every test ends by comparing what the store has with what was logged.
"""

import base64
import hashlib
import json
import os
import signal
import time
from contextlib import suppress
from pathlib import Path

import pytest

from putback.errors import InputError
from putback.logbook.entries.base import Unread, canonical, digest_of
from putback.logbook.entries.registry import decode
from putback.logbook.fold import fold
from putback.logbook.tags import Tag
from putback.workshop.saying.short_forms import QUANTITIES
from tests.browser.queued import (
    bytes_of,
    enqueue,
    run,
    send,
    stored,
    waiting,
)
from tests.browser.wire import Mode
from tests.pictures.photographs import photo
from tests.pictures.sounds import ogg

WITH_MEDIA = """
  for (const [at, kind] of ["photo", "sound"].entries()) {
    const bytes = Uint8Array.from(atob(given.media[at]), (each) => each.charCodeAt(0));
    const entries = [{ kind, [kind]: "media:0" }];
    await module.enqueue({ logbook: given.logbook, entries, media: [new Blob([bytes])] });
  }"""


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


def test_asked_while_it_sends_it_is_done_once_it_was_tried_again(garage, wire, served):
    """The network is back after the first try was lost: whoever asked meanwhile has it sent."""
    enqueue(garage, served, "asked meanwhile")
    wire.mode = Mode.LOST

    def back(_):
        wire.mode = Mode.THROUGH

    wire.meanwhile = back
    left = run(garage, "queue", "module.send(); await module.send(); return module.queued();")
    assert left == []


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
