"""Where a thing is and how it is, and what can hurt whoever works on it."""

from dataclasses import replace

import pytest

from putback.logbook.entries.working import PhotoTaken
from putback.logbook.open_items import open_items
from putback.vehicle.assembly import Assembly
from putback.vehicle.ids import AssemblyId, FluidId, JobId, OpeningId, PartId
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Care, Does, WhenUndone
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part
from putback.vehicle.usual_cautions import GLASS
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.logbooks.situation import situation_of
from putback.workshop.saying.short_forms import read_line
from putback.workshop.saying.whereabouts import cautions_of, whereabouts
from tests.makers import ZONE, joint, standing, vehicle
from tests.stores import ANN, PHONE
from tests.workshop.lines import CAR, Lines

SPRING = replace(
    joint("spring - frame: 1 clip; critical"),
    when_undone=WhenUndone(Does.FLIES, "the coil is loaded", "compressor on"),
)
ABOUT = vehicle(
    "lid - frame: 4 bolt M8 x 20 + spring washer M8",
    "pump - frame: 2 bolt M6 x 16",
    SPRING,
    Part(PartId("spring"), "spring", ZONE),
    Part(PartId("drum"), "drum", ZONE, cautions=("linings may hold asbestos",), crew=2),
    Assembly(
        AssemblyId("unit"),
        "lid with pump",
        (PartId("lid"), PartId("pump")),
        hoist="engine crane",
        cautions=("suspended load",),
    ),
    Job(JobId("drain"), "drain it", JobKind.DRAIN, cautions=("fuel vapour",)),
    Opening(OpeningId("inlet"), "inlet", PartId("pump"), ends=2),
    standing("STANDS", "frame"),
)


@pytest.fixture
def lines():
    """A lid and a pump, together or apart."""
    return Lines(ABOUT)


def test_a_part_through_its_life(lines):
    """As found, off, hung aside, kept as pattern, on again."""
    seen = []
    for line in ("hand lid", "undone lid-frame", "off lid", "aside lid", "on lid renewed=yes"):
        lines(line)
        seen.append(whereabouts(lines.state, "part:lid"))
    assert seen[0] == ("on the vehicle, as found", "0 of its 1 joint undone")
    assert seen[2] == ("off", "1 of its 1 joint undone")
    assert "hung aside" in seen[3]
    assert seen[4][0] == "back on the vehicle, renewed"
    lines("off pump whole='lid with pump'")
    assert whereabouts(lines.state, "part:pump")[0] == "off, with lid with pump"
    assert whereabouts(lines.state, "assembly:unit") == (
        "1 of its 2 parts off",
        "of it: lid",
        "of it: pump",
    )
    lines("pattern pump")
    assert whereabouts(lines.state, "part:pump")[0] == "kept as pattern"


def test_what_was_lost_of_a_joint_that_nobody_described_is_told(lines):
    """No account has it, as nobody knows what it is."""
    lines("undone J 3/3 lost=1 tag=3CAH", new=True)
    assert whereabouts(lines.state, "joint:j")[:2] == ("undone: 3 of 3 out", "1 lost")


def test_a_joint_and_its_hardware(lines):
    """How far, what is stuck or broken, and every account that holds something."""
    assert whereabouts(lines.state, "joint:lid-frame") == (
        "as found",
        "on vehicle: 4 × bolt M8x1.25 x 20 mm, 4 × spring washer M8",
    )
    lines("undone lid-frame 3/4 stuck=1 sheared=1 own=1 tag=3CAH")
    said = whereabouts(lines.state, "joint:lid-frame")
    assert said[:3] == ("part undone: 3 of 4 out", "1 stuck", "1 destroyed")
    assert "in its own hole: 1 × bolt M8x1.25 x 20 mm, 1 × spring washer M8" in said
    assert any(each.startswith("3CAH: 1 × bolt M8x1.25 x 20 mm") for each in said)
    assert any(each.startswith("scrap: 1 × bolt M8x1.25 x 20 mm") for each in said)


def test_a_bag_and_what_is_in_it(lines):
    """Its name, parts, pieces, and bags within."""
    lines("crate 3HNA cooling")
    lines("bag 3CAH bolts")
    lines("put tag:3CAH 3HNA")
    lines("undone lid-frame 4/4 tag=3CAH")
    lines("off lid tag=3HNA")
    assert whereabouts(lines.state, "tag:3CAH") == (
        "bag: bolts",
        "4 × bolt M8x1.25 x 20 mm, of lid-frame",
        "4 × spring washer M8, of lid-frame",
        "in 3HNA (cooling)",
    )
    assert whereabouts(lines.state, "tag:3HNA") == (
        "crate: cooling",
        "lid",
        "in it: 3CAH (bolts)",
    )


