"""Fastener specifications: one canonical form, read back from its own text and from people's."""

import pickle

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st
from pydantic import TypeAdapter

from putback.bench.threads import known_threads
from putback.errors import BadInput, InputError
from putback.vehicle.fastener import FastenerKind, FastenerSpec, parse, thread_named
from putback.vehicle.fastener_kind import Form
from putback.vehicle.fastener_spec import words_of

INCH = 0.0254

lengths = st.one_of(
    st.integers(1, 64 * 12).map(lambda sixty_fourths: sixty_fourths * INCH / 64),
    st.integers(1, 5000).map(lambda tenths: tenths / 10_000),
    st.floats(1e-6, 5.0),
)
measures = st.from_regex(r"[1-9][0-9]?(\.[0-9]{1,2})? mm|[1-9]/(2|4|8|16|64) in", fullmatch=True)
remarks = st.from_regex(r"[a-z]{2,8}( [a-z]{1,8})?", fullmatch=True)
threads = st.builds(
    lambda thread, hand: thread.name + hand,
    st.sampled_from(known_threads()),
    st.sampled_from(["", " LH"]),
) | st.sampled_from(["No. 8 self-tapping", "No. 10 wood", "7/8-18 special", "M9x1 special"])


@st.composite
def specifications(draw):
    """Any specification that can be."""
    kind = draw(st.sampled_from(FastenerKind))
    thread = draw(st.just("") | threads) if kind.is_threaded else ""
    size = [] if thread or not draw(st.booleans()) else [draw(measures)]
    size += draw(st.lists(remarks | measures, max_size=2)) if size or thread else []
    size += draw(st.lists(remarks, max_size=1))
    words = {
        vocabulary.name: draw(st.just("") | st.sampled_from(sorted(vocabulary.words)))
        for vocabulary in words_of(kind)
    }
    length_m = draw(st.none() | lengths) if kind.has_length else None
    return FastenerSpec(kind, thread, ", ".join(size), length_m, **words)


@given(specifications())
@example(FastenerSpec(FastenerKind.BOLT))
@example(FastenerSpec(FastenerKind.TAPER, size="1 in 8"))
def test_the_text_of_a_specification_reads_back_to_it(spec):
    """Text and specification are one: what is written is read as the same."""
    assert parse(spec.text) == spec
    assert parse(spec.text).text == spec.text


AWKWARD = (
    "x", "M8", "M8x1", "1/4-28", "5/16", "brass", "hex", "8.8", "S", "nut", "long", "LH", "in",
    "UNF", "6 x 20 mm", "2,4 mm", "on a stud", "cap, threaded", "1 in", "no. 8", "wood", "-", ";",
)  # fmt: skip
oddments = st.sampled_from(AWKWARD) | st.text(max_size=5)


@given(
    st.sampled_from(FastenerKind),
    st.lists(oddments, max_size=4).map(" ".join),
    st.lists(oddments, max_size=4).map(", ".join),
    st.none() | lengths,
)
def test_any_size_at_all_is_refused_or_reads_back(kind, first, rest, length_m):
    """However odd the words in a size, they are kept as they are or refused."""
    try:
        spec = FastenerSpec(kind, size=f"{first}, {rest}", length_m=length_m)
    except InputError:
        assume(False)
    assert parse(spec.text) == spec


@given(st.lists(oddments | st.sampled_from(["bolt", "clip", "pin"]), max_size=6).map(" ".join))
def test_whatever_is_typed_is_read_or_refused_in_a_sentence(text):
    """No text makes it stumble; what is read is canonical, and what is not says why."""
    try:
        spec = parse(text)
    except InputError:
        with pytest.raises(BadInput, match=r"^fastener "):
            parse(text)
    else:
        assert parse(spec.text) == spec


