"""The demo from start to end: what Putback makes of the story, without ever seeing the answer."""

import dataclasses
import json
import re
from io import StringIO
from pathlib import Path

import pytest
from rich.console import Console
from typer.testing import CliRunner

from putback.cli import replay
from putback.cli.main import app
from putback.cli.wire import open_store, this_person
from putback.logbook.entries.base import canonical
from putback.logbook.entries.registry import decode
from putback.logbook.fold import fold
from putback.logbook.hardware_check import hardware_check
from putback.vehicle.demo import demo_vehicle
from putback.workshop.exchange import story
from putback.workshop.logbooks.ports import Role
from tests.makers_logbook import Story

ROOT = Path(__file__).parents[2]
pytestmark = pytest.mark.slow


def test_it_closes_with_nothing_left_over(replayed):
    """Exit code 0: all is back on, no bag holds anything, no temporary fit is in."""
    assert replayed.code == 0
    assert replayed.found["closes"] is True
    assert replayed.found["hardware"]["fits_in"] == []
    assert all(not each["pieces"] for each in replayed.found["hardware"]["tags"])
    last = replayed.found["sittings"][-1]["far"]
    assert (last["parts_off"], last["joints_undone"]) == (0, 0)


def test_copies_that_went_apart_come_to_one_state(replayed):
    """Each exchange brings entries, and both copies show the same; so does a stranger's."""
    exchanges = replayed.found["exchanges"]
    assert len(exchanges) >= 2
    assert all(each["same_state"] for each in exchanges)
    assert min(exchanges[0]["taken"], exchanges[0]["given"]) > 0
    assert replayed.found["taken_over"]["same_state"] is True
    assert replayed.found["copies_agree"] is True


def test_the_rebuild_is_not_the_strip_turned_round(replayed):
    """It differs in at least five named places, each with its reason."""
    differences = replayed.found["differences"]
    named = {each["place"] for each in differences}
    assert len(named) >= 5
    assert len({each["kind"] for each in differences}) >= 5
    assert all(
        each["reason"] and each["reversed_strip"] != each["rebuild"] for each in differences
    )


def test_plans_are_explained_and_bounded(replayed):
    """Reach is proved; the strip says what each step waits for, and has a bound beside it."""
    assert replayed.found["reach"]["optimal"] is True
    strip = replayed.found["strip"]
    assert strip["bound_minutes"] <= strip["work_minutes"] + strip["setup_minutes"]
    waiting = [step for step in strip["steps"] if step["reasons"]]
    assert len(waiting) > len(strip["steps"]) / 2
    assert all(reason["words"] for step in waiting for reason in step["reasons"])
    assert len(replayed.found["rebuild"]["steps"]) > len(strip["steps"])


def test_a_stuck_nut_is_left_half_done_and_then_cut(replayed):
    """Three of four out, one stuck; the day after, all out, and one bolt is scrap."""
    stuck = replayed.answer("Day 5", "rear bumper irons")
    assert "part undone: 3 of 4 out\n1 stuck" in stuck
    assert any(
        "left half way: 3 of 4 out, 1 stuck" in each for each in replayed.open_after("Day 5")
    )
    cut = replayed.answer("Day 6", "rear bumper irons")
    assert "undone: 4 of 4 out\n1 destroyed" in cut
    assert "scrap: 1 × bolt" in cut
    assert "3 × bolt" in cut


def test_what_was_struck_out_counts_for_nothing(replayed):
    """The wrong bumper was logged off and struck out: it is on."""
    assert replayed.answer("Day 4", "Rear bumper").startswith("on the vehicle, as found")


def test_a_bodge_is_found(replayed):
    """It is open until somebody decides."""
    assert "a former owner's patch" in replayed.answer("Day 9", "Body shell")
    assert "decide what becomes of it" in replayed.answer("Day 9", "Body shell")
    assert not any("former owner" in each for each in replayed.open_after("Day 9"))


def test_half_the_bolts_are_in_their_own_holes(replayed):
    """Two wait in their holes and two in the bag; who was not there at the strip is told so."""
    for sitting in ("Day 13", "Day 330"):
        told = replayed.answer(sitting, "radiator to support panel")
        assert "in its own hole: 2 × bolt" in told
        assert re.search(r"\w{4} \(radiator, upper bolts\): 2 × bolt", told)