def test_hardware_that_nobody_described_is_found_again(lines):
    """The joint names its bag and the bag its joint, though no piece of it is in the books."""
    lines("undone 'front panel' 3/4 stuck=1 tag=3CAH", new=True)
    joint = "joint:front-panel"
    assert whereabouts(lines.state, joint) == (
        "part undone: 3 of 4 out",
        "1 stuck",
        "its hardware is in 3CAH",
    )
    assert whereabouts(lines.state, "tag:3CAH") == ("hardware of front panel",)
    lines("undone 'front panel' 3/4 tag=APDC", who="ben")
    lines("bag APDC 'panel bolts'")
    told = "its hardware is said to be in 3CAH and APDC (panel bolts)"
    assert whereabouts(lines.state, joint)[-1] == told
    for tag in ("tag:3CAH", "tag:APDC"):
        assert "hardware of front panel" in whereabouts(lines.state, tag)
    lines("counted 3CAH '3 x bolt M6 x 16'")
    assert whereabouts(lines.state, "tag:3CAH") == ("3 × bolt M6x1 x 16 mm, of front panel",)
    lines("shift 'front panel' '3 x bolt M6 x 16' source=3CAH to=scrap")
    assert "3CAH" not in " ".join(whereabouts(lines.state, joint))


def test_a_second_bag_for_described_hardware_is_named_as_well(lines):
    """The books have it in the first; the other is only told of."""
    lines("undone lid-frame 4/4 tag=3CAH")
    lines("undone lid-frame 4/4 tag=APDC", who="ben")
    said = whereabouts(lines.state, "joint:lid-frame")
    assert said[1:] == (
        "3CAH: 4 × bolt M8x1.25 x 20 mm, 4 × spring washer M8",
        "its hardware is said to be in APDC",
    )
    assert whereabouts(lines.state, "tag:APDC") == ("hardware of lid-frame",)


def test_what_nobody_counted_says_so_until_somebody_does():
    """Of trim clips the figures are those of the description, by joint and by bag."""
    lines = Lines(vehicle(replace(joint("trim - frame: 6 clip"), care=Care.ALL_THERE)))
    as_built = "on vehicle: 6 × clip (not counted)"
    assert whereabouts(lines.state, "joint:trim-frame") == ("as found", as_built)
    lines("undone trim-frame tag=3CAH")
    assert whereabouts(lines.state, "joint:trim-frame")[1] == "3CAH: 6 × clip (not counted)"
    assert whereabouts(lines.state, "tag:3CAH") == ("6 × clip (not counted), of trim-frame",)
    lines("counted 3CAH '5 x clip' complete=yes")
    assert whereabouts(lines.state, "joint:trim-frame")[1:] == ("lost: 1 × clip", "3CAH: 5 × clip")
    assert whereabouts(lines.state, "tag:3CAH") == ("5 × clip, of trim-frame",)


def test_a_bag_a_zone_and_a_photo_are_a_complete_entry(lines):
    """Nothing else need be known: where the bag came from is said, and nothing is asked for."""
    lines("bag 3CAH 'front bits' zone=here")
    photo = PhotoTaken(photo="0" * 64, of=("tag:3CAH",))
    lines.workshop.log(CAR, [photo], who=ANN, device=PHONE)
    here = lines.state.name_of(f"zone:{ZONE}")
    assert whereabouts(lines.state, "tag:3CAH") == ("bag: front bits", f"from {here}")
    assert lines.state.containers["3CAH"].common.photos == ("0" * 64,)
    assert not [
        item
        for item in open_items(situation_of(lines.workshop, CAR))
        if item.subject == "tag:3CAH"
    ]


def test_a_place_of_the_garage(lines):
    """What is there, by the garage's name of it; a vehicle without a garage is as it is."""
    assert in_its_garage(lines.workshop, CAR) == lines.workshop.state(CAR)
    bodies = read_line(["place", "Dry store"], lines.workshop.state(GARAGE))
    lines.workshop.log(GARAGE, bodies, who=ANN, device=PHONE)
    lines("off lid place='dry store'")
    lines("bag 3CAH")
    lines("moved tag:3CAH 'dry store'")
    assert whereabouts(lines.state, "place:dry-store") == ("here: 3CAH", "here: lid")
    assert "in Dry store" in whereabouts(lines.state, "part:lid")
    assert lines.workshop.state(CAR).places == {}


