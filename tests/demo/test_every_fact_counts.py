"""Every fact of the demo counts: what says nothing to any plan would be dead weight, or a mistake.

Two questions are asked of each single fact. Does the checker hold a plan against it? A plan turned
round breaks nearly every fact there is; the faults that each fact alone is to blame for are told
apart by leaving facts out in groups, each fact in a set of groups of its own. And could a plan be
otherwise without it? Where other facts say the same, the test names it, and proves it.
"""

from collections.abc import Iterable
from dataclasses import replace

import pytest

from putback.planning.check import check_rebuild, check_strip
from putback.planning.impossible.andor import Graph, any_proof
from putback.planning.impossible.grounds import grounds_of
from putback.planning.plan import Action, Plan
from putback.planning.posing.fact import Fact, Sort
from putback.planning.posing.pose import pose
from putback.planning.rebuild import plan_rebuild
from putback.planning.strip import plan_strip
from putback.vehicle.demo import demo_vehicle
from putback.vehicle.facts import Phase
from putback.vehicle.ids import part_ref, split_ref
from putback.vehicle.vehicle import Vehicle
from tests.blamed import blamed, turned_round
from tests.planning.hand_made import state_of

pytestmark = pytest.mark.slow

DEMO = demo_vehicle()
STATE = state_of(DEMO, standing=next(iter(DEMO.standings)))
LAST = list(DEMO.goals.values())[-1]


@pytest.fixture(scope="module")
def strip() -> Plan:
    """The strip to the last goal: nearly everything comes off."""
    return plan_strip(DEMO, STATE, LAST)


@pytest.fixture(scope="module")
def stripped(strip):
    """The state after that strip."""
    off: dict[str, str | None] = {}
    undone, done, order = [], [], []
    for step in strip.steps:
        kind, name = split_ref(step.what)
        order.append(step.what)
        match kind, step.action:
            case "assembly", _:
                off |= dict.fromkeys(DEMO.assemblies[name].parts, name)
                order += map(part_ref, DEMO.assemblies[name].parts)
            case "part", _:
                off[name] = None
            case "joint", "undo":
                undone.append(name)
            case "job", _:
                done.append(name)
    order = list(dict.fromkeys(order))
    return state_of(
        DEMO, off=off, undone=undone, done=done, order=order, standing=strip.steps[-1].standing
    )


# -- each fact alone is held against a plan -----------------------------------------------------


def strip_befores(phase: Iterable[Phase] = (Phase.STRIP, Phase.BOTH)):
    """The *before* facts of the strip."""
    return {name: fact for name, fact in DEMO.befores.items() if fact.phase in phase}


def cleared(plan: Plan) -> set[str]:
    """All that a strip undoes, takes off and does."""
    refs = {step.what for step in plan.steps}
    for whole in (w for w in DEMO.assemblies.values() if f"assembly:{w.id}" in refs):
        refs |= set(map(part_ref, whole.parts))
    return refs


def test_each_before_of_the_strip_is_held_against_a_plan_turned_round(strip):
    """Of what the plan does at all; what stays on in this goal is not put before anything."""

    def faults_with(facts):
        kept = {n: f for n, f in DEMO.befores.items() if f.phase is Phase.REBUILD}
        vehicle = DEMO.with_records(befores=kept | facts)
        state = replace(STATE, vehicle=vehicle)
        return check_strip(vehicle, state, LAST, turned_round(strip))

    facts = strip_befores()
    done = cleared(strip)
    spoken_of = {n for n, f in facts.items() if {f.first, f.then} <= done}
    assert len(spoken_of) > len(facts) * 0.95
    assert spoken_of <= blamed(facts, faults_with)


def test_each_part_in_the_way_is_held_against_a_plan_that_takes_nothing_off_first(strip):
    """Single ones and any-of alike, of all that this plan undoes and takes off."""
    undone = [step for step in strip.steps if step.action is Action.UNDO]
    others = [step for step in strip.steps[::-1] if step.action is not Action.UNDO]
    plan = replace(strip, steps=(*undone, *others))

    def faults_with(facts):
        vehicle = DEMO.with_records(obstructions=facts)
        return check_strip(vehicle, replace(STATE, vehicle=vehicle), LAST, plan)

    done = cleared(strip)
    facts = dict(DEMO.obstructions)
    spoken_of = {
        n for n, f in facts.items() if f.of in done and set(map(part_ref, f.any_of)) & done
    }
    assert len(spoken_of) >= len(facts) - 2
    missed = spoken_of - blamed(facts, faults_with)
    assert missed == {n for n in missed if goes_as_one(strip, facts[n])}
    assert len(missed) < 2


def goes_as_one(plan: Plan, fact) -> bool:
    """Whether what is in the way comes off with the very part it is in the way of."""
    wholes = [
        set(w.parts) for w in DEMO.assemblies.values() if f"assembly:{w.id}" in cleared(plan)
    ]
    kind, name = split_ref(fact.of)
    return kind == "part" and any({name, *fact.any_of} <= parts for parts in wholes)