@pytest.mark.parametrize(
    ("typed", "text"),
    [
        ("5/16-24 x 1", "bolt 5/16-24 UNF x 1 in"),
        ("5/16 UNF x 1 in bolt", "bolt 5/16-24 UNF x 1 in"),
        ("bolt, 5/16-24 x 1", "bolt 5/16-24 UNF x 1 in"),
        ("5/16-24 UNF bolts 1 in long", "bolt 5/16-24 UNF x 1 in"),
        ("bolt 5/16-24 UNF, 1 in long, oiled", "bolt 5/16-24 UNF x 1 in, oiled"),
        ('5/16"-24 × 1½″ bolt', "bolt 5/16-24 UNF x 1 1/2 in"),
        ("bolt 5/16-24 UNF x 25 mm", "bolt 5/16-24 UNF x 25 mm"),
        ("M8x1.25x30 8.8", "bolt M8x1.25 x 30 mm 8.8"),
        ("M8-1.25 x 30", "bolt M8x1.25 x 30 mm"),
        ("M8 x 30", "bolt M8x1.25 x 30 mm"),
        ("M8 x 1 x 30", "bolt M8x1 x 30 mm"),
        ("M8 nut", "nut M8x1.25"),
        ("M10x1 pipe nut LH", "pipe nut M10x1 LH"),
        ("M10x1,25 nut", "nut M10x1.25"),
        ("bolt 3/8-16 UNC x 1 1/4 stainless", "bolt 3/8-16 UNC x 1 1/4 in stainless"),
        ("hexagon head bolt M8 x 30 zinc plated", "bolt M8x1.25 x 30 mm plated"),
        ("10-32 x 1/2 pan head screw", "screw 10-32 UNF x 1/2 in pan"),
        ("1/4-20 x 3/4 csk screw", "countersunk screw 1/4-20 UNC x 3/4 in"),
        ("No. 8 x 1/2 self tapping screw", "screw No. 8 self-tapping x 1/2 in"),
        ("2BA x 1/2 cheese head screw brass", "screw 2 BA x 1/2 in cheese brass"),
        ("castle nut 7/16", "castle nut 7/16 in"),
        ("nut 7/16 UNF", "nut 7/16-20 UNF"),
        ("nut 5/16 whit", "nut 5/16-18 BSW"),
        ("wheel nut 7/16-20 left-hand, taper seat", "wheel nut 7/16-20 UNF LH, taper seat"),
        ("stud nut 3/8-24 UNF, brass", "stud nut 3/8-24 UNF brass"),
        (
            "pipe nut 3/8-24 on 3/16 in tube, flared",
            "pipe nut 3/8-24 UNF, on 3/16 in tube, flared",
        ),
        ("plug 1/8-27", "plug 1/8-27 NPT"),
        ("union 1/8 BSP", "union 1/8-28 BSP"),
        ("knurled nut 7/8-18 special", "knurled nut 7/8-18 special"),
        ("nut grade 5 1/2 UNF", "nut 1/2-20 UNF grade 5"),
        ("bolt x 30 mm", "bolt x 30 mm"),
        ("bolt 5/16 x 1", "bolt 5/16 in x 1 in"),
        ("split pin 2.4 mm", "split pin 2.4 mm"),
        ("split pin 2.40 x 25", "split pin 2.4 mm x 25 mm"),
        ("split pin 1/16 x 1", "split pin 1/16 in x 1 in"),
        ("rivet 6 mm x 12 mm countersunk", "rivet 6 mm x 12 mm countersunk"),
        ("rivet 6 mm, hold the shims", "rivet 6 mm, hold the shims"),
        ("dowel centre bolt head", "dowel, centre bolt head"),
        ("key 6x6x28mm", "key 6 x 6 x 28 mm"),
        ("sleeve 5/16 x 22 mm", "sleeve 5/16 in x 22 mm"),
        ("hose clip 35-50 mm stainless", "hose clip 35-50 mm stainless"),
        ("plain washers M8", "plain washer M8"),
        ("lock washer 5/16", "spring washer 5/16 in"),
        ("belt V, 10 x 965 mm", "belt, V, 10 x 965 mm"),
        ("sits in lower pan", "sits in, lower pan"),
        ("taper 1 in 8", "taper, 1 in 8"),
        ("cup washer eye, 34 mm", "cup washer, eye, 34 mm"),
        ("gasket, paper", "gasket, paper"),
        ("cap, threaded 44 mm", "threaded cap 44 mm"),
        ("threadlock, medium", "threadlock, medium"),
        ("BOLT", "bolt"),
    ],
)
def test_what_people_type_comes_out_canonical(typed, text):
    """The ways to say one thing end in one text."""
    assert parse(typed).text == text


