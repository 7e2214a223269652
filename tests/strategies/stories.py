"""Stories of a small vehicle on which every open item has something to bite on.

Where `tests.strategies.entries` says anything whatever, here people do what people do: undo
some of a joint, bag it, count the bag, lose a bolt, make the joint again with a new one, strike an
entry out. So joints, bags and accounts get into states that mean something.
"""

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

from hypothesis import strategies as st

from putback.logbook.entries.base import Body, Subject
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import OneAndSame
from putback.logbook.entries.judging import (
    Arrived,
    CameBack,
    Choice,
    Decided,
    Hindrance,
    Ordered,
    PutOff,
    SentOut,
)
from putback.logbook.entries.keeping import (
    Bought,
    Counted,
    HardwareMoved,
    KeptAsPattern,
    Lost,
    Moved,
    Pieces,
    PutIn,
    Scrapped,
)
from putback.logbook.entries.rebuilding import (
    Bled,
    Checked,
    Filled,
    JointMade,
    OfferedUp,
    PartOn,
    Tightness,
)
from putback.logbook.entries.working import (
    Drained,
    Found,
    HungAside,
    JobDone,
    JointCracked,
    JointUndone,
    MarkMade,
    Measured,
    OpeningClosed,
    OpeningOpened,
    PartOff,
    SeenFree,
    StandingChanged,
    TakenInHand,
    TemporaryFitOff,
    TemporaryFitOn,
    Went,
    Whither,
)
from putback.vehicle.assembly import Assembly
from putback.vehicle.ids import JointId
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Care, Does, FinalWhen, WhenUndone
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import MarkNeeded, Part, PartKind
from putback.vehicle.standing import TemporarySupport
from tests.makers import ZONE, joint, standing, vehicle
from tests.makers_logbook import Story

BOLT, WASHER, PIN = "bolt M8x1.25 x 20 mm", "plain washer M8", "split pin 3 mm"

VEHICLE = vehicle(
    f"lid - frame: 4 {BOLT} + {WASHER}",
    f"lid - bar: 2 {BOLT} & 1 {WASHER}",
    replace(joint(f"bar - frame: 2 {BOLT}"), final_when=FinalWhen.LADEN),
    f"engine - frame: 2 castle nut M12 + {PIN}!; critical; crack in wheels",
    "engine - gearbox: 3 bolt M10x40; in wheels",
    replace(joint("gearbox - frame: 1 bolt M10x40"), when_undone=WhenUndone(Does.FALLS)),
    "hose - engine: 1 banjo bolt 3/8-24 UNF + copper washer 10 mm!; critical",
    "hub - frame",
    "wheel - hub: 4 wheel nut M12; critical; crack in wheels",
    replace(joint("trim - lid: 6 spring clip 8 mm!"), care=Care.ALL_THERE),
    "bar blocks lid",
    "lid or trim blocks engine",
    Part("lid", "lid", ZONE, marks=(MarkNeeded("scribe", "hinges"),), photos=("the gaps",)),
    Part("engine", "engine", ZONE, mass_kg=120, crew=2, measures=("height",)),
    Part("wheel", "wheel", ZONE, kind=PartKind.WHEEL),
    Assembly("unit", "engine unit", ("engine", "gearbox"), crew=2, hoist="crane"),
    Opening("end", "hose end", "hose", ("hose-engine",), ends=2, fluid="fluid"),
    Fluid("fluid", "brake fluid", "hose", leaks_if_off=("hose",), hazard="strips paint"),
    Job("bleed", "bleed", JobKind.BLEED, fluid="fluid"),
    Job("lower", "lower it", JobKind.BRACE),
    TemporarySupport("x", "jack", "frame", "part:engine", "job:lower"),
    standing("wheels", "wheel"),
    standing("stands", "frame", "bar", needs_off=("trim",)),
    datum="frame",
)
"""Small, and every rule has something to say of it."""

TAGS = ("3CAH", "K7F4")
JOINTS = (*VEHICLE.joints, JointId("unknown"))
SPECS = (BOLT, WASHER, PIN)

_joints = st.sampled_from(JOINTS)
_parts = st.sampled_from((*VEHICLE.parts, "unknown"))
_tags = st.sampled_from(TAGS)
_ends = st.sampled_from(
    [(Whither.TAG, tag) for tag in TAGS]
    + [(each, None) for each in Whither if each is not Whither.TAG]
)
_pieces = st.builds(Pieces, spec=st.sampled_from(SPECS), count=st.integers(0, 5))
_some_pieces = st.lists(_pieces, min_size=1, max_size=2).map(tuple)
_subjects = st.one_of(
    _parts.map(lambda part: Subject(f"part:{part}")), _tags.map(lambda tag: Subject(f"tag:{tag}"))
)
_days = st.sampled_from(["", "2031-05-03", "2031-09-01"])


@st.composite
def undone(draw: st.DrawFn) -> JointUndone:
    """Some or all of a joint out, some of it in pieces, into bags and elsewhere."""
    name = draw(_joints)
    described = VEHICLE.joints.get(name)
    of = described.fixing_count if described else draw(st.integers(1, 4))
    of += draw(st.sampled_from([0, 0, 0, 0, 1]))
    out = draw(st.sampled_from([of, of, draw(st.integers(0, of))]))
    went = []
    for to, tag in draw(st.lists(_ends, max_size=2)):
        went.append(Went(to=to, tag=tag, fixings=draw(st.integers(1, 2))))
    return JointUndone(
        joint=name,
        out=out,
        of=of,
        sheared=draw(st.sampled_from([0, 0, min(1, out)])),
        stuck=of - out,
        went=tuple(went),
        tag=draw(st.none() | _tags),
    )


