"""Open items on how surely it stands: now, after the next lift, and before it stands otherwise."""

import re
from dataclasses import replace

from putback.logbook.entries.base import Subject
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import Described
from putback.logbook.entries.working import Drained, NoteMade, StandingChanged, Weighed
from putback.logbook.open_items import Danger, before_standing
from putback.vehicle.demo import demo_vehicle
from putback.vehicle.opening import Fluid
from putback.vehicle.part import Part
from putback.vehicle.standing import Standing, Support
from tests.logbook.planted import clear, only
from tests.makers import ZONE, standing, vehicle
from tests.makers_logbook import Story

FRAME = Part("frame", "frame", ZONE, mass_kg=100.0, cg_m=(1.5, 0.0, 0.5))
ENGINE = Part("engine", "engine", ZONE, mass_kg=100.0, cg_m=(0.3, 0.0, 0.5))


def stands(identity: str, rear_m: float, **more) -> Standing:
    """Four stands under the frame, the rear pair so far behind the front axle."""
    places = [(0.0, -0.5), (0.0, 0.5), (rear_m, 0.5), (rear_m, -0.5)]
    supports = (Support(f"s{n}", "stand", "frame", at, 90.0) for n, at in enumerate(places))
    return Standing(identity, identity, tuple(supports), **more)


def heavy_in_front(*more) -> Story:
    """A frame with its engine in front: near stands hold it only as long as that is on."""
    near, far = stands("near", 1.55), stands("far", 2.5)
    return Story(vehicle("engine - frame", FRAME, ENGINE, near, far, *more))


def ahead(story, rule, standing):
    """List what one rule says before the change."""
    return [each for each in before_standing(story.situation(), standing) if each.rule == rule]


# -- now and next ---------------------------------------------------------------------------------


def test_what_will_tip_it_is_told_before_it_comes_off():
    """Once the engine's mounting is undone, and it is still on, the near stands are a danger."""
    story = heavy_in_front()
    stood = story.says("A", StandingChanged(standing="near"))
    assert not story.open("stands too near")
    undone = story("A: undone engine-frame 1 of 1")
    item = only(story, "stands too near", Danger.DANGER, stood, undone)
    assert item.words == "near: once engine is off, its weight is 0.05 m inside the supports"
    clear(story, item, StandingChanged(standing="far"))


def test_what_stands_too_near_already_is_a_danger():
    """The engine is off, and the frame still on the near stands."""
    story = heavy_in_front()
    story("A: undone engine-frame 1 of 1", "A: off engine")
    stood = story.says("A", StandingChanged(standing="near"))
    item = only(story, "stands too near", Danger.DANGER, stood)
    assert item.words == "near: its weight is 0.05 m inside the supports"
    clear(story, item, StandingChanged(standing="far"))


def test_a_workshop_may_ask_for_a_wider_margin():
    """The limit is a setting."""
    story = heavy_in_front()
    stood = story.says("A", StandingChanged(standing="near"))
    only(story, "stands too near", Danger.DANGER, stood, least_margin_m=0.6)


def test_supports_in_the_wrong_place_are_a_danger_at_once():
    """They were logged, as reality is; before anything comes off one is told."""
    story = heavy_in_front(stands("brick", 1.55, wrong=True, note="it tips"))
    stood = story.says("A", StandingChanged(standing="brick"))
    item = only(story, "stands too near", Danger.DANGER, stood)
    assert item.words == "brick: the supports are where they should not be (it tips)"
    assert item.clears == "make it stand otherwise"
    story("A: undone engine-frame 1 of 1", "A: off engine")
    later = next(each for each in story.open("stands too near"))
    assert later.clears.endswith("add a support: putback balance says where")
    clear(story, item, StandingChanged(standing="far"))


def test_an_overloaded_stand_is_a_danger():
    """It carries more than it is rated for."""
    crate = Part("crate", "crate", ZONE, mass_kg=300.0, cg_m=(0.4, 0.0, 0.5))
    story = heavy_in_front(crate)
    stood = story.says("A", StandingChanged(standing="far"))
    item = only(story, "stands too near", Danger.DANGER, stood)
    assert re.fullmatch(r"s0 carries \d+ kg, and is rated for 90 kg", item.words)


def test_a_fluid_that_is_out_weighs_nothing():
    """Fuel in the tank behind tips the frame; drained it does not."""
    fuel = Fluid("fuel", "fuel", "engine", mass_kg=200.0, cg_m=(1.6, 0.0, 0.5))
    story = heavy_in_front(fuel)
    stood = story.says("A", StandingChanged(standing="near"))
    only(story, "stands too near", Danger.DANGER, stood, least_margin_m=0.3)
    story.says("A", Drained(fluid="fuel"))
    assert not story.open("stands too near", least_margin_m=0.3)


