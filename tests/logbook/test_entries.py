"""Entries: every kind there and back, and what is no entry refused in clear words."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.logbook.cells.description import fold_record
from putback.logbook.entries.base import (
    Body,
    MalformedEntry,
    Precision,
    Unread,
    canonical,
    digest_of_set,
)
from putback.logbook.entries.describing import Described
from putback.logbook.entries.registry import KINDS, MAX_ENTRY_BYTES, decode
from putback.logbook.entries.working import (
    JointUndone,
    Measured,
    NoteMade,
    PartOff,
    PhotoTaken,
    Went,
)
from putback.logbook.fold import Fold, fold
from putback.vehicle.codec import TABLES
from tests.strategies.entries import (
    LOGBOOK,
    Draft,
    bodies,
    bodies_of,
    drafts,
    id_of,
    wild_descriptions,
)

NOTE = Draft(NoteMade(text="first"), act=1).entry(1)


def changed(**fields: object) -> bytes:
    """The note's entry with other fields in its envelope."""
    return json.dumps(json.loads(NOTE.raw) | fields).encode()


def all_bodies(found: type[Body] = Body) -> set[type[Body]]:
    """Every class of body, however deep."""
    return {each for sub in found.__subclasses__() for each in {sub, *all_bodies(sub)}}


def test_every_body_has_a_kind_of_its_own():
    """No class of body is missing from the registry, and no two share a name."""
    bodies_here = {each for each in all_bodies() if each.__module__.startswith("putback.")}
    assert set(KINDS.values()) == bodies_here
    assert {kind: body.KIND for kind, body in KINDS.items()} == {kind: kind for kind in KINDS}


@pytest.mark.parametrize("kind", sorted(KINDS))
@given(st.data())
def test_every_kind_comes_back(kind, data):
    """Written, read and written again, an entry is the same to the byte, and says itself."""
    body = data.draw(bodies_of(kind))
    entry = Draft(body, act=1).entry(2)
    assert entry.body == body
    again = decode(entry.raw)
    assert again == entry
    assert Draft(again.body, act=1).entry(2).raw == entry.raw
    assert entry.brief.subjects == body.subjects()
    assert all(subject for subject in body.subjects())
    sentence = body.sentence(fold([entry]).state().name_of)
    assert sentence.strip()
    assert sentence == body.sentence(fold([entry]).state().name_of), "a sentence never changes"
    assert body.sentence(str).strip()


@given(wild_descriptions())
def test_any_record_can_be_described(body):
    """Whatever a record of a vehicle can hold, a description says, and it folds to that record."""
    entry = Draft(body, act=1).entry(2)
    assert decode(entry.raw).body == body
    assert Fold(LOGBOOK).add([entry]).new == (entry.id,)


@pytest.mark.parametrize("table", TABLES)
def test_a_record_can_be_named_before_anything_is_known_of_it(table):
    """A description with no field at all folds to a record that can be filled in later."""
    entry = Draft(Described(table=table, id="x"), act=1).entry(1)
    assert fold_record(table, "x", [((), entry)]) is not None
    assert fold([entry]).state().vehicle


@given(drafts(bodies()), st.integers(0, 20))
def test_the_digest_is_of_what_is_said(draft, place):
    """White space and the order of keys are of no account; anything else is."""
    entry = draft.entry(place)
    document = json.loads(entry.raw)
    other = dict(reversed(document.items()))
    assert decode(json.dumps(other, indent=3).encode()).digest == entry.digest
    assert decode(canonical(document | {"who": "nobody yet"})).digest != entry.digest


def test_the_digest_of_a_set_knows_no_order():
    """Equal for equal sets, different for others, also for none."""
    one, two = "0f" * 32, "f0" * 32
    assert digest_of_set([one, two]) == digest_of_set([two, one])
    assert len({digest_of_set(each) for each in ([], [one], [two], [one, two], [one, one])}) == 5


