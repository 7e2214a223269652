"""Looking and planning from the command line."""

import pytest


def test_an_empty_home_says_how_to_begin(putback):
    """Every command that needs a vehicle says the same one thing."""
    for line in ("state", "open", "resume", "strip", "rebuild", "where x", "log off x", "undo"):
        assert putback.refused(line=line) == (
            'there is no vehicle yet; begin with: putback new "My old car"'
        )
    assert putback.ok("vehicles") == ('There is none yet. Begin with: putback new "My old car"\n')


def test_a_vehicle_with_nothing_but_a_name(blank):
    """It is shown as what it is, and nothing pretends to be planned."""
    assert blank.ok("state") == "Old Plover\nNothing is described yet.\n1 entry.\n"
    assert blank.ok("open") == "Nothing is open.\n"
    assert "No goal is described, so nothing is planned" in blank.ok("resume")
    assert blank.refused(line="strip").startswith("no goal is described yet; describe one")
    assert "Nothing is left to do." in blank.ok("rebuild")


def test_where_follows_the_containers_to_the_place(demo):
    """From the part through bag and crate to the shelf."""
    demo.ok("log off radiator tag=3CAH")
    demo.ok("log crate 3HNA 'cooling'")
    demo.ok("log put tag:3CAH 3HNA")
    demo.ok("log moved tag:3HNA 'rented dry store'")
    assert "  in 3CAH, in 3HNA (cooling), in Rented dry store\n" in demo.ok("where radiator")
    assert "here: 3HNA (cooling)" in demo.ok("where 'rented dry store'")
    chain = demo("where", "radiator", "--json").json["chain"]
    assert [each["name"] for each in chain] == ["3CAH", "3HNA (cooling)", "Rented dry store"]


def test_cautions_stand_beside_what_can_hurt(demo):
    """Asbestos, springs and lifts are named, and the maker has the last word."""
    drum = demo.ok("state 'rear brake drum, left'")
    assert "caution: old friction linings may hold asbestos: wet them, never blow them" in drum
    assert "The maker's data win over what is described here." in drum
    assert "caution: stored energy" in demo.ok("state 'front coil spring, left'")
    assert "safety critical" in demo.ok("state 'rear hub on half shaft, left'")
    assert "caution" not in demo.ok("state grille")
    plan = demo.ok("strip 'bare frame (stage 2)' --all")
    assert "caution: it flies" in plan
    assert "Cautions and figures are what was described: the maker's data win." in plan


def test_open_items_come_three_at_a_time(demo):
    """Dangers first; all of them only when asked."""
    for part in ("grille", "radiator", "dynamo", "heater unit"):
        demo.ok(f"log off '{part}'")
    short, everything = demo.ok("open"), demo.ok("open --all")
    assert "more: putback open --all" in short
    assert len(everything.splitlines()) > len(short.splitlines())
    items = demo("open", "--json").json["open"]
    ranks = [["danger", "now", "later"].index(each["danger"]) for each in items]
    assert ranks == sorted(ranks)
    assert all(each["clears"] and each["rule"] for each in items)


def test_hardware_never_claims_to_close_what_is_apart(blank):
    """Of hardware nobody described it says so, rather than that nothing is left over."""
    blank.ok("log undone 'radiator bolts' 3/4 --new")
    assert blank.ok("hardware") == "Nothing short, and not all is back together.\n"
    assert blank("hardware", "--json").json["closes"] is False


def test_hardware_of_one_joint(demo):
    """What is where, and what is short."""
    demo.ok("log undone 'support panel to chassis horns' 2/2 lost=1 tag=3CAH")
    said = demo.ok("hardware 'support panel to chassis horns'")
    assert "lost: 1 × bolt 5/16-24 UNF x 1 1/4 in" in said
    assert "short (1 lost)" in said
    assert demo.refused(line="hardware 'grille of the heater'").startswith("no joint or tag")


def test_history_names_what_can_be_struck(demo):
    """Each line begins with the end of the entry's identity."""
    entry = demo("log", "off", "grille", "--json").json["entries"][0]["id"]
    assert demo.ok("history grille").startswith(f"{entry[-8:]}  ")
    assert demo.ok("history dynamo") == "Nothing was logged of Dynamo yet.\n"


def test_why_one_thing_comes_before_another(demo):
    """By which facts in every plan and what would free it, or that it need not."""
    said = demo.ok("why bonnet --before radiator")
    assert said.startswith("Bonnet comes before Radiator in every plan:")
    assert "  Bonnet comes before hoses to radiator: bonnet off" in said
    assert "It would not have to, if:" in said
    back = demo.ok("why radiator --before bonnet")
    assert back.startswith(
        "Radiator need not come before Bonnet.\nIt comes after it in every plan:"
    )
    found = demo("why", "bonnet", "--before", "radiator", "--json").json
    assert found["always"]["shortest"] is True
    assert found["never"] is None
    assert "before itself" in demo.refused("why", "bonnet", "--before", "bonnet")
    assert "is not in the plan" in demo.refused("why", "bonnet", "--before", "rear hub, left")


