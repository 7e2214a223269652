"""The strip that is followed, other plans to choose from, and what is not done now."""

from dataclasses import replace

import pytest

from putback.errors import StoreError
from putback.vehicle.assembly import Assembly
from putback.vehicle.file import write
from putback.vehicle.goal import Goal
from putback.vehicle.ids import GoalId, PartId
from putback.vehicle.part import Part
from tests.cli.conftest import Putback
from tests.makers import ZONE, vehicle
from tests.planning.hand_made import likely


@pytest.fixture
def car(putback, tmp_path) -> Putback:
    """A small vehicle: a pump under a lid or a flap, an engine in one piece or two, a lamp."""
    v = vehicle(
        "lid - frame; 10 min",
        "flap - frame; 12 min",
        "pump - frame; 10 min",
        "lamp - frame; 3 min",
        "engine - frame; 10 min",
        "gearbox - frame; 10 min",
        "engine - gearbox; 45 min",
        "lid blocks pump - frame",
        Assembly("unit", "engine and gearbox", ("engine", "gearbox"), likely(20), crew=2),
        datum="frame",
    )
    (tmp_path / "car.toml").write_text(write(v))
    putback.ok(f"new --from {tmp_path / 'car.toml'}")
    return putback


def names(answer) -> list[str]:
    """What the plan of an answer deals with, in its order."""
    return [step["what"] for step in answer.json["plan"]["steps"]]


def test_the_order_stays_and_what_changed_is_told(car):
    """Next time the rest is as it was; a joint that is made again is one job more, and why."""
    first = names(car("strip", "--json"))
    joint = first[0].removeprefix("joint:")
    car.ok(f"log undone '{joint}'")
    second = car("strip", "--json")
    assert names(second) == first[1:]
    assert second.json["changes"] == []
    car.ok(f"log made '{joint}' tightened")
    said = car.ok("strip")
    assert f"changed: 1 job more: {joint}: logged: " in said
    assert "changed:" not in car.ok("strip")


def test_a_plan_that_was_chosen_is_followed_until_it_is_forgotten(car):
    """Nothing is logged by choosing; afresh it is the usual plan again."""
    usual = names(car("strip", "--json"))
    before = car("vehicles", "--json").json
    said = car.ok("strip --alternatives")
    number = next(
        line.split()[0] for line in said.splitlines() if "engine and gearbox in pieces" in line
    )
    chosen = car.ok(f"strip --choose {number} --all")
    assert "You follow this order from now on: engine and gearbox in pieces" in chosen
    assert car("vehicles", "--json").json == before
    pinned = car("strip", "--json")
    assert pinned.json["pinned"]
    assert "assembly:unit" in usual
    assert "assembly:unit" not in names(pinned)
    assert "You chose this order; --afresh leaves it." in car.ok("strip")
    assert names(car("strip", "--afresh", "--json")) == usual
    assert not car("strip", "--json").json["pinned"]


def test_every_command_speaks_of_the_order_that_was_chosen(car):
    """Resume, stretch, ahead, why, balance and what drops next: one job, one order."""
    said = car.ok("strip --alternatives")
    number = next(
        line.split()[0] for line in said.splitlines() if "engine and gearbox in pieces" in line
    )
    chosen = car(line=f"strip --choose {number} --json").json["plan"]["steps"]
    things = [step["what"] for step in chosen]
    assert "assembly:unit" not in things
    resumed = car(line="resume --steps 99 --json").json["resume"]
    assert [step["what"] for step in resumed["next"]] == things
    hours = car(line="resume --hours 100 --json").json["resume"]["hour"]["stretch"]["steps"]
    assert [step["what"] for step in hours] == things
    stretch = car(line="stretch 100h --json").json["best"]["stretch"]["steps"]
    assert [step["what"] for step in stretch] == things
    along = car(line="balance --plan strip --json").json["steps"]
    assert [step["what"] for step in along] == things
    why = car(line="why engine --json").json
    assert (why["in_plan"], why["comes_with"]) == (True, None)
    undone = [step["what"] for step in chosen if step["action"] == "undo"]
    drops = car(line="drops --json").json["drops"]
    places = [undone.index(f"joint:{each['joint']}") for each in drops]
    assert places == sorted(places)
    assert names(car("strip", "--json")) == things