def test_each_before_of_the_rebuild_is_held_against_a_plan_turned_round(stripped):
    """All of it goes back, so nearly all facts of the rebuild have their say."""
    plan = plan_rebuild(DEMO, stripped)

    def faults_with(facts):
        kept = strip_befores((Phase.STRIP,))
        vehicle = DEMO.with_records(befores=kept | facts)
        return check_rebuild(vehicle, replace(stripped, vehicle=vehicle), turned_round(plan))

    facts = strip_befores((Phase.REBUILD, Phase.BOTH))
    done = {step.what for step in plan.steps}
    for whole in (w for w in DEMO.assemblies.values() if f"assembly:{w.id}" in done):
        done |= set(map(part_ref, whole.parts))
    spoken_of = {n for n, f in facts.items() if {f.first, f.then} <= done}
    assert len(spoken_of) > len(facts) * 0.9
    missed = spoken_of - blamed(facts, faults_with)
    assert not missed


def test_each_harder_after_changes_what_the_plan_costs(strip):
    """Forwards or turned round, the minutes of its job are other ones without it."""
    plans = [strip, turned_round(strip)]
    left = dict(DEMO.harder_afters)
    done = cleared(strip)
    expected = {n for n, f in left.items() if {f.job, f.after} <= done}
    told = set()
    base = [faulty_minutes(DEMO, plan) for plan in plans]
    while left:
        group = {fact.job: name for name, fact in left.items()}  # of each job one
        kept = {n: f for n, f in DEMO.harder_afters.items() if n not in set(group.values())}
        vehicle = DEMO.with_records(harder_afters=kept)
        for plan, before in zip(plans, base, strict=True):
            after = faulty_minutes(vehicle, plan)
            told |= {group[job] for job in group if before.get(job) != after.get(job)}
        left = {n: f for n, f in left.items() if n not in set(group.values())}
    assert expected <= told
    assert len(expected) >= len(DEMO.harder_afters) - 1


def faulty_minutes(vehicle: Vehicle, plan: Plan) -> dict[str, tuple[str, ...]]:
    """What the checker says against the minutes of each thing."""
    found: dict[str, tuple[str, ...]] = {}
    for fault in check_strip(vehicle, replace(STATE, vehicle=vehicle), LAST, plan):
        if fault.rule.name == "COST" and fault.step is not None:
            found[fault.what] = (*found.get(fault.what, ()), fault.words)
    return found


# -- without it, something could be done earlier --------------------------------------------------


IMPLIED_BEFORES = {
    "B011",
    "B015",
    "B016",
    "B035",
    "B050",
    "B059",
    "B060",
    "B061",
    "B066",
    "B067",
    "B070",
    "B078",
    "B079",
    "B089",
    "B092",
    "B093",
    "B094",
    "B095",
    "B096",
    "B097",
    "B102",
    "B108",
    "B109",
    "B110",
    "B117",
    "B123",
    "B138",
    "B146",
    "B157",
    "B158",
    "B171",
    "B199",
    "B200",
    "B256",
    "B257",
}
IMPLIED_IN_THE_WAY = {
    "O07",
    "O08",
    "O11",
    "O12",
    "O13",
    "O14",
    "O15",
    "O27",
    "O29",
    "O35",
    "O36",
    "O38",
    "O39",
    "O53",
    "O54",
}
"""Facts that change no plan, since others put the same order: a person told the reason at hand,
and the chain behind it says the same. The test proves each of them, and that there are no more."""


def said_by_others(sort: Sort, facts) -> dict[str, set[str]]:
    """For each fact that others imply, those others: the fewest that say the same without it."""
    problem = pose(DEMO, STATE)
    grounds = grounds_of(problem, ())
    found: dict[str, set[str]] = {}
    for name, (firsts, then) in facts.items():
        never = {node for ref in firsts for node in problem.providers.get(ref, ())}
        node = len(grounds.graph.demands)
        graph = Graph([*grounds.graph.demands, []])
        graph.demand(node, problem.providers.get(then, ()))
        proof = any_proof(graph, node, never=never, but=[Fact(sort, name)])
        if proof is not None:
            found[name] = {fact.of for fact in proof.facts}
    return found


def test_a_before_could_be_otherwise_without_it_but_where_others_are_known_to_say_the_same():
    """Without any other, what comes second can be done without the first."""
    facts = {n: ((f.first,), f.then) for n, f in strip_befores().items()}
    implied = said_by_others(Sort.BEFORE, facts)
    assert implied.keys() == IMPLIED_BEFORES
    assert all(name not in others for name, others in implied.items())


def test_what_is_in_the_way_could_stay_without_it_but_where_others_are_known_to_say_the_same():
    """Without any other, the thing can be undone or taken off with all of them still on."""
    facts = {n: (tuple(map(part_ref, f.any_of)), f.of) for n, f in DEMO.obstructions.items()}
    implied = said_by_others(Sort.IN_THE_WAY, facts)
    assert implied.keys() == IMPLIED_IN_THE_WAY
    assert all(name not in others for name, others in implied.items())