@pytest.mark.parametrize(
    ("fields", "why"),
    [
        ({"kind": "dreamt"}, "unknown kind"),
        ({"version": 2}, "unknown version"),
        ({"version": 0}, "unknown version"),
        ({"body": {}}, "malformed body"),
        ({"body": {"text": "x", "mood": "good"}}, "malformed body"),
        ({"body": {"text": "bell \x07"}}, "malformed body"),
        ({"kind": "time", "body": {"minutes": 1, "people": 10**400}}, "malformed body"),
        ({"kind": "money", "body": {"amount": "9E+999", "currency": "GBP"}}, "malformed body"),
        ({"kind": "described", "body": {"table": "parts", "id": " "}}, "malformed body"),
        ({"kind": "described", "body": {"table": "cats", "id": "x"}}, "malformed body"),
        ({"kind": "struck", "body": {}}, "malformed body"),
        ({"kind": "part off", "body": {"part": {"deep": [[]]}}}, "malformed body"),
    ],
)
def test_a_body_that_cannot_be_read_is_kept_and_flagged(fields, why):
    """It folds as nothing, is told in the log, and its bytes go out again as they came."""
    raw = changed(**fields)
    entry = decode(raw)
    assert isinstance(entry.body, Unread)
    assert entry.body.why == why
    assert entry.raw == raw
    assert entry.body.sentence(str) == f"kept unread ({why})"
    folded = fold([entry, NOTE])
    assert folded.state() == fold([NOTE], LOGBOOK).state() or entry.id == NOTE.id
    assert fold([entry]).log().unread == (entry.id,)


@pytest.mark.parametrize(
    ("raw", "why"),
    [
        (b"", "not a logbook entry: it is not an entry: Expecting value"),
        (b"\xff\xfe{", "not a logbook entry: it is not an entry: 'utf-8' codec can't decode"),
        (b"[]", "not a logbook entry: : Input should be a valid dictionary"),
        (b"[" * 100_000, "not a logbook entry: it is not an entry: "),
        (changed(text=1), "text: Extra inputs are not permitted"),
        (changed(id="17"), "id: String should match pattern"),
        (changed(id=None), "id: Input should be a valid string"),
        (changed(after="yesterday"), "after: String should match pattern"),
        (changed(happened_at="2031-5-2"), "happened_at: String should match pattern"),
        (changed(happened_at="2031-02-30"), "it is not an entry: day is out of range"),
        (changed(happened_at="2031-13"), "it is not an entry: bad month number 13"),
        (changed(happened_at="9999-12-31"), "it is not an entry: date value out of range"),
        (changed(happened_at="٢٠٣١-٠٥"), "happened_at: String should match pattern"),
        (changed(logged_at="2031-05-02"), "logged_at: String should match pattern"),
        (changed(logged_at="2031-05-02T25:00:00Z"), "it is not an entry: "),
        (changed(clock=[1]), "clock.1: Field required"),
        (changed(clock=[-1, 0]), "clock.0: Input should be greater than or equal to 0"),
        (changed(clock=[2**63, 0]), "clock.0: Input should be less than"),
        (changed(version=2**70), "version: Input should be less than"),
        (changed(device="a\x00b"), "device: String should match pattern"),
        (changed(who="x" * 201), "who: String should have at most 200 characters"),
        (changed(body=[]), "body: Input should be a valid dictionary"),
        (NOTE.raw.replace(b'"first"', b"NaN"), "it is not an entry: NaN is not a number"),
        (NOTE.raw.replace(b'"first"', b"1e999"), "it is not an entry: Out of range float"),
        (NOTE.raw.replace(b'"first"', b'"\\ud800"'), "surrogates not allowed"),
        (NOTE.raw.replace(b'"first"', b"1" * 5000), "it is not an entry: Exceeds the limit"),
        (b" " * (MAX_ENTRY_BYTES + 1), "it has 262145 bytes; at most 262144 are read"),
    ],
)
def test_what_is_no_entry_is_refused(raw, why):
    """Without a sound envelope nothing can be kept; the place and the reason are told."""
    with pytest.raises(MalformedEntry) as caught:
        decode(raw, where="line 7")
    assert str(caught.value).startswith("line 7: not a logbook entry: ")
    assert why in str(caught.value)
    assert str(caught.value).endswith("nothing was taken in; mend or leave out this line")


