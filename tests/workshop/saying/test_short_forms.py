"""Short forms: lines read as entries."""

import shlex
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import BadInput, InputError, NotFound
from putback.logbook.entries.bookkeeping import TimeSpent
from putback.logbook.entries.describing import Described, OneAndSame
from putback.logbook.entries.judging import Decided, SentOut
from putback.logbook.entries.keeping import Bought, ContainerMade, HardwareMoved, Pieces
from putback.logbook.entries.rebuilding import (
    Checked,
    JointMade,
    OfferedUp,
    PartOn,
    Tightness,
)
from putback.logbook.entries.registry import KINDS
from putback.logbook.entries.working import (
    JointUndone,
    Measured,
    NoteMade,
    PartOff,
    TemporaryFitOn,
    Went,
    Whither,
)
from putback.vehicle.assembly import Assembly
from putback.vehicle.check import Severity, check
from putback.vehicle.ids import AssemblyId, PartId
from putback.vehicle.vehicle import About, Vehicle
from putback.workshop.saying.forms import ELSEWHERE, FORMS, form_of, usage
from putback.workshop.saying.short_forms import LONGEST_NAME, NotDescribed, read_line
from tests.makers import vehicle
from tests.workshop.lines import Lines

LID = vehicle(
    "lid - frame: 4 bolt M8 x 20 mm + spring washer M8", "pump - frame: 2 bolt M6 x 16 mm"
)


@pytest.fixture
def lines():
    """A lid and a pump on a frame."""
    return Lines(LID)


def test_counts_destinations_and_bags(lines):
    """3/4, stuck, own holes and a tag are one entry."""
    (said,) = lines.read("undone lid-frame 3/4 stuck=1 own=1 scrap=1 tag=3cah note='rusty'")
    assert said == JointUndone(
        joint="lid-frame",
        out=3,
        of=4,
        stuck=1,
        went=(
            Went(to=Whither.OWN_HOLE, fixings=1),
            Went(to=Whither.SCRAP, fixings=1),
        ),
        tag="3CAH",
        note="rusty",
    )


def test_a_fluid_that_nobody_described_is_drained_by_its_name(lines):
    """Whoever takes an unknown vehicle apart drains it first; what holds it can be said later."""
    with pytest.raises(NotDescribed) as told:
        lines.read("drained coolant")
    assert str(told.value).endswith("to log a fluid that nobody described yet, add --new")
    described, drained = lines.read("drained coolant volume=4l", new=True)
    assert (described.table, described.id, described.fields) == (
        "fluids",
        "coolant",
        {"name": "coolant"},
    )
    assert (drained.fluid, drained.volume_m3) == ("coolant", 0.004)


@pytest.mark.parametrize(
    ("line", "counted"),
    [
        ("undone lid-frame 3 of 4 stuck=1", ("lid-frame", 3, 4)),
        ("undone 'hose clips' '1 of 2'", ("hose-clips", 1, 2)),
        ("undone 'hose clips' 2", ("hose-clips", 2, 2)),  # nobody said how many there are
        ("undone 'front panel' 2", ("front-panel", 2, 5)),  # five were said before
        ("undone 'hose clips' 0", ("hose-clips", 0, 1)),
        ("undone 'plug lead 3'", ("plug-lead-3", None, None)),  # the number is of the name
        ("undone plug lead 4", ("plug-lead-4", None, None)),
    ],
)
def test_a_count_is_said_as_people_say_it(lines, line, counted):
    """Three of four, or a number behind a name in quotes: it is none of the name."""
    lines("undone 'front panel' 1/5", new=True)
    said = lines.read(line, new=True)[-1]
    assert (said.joint, said.out, said.of) == counted


def test_quantities_are_read_in_any_unit(lines):
    """A torque, a length and a time become SI; without a unit they are refused."""
    (made,) = lines.read("made lid-frame final 4/4 torque='18 lb ft' locked=yes renewed=no")
    assert made.torque_nm == pytest.approx(24.405, abs=0.001)  # 1 lbf·ft = 1.3558 N·m, NIST SP 811
    assert (made.tightness, made.made, made.locked, made.renewed) == (
        Tightness.FINAL,
        4,
        True,
        False,
    )
    (offered,) = lines.read("offered lid fits=no misfit=1/8in")
    assert isinstance(offered, OfferedUp)
    assert (offered.fits, offered.misfit_m) == (False, pytest.approx(0.003175))  # 1 in = 25.4 mm
    assert lines.read("time 1:30 lid") == (TimeSpent(minutes=90, of="part:lid"),)
    with pytest.raises(InputError, match="cannot read '18' as a torque"):
        lines.read("made lid-frame final torque=18")


