"""Looking ahead, the time at hand and packing up on the command line."""

import pytest


def test_ahead_tells_what_to_do_now_for_later_jobs(demo):
    """Under a head for each sort, with when, why and what to beware of."""
    out = demo.ok("ahead --all --goal 'body off'")
    heads = ("Soak now", "Order now", "Borrow", "Ask people", "Decide, measure")
    assert [line for line in out.splitlines() if line in heads] == list(heads)
    assert "caution: captive nuts spin or shear: stop, soak, hold the cage" in out
    assert "and the maker's data win." in out
    assert "  6 people: in " in out


def test_ahead_is_short_and_looks_as_far_as_it_is_told(demo):
    """Four lines of a sort, and how many more there are."""
    short, near = demo.ok("ahead"), demo.ok("ahead --sittings 1")
    assert "more: --all" in short
    assert len(near) < len(short)
    answer = demo(line="ahead --days 2 --json").json
    assert answer["horizon"]["days"] == 2
    assert all(line["minutes"] < 2 * 240 for line in answer["ahead"]["lines"])


@pytest.mark.parametrize("line", ["ahead", "stretch 2h"])
def test_with_nothing_to_plan_one_sentence_says_how_to_mend_it(blank, line: str):
    """No goal, and nothing off: either would do."""
    said = blank.refused(line=line)
    assert said.startswith(
        "there is nothing to plan yet: no goal is described, and nothing is off;"
    )
    assert "putback describe goals" in said
    assert "putback log off" in said


def test_without_a_goal_what_is_off_is_looked_ahead_to(blank):
    """Boxes, and no word of a strip: ahead, stretch and why answer from the rebuild."""
    blank.ok("log off radiator --new")
    blank.ok("log off fan --new")
    assert blank.ok("ahead").startswith("Ahead in the rebuild\n")
    assert blank("ahead", "--json").json["goal"] is None
    stretch = blank("stretch", "2h", "--json").json["best"]["stretch"]
    assert [step["action"] for step in stretch["steps"]] == ["put on", "put on"]
    why = blank("why", "radiator", "--json").json
    assert why["in_plan"]


def test_a_stretch_fits_and_ends_closed(demo):
    """What is opened is closed in the time; alone, nothing wants two."""
    said = demo.ok("stretch 4h --alone")
    assert said.startswith("For 4 h: ")
    assert "more people, or something that is not here" in said
    best = demo(line="stretch 4h --alone --json").json["best"]
    assert best["stretch"]["minutes"] <= 240 + 1e-6
    assert best["stretch"]["people"] == 1
    assert all(step["crew"] == 1 for step in best["stretch"]["steps"])


def test_where_nothing_fits_the_smallest_stretch_is_told(demo):
    """The survey comes before everything, and takes three hours."""
    out = demo.ok("stretch '30 min'")
    assert out.startswith("Nothing fits into 30 min and ends closed and safe.\n")
    assert "The smallest that does: 1 step, likely 3 h" in out


@pytest.mark.parametrize("time", ["0 min", "three weeks", "400 h", "-1h"])
def test_no_time_at_all_is_refused(demo, time: str):
    """So is more than anybody has."""
    assert demo("stretch", "--", time).code == 2


def test_alone_with_three_people_is_refused(demo):
    """One of the two is a slip."""
    error = demo.refused(line="stretch 1h --alone --people 3")
    assert error == "alone, and 3 people; say one of --alone and --people"


LITTLE = """
format = "putback vehicle 1"
[about]
id = "little"
name = "Little"
[[zones]]
id = "bay"
name = "bay"
[[parts]]
id = "frame"
name = "frame"
zone = "bay"
[[parts]]
id = "lid"
name = "lid"
zone = "bay"
[[joints]]
id = "j"
name = "lid to frame"
parts = ["lid", "frame"]
[[goals]]
id = "bare"
name = "bare"
datum = "frame"
off = ["lid"]
"""


def test_minutes_nobody_knows_are_not_summed_up(putback, tmp_path):
    """The number of steps is told instead."""
    (tmp_path / "little.toml").write_text(LITTLE)
    putback.ok(f"new --from {tmp_path / 'little.toml'}")
    assert putback.ok("stretch 1h").startswith("For 1 h: 2 steps, no minutes on record.\n")
    assert putback.ok("stretch 5min").splitlines()[1] == (
        "The smallest that does: 1 step, no minutes on record."
    )


@pytest.mark.parametrize("line", ["ahead", "stretch 2h", "schedule", "strip"])
def test_where_the_goal_is_reached_it_is_said_how_to_go_on(putback, tmp_path, line: str):
    """Nothing is left of the strip: what is to be ordered for the way back is another question."""
    (tmp_path / "little.toml").write_text(LITTLE)
    putback.ok(f"new --from {tmp_path / 'little.toml'}")
    putback.ok("log undone j")
    putback.ok("log off lid")
    said = putback.ok(line)
    assert "The goal is reached. Back together from here: putback log rebuild" in said
    putback.ok("log rebuild")
    assert "goal is reached" not in putback.ok(line.replace("strip", "rebuild"))


def test_pack_up_lists_what_keeps_one_here(demo):
    """Half done, without a bag, open, to count, to photograph."""
    demo.ok("log undone 'hoses to water pump inlets' 1/4")
    demo.ok("log off radiator")
    out = demo.ok("pack-up")
    firsts = [line[:10].strip() for line in out.splitlines() if line[:1] != " "]
    assert {"close", "half done", "bag", "count", "photo", "soak"} <= set(firsts)
    order = ["danger", "hangs", "close", "half done", "bag", "fluids", "count", "photo", "soak"]
    places = [order.index(each) for each in firsts]
    assert places == sorted(places)


def test_all_is_well_where_nothing_keeps_one(blank):
    """An empty vehicle is packed up."""
    assert blank.ok("pack-up") == "Nothing keeps you: all is closed, bagged and in its place.\n"


def test_resume_for_the_hours_at_hand(demo):
    """What fits instead of what is next, and hints for later."""
    out = demo.ok("resume --hours 4")
    assert "For 4 h: " in out
    assert "Now, for later (putback ahead has more):" in out
    assert "Before you go home: putback pack-up" in out
    assert demo(line="resume --json").json["resume"]["hour"] is None


@pytest.mark.parametrize("line", ["ahead", "stretch 4h", "pack-up", "resume --hours 2"])
def test_each_answers_what_is_supposed(demo, line: str):
    """And says so."""
    supposed = "--suppose 'off radiator'"
    assert demo.ok(f"{supposed} {line}").startswith("Supposed: off radiator\n")
    assert demo(line=f"{supposed} {line} --json").json["supposed"] == ["off radiator"]


def test_a_rebuild_that_only_the_logbook_knows_has_no_minutes_to_sum(blank):
    """Steps that take a share of nobody's estimate make no sum either."""
    for line in ("undone 'lid to frame' 4/4 --new", "off lid --new", "off fan --new", "on fan"):
        blank.ok(f"log {line}")
    assert "steps, no minutes on record.\n" in blank.ok("stretch 1h")
