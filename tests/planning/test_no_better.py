"""A state is told to be no better than one that failed: rightly, by every move from both."""

from dataclasses import dataclass, field

import pytest
from hypothesis import event, given
from hypothesis import strategies as st

from putback.planning.impossible.laid import Laid
from putback.planning.impossible.left import Case, is_no_better, left_in
from putback.planning.impossible.outlook import Foreseeing
from putback.planning.impossible.trial import State, Trial
from putback.planning.posing.problem import Kind
from putback.vehicle.assembly import Assembly
from putback.vehicle.goal import Goal
from putback.vehicle.part import Part
from putback.vehicle.run import Passage, Run, RunEnd
from putback.vehicle.standing import TemporarySupport
from tests.makers import ZONE, standing, vehicle
from tests.planning.brute import TooMany
from tests.planning.hand_made import state_of
from tests.planning.test_left import choices, posed

MOST_POSITIONS = 3_000


def reaches(trial: Trial, state: State) -> bool:
    """Whether the goal can be reached from a state: every move, none left out."""
    todo, seen = [state.copy()], set()
    while todo:
        at = todo.pop()
        if not at.missing[trial.laid.goal]:
            return True
        sets = (at.done, at.dead, at.stood, at.lost, at.gone)
        key = (at.here, *map(frozenset, sets))
        if key in seen:
            continue
        seen.add(key)
        if len(seen) > MOST_POSITIONS:
            raise TooMany
        for index in moves_in(trial, at):
            after = at.copy()
            trial.do(after, index, at.here)
            todo.append(after)
        for to in ways_from(trial, at):
            after = at.copy()
            stand(trial, after, to)
            todo.append(after)
    return False


def moves_in(trial: Trial, state: State) -> list[int]:
    """What can be done as the vehicle stands."""
    left = (i for i in state.ready if i not in state.dead and i not in state.done)
    return [index for index in left if trial.fits(state, index, state.here)]


def ways_from(trial: Trial, state: State) -> list:
    """How it can be stood by one change."""
    if trial.laid.standings[0] is None:
        return []
    there = (to for to in trial.entered(state) if to != state.here)
    return [to for to in there if trial.leads(state.here, to)]


def stand(trial: Trial, state: State, to) -> None:
    """Stand it otherwise; what had to be ended before is not ended any more."""
    for last in trial.hanging(state):
        state.dead |= last
    state.here = to
    state.stood.add(to)


def walked(trial: Trial, state: State, chance) -> State:
    """A state after some moves more, in which some more of several ways are dead."""
    state = state.copy()
    providers = trial.laid.problem.providers.values()
    ways = sorted({w for by in providers if len(by) > 1 for w in by} & trial.laid.is_step)
    for _ in range(chance.randrange(5)):
        may, to = moves_in(trial, state), ways_from(trial, state)
        left = [way for way in ways if way not in state.done]
        kind = chance.choice("ddsn")
        if kind == "d" and may:
            trial.do(state, chance.choice(may), state.here)
        elif kind == "s" and to:
            stand(trial, state, chance.choice(to))
        elif kind == "n" and left:
            state.dead.add(chance.choice(left))
    return state


A_OR_C = ("a - frame", "c - frame", "x - frame", "a or c blocks x-frame")
ON_WHEELS = [Part(name, name, ZONE, standings=("wheels",)) for name in "ac"]
"""Taken off on the wheels only, both."""
BENCH = "bench joint:pump-hose"


@dataclass(frozen=True)
class Pair:
    """A vehicle in two states: from the one its goal is in reach, from the other it is not.

    A step is what is done as it stands, ``"@ramp"`` to stand it so, and what begins with ``no``
    cannot be done any more.
    """

    of: tuple
    off: str
    one: tuple[str, ...] = ()
    other: tuple[str, ...] = ()
    start: str | None = "wheels"
    standings: tuple = field(default=(standing("wheels", ramp=5.0), standing("ramp", wheels=5.0)))


