"""The field: what was found out on the way is what a field says that went the way unasked."""

from random import Random

from hypothesis import given
from hypothesis import strategies as st

from putback.planning.ordering.task import set_task
from putback.planning.ordering.way import choose_stages
from putback.planning.plan import PlanSettings
from putback.planning.search.field import Field, Rules
from putback.progress import NoProgress
from putback.vehicle.generate import generate
from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import Standing, Support
from putback.vehicle.vehicle import Vehicle
from tests.makers import vehicle
from tests.planning.hand_made import state_of


def rules_of(v: Vehicle) -> Rules:
    """What is to be done to strip a vehicle."""
    goal = max(v.goals.values(), key=lambda each: (each.off_rest, len(each.off)))
    task = set_task(v, state_of(v), goal, PlanSettings())
    chosen = choose_stages(task.problem, task.stages, NoProgress())
    return Rules(task.problem, [frozenset(each.nodes) for each in chosen], settings=PlanSettings())


def candidates(field: Field) -> list[int]:
    """What is ready, and what could be cracked."""
    return sorted((*field.ready, *(~index for index in field.rules.bound_to)))


def said(field: Field) -> tuple[object, ...]:
    """All that a search asks of a field."""
    usable = field.rules.problem.usable
    return (
        [move for move in candidates(field) if field.may(move)],
        [move for move in sorted(field.ready) if field.is_barred_alone(move)],
        [(move, field.comes_first(move)) for move in sorted(field.ready)],
        sorted(field.to_crack()),
        field.in_the_air(),
        [standing for standing in usable if field.may_stand(standing)],
        field.hangs(),
    )


def unasked(rules: Rules, way: list) -> Field:
    """A field that went the same way, and was asked for nothing on it."""
    field = Field(rules)
    for what, is_done in way:
        if is_done:
            field.do(what)
        else:
            field.standing = what
    return field


@given(st.integers(8, 40), st.integers(0, 30), st.integers(0, 2**32))
def test_what_was_asked_on_the_way_changes_no_answer(parts, number, seed):
    """After any legal walk, all answers are those of a field that was asked for nothing."""
    choose, rules = Random(seed), rules_of(generate(parts=parts, seed=number))
    field, way = Field(rules), []
    for done in range(choose.randint(20, 120)):
        for move in choose.sample(sorted(field.ready), min(3, len(field.ready))):
            field.may(move, careful=choose.random() < 0.8)
        if choose.random() < 0.2:
            standing = choose.choice(rules.problem.usable)
            if field.standing is None or (
                field.enter_minutes(standing) is not None and not field.hangs()
            ):
                field.standing = standing
                way.append((standing, False))
        if choose.random() < 0.1:
            field = field.copy()
        allowed = [move for move in candidates(field) if field.may(move)]
        if allowed:
            move = choose.choice(allowed)
            field.do(move)
            way.append((move, True))
        if done % 15 == 0:
            assert said(field) == said(unasked(rules, way))
    assert said(field) == said(unasked(rules, way))
    assert field.copy().is_all_done() == field.is_all_done()


def stands(name: str, *along: float, rating_kg: float | None = None) -> Standing:
    """Four stands under the frame, in two pairs so far along."""
    feet = [(x, y) for x in along for y in (-0.5, 0.5)]
    return Standing(
        name,
        name,
        tuple(
            Support(f"{name}-{n}", "stand", "frame", at, rating_kg=rating_kg)
            for n, at in enumerate(feet)
        ),
    )


def weight(name: str, mass_kg: float, x_m: float, kind: PartKind = PartKind.PART) -> Part:
    """A weight in the middle, somewhere along the vehicle."""
    return Part(name, name, "here", kind=kind, mass_kg=mass_kg, cg_m=(x_m, 0.0, 0.5))


def test_what_is_plain_on_some_stands_is_asked_anew_on_others():
    """Without the tank, on stands far apart it stands, close together it tips, weak ones yield."""
    rules = rules_of(
        vehicle(
            weight("frame", 100.0, 1.5, PartKind.STRUCTURE),
            weight("tank", 100.0, 4.0),
            weight("engine", 100.0, 0.5),
            "tank - frame",
            "engine - frame",
            stands("wide", 0.0, 3.0),
            stands("close", 1.3, 3.0),
            stands("weak", 0.0, 3.0, rating_kg=65.0),
            datum="frame",
        )
    )
    field = Field(rules)
    field.standing = "wide"
    at = {rules.nodes[index].what: index for index in rules.steps}
    field.do(at["joint:tank-frame"])
    tank = at["part:tank"]
    for standing, may in (("wide", True), ("close", False), ("wide", True), ("weak", False)):
        field.standing = standing
        assert field.may(tank) == may, standing