def test_a_late_note_stands_where_it_belongs(replayed):
    """Logged a day late, it stands behind the radiator."""
    lines = replayed.answer("Day 14", "Radiator and heater hose set").split("\n")
    assert lines[-1].endswith("noted: the lower hose was swollen: new hoses")
    assert lines[-2][:10] == lines[-1][:10]


def test_another_bag_than_proposed_is_believed(replayed):
    """What is in the hand is true."""
    assert "3HNA (steering column)" in replayed.answer("Day 24", "column upper clamp")
    assert "3CAH" not in replayed.answer("Day 24", "column upper clamp")


def test_two_people_who_log_one_joint_add_no_hardware(replayed):
    """Their counts disagree, which is open until settled; 18 screws stay 18."""
    asked = [each for each in replayed.found["asked"] if each["name"] == "tunnel cover to floor"]
    assert "disagree" in asked[0]["answer"][0]
    assert "undone: 18 of 18 out" in asked[1]["answer"]
    assert any("18 × setscrew" in each for each in asked[1]["answer"])


def test_a_forgotten_mark_is_missed(replayed):
    """While the place is still remembered."""
    assert "is off without its mark" in replayed.answer("Day 27", "Propeller shaft")
    assert not any("Propeller shaft" in each and "mark" in each for each in _at_the_end(replayed))


def test_a_pipe_that_was_cut_is_kept_as_pattern(replayed):
    """And its successor is on order."""
    told = replayed.answer("Day 30", "Clutch pipe")
    assert "kept as pattern" in told
    assert "on order" in told


def test_an_earth_strap_still_ties(replayed):
    """Engine first, body later: what still holds is named before the hoist pulls."""
    engine = replayed.answer("Day 31", "engine and gearbox as one unit").split("\n")
    assert engine
    assert all(each.startswith("Earth strap, engine to chassis") for each in engine)
    body = replayed.answer("Day 40", "Body shell")
    assert "Earth strap, body to chassis: body earth point" in body


def test_an_end_left_open_is_missed(replayed):
    """One closure fewer than is on the record."""
    assert "is open" in replayed.answer("Day 41", "left wheel cylinder inlet")


def test_a_lost_bolt_is_dated_by_a_count(replayed):
    """One of two is missing, and stays short until a new one goes in."""
    told = replayed.answer("Day 41", "support panel to chassis horns")
    assert "lost: 1 × bolt" in told
    assert any("is short of 1 × bolt 5/16-24" in each for each in replayed.open_after("Day 41"))


def test_a_second_pair_of_eyes_finds_the_missing_pin(replayed):
    """What a check found not right is open until it was put right and checked again."""
    assert "no split pin" in replayed.answer("Day 395", "track rod inner, left")
    assert not any("track rod inner" in each.lower() for each in _at_the_end(replayed))


def test_open_items_are_told_after_each_sitting(replayed):
    """Every sitting that brought entries has its list."""
    sittings = replayed.found["sittings"]
    assert len(sittings) >= 20
    assert {each["copy"] for each in sittings} == {"home", "away"}
    assert all(each["entries"] for each in sittings)


def _at_the_end(replayed) -> list[str]:
    return [item["words"] for item in replayed.found["sittings"][-1]["open"]]


def test_the_copies_are_kept_to_look_at(replayed):
    """Each is a home of its own, in which every command works."""
    for name in ("home", "away", "stranger"):
        done = CliRunner().invoke(app, ["--home", str(replayed.kept / name), "vehicles"])
        assert done.output.startswith("Tarnbeck Dunlin Fourteen  (demo, ")
        entries = open_store(replayed.kept / name).entries
        assert entries.roles(story.DEMO_VEHICLE)[this_person()] is Role.OWNER
    again = CliRunner().invoke(app, ["demo", "--keep", str(replayed.kept)])
    assert again.exit_code == 2
    assert "name a folder that is not there yet" in again.output


# -- the story itself -------------------------------------------------------------------------


def test_the_story_is_what_its_script_writes(tmp_path):
    """The file was written by scripts/write_story and by nobody since."""
    from scripts.write_story import rebuild, strip
    from scripts.write_story.cast import Cast
    from scripts.write_story.script import STORY

    cast = Cast()
    strip.tell(cast)
    rebuild.tell(cast)
    cast.script.write(tmp_path / "story.jsonl")
    assert (tmp_path / "story.jsonl").read_bytes() == STORY.read_bytes()


