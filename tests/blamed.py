"""Which facts a plan is at fault against, each of them alone: told apart in groups."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace

from putback.planning.check import Fault
from putback.planning.plan import Plan


def turned_round(plan: Plan) -> Plan:
    """The same steps, the last first."""
    return replace(plan, steps=plan.steps[::-1])


def blamed(
    facts: Mapping[str, object],
    faults_with: Callable[[dict[str, object]], Iterable[Fault]],
) -> set[str]:
    """Give the facts of which each alone is to blame for some fault.

    ``faults_with`` gives the faults where only some facts are so. Each fact belongs to half of a
    few groups, no two facts to the same; a fault that is there just where a fact is, is its fault.
    """
    names = list(facts)
    bits = range(len(names).bit_length())
    halves = [
        {name for number, name in enumerate(names) if (number >> bit & 1) == half}
        for bit in bits
        for half in (0, 1)
    ]
    seen: dict[object, set[int]] = {}
    for at, half in enumerate(halves):
        for fault in faults_with({name: facts[name] for name in half}):
            seen.setdefault((fault.rule, fault.what, fault.words), set()).add(at)
    at_fault = {frozenset(ats) for ats in seen.values()}
    return {
        name
        for name in names
        if frozenset(at for at, half in enumerate(halves) if name in half) in at_fault
    }
