"""Every *before* fact and every part in the way of a generated vehicle is held against a plan."""

from dataclasses import replace

import pytest

from putback.planning.check import check_strip
from putback.planning.plan import Action
from putback.planning.strip import plan_strip
from putback.vehicle.facts import Phase
from putback.vehicle.generate import generate
from putback.vehicle.ids import part_ref
from tests.blamed import blamed, turned_round
from tests.planning.hand_made import state_of


@pytest.mark.parametrize(("parts", "seed"), [(30, 1), (50, 2)])
def test_each_fact_is_held_against_a_plan_that_breaks_it(parts, seed):
    """Turned round for what comes first; with nothing off at first for what is in the way."""
    v = generate(parts, seed)
    goal = max(v.goals.values(), key=lambda each: (each.off_rest, len(each.off)))
    plan = plan_strip(v, state_of(v), goal)
    done = {step.what for step in plan.steps}
    for whole in (w for w in v.assemblies.values() if f"assembly:{w.id}" in done):
        done |= set(map(part_ref, whole.parts))

    def faults(plan, **tables):
        vehicle = v.with_records(**tables)
        return check_strip(vehicle, state_of(vehicle), goal, plan)

    befores = {n: f for n, f in v.befores.items() if f.phase is not Phase.REBUILD}
    said = {n for n, f in befores.items() if {f.first, f.then} <= done}
    assert said
    assert said <= blamed(befores, lambda some: faults(turned_round(plan), befores=some))

    undone = [step for step in plan.steps if step.action is Action.UNDO]
    others = [step for step in plan.steps[::-1] if step.action is not Action.UNDO]
    barred = {fact.of for fact in v.obstructions.values()}
    orders = others, sorted(others, key=lambda step: step.what not in barred)
    said = {
        n
        for n, f in v.obstructions.items()
        if f.of in done and not set(map(part_ref, f.any_of)).isdisjoint(done)
    }
    assert said
    found = set()
    for order in orders:
        torn = replace(plan, steps=(*undone, *order))
        found |= blamed(v.obstructions, lambda some, torn=torn: faults(torn, obstructions=some))
    assert said <= found