def test_openings_jobs_fits_and_standings(lines):
    """Each says how it is, before and after."""
    state = lines.state
    assert whereabouts(state, "opening:inlet") == ("nothing logged",)
    assert whereabouts(state, "job:drain") == ("not done yet",)
    assert whereabouts(state, "standing:STANDS") == ("the vehicle does not stand so now",)
    lines("closed inlet 1")
    lines("done 'drain it'")
    lines("standing STANDS")
    lines("fit braces frame")
    state = lines.state
    assert whereabouts(state, "opening:inlet") == ("1 of 2 ends closed",)
    assert whereabouts(state, "job:drain") == ("done",)
    assert whereabouts(state, "standing:STANDS") == ("the vehicle stands so",)
    assert whereabouts(state, "fit:braces") == ("still in",)
    lines("closed inlet")
    lines("unfit braces")
    assert whereabouts(lines.state, "opening:inlet") == ("closed",)
    assert whereabouts(lines.state, "fit:braces") == ("taken out",)
    assert whereabouts(lines.state, "goal:none") == ("nobody said anything of it yet",)


def test_a_fluid_is_in_or_drained():
    """As somebody last said."""
    lines = Lines(vehicle("lid - frame", Fluid(FluidId("oil"), "oil", PartId("lid"))))
    assert whereabouts(lines.state, "fluid:oil") == ("in",)
    lines("drained oil")
    assert whereabouts(lines.state, "fluid:oil") == ("drained",)
    lines("filled oil")
    assert whereabouts(lines.state, "fluid:oil") == ("in",)


def test_what_is_away_or_wrong(lines):
    """At the plater, on order, come back without something, with a finding."""
    lines("sent lid Plater due=2031-06-01")
    lines("ordered pump 'new pump' due=2031-07-01")
    lines("ordered spring")
    assert "out at Plater, due 2031-06-01" in whereabouts(lines.state, "part:lid")
    assert "on order, due 2031-07-01" in whereabouts(lines.state, "part:pump")
    assert "on order" in whereabouts(lines.state, "part:spring")
    lines("back lid missing='one clip'")
    lines("found cracked lid")
    said = whereabouts(lines.state, "part:lid")
    assert "came back without one clip" in said
    assert "found: cracked" in said


def test_cautions(lines):
    """What can hurt somebody, of parts, wholes, jobs and joints; of other things nothing."""
    about = lines.state.vehicle
    assert cautions_of(about, "part:drum") == ("linings may hold asbestos", "it takes 2 people")
    assert cautions_of(about, "assembly:unit") == (
        "suspended load",
        "it takes a hoist: engine crane",
    )
    assert cautions_of(about, "job:drain") == ("fuel vapour",)
    assert cautions_of(about, f"joint:{SPRING.id}") == (
        "undone, it flies: the coil is loaded",
        "first: compressor on",
        "safety critical: a second person looks at it once it is made again",
    )
    for subject in ("part:lid", "joint:lid-frame", "part:none", "tag:3CAH"):
        assert cautions_of(about, subject) == ()


def test_cautions_end_with_what_they_speak_of(lines):
    """A joint undone or without what flies, a job done, a part gone; what is off still hurts."""

    def told(subject: str) -> tuple[str, ...]:
        return cautions_of(lines.state.vehicle, subject, lines.state)

    critical = "safety critical: a second person looks at it once it is made again"
    assert len(told(f"joint:{SPRING.id}")) == 3
    lines("done drain")
    assert told("job:drain") == ()
    lines(f"off {SPRING.parts[0]}")
    assert told(f"joint:{SPRING.id}") == (critical,)
    lines("off drum")
    assert told("part:drum") == ("linings may hold asbestos", "it takes 2 people")
    lines("scrapped drum")
    assert told("part:drum") == ()


def test_what_is_usual_is_told_where_nobody_described_a_caution():
    """Of a thing as it is now; what was described alone says whether anybody thought of any."""
    pane = Part(PartId("pane"), "windscreen", ZONE)
    lines = Lines(vehicle(pane, datum="pane"))
    assert cautions_of(lines.state.vehicle, "part:pane", lines.state) == (GLASS,)
    assert cautions_of(lines.state.vehicle, "part:pane") == ()


def test_what_is_put_off_says_so_with_its_reason():
    """A part, a joint, an assembly; until when only if that is known."""
    lines = Lines(ABOUT)
    lines("not-now lid 'no tool' note='long reach' until=2031-06-01")
    lines("not-now 'lid with pump' stuck")
    assert "put off until 1 Jun 2031 (no tool: long reach)" in whereabouts(lines.state, "part:lid")
    assert "put off (stuck)" in whereabouts(lines.state, "assembly:unit")
    lines("hand lid")
    assert not any(each.startswith("put off") for each in whereabouts(lines.state, "part:lid"))


def test_a_joint_that_was_seen_free_says_by_whom():
    """Until it is made again."""
    lines = Lines(ABOUT)
    lines("undone lid-frame 4/4")
    lines("free lid-frame lid")
    assert f"seen free by {ANN}" in whereabouts(lines.state, "joint:lid-frame")
    lines("made lid-frame final")
    assert not any(
        each.startswith("seen free") for each in whereabouts(lines.state, "joint:lid-frame")
    )
