"""Balance from the command line: what carries it, how far from tipping, along a plan too."""

import pytest


def test_nobody_said_how_it_stands(demo):
    """Mass and centre of gravity are told; no margin is made up."""
    said = demo.ok("balance")
    assert "Nobody said how it stands." in said
    assert "1116 ± 25 kg" in said
    assert "53 % on the front axle" in said
    assert "inside the supports" not in said
    assert "A computed balance never replaces looking" in said


def test_a_standing_shows_kg_on_each_stand_margin_and_slope(demo):
    """By name, or as it was logged."""
    named = demo.ok("balance --standing 'on four stands under the rails, wheels on or off'")
    assert "SET-A-1         294 ± 11 kg of 2000" in named
    assert (
        "Its weight is 406 ± 10 mm inside the supports, and a slope of 36° would tip it." in named
    )
    demo.ok("log standing STANDS")
    assert demo.ok("balance") == named


def test_weighed_axles_correct_the_masses(demo):
    """The total is what the scales said; what contradicts the description is told."""
    demo.ok("log weighed front-axle=590 rear-axle=525 standing=WHEELS uncertainty=1")
    said = demo.ok("balance --standing WHEELS")
    assert "1115 ± 3 kg" in said
    assert "weighed " in said
    assert "contradicts" not in said
    demo.ok("log weighed front-axle=490 rear-axle=525 standing=WHEELS uncertainty=1")
    assert "it contradicts what is described" in demo.ok("balance --standing WHEELS")


def test_along_the_strip_the_least_margin_is_named(demo):
    """Standing by standing, with the loads; the proper stands hold it all the way."""
    said = demo.ok("balance --plan strip")
    assert "on four stands under the rails, wheels on or off" in said
    assert "SET-A-1" in said
    assert "Least: its weight is" in said
    assert "First too far" not in said
    assert len(demo.ok("balance --plan strip --all").splitlines()) > len(said.splitlines())


def test_along_a_plan_on_wrong_stands_one_is_told_before(demo):
    """On the stands that are too far forward the strip goes over to the right ones first."""
    demo.ok("log standing STANDS-B")
    answer = demo("balance", "--plan", "strip", "--json").json
    out = next(step for step in answer["steps"] if step["what"] in ("part:EB01", "assembly:UNIT"))
    assert out["standing"] != "STANDS-B"
    assert out["holds"]
    assert min(step["after"]["margin_m"] for step in answer["steps"]) >= 0.1
    assert "stands too near" in {each["rule"] for each in demo("open", "--json").json["open"]}


@pytest.mark.parametrize("how", ["", " --plan strip"])
def test_stands_in_the_wrong_place_are_called_wrong_whatever_the_figures(demo, how):
    """As the open items say it, and with why; other standings are not called so."""
    words = "the supports are where they should not be (tips tail-down"
    assert words not in demo.ok("balance --standing STANDS")
    assert words in demo.ok("balance --standing STANDS-B")
    demo.ok("log standing STANDS-B")
    said = demo.ok(f"balance{how}")
    assert said.count(words) == 1
    assert demo(line=f"balance{how} --json").json["wrong"]
    assert not demo(line="balance --standing STANDS --json").json["wrong"]


def test_along_the_rebuild(demo):
    """What goes back on weighs again."""
    demo.ok("log off radiator")
    answer = demo("balance", "--plan", "rebuild", "--json").json
    masses = [step["after"]["mass_kg"] for step in answer["steps"]]
    assert masses[-1] > answer["balance"]["mass_kg"]
    assert (answer["plan"], answer["goal"], answer["first"]) == ("rebuild", None, None)


def test_a_vehicle_with_nothing_but_a_name(blank):
    """Nothing has a mass, and nothing is planned."""
    assert "Nothing that is on has a mass." in blank.ok("balance")
    assert blank.refused(line="balance --plan strip").startswith("no goal is described yet")


def test_where_nobody_said_where_anything_lies_no_place_is_made_up(blank):
    """Parts of which only the names are known have a guessed mass and no centre of gravity."""
    blank.ok("describe parts bonnet name=Bonnet")
    said = blank.ok("balance")
    assert "nobody said where anything that is on lies: no centre of gravity" in said
    assert "0.00 m" not in said
    answer = blank("balance", "--json").json["balance"]
    assert (answer["cg_m"], answer["cg_sigma_m"]) == (None, None)
    assert answer["mass_kg"] > 0
    blank.ok("log weighed front-axle=1 rear-axle=2 uncertainty=0.5")
    said = blank.ok("balance")
    assert "3 ± 1 kg" in said
    assert "without the wheelbase they tell the mass alone, not where it lies" in said
    assert "nobody said where anything that is on lies: no centre of gravity" in said
    blank.ok("describe parts bonnet mass_kg=12 cg_m='[0.5, 0, 0.9]'")
    assert "centre of gravity" in blank.ok("balance")
    assert "nobody said where anything" not in blank.ok("balance")