def test_every_entry_of_the_story_is_read():
    """No kind, version or body in it is unknown, and no identity comes twice."""
    entries = [
        decode(line)
        for event in story.demo_story()
        if isinstance(event, story.Sent)
        for line in event.lines
    ]
    assert len(entries) > 1500
    assert not [each for each in entries if each.brief.flag == "unread"]
    assert len({each.id for each in entries}) == len(entries)


def _without_noqa(code: str) -> str:
    return re.sub(r"# noqa: .*", "", code)  # its rules are named like somebody's parts


def test_no_identity_of_the_demo_is_in_the_program():
    """Only package data knows the demo: what the program finds, it finds by its rules."""
    vehicle = demo_vehicle()
    tables = ("parts", "joints", "jobs", "openings", "obstructions", "befores", "fluids")
    ids = {identity for table in tables for identity in getattr(vehicle, table)}
    ids = {each for each in ids if re.search(r"\d\d", each)}
    assert len(ids) > 300
    found = {
        f"{path.relative_to(ROOT)}: {word}"
        for path in (ROOT / "src").rglob("*.py")
        for word in ids & set(re.findall(r"[\w-]+", _without_noqa(path.read_text("utf-8"))))
    }
    assert not found


# -- planted faults ---------------------------------------------------------------------------


def _but(change) -> list[story.Event]:
    """The story without its questions but the last, and with every entry changed or dropped."""
    events: list[story.Event] = []
    for event in story.demo_story():
        if isinstance(event, story.Question) and event.what != "closes":
            continue
        if isinstance(event, story.Sent):
            lines = [change(json.loads(line)) for line in event.lines]
            event = dataclasses.replace(
                event, lines=tuple(canonical(line) for line in lines if line)
            )
        events.append(event)
    return events


def _never_made(entry):
    """Nobody logs that the fuel pump's joint was made again."""
    made = entry["kind"] == "joint made" and entry["body"]["joint"] == _FORGOTTEN
    return None if made else entry


def _never_bought(entry):
    """The bolt that was lost, and the one that was cut, are not replaced by new ones."""
    if entry["kind"] == "joint made" and len(entry["body"].get("new", ())) == 1:
        return {**entry, "body": {**entry["body"], "new": []}}
    return entry


_FORGOTTEN = next(
    joint.id for joint in demo_vehicle().joints.values() if joint.name == "fuel pump to block"
)


def _nothing(entry):
    """All went as it did."""
    return entry


@pytest.mark.parametrize(("fault", "left"), [(_nothing, 0), (_never_made, 1), (_never_bought, 2)])
def test_a_planted_fault_keeps_the_hardware_check_from_closing(fault, left):
    """The joint that was not made, or the two bolts not replaced, are what is left to do."""
    said = [
        decode(line)
        for event in _but(fault)
        if isinstance(event, story.Sent) and event.logbook == story.DEMO_VEHICLE
        for line in event.lines
    ]
    check = hardware_check(fold([*Story(demo_vehicle()).entries, *said]).state())
    assert check.closes is (left == 0)
    assert len(check.apart or [line for line in check.lines if line.to_go_on]) == left


def test_a_planted_fault_is_told_by_the_exit_code(tmp_path, monkeypatch):
    """The check does not close, the program ends with 1, and the copies agree all the same."""
    events = _but(_never_made)
    monkeypatch.setattr(story, "demo_story", lambda: iter(events))
    done = CliRunner().invoke(app, ["demo", "--json", "--keep", str(tmp_path / "kept")])
    assert done.exit_code == 1
    found = json.loads(done.stdout)
    assert found["closes"] is False
    assert found["copies_agree"] is True


def test_it_reads_well(tmp_path):
    """What a person sees: sittings, answers, and the verdict, no line beyond the terminal."""
    events = []
    for event in story.demo_story():
        if isinstance(event, story.Sitting) and event.title.startswith("Day 13"):
            break
        events.append(event)
    screen = Console(record=True, width=100, highlight=False, file=StringIO())
    shown = replay.Replay(tmp_path / "kept", screen)
    shown.run(events)
    text = screen.export_text()
    assert "Day 5, home garage: the right rear bumper bolt turns its captive nut." in text
    assert (
        "  Three came out, one is stuck. Where is rear bumper irons to chassis, and how?" in text
    )
    assert "Taken over elsewhere: the same state." in text
    assert max(map(len, text.splitlines())) <= 100
