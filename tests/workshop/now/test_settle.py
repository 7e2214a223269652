"""Settling doubles: whatever two people told otherwise, every way out clears it in one act."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.errors import BadInput
from putback.logbook.entries.base import Body, DeviceId, LogbookId
from putback.logbook.entries.describing import Described
from putback.logbook.entries.keeping import ContainerMade
from putback.logbook.entries.registry import decode
from putback.logbook.entries.working import JointUndone, PartOff, StandingChanged
from putback.logbook.fold import fold
from putback.vehicle.generate import generate
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.open_now import open_now
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.now.settle import BOTH, Double, doubles, settle, without
from tests.makers import vehicle
from tests.stores import ANN, BEN, MORNING, PHONE, Phone, Watch

BENS = DeviceId("ben's phone")


class Apart:
    """Two phones that were apart, and the workshop in which they meet."""

    def __init__(self, about=None) -> None:
        watch = Watch()
        self.workshop = Workshop(MemoryEntryStore(watch), MemoryPhotoStore(), watch)
        about = about or vehicle("lid - frame: 4 bolt M8 x 20", "hood - frame")
        self.car = LogbookId("car")
        self.workshop.new_vehicle(about, who=ANN, device=PHONE, logbook=self.car)
        watch.put_on(minutes=90)
        early, late = Watch(MORNING), Watch(MORNING)
        late.put_on(minutes=60)
        self.ann = Phone(PHONE, ANN, self.car, late)
        self.ben = Phone(BENS, BEN, self.car, early)

    def told(self, ann: Body, ben: Body) -> None:
        """Both log; Ben's phone is an hour behind, and comes in first."""
        for phone, body in ((self.ben, ben), (self.ann, ann)):
            entry = phone.entry(body)
            self.workshop.receive(self.car, [entry.raw], received_from=phone.device)

    def doubles(self) -> tuple[Double, ...]:
        return doubles(self.workshop, self.car, open_now(self.workshop, self.car))

    def tap(self, double: Double, way: str):
        return settle(self.workshop, self.car, double.key, way, who=BEN, device=BENS)

    @property
    def state(self):
        return self.workshop.state(self.car)


def undone(**said) -> JointUndone:
    return JointUndone(joint="lid-frame", of=4, **said)


CASES: dict[str, tuple[Body, Body]] = {
    "counts disagree": (undone(out=3, tag="3CAH"), undone(out=4, tag="3CAH")),
    "hardware in two bags": (undone(out=4, tag="3CAH"), undone(out=4, tag="F32C")),
    "part in two places": (PartOff(part="lid", place="shelf"), PartOff(part="lid", place="barn")),
    "standings disagree": (
        StandingChanged(standing="on stands"),
        StandingChanged(standing="on wheels"),
    ),
    "tag on two bags": (ContainerMade(tag="3CAH"), ContainerMade(tag="3CAH")),
    "described twice": (
        Described(table="parts", id="lid", fields={"mass_kg": 2.0, "name": "the lid"}),
        Described(table="parts", id="lid", fields={"mass_kg": 3.5, "name": "a lid"}),
    ),
}


@pytest.mark.parametrize("rule", CASES)
def test_every_way_out_clears_it_in_one_act(rule):
    """Each button is pressed on a copy of its own; afterwards nothing of it is open."""
    first = Apart()
    first.told(*CASES[rule])
    (double,) = [each for each in first.doubles() if each.item.rule == rule]
    assert len(double.ways) >= (1 if rule == "tag on two bags" else 2)
    assert len({each.key for each in double.ways}) == len(double.ways)
    for number, way in enumerate(double.ways):
        apart = Apart()
        apart.told(*CASES[rule])
        (same,) = [each for each in apart.doubles() if each.item.rule == rule]
        apart.tap(same, same.ways[number].key)
        assert rule not in {each.rule for each in open_now(apart.workshop, apart.car)}, way
        with pytest.raises(BadInput, match="settled already"):
            apart.tap(same, same.ways[number].key)


