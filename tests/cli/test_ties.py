"""``putback ties``: the walk-round and its ticks."""

SHELL = "'Body shell, four-door, bare'"
STRAP = "'Earth strap, body to chassis: body earth point'"


def test_it_prints_the_walk_round_by_zone_and_what_goes_along(demo):
    """Boxes, what ties what, the doors, and the caution that is always there."""
    said = demo.ok(f"ties {SHELL}")
    assert "lifted off Chassis frame, ladder type with cruciform" in said
    zones = ["Front end", "Engine bay", "Cabin and facia", "Body shell and closures"]
    at = [said.index(f"\n{zone}\n") for zone in zones]
    assert at == sorted(at)
    assert (
        "  [ ] Earth strap, body to chassis: body earth point - Body shell, four-door, bare to"
        " Earth strap, body to chassis - spanner 1/2 AF - 4 min - advised\n"
    ) in said
    assert "Door, FL (17.5 kg)" in said
    assert "Goes along, on no list, not to be forgotten: Bonnet (14.5 kg); " in said
    assert said.count("Boot lid (11.5 kg)") == 1
    assert said.count("Boot lid,") + said.count("; Boot lid") == 1
    before = said.partition("Before them:")[2].splitlines()
    assert "  Front wing, left first: wings are bolted to it; wing covers mounting 1" in before
    assert sum(line.startswith("  Front wing, left first") for line in before) == 1
    assert said.rstrip().endswith("nobody under what hangs.")


def test_ties_further_off_are_counted_and_shown_when_asked_for(demo):
    """The shackle of a spring ties nothing that anybody would forget."""
    few, all_of_them = demo.ok(f"ties {SHELL}"), demo.ok(f"ties {SHELL} --all")
    assert "further off, by way of other parts: --all shows them." in few
    assert "leaf spring rear shackle, left" not in few
    assert "leaf spring rear shackle, left" in all_of_them


def test_a_tick_is_logged_undone_and_the_next_one_seen_free(demo):
    """It says which of the two; the line is ticked, and the tick can be undone."""
    first = demo.ok(f"ties {SHELL} --tick {STRAP}")
    assert first.startswith("Logged undone: undid Earth strap, body to chassis: body earth point.")
    assert "  [?] Earth strap, body to chassis: body earth point" in first
    second = demo.ok(f"ties {SHELL} --tick {STRAP}")
    assert second.startswith(
        "Logged seen free: saw Earth strap, body to chassis: body earth point free before"
        " Body shell, four-door, bare is lifted."
    )
    assert "  [x] Earth strap, body to chassis: body earth point" in second
    assert "seen free by ann" in second
    demo.ok("undo")
    assert "  [?] Earth strap" in demo.ok(f"ties {SHELL}")


def test_a_tie_that_was_put_off_says_why(demo):
    """It is still to be undone before the lift."""
    demo.ok(f"log not-now {STRAP} no-tool note='1/2 AF crowfoot'")
    assert "      was put off (no tool: 1/2 AF crowfoot)\n" in demo.ok(f"ties {SHELL}")


def test_several_ticks_are_one_act(demo):
    """One walk, one undo."""
    answer = demo(
        line=f"ties {SHELL} --tick {STRAP} --tick 'body mountings 1 to 12 (through their pads)'"
        " --json"
    ).json
    assert [each["kind"] for each in answer["logged"]] == ["joint undone", "joint undone"]
    assert len(demo(line="undo --json").json["struck"]) == 2


def test_what_it_is_lifted_off_can_be_said(demo):
    """With the engine kept where it is, its mountings tie nothing."""
    off_frame = demo(line=f"ties {SHELL} --json").json
    off_both = demo(
        line=f"ties {SHELL} --from 'Chassis frame' --from 'Engine, bare of ancillaries' --json"
    ).json
    assert "J062" in off_frame["left"]
    assert "J062" not in off_both["left"]


def test_names_that_nobody_knows_are_answered_with_the_nearest(demo):
    """Of the lift, of what it is lifted off, and of a tick; and nothing was logged."""
    assert "did you mean 'Body shell, four-door, bare'?" in demo.refused(line="ties 'Body shel'")
    assert "no part 'chasis frame'" in demo.refused(line=f"ties {SHELL} --from 'chasis frame'")
    before = demo(line="state --json").json["digest"]
    said = demo.refused(line=f"ties {SHELL} --tick {STRAP} --tick 'lock and hinge'")
    assert said.startswith("no joint 'lock and hinge'")
    said = demo.refused(line=f"ties {SHELL} --tick {STRAP} --tick J020")
    assert said.endswith("name joints of the walk-round; nothing was logged")
    assert demo(line="state --json").json["digest"] == before


def test_nothing_is_ticked_that_is_only_supposed(demo):
    """A walk-round may be supposed, a tick may not."""
    assert "[?] Earth strap, body to chassis: body earth point" in demo.ok(
        f'--suppose "undone {STRAP}" ties {SHELL}'
    )
    said = demo.refused(line=f'--suppose "undone {STRAP}" ties {SHELL} --tick {STRAP}')
    assert said.endswith("leave --suppose or --tick away")


def test_a_lift_that_is_off_is_refused(demo):
    """There is nothing to walk round for."""
    demo.ok(f"log off {SHELL}")
    assert demo.refused(line=f"ties {SHELL}").endswith("is off already; name what is still on")


def test_of_a_vehicle_with_nothing_described_it_says_what_it_cannot_know(blank):
    """A joint logged by its name may tie; parts that nothing holds may lie anywhere."""
    for line in ("off radiator", "undone 'bonnet stay' 0/1"):
        blank.ok(f"log {line} --new")
    for number in range(20):
        blank.ok(f"describe parts p{number} name='Panel {number}' zone=here")
    said = blank.ok("ties 'Panel 0' --from 'Panel 1'")
    assert "Nobody described what it is fixed to, so what ties it is not known: look" in said
    assert blank.ok("ties 'Panel 0'").startswith("Ties of Panel 0, lifted off all the rest\n")
    assert "Not weighed: 1 part of it. Find out the weight before you lift.\n" in said
    assert "In all" not in said
    assert "Nobody said what these joints hold: bonnet stay\n" in said
    assert "look where they lie: Panel 10, Panel 11" in said
    assert (said.count("Panel"), " and 6 more\n" in said) == (2 + 12, True)
    assert blank.ok("ties 'Panel 0' --from 'Panel 1' --all").count("Panel") == 2 + 18
    blank.ok("describe parts p0 mass_kg=8.2")
    said = blank.ok("ties 'Panel 0' 'Panel 2' --from 'Panel 1'")
    assert "In all 8 kg: a guide value.\nNot weighed: 1 part of it." in said
