"""Open items on joints that go back together, and on how the vehicle stands."""

from dataclasses import replace
from datetime import timedelta

import pytest

from putback.logbook.entries.rebuilding import OfferedUp
from putback.logbook.entries.working import (
    JobDone,
    StandingChanged,
    TemporaryFitOff,
    TemporaryFitOn,
)
from putback.logbook.open_items import Danger, before_standing
from putback.vehicle.facts import Phase
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Care, FinalWhen
from putback.vehicle.part import Part, PartKind
from tests.logbook.planted import clear, only
from tests.makers import ZONE, joint, standing, vehicle
from tests.makers_logbook import Story

WHEEL = Part("wheel", "wheel", ZONE, kind=PartKind.WHEEL)
ARM = "arm - frame: 1 bolt M12x60 + castle nut M12 + split pin 3 mm!"


def rebuilt(*said, joints=("arm-frame",)):
    """A story in which the joints were undone, and are about to be made."""
    story = Story(vehicle(*said))
    for identity in joints:
        count = story.state.joints[identity].of
        story(f"A: undone {identity} {count} of {count}, tag 3CAH")
    return story


@pytest.mark.parametrize(
    ("option", "critical", "danger"),
    [
        ("", "", Danger.LATER),
        (", reused", "", Danger.NOW),
        ("", "; critical", Danger.NOW),
        (", reused", "; critical", Danger.DANGER),
    ],
)
def test_pieces_used_once_are_open_until_they_are_new(option, critical, danger):
    """Not recorded is milder than an old split pin; a critical joint makes both worse."""
    story = rebuilt(ARM + critical)
    made = story(f"A: made arm-frame final, torque 25, locked{option}")
    item = only(story, "single use reused", danger, made)
    assert "pieces that are used once (split pin 3 mm)" in item.words
    clear(story, item, "A: made arm-frame final, renewed")
    assert story.balances()["scrap: split pin 3 mm"] == 1
    assert story.balances()["back on: split pin 3 mm"] == 1


def test_a_trial_build_may_use_the_old_pieces():
    """While a joint is finger tight nothing is asked about its split pin."""
    story = rebuilt(ARM)
    story("A: made arm-frame finger tight, reused")
    assert not story.open("single use reused")


def test_uncounted_trim_clips_are_not_asked_about():
    """A bag of clips that nobody counts is no open item unless somebody says they are old."""
    clips = replace(joint("trim - door: 6 spring clip 8 mm!"), care=Care.ALL_THERE)
    story = rebuilt(clips, joints=("trim-door",))
    story("A: made trim-door final")
    assert not story.open("single use reused")


def test_a_joint_left_loose_presses_when_nothing_else_is_to_be_made():
    """Loose before tight is right while another joint of the same parts is open."""
    story = rebuilt("a = lid - frame: 2 bolt M8x20", "b = lid - frame: 2 bolt M8x20", joints="ab")
    made = story("A: made a finger tight")
    item = only(story, "joint slack", Danger.LATER, made)
    assert item.words == "a is only finger tight"
    story("A: made b final")
    only(story, "joint slack", Danger.NOW, made)
    clear(story, item, "A: made a final")


def test_a_critical_joint_left_loose_on_the_wheels_is_a_danger():
    """Somebody may drive it."""
    story = rebuilt("arm - wheel: 1 bolt M12x60; critical", WHEEL, standing("wheels", "wheel"),
                    joints=("arm-wheel",))  # fmt: skip
    made = story("A: made arm-wheel nipped")
    only(story, "joint slack", Danger.NOW, made)
    story.says("A", StandingChanged(standing="wheels"))
    only(story, "joint slack", Danger.DANGER, made)


def test_a_critical_joint_broken_loose_is_open_until_undone_or_tight():
    """Cracked wheel nuts must not be forgotten."""
    story = Story(vehicle("wheel - hub: 4 wheel nut M12; critical"))
    cracked = story("A: cracked wheel-hub")
    item = only(story, "joint slack", Danger.NOW, cracked)
    assert "do not move the vehicle" in item.words
    clear(story, item, "A: made wheel-hub final, torque 90")


@pytest.mark.parametrize(
    ("locked", "critical", "danger"),
    [
        (", not locked", "", Danger.NOW),
        (", not locked", "; critical", Danger.DANGER),
        ("", "; critical", Danger.NOW),
    ],
)
def test_a_joint_without_its_split_pin_is_open_until_locked(locked, critical, danger):
    """Tight for good, and nothing keeps the nut from turning."""
    story = rebuilt(ARM + critical)
    made = story(f"A: made arm-frame final, torque 25, renewed{locked}")
    item = only(story, "joint unlocked", danger, made)
    assert item.words.endswith("(split pin)")
    clear(story, item, "A: made arm-frame final, locked")


