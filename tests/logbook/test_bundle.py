"""Bundles: lossless, whole or not at all, and readable without Putback."""

import json
import zipfile
from hashlib import sha256
from itertools import chain

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from putback.errors import BundleError, Damaged, Stopped
from putback.logbook.bundle import (
    Bundle,
    BundleFault,
    Manifest,
    check_bundle,
    read_bundle,
    write_bundle,
)
from putback.logbook.bundle.lines import LONGEST_LINE, from_line, to_line
from putback.logbook.entries.base import Entry, LogbookId
from putback.logbook.entries.bookkeeping import MoneySpent, PersonNamed, Struck
from putback.logbook.entries.describing import PlaceDescribed
from putback.logbook.entries.keeping import ContainerMade, Moved
from putback.logbook.entries.registry import KINDS, MAX_ENTRY_BYTES, decode, encode
from putback.logbook.entries.working import NoteMade, PartOff, PhotoTaken, SoundTaken
from putback.logbook.fold import fold
from putback.progress import Stoppable
from tests.strategies.entries import LOGBOOK, SUBJECTS, Draft, act_of, id_of, logbooks

PHOTO = b"\xff\xd8 not much of a photo"
DIGEST = sha256(PHOTO).hexdigest()
GARAGE = LogbookId("garage")


def entry(number: int, body, logbook: LogbookId = LOGBOOK, who: str = "ann") -> Entry:
    """One entry."""
    moment = "2031-05-02T08:30:00Z"
    return encode(
        id=id_of(number),
        act=act_of(number + 1),
        logbook=logbook,
        happened_at=moment,
        logged_at=moment,
        clock=(1_935_477_000_000, number),
        device="phone",
        who=who,
        body=body,
    )


def in_other_words(entry: Entry, style: str) -> Entry:
    """The same entry as another program might have written it."""
    document = json.loads(entry.raw)
    raw = {
        "pretty": json.dumps(document, indent=2),
        "windows": json.dumps(document, indent=1).replace("\n", "\r\n") + "\r\n",
        "padded": f" \t{json.dumps(document)}  ",
        "escaped": json.dumps(document, ensure_ascii=True),
        "canonical": entry.raw.decode(),
    }[style].encode()
    return decode(raw)


@pytest.fixture
def target(tmp_path):
    """Where the bundle goes."""
    return tmp_path / "plover.putback.zip"


def entries_of(bundle: Bundle) -> dict[tuple[str, str], bytes]:
    """What is in a bundle, by identity and digest, as it was received."""
    return {(each.id, each.digest): each.raw for each in bundle.entries}


STYLES = ["canonical", "pretty", "windows", "padded", "escaped"]


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(logbooks(), st.lists(st.sampled_from(STYLES), min_size=1))
def test_what_goes_out_comes_back_byte_for_byte(target, entries, styles):
    """Export and import keep every entry as received, unread ones too, and give one state."""
    sent = [in_other_words(each, styles[n % len(styles)]) for n, each in enumerate(entries)]
    manifest = write_bundle(target, LOGBOOK, sent)
    bundle = read_bundle(target)
    first = {}
    for each in sent:
        first.setdefault((each.id, each.digest), each.raw)
    assert entries_of(bundle) == first
    assert bundle.manifest == manifest
    here, there = fold(sent, LOGBOOK), fold(bundle.entries, LOGBOOK)
    assert there.state() == here.state()
    assert there.log() == here.log()
    assert there.log().digest == manifest.digest
    assert [there.history(each) for each in SUBJECTS] == [here.history(each) for each in SUBJECTS]