def test_who_only_asks_about_the_plan_leaves_what_changed_to_be_told(car):
    """A look at the next steps in between swallows nothing; what is supposed is not kept."""
    first = names(car("strip", "--json"))
    joint = first[0].removeprefix("joint:")
    car.ok(f"log undone '{joint}'")
    car.ok("strip")
    car.ok(f"log made '{joint}' tightened")
    for line in ("resume", "ahead", "stretch 1h", "why lamp", "drops", "balance --plan strip"):
        car.ok(line)
        car.ok(f"--suppose 'off lamp' {'ahead' if line == 'why lamp' else line}")
    assert f"changed: 1 job more: {joint}: logged: " in car.ok("strip")


def test_who_asks_first_about_a_plan_is_followed_by_the_strip(car, monkeypatch):
    """The order somebody was shown is the order; nothing is kept of what is only supposed."""
    supposed = car(line="--suppose 'off lid' resume --steps 99 --json").json["resume"]["next"]
    shown = car(line="resume --steps 99 --json").json["resume"]["next"]
    assert len(supposed) < len(shown)
    monkeypatch.setattr("putback.workshop.plans.plans.plan_strip", None)
    assert names(car("strip", "--json")) == [step["what"] for step in shown]


def test_a_store_that_takes_nothing_still_answers(car, monkeypatch):
    """What only asks about the plan keeps it where it can, and answers where it cannot."""
    tried = []

    def read_only(*_):
        tried.append(line)
        raise StoreError("the store", "attempt to write a readonly database")

    monkeypatch.setattr("putback.web.store.entry_store.DjangoEntryStore.keep_plan", read_only)
    lines = ("resume", "ahead", "stretch 1h", "why lamp", "drops", "balance --plan strip")
    for line in lines:
        assert car.ok(line)
    assert set(tried) == set(lines)


def test_a_number_that_is_not_there_is_refused(car):
    """It says how many there are and where to see them."""
    assert car.refused(line="strip --choose 9").startswith("no alternative 9: there ")


def test_when_goals_on_the_way_are_reached_is_said(putback, tmp_path):
    """The lid's goal comes before all: after its minutes, in words and for programs."""
    goals = (
        Goal(GoalId("lid"), "lid off", PartId("frame"), off=(PartId("lid"),)),
        Goal(GoalId("all"), "all off", PartId("frame"), off_rest=True, after=GoalId("lid")),
    )
    v = vehicle("lid - frame; 10 min", "pump - frame; 5 min", *goals)
    (tmp_path / "one.toml").write_text(write(v))
    putback.ok(f"new --from {tmp_path / 'one.toml'}")
    assert "On the way lid off is reached after 10 min, with step 2.\n" in putback.ok("strip all")
    assert putback(line="strip all --json").json["reached"] == [
        {"goal": "lid", "steps": 2, "minutes": 10.0}
    ]
    assert "is reached" not in putback.ok("strip lid")


def test_that_no_plan_takes_less_is_said_where_it_is_proven(car, putback, tmp_path):
    """Where plan and bound are the same; else the least lies somewhere between."""
    v = vehicle("lid - frame; 10 min", datum="frame")
    (tmp_path / "one.toml").write_text(write(v))
    putback.ok(f"new One --from {tmp_path / 'one.toml'}")
    proven = "No plan takes less (proven by a bound, waiting included).\n"
    assert proven in putback.ok("-v One strip")
    plan = car("-v", "Test vehicle", "strip", "--json").json["plan"]
    total = plan["work_minutes"] + plan["setup_minutes"]
    assert (proven in car.ok("-v 'Test vehicle' strip")) is (plan["bound_minutes"] > total - 0.5)


def test_not_now_says_what_it_costs_and_what_is_next(car):
    """The pump waits for the lid; the rest is planned first, and the strip says why."""
    car.ok("strip")
    said = car.ok("not-now lid --why no-tool --note 'the puller is lent'")
    lines = said.splitlines()
    assert lines[0] == "Put lid off (no tool: the puller is lent)."
    assert lines[1].startswith("2 jobs wait for it; ")
    assert lines[1].endswith(" of other work can be done first.")
    assert lines[2] == "Next:"
    late = car("strip", "--json")
    assert names(late)[-3:] == ["part:lid", "joint:pump-frame", "part:pump"]
    assert names(late)[0] not in {"part:lid", "joint:pump-frame", "part:pump"}