def test_pieces_and_ends_of_a_move(lines):
    """So many of what, from a bag to scrap."""
    assert lines.read("shift lid-frame '1 x bolt M8 x 20' source=3CAH to=scrap") == (
        HardwareMoved(
            joint="lid-frame",
            pieces=(Pieces(spec="bolt M8 x 20", count=1),),
            source=Whither.TAG,
            source_tag="3CAH",
            to=Whither.SCRAP,
        ),
    )
    (bought,) = lines.read("bought '4 x nut M8' '2 x plain washer M8' joint=lid-frame")
    assert isinstance(bought, Bought)
    assert [each.count for each in bought.pieces] == [4, 2]
    (undone,) = lines.read("made lid-frame finger-tight new='1 x bolt M8 x 20'")
    assert isinstance(undone, JointMade)
    assert undone.new[0].count == 1


def test_subjects_are_found_of_any_kind(lines):
    """A note is about several things, a shipment holds several."""
    assert lines.read("note 'worn' lid of=pump") == (
        NoteMade(text="worn", of=("part:lid", "part:pump")),
    )
    assert lines.read("sent lid Plater what=pump due=2031-06-01") == (
        SentOut(what=("part:lid", "part:pump"), firm="Plater", due="2031-06-01"),
    )
    assert lines.read("measured lid thickness 8.7 mm low=9") == (
        Measured(of="part:lid", what="thickness", value=8.7, unit="mm", low=9.0),
    )
    assert lines.read("fit 'slave wheels' frame") == (
        TemporaryFitOn(fit="slave-wheels", what="slave wheels", on="part:frame"),
    )


def test_new_things_are_described_by_their_names(lines):
    """A part, with its zone; a joint; without ``new`` they are refused, and ``new`` is named."""
    with pytest.raises(NotDescribed) as caught:
        lines.read("off lit")
    assert caught.value.remedy() == (
        "did you mean 'lid'? Else, to log a part that nobody described yet, add --new"
    )
    assert lines.read("off 'Horn bracket' zone=here", new=True) == (
        Described(
            table="parts", id="horn-bracket", fields={"name": "Horn bracket", "zone": "here"}
        ),
        PartOff(part="horn-bracket"),
    )
    described, undone = lines.read("undone 'Horn bolts' 2/2", new=True)
    assert described == Described(table="joints", id="horn-bolts", fields={"name": "Horn bolts"})
    assert undone.joint == "horn-bolts"
    with pytest.raises(BadInput, match="a name of 200 characters is too long"):
        lines.read(f"off {'x' * 200}", new=True)
    assert lines.read(f"off {'x' * LONGEST_NAME}", new=True)
    with pytest.raises(BadInput, match=r"'\?\?' has no letter or figure in it"):
        lines.read("off ??", new=True)


def test_an_assembly_comes_off_and_goes_on_as_its_parts():
    """As the plan calls it; what of it is off already is not said again."""
    unit = Assembly(AssemblyId("unit"), "lid with pump", (PartId("lid"), PartId("pump")))
    lines = Lines(vehicle("lid - frame", "pump - lid", unit))
    lid, pump = (PartOff(part=each, whole="unit", tag="3CAH") for each in ("lid", "pump"))
    assert lines.read("off 'lid with pump' tag=3CAH") == (lid, pump)
    lines("off pump")
    assert lines.read("off unit tag=3CAH") == (lid,)
    assert lines.read("on unit") == (PartOn(part="pump"),)
    with pytest.raises(NotDescribed) as caught:
        lines.read("off 'lid and pump'")
    assert "'lid with pump'" in caught.value.remedy()


def test_a_check_names_what_it_checks(lines):
    """The entry by which the joint was last made; none if it never was."""
    assert lines.read("checked lid-frame") == (Checked(joint="lid-frame", of=None),)
    lines("undone lid-frame 4/4")
    assert lines.read("checked lid-frame") == (Checked(joint="lid-frame", of=None),)
    made = lines("made lid-frame final")
    assert lines.read("checked lid-frame right=no note=loose") == (
        Checked(joint="lid-frame", of=made.entries[0].id, right=False, note="loose"),
    )