ONE_WAY = (standing("wheels", ramp=5.0), standing("ramp"))
PAIRS = {
    "where it can be stood": Pair(
        ("a - frame; in wheels",), "a", other=("@ramp",), standings=ONE_WAY
    ),
    "what is on a jack": Pair(
        (
            "b - frame",
            "c - frame; in ramp",
            "c never after b",
            TemporarySupport("x", "jack", "c", "joint:b-frame", "part:b"),
        ),
        "b c",
        other=("joint:b-frame",),
        standings=(
            standing("wheels", ramp=5.0, needs_off=("b",)),
            standing("ramp", wheels=5.0),
        ),
    ),
    "standings that are lost": Pair(
        ("d - frame; in stands", "b - frame", "e - frame", "b or e blocks d-frame"),
        "d",
        other=("joint:b-frame", "part:b"),
        standings=(standing("wheels", stands=5.0), standing("stands", "b")),
    ),
    "what is off for a standing": Pair(
        ("p - frame", "d - frame; in ramp"),
        "d",
        one=("joint:p-frame", "part:p"),
        other=("no part:p",),
        standings=(standing("wheels", ramp=5.0), standing("ramp", needs_off=("p",))),
    ),
    "where it was stood": Pair(
        ("d - frame; crack in ramp",),
        "d",
        one=("@ramp", "@stands"),
        other=("@stands",),
        standings=(
            standing("wheels", ramp=5.0, stands=5.0),
            standing("ramp", stands=5.0),
            standing("stands"),
        ),
    ),
    "what is met": Pair(
        ("a - frame; in wheels",),
        "a",
        one=("joint:a-frame", "@ramp"),
        other=("@ramp",),
        standings=ONE_WAY,
    ),
    "dead: it is off for a standing": Pair(
        ("p - frame", "d - frame; in ramp"),
        "d",
        other=("no part:p",),
        standings=(
            standing("wheels", ramp=5.0),
            standing("ramp", wheels=5.0, needs_off=("p",)),
        ),
    ),
    "dead: what is done instead ends one another": Pair(
        (
            "a - frame",
            "b - frame",
            "a never after b",
            "b never after a",
            Assembly("w", "w", ("a", "b")),
        ),
        "a b",
        other=("no assembly:w",),
    ),
    "instead: it is dead as well": Pair(("a - frame",), "a", other=("no part:a",)),
    "instead: where it is cracked": Pair(
        (
            "bracket - frame",
            "pump - frame",
            "pump - hose; crack in ramp",
            Run(
                "hose",
                (RunEnd("pump-hose", passes=True),),
                passages=(Passage("an eye", "bracket"),),
            ),
            Assembly("w", "w", ("pump", "hose")),
            Part("bracket", "bracket", ZONE, standings=("wheels",)),
        ),
        "bracket",
        one=(f"no {BENCH}",),
        other=(f"no {BENCH}", "no assembly:w"),
        standings=ONE_WAY,
    ),
    "instead: it begins what must not see a change": Pair(
        (
            *A_OR_C,
            *ON_WHEELS,
            "z - frame; in ramp",
            "x blocks z-frame",
            TemporarySupport("x", "jack", "z", "part:c", "joint:z-frame"),
            Part("x", "x", ZONE, standings=("ramp",)),
        ),
        "x z",
        one=("joint:c-frame", "joint:a-frame"),
        other=("joint:c-frame", "joint:a-frame", "no part:a"),
    ),
    "instead: it ends what must not see a change": Pair(
        (
            *A_OR_C,
            "y - frame",
            Part("a", "a", ZONE, standings=("ramp",)),
            Part("c", "c", ZONE, standings=("ramp",)),
            "y blocks x-frame",
            TemporarySupport("x", "jack", "y", "joint:y-frame", "part:c"),
        ),
        "x",
        one=("joint:c-frame", "joint:a-frame", "joint:y-frame"),
        other=("joint:c-frame", "joint:a-frame", "joint:y-frame", "no part:a"),
    ),
    "instead: where it is done": Pair(
        ("a - frame", "c - frame", "x - frame; in ramp", "a or c blocks x-frame", ON_WHEELS[1]),
        "x",
        one=("joint:c-frame",),
        other=("joint:c-frame", "no part:a"),
        start="ramp",
        standings=(standing("wheels"), standing("ramp", wheels=5.0)),
    ),
    "instead: it ends a standing": Pair(
        (*A_OR_C, *ON_WHEELS, Part("x", "x", ZONE, standings=("stands",))),
        "x",
        one=("joint:c-frame",),
        other=("joint:c-frame", "no part:a"),
        standings=(standing("wheels", stands=5.0), standing("stands", "c", wheels=5.0)),
    ),
    "instead: it ends something": Pair(
        (*A_OR_C, "x never after c"),
        "x",
        one=("joint:c-frame",),
        other=("joint:c-frame", "no part:a"),
    ),
    "instead: something ends it": Pair(
        (*A_OR_C, *ON_WHEELS, "y - frame; in ramp", "c never after y-frame"),
        "x y",
        one=("joint:c-frame",),
        other=("joint:c-frame", "no part:a"),
        start="ramp",
        standings=(standing("wheels"), standing("ramp", wheels=5.0)),
    ),
    "instead: what comes before it": Pair(
        ("a - frame", "c - frame", "x - frame", "a or c blocks x-frame", "x blocks c-frame"),
        "x",
        one=("joint:a-frame",),
        other=("joint:a-frame", "no part:a"),
    ),
}