def test_where_nothing_is_known_of_weights_nothing_is_said():
    """No place described, no balance; no standing, no margin."""
    bare = replace(FRAME, cg_m=None), replace(ENGINE, cg_m=None)
    story = Story(vehicle("engine - frame", *bare, stands("near", 1.55)))
    story.says("A", StandingChanged(standing="near"))
    story("A: undone engine-frame 1 of 1", "A: off engine")
    assert not story.open("stands too near")
    assert not ahead(story, "would stand too near", "near")
    story.says("A", StandingChanged(standing="bricks"))
    assert not story.open("stands too near")


def test_the_demos_wrong_stands_are_told_before_the_unit_comes_out():
    """On the stands that are too far forward a danger is told while the unit is still in."""
    story = Story(demo_vehicle())
    stood = story.says("A", StandingChanged(standing="STANDS-B"))
    item = only(story, "stands too near", Danger.DANGER, stood)
    assert "tips tail-down once the engine and gearbox are out" in item.words


# -- before the change ----------------------------------------------------------------------------


def test_a_standing_that_would_not_hold_it_is_a_danger():
    """With the engine out the near stands are too far forward, and one is told before."""
    story = heavy_in_front()
    assert not ahead(story, "would stand too near", "near")
    story("A: undone engine-frame 1 of 1", "A: off engine")
    stood = story.says("A", StandingChanged(standing="far"))
    (item,) = ahead(story, "would stand too near", "near")
    assert (item.danger, item.causes) == (Danger.DANGER, (stood,))
    assert item.words == "near: its weight would be 0.05 m inside the supports"
    story("A: on engine")
    assert not ahead(story, "would stand too near", "near")


def test_a_standing_that_would_overload_a_support_is_a_danger():
    """A rating is named with the load."""
    crate = Part("crate", "crate", ZONE, mass_kg=300.0, cg_m=(0.4, 0.0, 0.5))
    (item,) = ahead(heavy_in_front(crate), "would stand too near", "far")
    assert re.fullmatch(r"s0 would carry \d+ kg, and is rated for 90", item.words)


def test_of_a_standing_without_supports_nothing_is_said():
    """There is nothing to stand on."""
    assert not ahead(heavy_in_front(standing("air")), "would stand too near", "air")


# -- what the scales said -------------------------------------------------------------------------


def scaled(*parts: Part) -> Story:
    """A cart on four feet, of which everything is described but what is given."""
    feet = {"fl": (0.0, -0.6), "fr": (0.0, 0.6), "rl": (2.0, -0.6), "rr": (2.0, 0.6)}
    supports = tuple(Support(name, "wheel", "bed", at) for name, at in feet.items())
    car = vehicle(
        "box - bed",
        Part("bed", "bed", ZONE, mass_kg=100.0, cg_m=(1.0, 0.0, 0.4)),
        *(parts or (Part("box", "box", ZONE, mass_kg=20.0, cg_m=(1.0, 0.0, 0.4)),)),
        Standing("wheels", "on its wheels", supports),
        datum="bed",
    )
    return Story(car)


LOADS = {"fl": 60.0, "fr": 60.0, "rl": 60.0, "rr": 60.0}


def test_a_weighing_that_contradicts_what_is_described_is_told():
    """240 kg on the scales, 120 described: one of the two is wrong, and every margin with it."""
    story = scaled()
    weighing = story.says("A", Weighed(loads_kg=LOADS, standing="wheels"))
    item = only(story, "scales disagree", Danger.NOW, weighing)
    assert item.words.startswith("a weighing contradicts what is described: in all 240 kg, 120 ±")
    clear(story, item, NoteMade(text="two sat in it", of=(Subject(f"entry:{weighing}"),)))


def test_a_mass_mended_or_the_weighing_struck_out_settles_it():
    """Either was wrong."""
    heavy = Part("box", "box", ZONE, mass_kg=140.0, cg_m=(1.0, 0.0, 0.4))
    for settled in (
        lambda _: Described(table="parts", id="box", fields={"mass_kg": 140.0}),
        lambda weighing: Struck(entry=weighing),
    ):
        story = scaled()
        weighing = story.says("A", Weighed(loads_kg=LOADS, standing="wheels"))
        clear(story, only(story, "scales disagree", Danger.NOW, weighing), settled(weighing))
    story = scaled(heavy)
    story.says("A", Weighed(loads_kg=LOADS, standing="wheels"))
    assert not story.open("scales disagree")


def test_a_guess_that_the_scales_mend_is_no_contradiction():
    """Nobody knew what the box weighs, so nothing is contradicted by finding out."""
    story = scaled(Part("box", "box", ZONE, cg_m=(1.0, 0.0, 0.4)))
    story.says("A", Weighed(loads_kg=dict.fromkeys(LOADS, 25.5), standing="wheels"))
    assert not story.open("scales disagree")
