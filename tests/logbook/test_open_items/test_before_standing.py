"""What is asked before the vehicle is made to stand otherwise."""

from dataclasses import replace

import pytest

from putback.logbook.entries.working import JobDone, StandingChanged
from putback.logbook.open_items import Danger, before_standing
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import FinalWhen
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import TemporarySupport
from tests.makers import ZONE, joint, standing, vehicle
from tests.makers_logbook import Story

WHEEL = Part("wheel", "wheel", ZONE, kind=PartKind.WHEEL)
WHEELS, STANDS = standing("wheels", "wheel"), standing("stands", "frame")


@pytest.fixture
def make():
    """Make a story of a vehicle on its wheels that can be put on stands; say how it stands."""

    def story(*said, stands=STANDS):
        told = Story(vehicle("frame - wheel", WHEEL, WHEELS, stands, *said))
        told.stood = told.says("A", StandingChanged(standing="wheels"))
        return told

    return story


def ahead(story, rule, standing="stands"):
    """List what one rule says before the change."""
    return [each for each in before_standing(story.situation(), standing) if each.rule == rule]


def test_of_a_standing_that_nobody_described_nothing_is_said(make):
    """There is nothing to compare with."""
    assert before_standing(make().situation(), "bricks") == ()


def test_a_standing_with_its_supports_in_the_wrong_place_is_a_danger(make):
    """It is kept for the lesson, with its reason."""
    story = make(stands=standing("stands", "frame", wrong=True, note="it tips"))
    (item,) = ahead(story, "cannot stand so")
    assert (item.danger, item.causes) == (Danger.DANGER, (story.stood,))
    assert item.words == "stands: the supports are where they should not be (it tips)"


def test_what_must_be_off_first_is_named_until_it_is_off(make):
    """Stands under the rails want the exhaust off."""
    story = make("pipe - frame", stands=standing("stands", "frame", needs_off=("pipe",)))
    (item,) = ahead(story, "cannot stand so")
    assert (item.danger, item.causes) == (Danger.DANGER, (story.stood,))
    assert item.words == "stands can be entered only with pipe off"
    story("A: off pipe")
    assert not ahead(story, "cannot stand so")
    back = story("A: on pipe")
    assert ahead(story, "cannot stand so")[0].causes == (back,)


def test_a_support_under_a_part_that_is_off_is_named_until_it_is_on(make):
    """What is off carries nothing."""
    story = make("axle - frame", stands=standing("stands", "frame", "axle"))
    off = story("A: off axle")
    (item,) = ahead(story, "cannot stand so")
    assert (item.danger, item.causes) == (Danger.DANGER, (off,))
    assert item.words == "stands has a stand under axle, which is off"
    story("A: on axle")
    assert not ahead(story, "cannot stand so")


@pytest.mark.parametrize("begun_by", ["joint", "part", "job"])
def test_nothing_is_moved_while_something_hangs_on_a_jack(make, begun_by):
    """The beam goes up with one job and comes away with another."""
    first = {"joint": "joint:axle-frame", "part": "part:axle", "job": "job:lift"}[begun_by]
    jack = TemporarySupport("x", "jack", "frame", first, "job:lower")
    jobs = [Job(each, each, JobKind.BRACE) for each in ("lift", "lower")]
    story = make("axle - frame", jack, *jobs)
    assert not ahead(story, "hangs on a jack")
    begun = {
        "joint": lambda: story("A: undone axle-frame 1 of 1"),
        "part": lambda: story("A: off axle"),
        "job": lambda: story.says("A", JobDone(job="lift")),
    }[begun_by]()
    (item,) = ahead(story, "hangs on a jack")
    assert (item.danger, item.causes) == (Danger.DANGER, (begun,))
    assert item.words == "frame is on the jack: no change of standing before lower"
    story.says("A", JobDone(job="lower"))
    assert not ahead(story, "hangs on a jack")


def test_in_the_rebuild_the_jacks_of_the_strip_say_nothing(make):
    """They are described by jobs of the strip."""
    jack = TemporarySupport("x", "jack", "frame", "part:axle", "part:lid")
    story = make("axle - frame", "lid - frame", "bar - frame", jack)
    story("A: off axle", "A: off bar", "A: on bar")
    assert not ahead(story, "hangs on a jack")


def test_wheel_nuts_are_cracked_before_the_wheels_leave_the_ground(make):
    """Named before the change, and gone once they are broken loose."""
    story = make("hub - wheel: 4 wheel nut M12; crack in wheels")
    (item,) = ahead(story, "crack first")
    assert (item.danger, item.subject, item.causes) == (
        Danger.NOW,
        "joint:hub-wheel",
        (story.stood,),
    )
    assert not ahead(story, "crack first", "wheels")
    story("A: cracked hub-wheel")
    assert not ahead(story, "crack first")


def test_a_joint_left_half_done_and_out_of_reach_there_is_named(make):
    """Two of four out, and the stands hide the rest."""
    story = make("sump - frame: 4 bolt M8x20; in wheels")
    story("A: undone sump-frame 2 of 4, tag 3CAH")
    (item,) = ahead(story, "out of reach there")
    assert (item.danger, item.causes) == (Danger.NOW, (story.entries[-1].id,))
    assert item.words == "sump-frame is left half done and cannot be reached stands"
    story("A: undone sump-frame 4 of 4, tag 3CAH")
    assert not ahead(story, "out of reach there")


def test_untouched_joints_out_of_reach_there_are_one_item(make):
    """What could still be undone now is listed, mildly."""
    story = make("sump - frame; in wheels", "lid - frame; in wheels", "bar - frame")
    (item,) = ahead(story, "out of reach there")
    assert (item.danger, item.causes) == (Danger.LATER, (story.stood,))
    assert item.words.endswith("can be reached now and not stands: lid-frame and sump-frame")


def test_what_waits_for_the_wheels_is_named_before_they_leave_the_ground(make):
    """A bush that is tightened on the wheels must not be jacked up loose."""
    late = replace(joint("arm - frame: 1 bolt M12x60"), final_when=FinalWhen.LADEN)
    story = make(late)
    story("A: undone arm-frame 1 of 1, tag 3CAH")
    made = story("A: made arm-frame nipped")
    (item,) = ahead(story, "out of reach there")
    assert (item.danger, item.causes) == (Danger.NOW, (made,))
    assert "waits to be tightened on the wheels" in item.words
    story("A: made arm-frame final")
    assert not ahead(story, "out of reach there")