@given(logbooks(), logbooks(conflicts=True), st.data())
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=50)
def test_merging_is_set_union(target, ours, theirs, data):
    """Two copies merged either way round, or twice, are one bundle's worth of entries."""
    write_bundle(target, LOGBOOK, ours)
    first = read_bundle(target)
    write_bundle(target, LOGBOOK, theirs)
    second = read_bundle(target)
    both = data.draw(st.permutations([first.entries, second.entries, first.entries]))
    manifest = write_bundle(target, LOGBOOK, chain(*both))
    merged = read_bundle(target)
    assert entries_of(merged) == entries_of(second) | entries_of(first)
    assert manifest.digest == fold([*ours, *theirs], LOGBOOK).log().digest
    assert check_bundle(target).is_sound


@given(logbooks(), st.integers(0, 20))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=50)
def test_what_came_since_completes_the_earlier_bundle(target, entries, count):
    """An earlier bundle and what came since are together all there is, however late its date."""
    write_bundle(target, LOGBOOK, entries[:count])
    earlier = read_bundle(target)
    manifest = write_bundle(target, LOGBOOK, entries, since=earlier)
    later = read_bundle(target)
    assert manifest.since == earlier.manifest.digest
    assert not entries_of(later).keys() & entries_of(earlier).keys()
    everything = fold([*later.entries, *earlier.entries], LOGBOOK)
    assert everything.log() == fold(entries, LOGBOOK).log()
    assert everything.state() == fold(entries, LOGBOOK).state()


def test_photos_go_along_and_one_withdrawn_is_told(target):
    """A photo that an entry names is in the bundle; one that is not to be had is no fault."""
    other = "0" * 64
    entries = [
        entry(1, PhotoTaken(photo=DIGEST, media_type="image/jpeg; quality=high")),
        entry(2, PhotoTaken(photo=other)),
        entry(3, SoundTaken(sound=sha256(b"hum").hexdigest(), media_type="audio/strange")),
    ]
    photos = {DIGEST: PHOTO, sha256(b"hum").hexdigest(): b"hum"}
    manifest = write_bundle(target, LOGBOOK, entries, photos=photos.get)
    bundle = read_bundle(target)
    assert manifest.photos_missing == bundle.photos_missing == (other,)
    assert dict(bundle.photos()) == photos
    assert bundle.photo(DIGEST) == PHOTO
    assert bundle.photo(other) is None
    names = zipfile.ZipFile(target).namelist()
    assert f"photos/{DIGEST}.jpg" in names
    assert f"photos/{sha256(b'hum').hexdigest()}.bin" in names
    assert check_bundle(target).is_sound


def test_a_photo_that_came_late_goes_along_with_what_came_since(target):
    """Its entry was sent before, its bytes were not: now they are."""
    entries = [entry(1, PhotoTaken(photo=DIGEST))]
    write_bundle(target, LOGBOOK, entries)
    earlier = read_bundle(target)
    write_bundle(target, LOGBOOK, entries, photos={DIGEST: PHOTO}.get, since=earlier)
    later = read_bundle(target)
    assert later.entries == ()
    assert dict(later.photos()) == {DIGEST: PHOTO}
    write_bundle(target, LOGBOOK, entries, photos={DIGEST: PHOTO}.get, since=later)
    assert dict(read_bundle(target).photos()) == {}


def test_a_photo_that_is_not_what_its_digest_says_stops_the_bundle(target):
    """A damaged photo is never handed on under the name of the good one."""
    with pytest.raises(Damaged, match="its bytes are not those of its digest"):
        write_bundle(
            target, LOGBOOK, [entry(1, PhotoTaken(photo=DIGEST))], photos={DIGEST: b"x"}.get
        )
    assert list(target.parent.iterdir()) == []