def test_not_now_speaks_of_the_rebuild_where_that_is_in_hand(car):
    """Lid and lamp go back: the lid is put off, so the lamp is next; the step says until when."""
    for line in ("undone lid-frame", "off lid", "undone lamp-frame", "off lamp", "on lamp"):
        car.ok(f"log {line}")
    said = car.ok("not-now lid --why no-part --until 2031-06-01").splitlines()
    assert said[0] == "Put lid off until 1 Jun 2031 (no part)."
    assert said[1].startswith("1 job waits for it; it takes no longer; ")
    assert said[2] == "Next:"
    steps = car(line="rebuild --json").json["plan"]["steps"]
    assert [step["what"] for step in steps[-3:]] == ["part:lid", *["joint:lid-frame"] * 2]
    assert steps[-3]["notes"][-1] == "put off until 1 Jun 2031, no part"


def test_not_now_speaks_of_the_rebuild_where_no_goal_is_described(blank):
    """Nobody said where the strip shall go: what is off can wait, what is on is only put off."""
    for line in ("off lid", "off lamp", "undone 'pump bolts'"):
        blank.ok(f"log {line} --new")
    said = blank.ok("not-now lamp --why no-part").splitlines()
    assert said[:2] == [
        "Put lamp off (no part).",
        "1 job waits for it; 2 other jobs (no minutes on record) can be done first.",
    ]
    blank.ok("describe parts horn name=Horn")
    assert blank.ok("not-now horn") == "Put Horn off (not today).\n"


def test_everything_may_wait_for_what_is_put_off(putback, tmp_path):
    """Then that is said, and no next job is made up."""
    file = tmp_path / "one.toml"
    file.write_text(write(vehicle("lid - frame", datum="frame")))
    putback.ok(f"new --from {file}")
    said = putback.ok("not-now lid-frame")
    assert "Everything that is left waits for it: nothing else can be done first." in said


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("not-now lid --why lazy", "'lazy' is no reason to put something off; say one of stuck,"),
        ("not-now lid --until soon", "'soon' is no day; write it as 2031-06-01"),
        ("not-now lid --until 1999-01-01", "1999-01-01 is here or past: it would not be put off;"),
        ("not-now lidd", "no part, joint, job or assembly 'lidd'"),
    ],
)
def test_what_cannot_be_meant_is_refused(car, line, says):
    """In one sentence; nothing is logged."""
    assert car.refused(line=line).startswith(says)


def test_what_the_goal_does_not_need_costs_nothing(putback, tmp_path):
    """Nobody waits for what is not in the plan."""
    v = vehicle("lid - frame", "lamp - frame", datum="frame")
    (goal,) = v.goals.values()
    lamp = replace(v, goals={goal.id: replace(goal, off_rest=False, off=("lamp",))})
    (tmp_path / "car.toml").write_text(write(lamp))
    putback.ok(f"new --from {tmp_path / 'car.toml'}")
    assert "no job waits for it" in putback.ok("not-now lid")


def test_a_unit_is_found_by_its_name_wherever_a_plan_names_it(car):
    """Why, reach, drops, history and not-now; in pieces it says of what to ask."""
    unit = "'engine and gearbox'"
    why = car(line=f"why {unit} --json").json
    assert (why["subject"], why["in_plan"], why["in_pieces"]) == ("assembly:unit", True, [])
    asked = car(line=f"why {unit} --before lid --json").json
    assert (asked["first"], asked["then"]) == ("assembly:unit", "part:lid")
    reached = car(line=f"reach {unit} --json").json["reach"]
    assert [step["what"] for step in reached["steps"]][-1] == "assembly:unit"
    assert "engine-gearbox" not in str(reached)
    dropped = car(line=f"drops {unit} --json").json["drops"]
    assert {each["joint"] for each in dropped} == {"engine-frame", "gearbox-frame"}
    car.ok(f"not-now {unit}")
    (entry,) = car(line=f"history {unit} --json").json["entries"]
    assert entry["kind"] == "put off"
    car.ok("undo")
    said = car.ok("strip --alternatives")
    number = next(line.split()[0] for line in said.splitlines() if "in pieces" in line)
    car.ok(f"strip --choose {number}")
    apart = car(line=f"why {unit} --json").json
    assert (apart["in_plan"], apart["in_pieces"]) == (False, ["part:engine", "part:gearbox"])
    assert "engine and gearbox comes off piece by piece" in car.ok(f"why {unit}")