def test_not_recorded_is_answer_enough_where_it_is_not_critical():
    """Nobody is asked whether every split pin of a trim panel is bent."""
    story = rebuilt(ARM)
    story("A: made arm-frame final, renewed")
    assert not story.open("joint unlocked")


def test_a_spring_washer_locks_by_being_there():
    """What needs no work of its own is not asked about."""
    story = rebuilt("arm - frame: 1 bolt M12x60 + spring washer M12; critical")
    story("A: made arm-frame final, torque 25")
    assert not story.open("joint unlocked")


def test_final_tightening_waits_for_the_wheels_and_then_presses():
    """A rubber bush is tightened where it lives; until then the joint is rightly nipped."""
    late = replace(joint("arm - frame: 1 bolt M12x60"), final_when=FinalWhen.LADEN)
    story = rebuilt(late, "wheel - hub", WHEEL, standing("wheels", "wheel"))
    made = story("A: made arm-frame nipped")
    item = only(story, "final tightening waits", Danger.LATER, made)
    assert item.words == "arm-frame waits for its final tightening: at laden height"
    assert not story.open("joint slack")
    story.says("A", StandingChanged(standing="wheels"))
    only(story, "final tightening waits", Danger.NOW, made)
    clear(story, item, "A: made arm-frame final")


def test_a_declared_job_that_is_done_finishes_its_joints_and_checks_them():
    """Ticked once, it asks nothing more of each joint; who tightened by it is no second person."""
    late = replace(
        joint("arm - frame: 1 bolt M12x60; critical"), final_when=FinalWhen.LADEN, critical=True
    )
    tighten = Job("torque", "torque it all", JobKind.TIGHTEN, Phase.REBUILD, joints=(late.id,))
    look = Job("look", "look at it all", JobKind.SECOND_CHECK, Phase.REBUILD)
    story = rebuilt(late, tighten, look)
    early = story.says("A", JobDone(job="torque"))
    story("A: made arm-frame nipped")
    item = only(story, "final tightening waits", Danger.LATER, story.entries[-1].id)
    assert not story.open("second check missing")
    story.strike(early)
    clear(story, item, JobDone(job="torque"))
    (made,) = [each.id for each in story.entries if each.kind == "joint made"]
    item = only(story, "second check missing", Danger.NOW, made)
    assert item.words == "arm-frame is final, and no second person has checked it"
    twin = story.copy()
    twin.says("B", JobDone(job="look"))
    assert not twin.open("second check missing")
    story.says("A", JobDone(job="look"))
    assert story.open("second check missing")
    story("A: checked arm-frame right")
    story("B: checked arm-frame right")
    assert not story.open("second check missing")


def test_who_only_nipped_it_may_check_what_another_tightened_by_a_job():
    """The second person is another one than who tightened it last."""
    late = replace(
        joint("arm - frame: 1 bolt M12x60; critical"), final_when=FinalWhen.LADEN, critical=True
    )
    tighten = Job("torque", "torque it all", JobKind.TIGHTEN, Phase.REBUILD, joints=(late.id,))
    story = rebuilt(late, tighten)
    story("A: made arm-frame nipped")
    story.says("B", JobDone(job="torque"))
    story("B: checked arm-frame right")
    assert story.open("second check missing")
    story("A: checked arm-frame right")
    assert not story.open("second check missing")


def test_a_critical_joint_wants_its_torque():
    """Tight without a figure is asked for; the described one is named."""
    story = rebuilt("arm - frame: 1 bolt M12x60; critical")
    made = story("A: made arm-frame final")
    item = only(story, "torque not recorded", Danger.NOW, made)
    assert item.words == "arm-frame is final, and no torque is recorded (25 N·m is described)"
    clear(story, item, "A: made arm-frame final, torque 25")


def test_a_critical_joint_without_a_thread_wants_no_torque():
    """A clevis pin has none."""
    story = rebuilt("arm - frame: 1 clevis pin 8 mm x 30 mm; critical")
    story("A: made arm-frame final")
    assert not story.open("torque not recorded")


def test_a_critical_joint_wants_a_second_person():
    """The maker's own check counts on another day, as the weaker kind, and not on the same day."""
    story = rebuilt("arm - frame: 1 bolt M12x60; critical", "lid - frame")
    story("A: off lid")
    made = story("A: made arm-frame final, torque 25")
    only(story, "second check missing", Danger.LATER, made)
    story("A: on lid")
    item = only(story, "second check missing", Danger.NOW, made)
    story("A: checked arm-frame right")
    only(story, "second check missing", Danger.NOW, made)
    again = story("A day 3: checked arm-frame right")
    weaker = only(story, "second check missing", Danger.LATER, made, again)
    assert weaker.words.endswith("on another day: the weaker kind")
    clear(story, item, "B: checked arm-frame right")