REFUSED = {
    "5/16 UNG x 1 bolt": "cannot read '5/16 UNG'; did you mean UNF?",
    "7/8-18 nut": "no thread 7/8-18 is in the tables; there is 7/8-20 UNEF, 7/8-14 UNF or "
    "7/8-14 BSP; if it was measured so, write 7/8-18 special",
    "M8x1.2x30": "no thread M8x1.2 is in the tables; there is M8x1.25, M8x1, M8x0.75; if it was "
    "measured so, write M8x1.2 special",
    "M13 x 20": "no thread M13 is in the tables; with its pitch it may be written, like M13x1 "
    "special",
    "plug 1/8-28": "thread 1/8-28 is not one thread; say 1/8-28 BSP or 1/8-28 BSPT",
    "nut 99-99": "no thread 99-99 is in the tables; if it was measured so, write 99-99 special",
    "4 x M8 x 30": "how many is no part of a specification; give the number apart",
    "5/16-24 UNF": "it does not say what it is; name its kind, like bolt, nut or clip",
    "bolt 8 x 30": "cannot read '8'; write M8 for millimetres, or the number with its thread, "
    "like 10-32",
    "bolt 5/16-24 x 25": "25 inches would be long for 5/16-24 UNF; write 25 mm or 25 in, "
    "whichever is meant",
    "bolt M8 x 30 8.8 10.9": "its grade is said twice, 8.8 and 10.9; leave one out",
    "bolt M8 x 30 plated, brass": "its finish is said twice, plated and brass; leave one out",
    "nut M8 x 30": "a nut has no length; leave it out, or say it in the size",
    "bolt 5/16 x 1 x 2": "it has more than one length; write one, after the last x",
    "bolt pivot": "cannot read 'pivot'; write it like 'bolt 5/16-24 UNF x 1 in plated'; anything "
    "else goes after a comma",
    "bolt M8 x 30 m": "no fastener is 30 m long; check the unit",
    "bolt M8 x 30 Nm": "cannot read '30 Nm' as a length; write it like '190.5 mm' or '1 1/2 in'",
}


@pytest.mark.parametrize(("typed", "message"), REFUSED.items())
def test_what_cannot_be_read_says_why_and_what_is_near(typed, message):
    """An error quotes what was typed, what of it is wrong, and how to mend it."""
    with pytest.raises(BadInput) as caught:
        parse(typed)
    assert str(caught.value) == f"fastener {typed!r}: {message}"


def test_a_given_kind_is_used_where_the_text_names_none():
    """A form that knows the kind asks only for the size."""
    assert parse("7/16 UNF", FastenerKind.CASTLE_NUT).text == "castle nut 7/16-20 UNF"
    assert parse("castle nut 7/16 UNF", FastenerKind.CASTLE_NUT).text == "castle nut 7/16-20 UNF"
    assert parse("spring seat", FastenerKind.RUBBER_PAD).text == "rubber pad, spring seat"


def test_a_second_kind_beside_the_given_one_is_refused():
    """Bolt and nut cannot both be meant."""
    with pytest.raises(BadInput, match="it says nut, where a bolt is meant; leave one out"):
        parse("nut 5/16-24", FastenerKind.BOLT)


@pytest.mark.parametrize(
    ("fields", "message"),
    [
        (
            {"kind": FastenerKind.SPRING_WASHER, "thread": "5/16-24 UNF"},
            "a spring washer has no thread (5/16-24 UNF); give its size",
        ),
        (
            {"kind": FastenerKind.NUT, "length_m": 0.01},
            "a nut has no length; leave it out, or say it in the size",
        ),
        (
            {"kind": FastenerKind.GASKET, "head": "pan"},
            "a gasket has no head (pan); say it in the size",
        ),
        (
            {"kind": FastenerKind.TAPER, "finish": "plated"},
            "a taper has no finish (plated); say it in the size",
        ),
        (
            {"kind": FastenerKind.BOLT, "size": "5/16-24"},
            "'5/16-24' is a thread; give it as the thread, not as the size",
        ),
        (
            {"kind": FastenerKind.CLEVIS_PIN, "size": "6 x 20 mm"},
            "there is a length in '6 x 20 mm'; give it apart",
        ),
        (
            {"kind": FastenerKind.BOLT, "size": "fitted, 2 in long"},
            "there is a length in '2 in long'; give it apart",
        ),
        (
            {"kind": FastenerKind.BOLT, "thread": "5/16-24 UNF x 1"},
            "cannot read '5/16-24 UNF x 1' as a thread; write it like 5/16-24 UNF, M8x1.25 or "
            "1/8-27 NPT",
        ),
        (
            {"kind": FastenerKind.BOLT, "grade": "8.9"},
            "no grade '8.9' is known; did you mean 8.8?",
        ),
        (
            {"kind": FastenerKind.BOLT, "finish": "painted pink"},
            "no finish 'painted pink' is known; say it in the size",
        ),
        (
            {"kind": FastenerKind.BOLT, "length_m": 0.0},
            "no fastener is 0 m long; check the unit",
        ),
        (
            {"kind": FastenerKind.BOLT, "length_m": float("nan")},
            "no fastener is nan m long; check the unit",
        ),
    ],
)
def test_a_specification_that_cannot_be_is_refused(fields, message):
    """What exists is valid: a contradiction is refused where it is made."""
    with pytest.raises(BadInput) as caught:
        FastenerSpec(**fields)
    assert str(caught.value) == message


