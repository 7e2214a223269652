"""A tiny vehicle as it would be if only some facts were so, and whether a goal is in reach then.

Written from the rules and from what each sort of fact says, for trying all sets of facts.
"""

from dataclasses import replace

from putback.logbook.state import State
from putback.planning.plan import PlanSettings
from putback.planning.posing.fact import Fact, Sort
from putback.vehicle.goal import Goal
from putback.vehicle.vehicle import Vehicle
from tests.planning.brute import Brute


def in_reach(vehicle: Vehicle, state: State, goal: Goal, only: set[Fact]) -> bool:
    """Whether some order of steps reaches a goal where no other facts are so."""
    wanted = replace(
        goal,
        off=tuple(p for p in _asked_off(vehicle, goal) if Fact(Sort.ASKED, f"part:{p}") in only),
        off_rest=False,
        jobs=tuple(t for t in goal.jobs if Fact(Sort.ASKED, f"job:{t}") in only),
    )
    kept = {p for p in {*goal.on, goal.datum} if Fact(Sort.KEPT, p) in only}
    brute = _Brute(with_only(vehicle, state, only), state, PlanSettings(), kept, plain=True)
    brute.described, brute.only = vehicle, only
    return brute.comes_to(brute.reached(wanted))


def _asked_off(vehicle: Vehicle, goal: Goal) -> list[str]:
    rest = [p for p in vehicle.parts if p not in goal.on and p != goal.datum]
    return [*goal.off, *(rest if goal.off_rest else ())]


class _Brute(Brute):
    described: Vehicle
    only: set[Fact]
    most_positions = 2_000

    def holds(self, joint) -> bool:
        return Fact(Sort.HOLDS, joint.id) in self.only

    def is_cracked(self, at, joint) -> bool:
        """A standing that is lost or wrong asks for no cracking, were it so or not."""
        record = self.described.standings.get(joint.crack_in)
        lost = record and (
            record.wrong
            or any(
                f"part:{each.bears_on}" in self.at_start
                for each in record.supports
                if not each.beside
            )
        )
        now = joint.crack_in == self.s.standing.standing
        return bool(lost and not now) or super().is_cracked(at, joint)


def with_only(vehicle: Vehicle, state: State, only: set[Fact]) -> Vehicle:
    """Give the vehicle without all facts but some, its joints as they are."""

    def named(kind: str, record):
        is_so = Fact(Sort.WHERE, f"{kind}:{record.id}") in only
        return record if is_so else replace(record, standings=())

    def jobs(record):
        is_so = Fact(Sort.SAME_SITTING, record.id) in only
        return named("job", record if is_so else replace(record, same_sitting_as=None))

    def joints(record):
        is_so = Fact(Sort.CRACK_FIRST, record.id) in only
        return named("joint", record if is_so else replace(record, crack_in=None))

    def standings(record):
        def support(each):
            part = each.bears_on
            sort = Sort.LOST if part in state.parts_off else Sort.BEARS
            fact = Fact(sort, record.id, "" if sort is Sort.LOST else part)
            hides = tuple(p for p in each.hides if Fact(Sort.HIDES, record.id, p) in only)
            return replace(each, hides=hides, beside=each.beside or fact not in only)

        needs = (p for p in record.needs_off if Fact(Sort.NEEDS_OFF, record.id, p) in only)
        supports = tuple(map(support, record.supports))
        wrong = record.wrong and Fact(Sort.WRONG, record.id) in only
        return replace(record, supports=supports, needs_off=tuple(needs), wrong=wrong)

    def those(table, sort: Sort):
        return {name: each for name, each in table.items() if Fact(sort, name) in only}

    def runs(record):
        so = (p for p in record.passages if Fact(Sort.PASSES, record.part, p.part) in only)
        return replace(record, passages=tuple(so))

    v = vehicle
    return v.with_records(
        parts={name: named("part", each) for name, each in v.parts.items()},
        joints={name: joints(each) for name, each in v.joints.items()},
        jobs={name: jobs(each) for name, each in v.jobs.items()},
        standings={name: standings(each) for name, each in v.standings.items()},
        obstructions=those(v.obstructions, Sort.IN_THE_WAY),
        befores=those(v.befores, Sort.BEFORE),
        harder_afters=those(v.harder_afters, Sort.NEVER_AFTER),
        runs={name: runs(each) for name, each in v.runs.items()},
        temporary_supports=those(v.temporary_supports, Sort.SPAN),
    )