def _made(joints: st.SearchStrategy[JointId]) -> st.SearchStrategy[Body]:
    return st.builds(
        JointMade,
        joint=joints,
        tightness=st.sampled_from(Tightness),
        made=st.none() | st.none() | st.integers(0, 4),
        torque_nm=st.none() | st.just(25.0),
        locked=st.none() | st.booleans(),
        renewed=st.none() | st.booleans(),
        new=st.just(()) | _some_pieces,
    )


@st.composite
def _moved(draw: st.DrawFn) -> HardwareMoved:
    (source, source_tag), (to, to_tag) = draw(_ends), draw(_ends)
    return HardwareMoved(
        joint=draw(st.none() | _joints),
        pieces=draw(_some_pieces),
        source=source,
        source_tag=source_tag,
        to=to,
        to_tag=to_tag,
    )


def hardware_bodies() -> st.SearchStrategy[Body]:
    """What moves hardware."""
    return st.one_of(
        undone(),
        undone(),
        _made(_joints),
        _moved(),
        st.builds(Counted, tag=_tags, pieces=_some_pieces, complete=st.booleans()),
        st.builds(Bought, pieces=_some_pieces, joint=st.none() | _joints),
    )


def _other_bodies() -> st.SearchStrategy[Body]:
    fluid = st.just("fluid")
    return st.one_of(
        st.builds(
            PartOff, part=_parts, whole=st.none() | st.just("unit"), tag=st.none() | _tags
        ),
        st.builds(PartOn, part=_parts),
        st.builds(JointCracked, joint=_joints),
        st.builds(Checked, joint=_joints, right=st.booleans()),
        st.builds(HungAside, part=_parts),
        st.builds(MarkMade, part=_parts),
        st.builds(OpeningClosed, opening=st.just("end"), ends=st.none() | st.integers(0, 2)),
        st.builds(OpeningOpened, opening=st.just("end")),
        st.builds(Drained, fluid=fluid),
        st.builds(Filled, fluid=fluid),
        st.builds(Bled, fluid=fluid),
        st.builds(TemporaryFitOn, fit=st.just("f"), what=st.just("prop"), on=_subjects),
        st.builds(TemporaryFitOff, fit=st.just("f")),
        st.builds(
            StandingChanged, standing=st.sampled_from(["wheels", "stands"]),
            rock_tested=st.booleans(), looked=st.none() | st.just("B"),
        ),
        st.builds(JobDone, job=st.sampled_from(["lower", "bleed", "unknown"])),
        st.builds(TakenInHand, what=_parts.map(lambda part: f"part:{part}")),
        st.builds(SeenFree, joint=_joints),
        st.builds(
            PutOff, what=_joints.map(lambda joint: f"joint:{joint}"),
            why=st.sampled_from(Hindrance), until=_days,
        ),
        st.builds(Moved, what=_subjects, place=st.just("shelf")),
        st.builds(PutIn, what=_subjects, tag=_tags),
        st.builds(Lost, part=_parts),
        st.builds(Scrapped, part=_parts),
        st.builds(KeptAsPattern, part=_parts),
        st.builds(OfferedUp, what=_subjects, fits=st.booleans()),
        st.builds(Found, what=st.just("a crack"), of=_subjects),
        st.builds(
            Measured, of=_subjects, what=st.just("wear"), value=st.sampled_from([1.0, 9.0]),
            unit=st.just("mm"), high=st.just(3.0),
        ),
        st.builds(Decided, of=_subjects, choice=st.sampled_from(Choice)),
        st.builds(SentOut, what=st.tuples(_subjects), firm=st.just("Plater"), due=_days),
        st.builds(CameBack, what=st.tuples(_subjects), missing=st.sampled_from(["", "clips"])),
        st.builds(Ordered, what=_subjects, due=_days),
        st.builds(Arrived, what=_subjects),
    )  # fmt: skip


_DESCRIBED = Story(VEHICLE)
_HARDWARE, _OTHER = hardware_bodies(), _other_bodies()


def _followed(draw: st.DrawFn, bodies: list[Body]) -> Iterator[Body]:
    """Follow what is undone, now and then, by making it again, else most of it would stay off."""
    for body in bodies:
        yield body
        if isinstance(body, JointUndone) and draw(st.booleans()):
            yield draw(_made(st.just(body.joint)))


@st.composite
def stories(draw: st.DrawFn, body: st.SearchStrategy[Body] | None = None) -> Story:
    """A whole story, with strikes and settled counts."""
    story = _DESCRIBED.copy()
    described = len(story.entries)
    if body is None:
        body = st.booleans().flatmap(lambda hard: _HARDWARE if hard else _OTHER)
    least = draw(st.sampled_from([0, 6, 12]))
    for each in _followed(draw, draw(st.lists(body, min_size=least, max_size=24))):
        story.now += timedelta(hours=draw(st.sampled_from([0, 0, 30])))
        story.says(draw(st.sampled_from("AB")), each)
        doubles = [(j, s.doubles) for j, s in story.state.joints.items() if len(s.doubles) > 1]
        if doubles and draw(st.booleans()):
            name, entries = doubles[0]
            settled = draw(st.none() | st.integers(0, 4))
            story.says(
                "B",
                OneAndSame(entries=entries, subject=Subject(f"joint:{name}"), settled=settled),
            )
        told = story.entries[described:]
        if draw(st.sampled_from([False] * 9 + [True])):
            story.says("A", Struck(entry=draw(st.sampled_from(told)).id))
    return story