def test_fields_are_put_into_canonical_form():
    """However it is made, a specification is the one that its text reads back to."""
    spec = FastenerSpec(
        FastenerKind.SCREW,
        thread="1/4 unc",
        size="  driven  from below,brass ",
        length_m=0.0254000000001,
        head="csk head",
    )
    assert spec == FastenerSpec(
        FastenerKind.COUNTERSUNK_SCREW, "1/4-20 UNC", "driven from below", 0.0254, finish="brass"
    )
    assert str(spec) == "countersunk screw 1/4-20 UNC x 1 in brass, driven from below"


def test_a_hex_head_is_what_a_bolt_has_when_nothing_is_said():
    """Saying the usual does not make another fastener; on a screw it is unusual."""
    assert parse("hex bolt M8 x 30") == parse("bolt M8 x 30")
    assert parse("hex screw M4 x 10").head == "hex"


def test_equal_specifications_are_one_key():
    """Specifications count in a table by what they are, not by how they were typed."""
    assert (
        len({parse("5/16-24 x 1"), parse("bolt 5/16 UNF x 1 in"), parse("hex bolt 5/16-24 x 1")})
        == 1
    )
    assert parse("5/16-24 x 1") != parse("5/16-18 x 1")


def test_a_specification_survives_pickling_and_pydantic():
    """Entries, snapshots and worker processes hand it on unchanged."""
    spec = parse("M8x1.25x30 8.8, fitted shank")
    adapter = TypeAdapter(FastenerSpec)
    assert pickle.loads(pickle.dumps(spec)) == spec
    assert pickle.loads(pickle.dumps(spec)).text == spec.text
    plain = adapter.dump_python(spec, mode="json")
    plain.pop("text")
    assert adapter.validate_python(plain) == spec


def test_a_length_shows_in_inches_only_where_it_is_a_64th():
    """An inch bolt of 30 mm is not rounded to 1 3/16 in."""
    assert parse("5/16-24 x 30 mm").text == "bolt 5/16-24 UNF x 30 mm"
    assert parse("5/16-24 x 19.05 mm").text == "bolt 5/16-24 UNF x 3/4 in"
    assert parse("M8 x 1/2 in").text == "bolt M8x1.25 x 12.7 mm"


def test_threads_are_found_by_any_of_their_names():
    """Size and pitch, size and series, or the number are enough."""
    names = ["5/16-24", "5/16 UNF", "5/16 in UNF", "#10-32", "M8", "2BA", "1/4 BSPP", "M10x1 LH"]
    found = [thread_named(name).name for name in names]
    assert found == [
        "5/16-24 UNF", "5/16-24 UNF", "5/16-24 UNF", "10-32 UNF", "M8x1.25", "2 BA", "1/4-19 BSP",
        "M10x1 LH",
    ]  # fmt: skip


def test_every_kind_is_read_by_its_own_name():
    """No kind hides behind another that its name contains."""
    for kind in FastenerKind:
        assert parse(kind.value).kind is kind
        assert parse(f"{kind.value.upper()}, odd").size == "odd"


def test_what_a_kind_may_have_follows_from_its_form():
    """Stems have thread and length, rings a thread, pins a length, the rest neither."""
    assert {(k.is_threaded, k.has_length) for k in FastenerKind if k.form is Form.STEM} == {
        (True, True)
    }
    assert {(k.is_threaded, k.has_length) for k in FastenerKind if k.form is Form.RING} == {
        (True, False)
    }
    assert {(k.is_threaded, k.has_length) for k in FastenerKind if k.form is Form.PIN} == {
        (False, True)
    }
    assert not any(k.is_threaded or k.has_length for k in FastenerKind if k.form is Form.SHAPE)