def test_a_decision_is_about_the_one_thing_that_waits(lines):
    """One finding is meant; of two, neither is guessed."""
    assert lines.read("decided lid reuse") == (Decided(of="part:lid", choice="reuse"),)
    found = lines("found cracked lid").entries[0].id
    assert lines.read("decided lid replace") == (
        Decided(of="part:lid", choice="replace", about=found),
    )
    lines("measured lid thickness 8 mm low=9")
    assert lines.read("decided lid replace")[0].about is None


def test_two_counts_are_settled_as_one(lines):
    """The entries that disagree are found by the joint."""
    with pytest.raises(BadInput, match="there are no entries on it that contradict each other"):
        lines.read("settled lid-frame 4")
    one = lines("undone lid-frame 4/4").entries[0].id
    other = lines("undone lid-frame 3/4", who="ben").entries[0].id
    (settled,) = lines.read("settled lid-frame 4")
    assert isinstance(settled, OneAndSame)
    assert (set(settled.entries), settled.settled) == ({one, other}, 4)


def test_one_tag_put_on_twice_is_settled_as_one_bag(lines):
    """By the tag; of a bag that was tagged once there is nothing to settle."""
    one = lines("bag 3CAH bolts").entries[0].id
    with pytest.raises(BadInput, match="there are no entries on it that contradict each other"):
        lines.read("settled 3CAH")
    other = lines("bag 3CAH 'lid bolts'").entries[0].id
    (settled,) = lines.read("settled 3CAH")
    assert (settled.entries, settled.subject) == ((one, other), "tag:3CAH")


def test_a_bag_says_where_it_was_filled(lines):
    """A zone goes by its name; one that is not there is answered with what is near."""
    assert lines.read("bag 3CAH 'front bits' zone=here") == (
        ContainerMade(tag="3CAH", name="front bits", zone="here"),
    )
    with pytest.raises(NotFound, match="no zone 'her'") as refused:
        lines.read("bag 3CAH zone=her")
    assert refused.value.nearest == ("here",)


def test_before_any_zone_is_described_it_goes_by_what_it_is_called():
    """Of a vehicle of which nothing is known, of a bag as of a part."""
    lines = Lines(Vehicle(About(id="car", name="Car")))
    assert lines.read("bag 3CAH zone='Front end'")[0].zone == "front-end"
    described, _ = lines.read("off lid zone='Front end'", new=True)
    assert described.fields["zone"] == "front-end"


def test_what_is_described_by_its_name_alone_is_no_contradiction():
    """Nothing being known is how every vehicle begins: the check has doubts, and no more."""
    lines = Lines(Vehicle(About(id="car", name="Car")))
    lines("undone 'radiator to front panel' 3/4 stuck=1 tag=3CAH", new=True)
    lines("off radiator", new=True)
    lines("off horn zone='Front end'", new=True)
    faults = check(lines.state.vehicle)
    assert {fault.severity for fault in faults} == {Severity.DOUBT}
    assert {fault.ref for fault in faults if fault.rule == "nothing_by_that_name"} == {
        "part:horn",
        "part:radiator",
    }


def test_a_count_is_of_what_it_names_unless_somebody_says_that_it_is_all(lines):
    """Two bolts found in a bag of bolts and washers lose no washer."""
    lines("undone lid-frame 4/4 tag=3CAH")
    bolts, washers = "bolt M8x1.25 x 20 mm", "spring washer M8"
    (counted,) = lines.read(f"counted 3CAH '2 x {bolts}'")
    assert counted.complete is False
    assert counted.sentence(str) == f"counted in 3CAH: 2 × {bolts}"
    lines(f"counted 3CAH '2 x {bolts}'")
    balances = lines.state.balances
    owner = "joint:lid-frame"
    assert balances["lost", owner, bolts] == 2
    assert balances["tag:3CAH", owner, washers] == 4
    (counted,) = lines.read(f"counted 3CAH '2 x {bolts}' complete=yes")
    assert counted.sentence(str) == f"counted 3CAH, all of it: 2 × {bolts}"
    lines(f"counted 3CAH '2 x {bolts}' complete=yes")
    assert lines.state.balances["lost", owner, washers] == 4