def test_what_of_cost_puts_one_thing_first_is_told(demo):
    """Where no fact does, the other order is planned and compared."""
    pair = "starter motor", "propeller shaft"
    both = [demo("why", a, "--before", b, "--json").json for a, b in (pair, pair[::-1])]
    (free,) = [each for each in both if each["first_in_plan"]]
    assert (free["always"], free["never"]) == (None, None)
    assert {"longer_minutes", "more", "harder"} == free["other_order"].keys()
    assert set(free["other_order"]["more"]) >= {"work_minutes", "zone_minutes"}


def test_reach_and_why(demo):
    """The least that must come off, and the facts that put one thing before another."""
    said = demo.ok("reach 'gear lever to gearbox turret'")
    assert said.startswith("To get at gear lever to gearbox turret: ")
    assert "of work (no way takes less)" in said
    assert said.count("           for ") >= 1
    assert demo.refused(line="reach tyre").startswith("no part, joint, job or assembly 'tyre'")
    assert "comes no earlier because:" in demo.ok("why 'starter motor'")
    assert "is not in the plan" in demo.ok("why 'rear hub, left'")


def test_a_part_that_comes_with_an_assembly_is_explained_by_it(demo):
    """The gearbox comes out with the engine; why says so and explains the unit."""
    steps = demo("strip", "--json").json["plan"]["steps"]
    assert any(step["what"].startswith("assembly:") for step in steps)
    said = demo.ok("why 'gearbox with bellhousing'")
    assert said.startswith("Gearbox with bellhousing comes with engine and gearbox as one unit.\n")
    assert demo("why", "gearbox with bellhousing", "--json").json["comes_with"]


def test_strip_to_a_goal(demo):
    """A goal by name; a mistaken one is answered with the nearest."""
    assert demo.ok("strip 'body off'").startswith("Strip to body off\n")
    assert demo.refused(line="strip 'body of'") == ("no goal 'body of'; did you mean 'body off'?")


def test_a_plan_says_what_its_steps_wait_for(demo):
    """Only when asked: it makes the list long."""
    assert "waits: " not in demo.ok("strip --all")
    assert demo.ok("strip --all --why").count("           waits: ") > 50


def test_rebuild_is_not_the_strip_turned_round(demo):
    """A small strip already has places where the rebuild differs, each with its reason."""
    for line in (
        "log undone 'grille to support panel' tag=3CAH",
        "log off grille",
        "log undone 'bonnet hinges to shell' tag=3HNA",
        "log off bonnet",
    ):
        demo.ok(line)
    assert demo.ok("rebuild").startswith("Rebuild\n")
    document = demo("rebuild", "--json").json
    assert all(each["reason"] and each["place"] for each in document["differences"])


def test_resume_names_what_was_left_half_done(demo):
    """Where it stands, what was left, what is open and what is next."""
    demo.ok("log undone 'rear bumper irons to chassis' 3/4 stuck=1 tag=3CAH")
    said = demo.ok("resume --steps 2")
    assert "Left half done:\n  rear bumper irons to chassis: 3 of 4 out, 1 stuck\n" in said
    assert "Next towards engine bay clear" in said
    assert len(demo("resume", "--steps", "2", "--json").json["resume"]["next"]) == 2


@pytest.mark.parametrize("width", [80, 120])
def test_a_terminal_is_never_overrun(demo, monkeypatch, width):
    """In a terminal, lines are broken at its width; in a pipe they are as long as they are."""
    from io import StringIO

    from rich.console import Console

    from putback.cli import output

    screen = StringIO()
    monkeypatch.setattr(
        output, "console", lambda **_: Console(file=screen, width=width, highlight=False)
    )
    demo.ok("resume")
    demo.ok("strip 'bare frame (stage 2)' --all")
    demo.ok("open --all")
    assert max(map(len, screen.getvalue().splitlines())) <= width


def test_resume_says_what_would_help_where_nothing_can_be_planned(blank):
    """Each way out of facts that contradict each other."""
    for part in ("frame", "lid", "pump"):
        blank.ok(f"describe parts {part} name={part} zone=z")
    for part in ("lid", "pump"):
        blank.ok(f'describe joints {part}j name={part}j \'parts=["{part}", "frame"]\'')
    blank.ok("describe goals bare name=bare datum=frame off_rest=true")
    blank.ok("describe befores b1 first=part:lid then=part:pump why=heavy")
    blank("describe", "befores", "b2", "first=part:pump", "then=part:lid", "why=fragile")
    said = blank.ok("resume")
    assert "Cannot be planned: lid comes before pump: heavy\n" in said
    assert "It could be, if lid did not have to wait for pump (before b2)\n" in said