def test_what_was_tapped_is_what_counts():
    """Of each pair Ben's word is kept: the state is what he said."""
    apart = Apart()
    for rule, (ann, ben) in CASES.items():
        if rule != "hardware in two bags":  # of the same joint as the counts
            apart.told(ann, ben)
    for _ in range(9):
        mine = [
            (each, way)
            for each in apart.doubles()
            for way in each.ways
            if way.who == "ben" or (way.key == BOTH and each.item.rule == "tag on two bags")
        ]
        if not mine:
            break
        apart.tap(mine[0][0], mine[0][1].key)
    assert apart.doubles() == ()
    state = apart.state
    assert state.vehicle.parts["lid"].mass_kg == 3.5
    assert state.vehicle.parts["lid"].name == "a lid"
    assert state.parts["lid"].common.place == "barn"
    assert state.standing.standing == "on wheels"


def test_two_who_said_the_same_leave_nothing_to_settle():
    """One joint logged by both alike is one event, an hour apart or not."""
    apart = Apart()
    apart.told(undone(out=4, tag="3CAH"), undone(out=4, tag="3CAH"))
    assert apart.doubles() == ()
    assert apart.state.joints["lid-frame"].out == 4


def test_a_double_is_shown_once():
    """What has its ways out beside it is not in the list of the rest as well."""
    apart = Apart()
    apart.told(*CASES["counts disagree"])
    items = open_now(apart.workshop, apart.car)
    rest = without(items, apart.doubles())
    assert len(rest) == len(items) - 1
    assert "counts disagree" not in {each.rule for each in rest}


def test_a_correction_by_somebody_who_sees_it_is_no_double():
    """Logged where the other's words are at hand, it names what it corrects."""
    apart = Apart()
    words = Described(table="parts", id="lid", fields={"mass_kg": 2.0})
    apart.workshop.log(apart.car, [words], who=ANN, device=PHONE)
    other = Described(table="parts", id="lid", fields={"mass_kg": 3.0})
    apart.workshop.log(apart.car, [other], who=BEN, device=BENS)
    assert apart.doubles() == ()
    assert apart.state.vehicle.parts["lid"].mass_kg == 3.0


@settings(max_examples=min(settings().max_examples, 20))
@given(seed=st.integers(0, 9), data=st.data())
def test_on_any_vehicle_any_two_words_come_to_one_state_and_can_be_settled(seed, data):
    """Two phones log of one joint and one part whatever they like; taps end it."""
    about = generate(parts=3, seed=seed)
    joint = data.draw(st.sampled_from(sorted(about.joints)))
    part = data.draw(st.sampled_from(sorted(about.parts)))
    of = about.joints[joint].fixing_count
    tags = st.sampled_from(["3CAH", "F32C", "NC7D"])
    says = st.one_of(
        st.builds(
            JointUndone, joint=st.just(joint), out=st.integers(0, of), of=st.just(of), tag=tags
        ),
        st.builds(PartOff, part=st.just(part), tag=tags),
        st.builds(
            Described,
            table=st.just("parts"),
            id=st.just(part),
            fields=st.fixed_dictionaries({"mass_kg": st.sampled_from([1.0, 2.0, 3.0])}),
        ),
        st.builds(StandingChanged, standing=st.sampled_from(["a", "b"])),
    )
    apart = Apart(about)
    for _ in range(data.draw(st.integers(1, 4))):
        ann, ben = data.draw(says), data.draw(says)
        apart.told(ann, ben)
    entries = [decode(row.raw) for row in apart.workshop.since(apart.car)]
    assert fold(entries[::-1]).state() == apart.state
    for _ in range(20):
        left = apart.doubles()
        if not left:
            break
        apart.tap(left[0], left[0].ways[0].key)
    assert apart.doubles() == ()