def test_of_many_facts_that_hold_a_thing_up_a_few_are_named(putback, tmp_path):
    """Six others come before the lamp; four facts are named, the rest are counted."""
    others = [f"p{n}" for n in range(6)]
    v = vehicle(
        "lamp - frame",
        *(f"{each} - frame" for each in others),
        *(f"{each} before lamp-frame: so" for each in others),
        datum="frame",
    )
    (tmp_path / "car.toml").write_text(write(v))
    putback.ok(f"new --from {tmp_path / 'car.toml'}")
    said = putback.ok("why lamp-frame")
    assert said.count("did not have to wait for") == 4
    assert "and 2 more facts did not hold either: --json names all" in said
    assert len(putback("why", "lamp-frame", "--json").json["next_if"]) == 6


def test_why_speaks_of_cost_and_of_what_could_be_next_in_a_rebuild_too(car):
    """Lid and lamp go back in either order; the lid's joint waits for the lid."""
    for line in ("undone lid-frame", "off lid", "undone lamp-frame", "off lamp"):
        car.ok(f"log {line}")
    car.ok("log undone flap-frame")
    car.ok("log off flap")
    car.ok("log on flap")
    steps = [step["what"] for step in car(line="rebuild --json").json["plan"]["steps"]]
    first, then = (each for each in steps if each in {"part:lid", "part:lamp"})
    one, two = first.removeprefix("part:"), then.removeprefix("part:")
    said = car.ok(f"why {one} --before {two}")
    assert f"{one} need not come before {two}." in said
    assert "the other way round" in said
    assert car(line=f"why {one} --before {two} --json").json["other_order"] is not None


def test_a_goal_that_is_chosen_is_the_one_in_hand(putback, tmp_path):
    """Only looked at it changes nothing, and says how it is chosen; struck out it is left."""
    frame = PartId("frame")
    about = vehicle(
        "lid - frame",
        "pump - frame",
        Goal(GoalId("open"), "lid off", frame, off=(PartId("lid"),)),
        Goal(GoalId("bare"), "all off", frame, off_rest=True),
    )
    (tmp_path / "car.toml").write_text(write(about))
    putback.ok(f"new --from {tmp_path / 'car.toml'}")
    assert "putback log goal bare" in putback.ok("strip 'all off'")
    assert putback("strip", "--json").json["goal"] == "open"
    act = putback("log", "goal", "all off", "--json").json["act"]
    assert putback("strip", "--json").json["goal"] == "bare"
    assert "Only looked at" not in putback.ok("strip")
    putback.ok(f"strike {act}")
    assert putback("strip", "--json").json["goal"] == "open"


def test_a_way_to_what_nobody_described_any_joint_of_says_so(putback, tmp_path):
    """The lid's joint is known; of the box nobody knows what holds it."""
    box = Part(PartId("box"), "box", ZONE)
    about = vehicle("lid - frame", "box blocks lid", box, datum="frame")
    (tmp_path / "car.toml").write_text(write(about))
    putback.ok(f"new --from {tmp_path / 'car.toml'}")
    words = "Of 1 part that comes off, no joint is described: what holds it is not known."
    assert words in putback.ok("reach lid")
    assert putback("reach", "lid", "--json").json["unknown"] == ["box"]
    assert "no joint is described" not in putback.ok("reach lid-frame")
    assert words in " ".join(putback.ok("strip").split()), "where else something is described, too"


def test_what_nothing_else_needs_is_asked_for_by_the_goal_or_by_the_rebuild(car):
    """A rebuild has no goal."""
    assert "itself: the goal asks for it" in car.ok("why lamp")
    car.ok("log undone lamp-frame")
    car.ok("log off lamp")
    for line in ("undone lid-frame", "off lid", "on lid"):
        car.ok(f"log {line}")
    assert "itself: the rebuild asks for it" in car.ok("why lamp-frame")


def test_how_it_stands_is_said_before_the_first_step_that_wants_it(demo):
    """Whoever said nothing has to stand it so; whoever said it is not told again."""
    says = "-- on its wheels, chocked (body on or off)"
    for line in ("strip", "resume", "reach Grille", "stretch 4h", "not-now Grille"):
        words = demo.ok(line)
        assert words.index(says) < words.index("\n  do ") if "\n  do " in words else says in words
    demo.ok('log standing "on its wheels, chocked (body on or off)"')
    for line in ("strip", "resume", "reach Grille", "stretch 4h", "not-now Grille"):
        assert says not in demo.ok(line)