def test_a_check_that_found_it_not_right_is_open_until_one_finds_it_right():
    """A critical joint that a check found wrong is a danger."""
    story = rebuilt("arm - frame: 1 bolt M12x60; critical")
    made = story("A: made arm-frame final, torque 25")
    checked = story("B: checked arm-frame wrong")
    item = only(story, "check not right", Danger.DANGER, made, checked)
    story("A: made arm-frame final, torque 30")
    clear(story, item, "B: checked arm-frame right")


def test_curing_is_cleared_by_time_alone():
    """Until the sealant has cured nothing is loaded."""
    story = rebuilt("arm - frame: 1 bolt M12x60")
    made = story("A: made arm-frame final, curing until 2031-05-03")
    item = only(story, "curing", Danger.NOW, made)
    assert item.kinds == ()
    assert item.words.endswith("cures until 3 May 2031")
    assert not story.open("curing", at=story.now + timedelta(days=2))


def test_what_does_not_fit_is_open_until_it_does():
    """Offered up, and wrong by three millimetres."""
    story = Story(vehicle("lid - frame"))
    off = story.says("A", OfferedUp(what="part:lid", fits=False, misfit_m=0.003, note="hinge"))
    item = only(story, "does not fit", Danger.NOW, off)
    assert item.words == "lid does not fit by 3 mm: hinge"
    clear(story, item, OfferedUp(what="part:lid", fits=True))


def test_what_did_not_fit_and_is_on_fits():
    """Once it is on, how it was persuaded is history."""
    story = Story(vehicle("lid - frame"))
    story("A: off lid")
    story.says("A", OfferedUp(what="part:lid", fits=False))
    (item,) = story.open("does not fit")
    clear(story, item, "A: on lid")


@pytest.mark.parametrize("on", ["part:lid", "joint:lid-frame", None])
def test_a_temporary_fit_waits_until_what_it_stands_in_for_is_back(on):
    """In the strip it is remembered; once its place is wanted, or all is on, it is pressing."""
    story = Story(vehicle("lid - frame", "bar - frame"))
    story("A: undone lid-frame 1 of 1, tag 3CAH", "A: off lid", "A: off bar")
    fitted = story.says("A", TemporaryFitOn(fit="f", what="dolly", on=on))
    item = only(story, "temporary fit in", Danger.LATER, fitted)
    story("A: on lid", "A: made lid-frame final")
    if on is None:
        only(story, "temporary fit in", Danger.LATER, fitted)
        story("A: on bar")
    item = only(story, "temporary fit in", Danger.NOW, fitted)
    assert item.words.endswith("is fitted for now and has to come out")
    clear(story, item, TemporaryFitOff(fit="f"))


# -- how it stands ------------------------------------------------------------------------------


@pytest.fixture
def standing_story():
    """A frame that stands on its wheels or on stands."""
    wheels, stands = standing("wheels", "wheel"), standing("stands", "frame", "lid")
    return Story(vehicle("wheel - frame", "lid - frame", WHEEL, wheels, stands))


def test_stands_are_rock_tested_and_looked_at(standing_story):
    """Before anybody goes under, somebody rocks it and somebody looked."""
    changed = standing_story.says("A", StandingChanged(standing="stands"))
    rocked = only(standing_story, "standing not tested", Danger.DANGER, changed)
    looked = only(standing_story, "nobody looked", Danger.NOW, changed)
    clear(standing_story, rocked, StandingChanged(standing="stands", rock_tested=True, looked="B"))
    assert not standing_story.open(looked.rule)


def test_wheels_need_no_rock_test(standing_story):
    """A vehicle on its own wheels is asked nothing."""
    standing_story.says("A", StandingChanged(standing="wheels"))
    assert not standing_story.open("standing not tested")
    assert not standing_story.open("nobody looked")


def test_a_standing_that_nobody_described_may_be_on_stands(standing_story):
    """Where nothing is known of the supports, the careful question is asked."""
    changed = standing_story.says("A", StandingChanged(standing="bricks"))
    only(standing_story, "standing not tested", Danger.DANGER, changed)


def test_a_stand_under_a_part_that_is_off_is_a_danger(standing_story):
    """It carries nothing, or the log is wrong."""
    off = standing_story("A: off lid")
    changed = standing_story.says("A", StandingChanged(standing="stands", rock_tested=True))
    item = only(standing_story, "support in the air", Danger.DANGER, off, changed)
    assert item.words == "the stand under lid carries nothing: lid is off"
    clear(standing_story, item, StandingChanged(standing="wheels"))


def test_several_stands_under_one_part_that_is_off_are_told_once():
    """Four lines of the same words say no more than one; so before it is stood so."""
    story = Story(vehicle("lid - frame", standing("stands", "lid", "lid", "lid"), datum="frame"))
    off = story("A: off lid")
    (before,) = before_standing(story.situation(), "stands")
    assert before.rule == "cannot stand so"
    changed = story.says("A", StandingChanged(standing="stands", rock_tested=True))
    only(story, "support in the air", Danger.DANGER, off, changed)