def test_the_garage_goes_along_as_far_as_it_is_referred_to(target):
    """Places, people and containers that the vehicle's entries name, with their strikes."""
    entries = [
        entry(1, PartOff(part="lid", place="barn")),
        entry(2, Moved(what="tag:3CAH", place="shed")),
        entry(3, NoteMade(text="spoken by somebody else"), who="ben"),
    ]
    wanted = [
        entry(11, PlaceDescribed(place="barn", name="The barn"), GARAGE),
        entry(12, PersonNamed(person="ben", name="Ben"), GARAGE),
        entry(13, ContainerMade(tag="3CAH"), GARAGE),
    ]
    strike = entry(14, Struck(entry=wanted[0].id), GARAGE)
    its_strike = entry(15, Struck(act=strike.act), GARAGE)
    others = [
        entry(16, PlaceDescribed(place="yard", name="The yard"), GARAGE),
        entry(17, Struck(entry=id_of(16)), GARAGE),
        entry(18, PersonNamed(person="carl", name="Carl"), GARAGE),
    ]
    garage = [its_strike, strike, *others, *wanted]
    manifest = write_bundle(target, LOGBOOK, entries, garage)
    bundle = read_bundle(target)
    assert {each.id for each in bundle.garage} == {
        each.id for each in (*wanted, strike, its_strike)
    }
    assert manifest.garage_entries == 5


def test_money_and_names_stay_at_home_on_request(target):
    """So does a kind of which nobody here can say whether it is private; the count is told."""
    shared = [
        Draft(NoteMade(text="new shell"), act=1, number=1).entry(0),
        Draft(NoteMade(text="old kind"), act=1, number=2, unread='{"version": 9}').entry(0),
    ]
    private = [
        entry(3, MoneySpent(amount="12.50", currency="GBP")),
        entry(4, PersonNamed(person="ann", name="Ann")),
        Draft(NoteMade(text=""), act=1, number=5, unread='{"kind": "will"}').entry(0),
    ]
    manifest = write_bundle(target, LOGBOOK, [*shared, *private], without_private=True)
    bundle = read_bundle(target)
    assert [each.id for each in bundle.entries] == [each.id for each in shared]
    assert manifest.left_out == 3
    assert check_bundle(target).is_sound
    assert "3 entries on money or people's names were left out" in readme_of(target)


def readme_of(path) -> str:
    """The README in a bundle."""
    with zipfile.ZipFile(path) as packed:
        return packed.read("README.txt").decode()


def test_the_readme_explains_everything_to_somebody_without_putback(target):
    """Every kind, every file and every field of an entry is in it; it fits on a page's width."""
    manifest = write_bundle(
        target, LOGBOOK, [entry(1, NoteMade(text="first"))], name="Old Plover", made_at="2031"
    )
    text = readme_of(target)
    for kind in KINDS:
        assert f"  {kind} " in text
    for word in (*json.loads(entry(1, NoteMade(text="")).raw), *manifest.files):
        assert word in text
    for told in ("Old Plover", "2031", manifest.digest, "1 in logbook.jsonl", "UTF-8", "JSON"):
        assert told in text
    assert "``" not in text
    assert "{" not in text.replace(manifest.digest, "")


def test_the_same_entries_give_the_same_bytes(target, tmp_path):
    """A bundle holds nothing of the machine or the moment but what it is told."""
    entries = [entry(1, NoteMade(text="first"))]
    write_bundle(target, LOGBOOK, entries)
    write_bundle(tmp_path / "again.zip", LOGBOOK, entries)
    assert target.read_bytes() == (tmp_path / "again.zip").read_bytes()


def test_lines_are_entries_as_received_and_read_in_any_editor(target):
    """The logbook's lines are the bytes received; one with line breaks in it is a JSON string."""
    plain = entry(1, NoteMade(text="first"))
    pretty = in_other_words(entry(2, NoteMade(text="second")), "pretty")
    write_bundle(target, LOGBOOK, [plain, pretty])
    with zipfile.ZipFile(target) as packed:
        lines = packed.read("logbook.jsonl").decode().splitlines()
    assert lines[0].encode() == plain.raw
    assert json.loads(lines[1]).encode() == pretty.raw


@given(st.text().filter(lambda text: text.strip() and not text.startswith('"')))
def test_any_text_survives_as_a_line(text):
    """Whatever may stand in a JSON document is one line, and comes back; CRLF does not matter."""
    raw = text.encode(errors="replace")
    line = to_line(raw)
    assert line.count(b"\n") == 1
    assert from_line(line) == raw
    assert from_line(line.replace(b"\n", b"\r\n")) == raw


