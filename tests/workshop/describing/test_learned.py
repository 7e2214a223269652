"""What the logbook teaches about the description."""

from dataclasses import replace

from hypothesis import assume, given
from hypothesis import strategies as st

from putback.logbook.entries.base import Body
from putback.logbook.entries.bookkeeping import TimeSpent
from putback.logbook.entries.working import HungAside, JointUndone, PartOff
from putback.vehicle.facts import Before
from putback.vehicle.ids import FactId, Ref
from putback.vehicle.joint import Does, WhenUndone
from putback.vehicle.minutes import Minutes
from putback.workshop.describing.learned import Proposal, learned
from tests.makers import joint, vehicle
from tests.makers_logbook import Story
from tests.stores import ANN, PHONE
from tests.strategies.stories import stories
from tests.strategies.vehicles import generated_vehicles
from tests.workshop.lines import CAR, Lines

ABOUT = vehicle(
    replace(joint("lid - frame: 4 bolt M8 x 20"), minutes=Minutes(5, 10, 20)),
    "arm - frame: 2 bolt M6 x 16 & 1 nut M6",
    "bar - frame: 2 bolt M8 x 20",
    "lid blocks bar: it is on top",
    Before(FactId("light"), Ref("joint:arm-frame"), Ref("part:lid"), "light is better"),
)

FIRST = ABOUT.joints["arm-frame"].fixings[0].id


def told(story: Story) -> tuple[Proposal, ...]:
    return learned(story.state, story.fold.standing_entries())


def undid(story: Story, joint: str, out: int, of: int) -> None:
    story.says("A", JointUndone(joint=joint, out=out, of=of))


def accept(story: Story, proposal: Proposal) -> None:
    for body in proposal.bodies:
        story.says("A", body)


def test_a_logbook_that_agrees_teaches_nothing():
    """Counted as described, in the described order and time: no proposal."""
    story = Story(ABOUT)
    undid(story, "arm-frame", 3, 3)
    undid(story, "lid-frame", 4, 4)
    story("A: off lid")
    story.says("A", TimeSpent(minutes=12, of="joint:lid-frame"))
    undid(story, "bar-frame", 2, 2)
    story("A: off bar")
    assert told(story) == ()


def test_a_count_that_differs_is_proposed_and_then_described():
    """Three bolts were there, not four; taken up, the joint has three and is asked no more."""
    story = Story(ABOUT)
    undid(story, "arm-frame", 3, 3)
    undid(story, "lid-frame", 3, 3)
    (proposal,) = told(story)
    assert (proposal.described, proposal.logged) == (
        "4 fixings",
        "3 were counted when it was undone",
    )
    accept(story, proposal)
    assert story.state.vehicle.joints["lid-frame"].fixing_count == 3
    assert told(story) == ()


def test_a_count_of_which_nobody_knows_where_proposes_nothing():
    """Of a joint with two kinds of fixings, a count of all does not say which differs."""
    story = Story(ABOUT)
    undid(story, "arm-frame", 4, 4)
    assert told(story) == ()
    story.says("A", JointUndone(joint="arm-frame", out=3, of=3, fixing=FIRST))
    (proposal,) = told(story)
    assert proposal.change == "describe 3"


def test_a_time_beyond_the_worst_is_proposed_once_the_work_is_done():
    """While it goes on, nobody knows how long it takes; best and worst are kept as they were."""
    story = Story(ABOUT)
    story.says("A", TimeSpent(minutes=25, of="joint:lid-frame"))
    story.says("A", TimeSpent(minutes=20, of="joint:lid-frame"))
    assert told(story) == ()
    undid(story, "arm-frame", 3, 3)
    undid(story, "lid-frame", 4, 4)
    (proposal,) = told(story)
    assert (proposal.described, proposal.logged) == ("5 min to 20 min", "it took 45 min")
    accept(story, proposal)
    assert story.state.vehicle.joints["lid-frame"].minutes == Minutes(5, 45, 45)
    assert told(story) == ()


def test_what_came_off_past_something_was_not_held_by_it():
    """The bar came off with the lid still on: what is described in its way is none."""
    story = Story(ABOUT)
    undid(story, "arm-frame", 3, 3)
    undid(story, "bar-frame", 2, 2)
    story("A: off bar")
    (proposal,) = told(story)
    assert (proposal.name, proposal.described) == ("bar", "lid in the way of it")
    accept(story, proposal)
    assert story.state.vehicle.obstructions == {}
    assert told(story) == ()


def test_what_hung_aside_or_went_back_teaches_nothing():
    """A lid that is hung aside is out of the way; one that is back on may have been."""
    story = Story(ABOUT)
    undid(story, "arm-frame", 3, 3)
    story.says("A", HungAside(part="lid"))
    story("A: off bar")
    assert told(story) == ()


def test_a_vague_day_teaches_nothing():
    """On one day, or some time: nobody can say which came first."""
    story = Story(ABOUT)
    undid(story, "arm-frame", 3, 3)
    story.says("A", PartOff(part="bar"), happened_at="2031-05-01")
    story.says("A", PartOff(part="lid"), happened_at="2031-05-01")
    assert told(story) == ()


def test_an_order_that_was_not_kept_is_proposed_only_where_nobody_can_be_hurt():
    """Light is better: a habit. A joint that flies apart: its order stands, whatever was done."""
    story = Story(ABOUT)
    story("A: off lid")
    undid(story, "arm-frame", 3, 3)
    assert [each.key.split(":")[:2] for each in told(story)] == [["order", "befores"]]
    flies = replace(ABOUT.joints["arm-frame"], when_undone=WhenUndone(Does.FLIES, "a spring"))
    story.describe("joints", flies)
    assert told(story) == ()


@given(stories())
def test_whatever_is_proposed_is_gone_once_it_is_taken_up(story):
    """Accepted one by one, each proposal goes, and none comes in its place for ever."""
    for _ in range(30):
        proposals = told(story)
        if not proposals:
            return
        accept(story, proposals[0])
        assert proposals[0].key not in {each.key for each in told(story)}
    raise AssertionError([each.key for each in told(story)])


@given(generated_vehicles(most=5), st.data())
def test_a_vehicle_undone_as_it_was_described_teaches_nothing(about, data):
    """With every count as described and no fact spoken of, nothing is proposed."""
    lines = Lines(about)
    free = [each for each in about.joints.values() if not _is_spoken_of(about, f"joint:{each.id}")]
    for each in data.draw(st.permutations(free))[:4]:
        of = each.fixing_count
        _log(lines, JointUndone(joint=each.id, out=of, of=of))
    assert learned(lines.state, lines.workshop.standing(CAR)) == ()


@given(generated_vehicles(most=5), st.data())
def test_every_miscount_of_any_vehicle_is_found(about, data):
    """One more fixing than described, in any joint of one kind of fixing: that is proposed."""
    single = [each for each in about.joints.values() if len(each.fixings) == 1]
    assume(single)
    odd = data.draw(st.sampled_from(single))
    lines, of = Lines(about), odd.fixing_count + 1
    _log(lines, JointUndone(joint=odd.id, out=of, of=of))
    keys = {each.key for each in learned(lines.state, lines.workshop.standing(CAR))}
    assert f"count:{odd.id}:{odd.fixings[0].id}:{of}" in keys


def _log(lines: Lines, body: Body) -> None:
    lines.workshop.log(CAR, [body], who=ANN, device=PHONE)


def _is_spoken_of(about, ref: str) -> bool:
    """Whether any fact speaks of doing this before or after something else."""
    return ref in about.obstructions_of or any(
        ref in {each.first, each.then} for each in about.befores.values()
    )