def test_nothing_is_written_that_could_not_be_read():
    """A value that would come back unread is refused when it is written."""
    for text in ("bell \x07", "half a pair \ud800"):
        with pytest.raises(ValueError, match=r"control characters|surrogates"):
            Draft(NoteMade(text=text), act=1).entry(1)
    with pytest.raises(ValueError, match="JSON compliant"):
        Draft(Measured(of="x", what="play", value=float("nan"), unit="mm"), act=1).entry(1)


@pytest.mark.parametrize(
    ("happened", "precision"),
    [
        ("", Precision.UNKNOWN),
        ("2031-05", Precision.MONTH),
        ("2031-05-02", Precision.DAY),
        ("2031-05-02T08:30:00Z", Precision.INSTANT),
    ],
)
def test_how_exactly_a_moment_is_known_is_told_by_its_length(happened, precision):
    """What was not known is not made up."""
    assert Draft(NoteMade(text=""), act=1, happened=happened).entry(1).precision is precision


@pytest.mark.parametrize(
    ("counts", "why"),
    [
        ({"out": 5, "of": 4}, "5 of 4 cannot be out"),
        ({"out": 1, "cut": 1, "sheared": 1}, "more fixings are cut, sheared or rounded than"),
        ({"out": 1, "of": 2, "stuck": 2}, "1 out and 2 stuck are more than the 2 there are"),
    ],
)
def test_counts_that_cannot_be_are_refused(counts, why):
    """An interactive form says so at once; such a body from elsewhere is kept unread."""
    with pytest.raises(ValueError, match=why):
        JointUndone(joint="j", **counts)


def test_a_stored_count_of_too_many_stuck_is_read_as_it_stands():
    """It was written when nobody asked: it stays readable, and counts what it says is out."""
    sound = Draft(JointUndone(joint="j", out=1, of=2, stuck=1), act=1).entry(1)
    document = json.loads(sound.raw)
    document["body"]["stuck"] = 2
    old = decode(canonical(document)).body
    assert isinstance(old, JointUndone)
    assert (old.out, old.of, old.stuck) == (1, 2, 2)


@pytest.mark.parametrize("given_tag", [{"to": "tag"}, {"to": "scrap", "tag": "3CAH"}])
def test_a_tag_is_given_exactly_for_a_tagged_bag(given_tag):
    """Pieces that go to scrap have no tag, and pieces in a bag have one."""
    with pytest.raises(ValueError, match="a tag is given exactly when"):
        Went(fixings=1, **given_tag)


def test_a_bag_a_zone_and_a_photo_are_a_complete_entry():
    """Nothing need be known of a part; it is named later and keeps all that was said."""
    act = [
        Draft(PartOff(part="unnamed-1", tag="3CAH"), act=1).entry(1),
        Draft(PhotoTaken(photo="ab" * 32, of=("part:unnamed-1", "zone:bay")), act=1).entry(2),
    ]
    state = fold(act).state()
    assert state.parts_off == {"unnamed-1"}
    assert state.undescribed == {"part:unnamed-1"}
    assert state.parts["unnamed-1"].common.tag == "3CAH"
    assert state.parts["unnamed-1"].common.photos == ("ab" * 32,)
    assert state.others["zone:bay"].photos == ("ab" * 32,)
    named = Draft(
        Described(table="parts", id="unnamed-1", fields={"name": "heater lid", "zone": "bay"}),
        act=2,
    ).entry(3)
    later = fold([*act, named]).state()
    assert later.undescribed == frozenset()
    assert later.name_of("part:unnamed-1") == "heater lid"
    assert later.parts == state.parts
    assert id_of(1) == act[0].id