def test_the_longest_entry_fits_on_a_line():
    """An entry of the greatest length is read back even if every byte of it has to be escaped."""
    assert len(to_line(b"\n" * MAX_ENTRY_BYTES)) <= LONGEST_LINE


# -- atomic ---------------------------------------------------------------------------------------


def failing(entries, error):
    """Entries that end in an error."""
    yield from entries
    raise error


def test_a_bundle_is_there_whole_or_not_at_all(target):
    """Work that ends half-way leaves the old bundle as it was, and nothing beside it."""
    write_bundle(target, LOGBOOK, [entry(1, NoteMade(text="first"))])
    before = target.read_bytes()
    with pytest.raises(OSError, match="no more"):
        write_bundle(target, LOGBOOK, failing([entry(2, NoteMade(text=""))], OSError("no more")))
    with pytest.raises(Stopped):
        write_bundle(
            target, LOGBOOK, [entry(2, NoteMade(text=""))], progress=Stoppable(lambda: True)
        )
    assert target.read_bytes() == before
    assert list(target.parent.iterdir()) == [target]


# -- checking -------------------------------------------------------------------------------------


def rewritten(path, change) -> None:
    """Write the archive again with its files changed by hand."""
    with zipfile.ZipFile(path) as packed:
        files = {name: packed.read(name) for name in packed.namelist()}
    change(files)
    with zipfile.ZipFile(path, "w") as packed:
        for name, content in files.items():
            packed.writestr(name, content)


def three_entries(target) -> Manifest:
    """A bundle of two entries, one of the garage and a photo."""
    return write_bundle(
        target,
        LOGBOOK,
        [entry(1, PhotoTaken(photo=DIGEST)), entry(2, PartOff(part="lid", place="barn"))],
        [entry(3, PlaceDescribed(place="barn"), GARAGE)],
        {DIGEST: PHOTO}.get,
    )


def test_a_sound_bundle_is_reported_with_what_is_odd(target):
    """Duplicates, conflicts, unread entries and foreign files are told, and are no faults."""
    twice = entry(1, NoteMade(text="first"))
    other = entry(1, NoteMade(text="other"))
    unread = Draft(NoteMade(text=""), act=1, number=5, unread='{"kind": "dreamt"}').entry(0)
    manifest = write_bundle(target, LOGBOOK, [twice, other, unread])

    def add(files):
        lines = files["logbook.jsonl"] + to_line(twice.raw)
        files["logbook.jsonl"] = lines
        document = json.loads(files["manifest.json"])
        document["files"]["logbook.jsonl"] = sha256(lines).hexdigest()
        files["manifest.json"] = json.dumps(document).encode()
        files["__MACOSX/._logbook.jsonl"] = b""

    rewritten(target, add)
    report = check_bundle(target)
    assert report.is_sound
    assert report.duplicates == 1
    assert report.conflicts == (twice.id,)
    assert report.unread == 1
    assert report.others == ("__MACOSX/._logbook.jsonl",)
    assert read_bundle(target).manifest.digest == manifest.digest