def test_a_count_of_nothing_is_an_empty_bag_or_no_count(lines):
    """That a bag is empty somebody must say."""
    with pytest.raises(BadInput, match="nothing was counted") as refused:
        lines.read("counted 3CAH")
    assert "add complete=yes if it is empty" in refused.value.remedy()
    (empty,) = lines.read("counted 3CAH complete=yes")
    assert empty.sentence(str) == "counted 3CAH, all of it: empty"


def test_two_bags_of_one_joint_are_settled_as_one(lines):
    """As counts are; an entry that disagrees in both is named once."""
    one = lines("undone lid-frame 4/4 tag=3CAH").entries[0].id
    other = lines("undone lid-frame 3/4 tag=APDC", who="ben").entries[0].id
    (settled,) = lines.read("settled lid-frame")
    assert (settled.entries, settled.settled) == ((one, other), None)


def test_each_kind_goes_by_its_own_name_too(lines):
    """Words joined by hyphens; what has a command of its own says so in `ELSEWHERE`."""
    assert lines.read("part-off lid") == lines.read("OFF lid")
    for kind in set(KINDS) - set(ELSEWHERE):
        assert form_of(kind.replace(" ", "-")).kind == kind
    with pytest.raises(NotFound, match="no kind of entry 'undon'; did you mean 'undone'"):
        form_of("undon")
    assert usage("sealed", form_of("sealed")) == "say: sealed ENTRIES DIGEST [detail=value ...]"


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("off", 'off: part is missing; for example: off "radiator" tag=3CAH'),
        ("off lid more", "off: 'more' is one word too many; for example:"),
        ("off lid colour=red", "off: off has no detail 'colour': whole, tag, place; for"),
        ("drained oil volume=4l", "no fluid 'oil'"),
        ("made lid-frame final made=-1", "made: made: -1 is less than 0;"),
        ("made lid-frame final locked=perhaps", "made: locked: 'perhaps' is neither yes nor no;"),
        ("undone lid-frame stuck=one", "undone: stuck: 'one' is no whole number;"),
        ("undone lid-frame own=one", "own: 'one' is no number of fixings; write own=2"),
        ("measured lid x inf mm", "value: 'inf' is no number; write it like 8.7"),
        ("money much GBP x", "money: amount: 'much' is no number;"),
        ("money 1 pound x", "money: currency: 'POUND' is not three letters, like GBP;"),
        ("shift lid-frame '1 x nut M8' source=away to=scrap", "source: 'away' is neither a tag"),
        ("bought many", "'many' does not say how many of what; write \"4 x bolt"),
        ("photo lid", "photo: photo: String should match pattern"),
        ("off lid tag=3CAH tag=3CAI", "off: tag is said twice; say it once"),
        ("off lid part=pump", "off: part is said twice;"),
        ("undone lid-frame 1/2 2/2", "undone: out is said twice;"),
        ("undone lid-frame 1/2 out=2", "undone: out is said twice;"),
        ("made lid-frame final 1/4 2/4", "made: made is said twice;"),
        ("money 1 GBP x amount=2", "money: amount is said twice;"),
    ],
)
def test_faults_are_told_in_plain_words(lines, line, said):
    """What is wrong, and how to mend it."""
    with pytest.raises(InputError) as caught:
        lines.read(line)
    assert str(caught.value).startswith(said)


WORDS = (
    st.sampled_from(
        ["lid", "pump", "lid-frame", "3CAH", "3/4", "yes", "8.7", "mm", "final", "reuse"]
    )
    | st.sampled_from(
        ["stuck=1", "tag=3CAH", "own=2", "of=lid", "x=1", "torque=18Nm", "due=2031-06-01"]
    )
    | st.sampled_from(["", "4 x nut M8", "brake fluid"])
    | st.text(max_size=12)
)


@given(st.sampled_from([*FORMS, *(kind.replace(" ", "-") for kind in KINDS)]), st.lists(WORDS))
def test_any_line_is_read_or_refused(word, words):
    """Whatever is typed: entries that can be logged, or an error for a person."""
    lines = Lines(LID)
    with suppress(InputError):
        bodies = read_line([word, *words], lines.state, new=True)
        assert form_of(word).kind == bodies[-1].KIND
        for body in bodies:
            assert type(body).model_validate_json(body.model_dump_json()) == body


def test_the_examples_are_lines():
    """A shell can part each of them."""
    for word, form in FORMS.items():
        assert shlex.split(form.example)[0] == word