@pytest.mark.timeout(300)
@given(choices(), st.randoms(use_true_random=False))
def test_from_what_is_no_better_than_what_failed_the_goal_is_out_of_reach(choice, chance):
    """Of states after moves by chance, with and without some of several ways."""
    problem, targets, facts = posed(*choice)
    trial = Foreseeing(Laid(problem, targets, facts), {f for f in facts if chance.random() < 0.05})
    states = [trial.begin()]
    for _ in range(20):
        states.append(walked(trial, chance.choice(states), chance))
    states = [state for state in states if state.missing[trial.laid.goal]]
    try:
        in_reach = [reaches(trial, state) for state in states]
    except TooMany:
        event("too many positions to try")
        return
    failed = [state for state, reached in zip(states, in_reach, strict=True) if not reached]
    told = 0
    for state, reached in zip(states, in_reach, strict=True):
        outlook = trial.outlook(state)
        if outlook is not None:
            left = left_in(trial, state, outlook[0])
            cases = (Case(other, left_in(trial, other, outlook[0])) for other in failed)
            no_better = any(is_no_better(trial, left, case) for case in cases)
            assert not (reached and no_better)
            told += no_better
    event(f"{min(told, 3)} told to be no better, {min(len(failed), 3)} failed")


def played(problem, trial: Trial, steps) -> State:
    """The state after some steps."""
    nodes = {
        ("bench " if node.kind is Kind.BENCH else "") + node.what: index
        for index, node in enumerate(problem.nodes)
        if node.kind.is_step
    }
    state = trial.begin()
    for step in steps:
        if step.startswith("@"):
            assert step[1:] in ways_from(trial, state)
            stand(trial, state, step[1:])
        elif step.startswith("no "):
            state.dead.add(nodes[step.removeprefix("no ")])
        else:
            assert nodes[step] in moves_in(trial, state)
            trial.do(state, nodes[step], state.here)
    return state


@pytest.mark.parametrize("differs", PAIRS)
def test_what_can_do_more_is_not_told_to_be_no_better(differs):
    """Each time by one thing; nothing else that is looked at tells them apart."""
    pair = PAIRS[differs]
    of = vehicle(*pair.of, *pair.standings, datum="frame")
    goal = Goal("g", "off", "frame", off=tuple(pair.off.split()), on=("frame",))
    problem, targets, facts = posed(of, state_of(of, standing=pair.start), goal)
    trial = Foreseeing(Laid(problem, targets, facts), ())
    one, other = (played(problem, trial, steps) for steps in (pair.one, pair.other))
    assert (reaches(trial, one), reaches(trial, other)) == (True, False)
    needed, _ = trial.outlook(one)
    failed = Case(other, left_in(trial, other, needed))
    assert not is_no_better(trial, left_in(trial, one, needed), failed)
    again = Case(one, left_in(trial, one, needed))
    assert is_no_better(trial, left_in(trial, one, needed), again)