def test_a_check_names_every_fault_with_its_line(target):
    """All that is wrong is told at once; reading refuses by the first of it."""
    three_entries(target)
    foreign = entry(4, NoteMade(text=""), LogbookId("other"))

    def spoil(files):
        files["logbook.jsonl"] += b"\n".join(
            [b"", b"{torn", b'"also torn', foreign.raw, b"[1]", b"\xff\xfe", b""]
        )
        files[f"photos/{DIGEST}.jpg"] = b"another"
        files[f"photos/{'0' * 64}.jpg"] = b"unlisted"
        del files["garage.jsonl"]

    rewritten(target, spoil)
    report = check_bundle(target)
    said = [str(fault) for fault in report.faults]
    assert not report.is_sound
    wanted = [
        "garage.jsonl: is missing from the bundle",
        f"photos/{'0' * 64}.jpg: is not listed in manifest.json",
        "logbook.jsonl, line 4: not a logbook entry: it is not an entry: Expecting property name",
        "logbook.jsonl, line 5: not a logbook entry: Unterminated string",
        "logbook.jsonl, line 6: is of the logbook 'other', not of 'v'",
        "logbook.jsonl, line 7: not a logbook entry: : Input should be a valid dictionary",
        "logbook.jsonl, line 8: not a logbook entry: it is not an entry: 'utf-8' codec can't",
        "logbook.jsonl: is not as it was written",
        "manifest.json: tells of 1 garage entries; there are 0",
        f"photos/{DIGEST}.jpg: is not the photo that was put in",
    ]
    for text in wanted:
        assert any(each.startswith(text) for each in said), f"{text}\nnot in\n" + "\n".join(said)
    with pytest.raises(BundleError, match=r"garage.jsonl: is missing .*nothing was imported"):
        read_bundle(target)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"entries": 3}, "tells of 3 entries; there are 2"),
        ({"digest": "0" * 64}, "the digest of all entries is not the one given"),
        ({"format": "putback bundle 2"}, "is in the format 'putback bundle 2', and this Putback"),
        ({"format": 3}, "cannot be read: format: Input should be a valid string"),
        ({"logbook": "a\x1b[2Jb"}, "cannot be read: logbook: String should match"),
        ({"files": {}}, "is not listed in manifest.json"),
        ({"files": 3}, "cannot be read: files: "),
    ],
)
def test_a_manifest_that_does_not_fit_is_refused(target, change, said):
    """What the manifest tells must be what is there, in a format that is known."""
    three_entries(target)

    def lie(files):
        document = json.loads(files["manifest.json"]) | change
        files["manifest.json"] = json.dumps(document).encode()

    rewritten(target, lie)
    with pytest.raises(BundleError, match="nothing was imported") as caught:
        read_bundle(target)
    assert said in str(caught.value)


def test_a_file_may_not_stand_there_under_two_names(target):
    """One photo in two files is refused: one of them was never written by us."""
    three_entries(target)

    def copy(files):
        files[f"photos/{DIGEST}.png"] = PHOTO

    rewritten(target, copy)
    faults = check_bundle(target).faults
    assert BundleFault(f"photos/{DIGEST}.png", f"is photos/{DIGEST}.jpg once more") in faults


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "cannot be opened: No such file"),
        (b"", "is not a sound zip file"),
        (b"PK\x05\x06", "is not a sound zip file"),
        (b"GIF89a" * 100, "is not a sound zip file"),
    ],
)
def test_what_is_no_archive_is_no_bundle(target, content, said):
    """A file that is missing, empty or something else is refused in one sentence."""
    if content is not None:
        target.write_bytes(content)
    for look in (read_bundle, check_bundle):
        with pytest.raises(BundleError, match=said):
            look(target)


def test_a_zip_file_of_something_else_is_no_bundle(target):
    """Without a manifest nobody knows whether all of it is there."""
    with zipfile.ZipFile(target, "w") as packed:
        packed.writestr("holiday.txt", "sun")
    with pytest.raises(BundleError, match=r"is no bundle: it has no manifest\.json"):
        check_bundle(target)


def test_reading_names_the_line_at_fault(target):
    """A person can go to the line and look."""
    three_entries(target)
    rewritten(target, lambda files: files.update({"logbook.jsonl": b"\n\nhello\n"}))
    with pytest.raises(BundleError, match=r"zip, logbook\.jsonl, line 3: not a logbook entry: "):
        read_bundle(target)


def test_reading_can_be_stopped(target):
    """A person who waits for a large bundle may end it."""
    three_entries(target)
    with pytest.raises(Stopped):
        read_bundle(target, Stoppable(lambda: True))
