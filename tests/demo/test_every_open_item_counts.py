"""Every rule of open items has its case in the demo: in its story, or in a line or two of another.

A rule that is left out of the registry finds nothing, and its test here goes red: each is asked
with the rule and without it. Of the few in `ELSEWHERE` the story has no case.
"""

from datetime import datetime, timedelta

import pytest

from putback.logbook.entries.registry import decode
from putback.logbook.entries.working import StandingChanged, Weighed
from putback.logbook.fold import fold
from putback.logbook.open_items import RULES, STANDING_RULES, before_standing, open_items, registry
from putback.logbook.open_items.situation import Situation
from putback.vehicle.demo import demo_vehicle
from putback.vehicle.ids import StandingId
from putback.workshop.exchange.story import DEMO_VEHICLE, Sent, demo_story
from tests.makers_logbook import Story

pytestmark = pytest.mark.slow

DEMO = demo_vehicle()
CRITICAL = next(
    joint
    for joint in DEMO.joints.values()
    if joint.critical and any(piece.single_use for f in joint.fixings for piece in f.stack)
)
OUT = f"A: undone {CRITICAL.id} {CRITICAL.fixing_count} of {CRITICAL.fixing_count}"

AFTER_ENTRIES = {
    1021: "cannot stand so, clock skewed, did not come back, end open, final tightening waits, "
    "fluid out, hardware short, joint unlocked, mark missing, measure missing, no backup, "
    "out of reach there, photo missing, second check missing, temporary fit in, "
    "would stand too near",
    461: "container nowhere, finding undecided, hangs on a jack, not seen free, ties left, "
    "will drop",
    137: "crack first, joint half undone",
    965: "does not fit, late",
    41: "will leak",
    365: "counts disagree",
    473: "joint not logged",
    669: "joint slack",
    1093: "support in the air",
    1109: "made without part",
    1393: "not bled",
    1485: "check not right",
}
"""After how many entries of the demo's story which rules have something to say."""

WEIGHED = Weighed(
    loads_kg={"front axle": 900.0, "rear axle": 90.0},
    standing=StandingId("WHEELS"),
    uncertainty_kg=2.0,
)
"""As nobody would find it: by far too much in front."""

BY_A_LINE = {
    "hardware nowhere": [OUT],
    "single use reused": [OUT, f"A: made {CRITICAL.id} final"],
    "torque not recorded": [OUT, f"A: made {CRITICAL.id} final"],
    "hardware in two bags": [f"{OUT}, tag 3CAH", f"{OUT}, tag 4DBJ"],
    "part nowhere": [f"A: off {CRITICAL.parts[0]}"],
    "laid away not off": [f"A: moved part:{CRITICAL.parts[0]} to shelf"],
    "undescribed": ["A: off something"],
    "nobody looked": ["stands STANDS"],
    "standing not tested": ["stands STANDS"],
    "stands too near": ["stands STANDS-B"],
    "scales disagree": ["weighed"],
}
"""What else is logged of the vehicle as found, so that a rule has something to say."""

ELSEWHERE = {
    "curing",
    "described twice",
    "left over",
    "lift too heavy",
    "out of order",
    "part gone",
    "part in two places",
    "put off over",
    "reading outside",
    "rests on struck",
    "same id two bodies",
    "standings disagree",
    "tag on two bags",
    "unread entries",
}
"""The story has no case of them; `test_open_items_change_plans` raises them on the demo."""


@pytest.fixture(scope="module")
def situations():
    """The demo after so many entries of its story; one fold takes them in, one after another."""
    said = [
        decode(line)
        for event in demo_story()
        if isinstance(event, Sent) and event.logbook == DEMO_VEHICLE
        for line in event.lines
    ]
    folded = fold(Story(DEMO).entries)
    after: dict[int, Situation] = {}
    taken = 0
    for count in sorted(AFTER_ENTRIES):
        folded.add(said[taken:count])
        taken = count
        last = max(each.logged_at for each in said[:count])
        now = datetime.fromisoformat(last) + timedelta(minutes=1)
        after[count] = Situation(folded.state(), folded.log(), now)
    return after


@pytest.fixture(scope="module")
def as_found():
    """The rules that have something to say of the vehicle as found."""
    return found(Story(DEMO).situation())


def found(situation: Situation) -> set[str]:
    """The rules that have something to say, now or before some standing."""
    items = [*open_items(situation)]
    for standing in DEMO.standings:
        items += before_standing(situation, standing)
    return {item.rule for item in items}


def leave_out(monkeypatch, rule: str) -> None:
    """Take a rule out of the registry."""
    for name, rules in (("RULES", RULES), ("STANDING_RULES", STANDING_RULES)):
        monkeypatch.setattr(registry, name, {n: r for n, r in rules.items() if n != rule})


@pytest.mark.parametrize(
    ("count", "rule"),
    [(count, rule) for count, rules in AFTER_ENTRIES.items() for rule in rules.split(", ")],
)
def test_the_story_has_a_case_of_it(situations, monkeypatch, count, rule):
    """The rule speaks there, and without it nothing does so in its name."""
    assert rule in found(situations[count])
    leave_out(monkeypatch, rule)
    assert rule not in found(situations[count])


@pytest.mark.parametrize("rule", BY_A_LINE)
def test_a_line_more_makes_a_case_of_it(as_found, monkeypatch, rule):
    """The rule speaks of the vehicle after that line, and not of the vehicle as found."""
    assert rule not in as_found
    story = Story(DEMO)
    for line in BY_A_LINE[rule]:
        if line.startswith("stands "):
            story.says("A", StandingChanged(standing=line.removeprefix("stands ")))
        elif line == "weighed":
            story.says("A", WEIGHED)
        else:
            story(line)
    situation = story.situation()
    assert rule in found(situation)
    leave_out(monkeypatch, rule)
    assert rule not in found(situation)


def test_no_rule_is_forgotten():
    """Each is in one of the three lists."""
    told = {rule for rules in AFTER_ENTRIES.values() for rule in rules.split(", ")}
    assert told | BY_A_LINE.keys() | ELSEWHERE == {*RULES, *STANDING_RULES}
    assert not told & BY_A_LINE.keys()
