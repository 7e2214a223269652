"""The best plan of a tiny vehicle by trying everything: written from the rules alone.

It shares no code with the planners or the checker. A position is all that can matter for what
comes after it; positions are looked at in the order of what they cost (Dijkstra), so that the
first one that fulfils the wish is the cheapest.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from heapq import heappop, heappush
from itertools import count

from putback.logbook.state import State
from putback.planning.plan import PlanSettings
from putback.vehicle.facts import Phase
from putback.vehicle.goal import Goal
from putback.vehicle.job import JobKind
from putback.vehicle.vehicle import Vehicle

MOST_POSITIONS = 60_000


class TooMany(Exception):
    """Trying everything would take too long."""


@dataclass(frozen=True)
class Position:
    """Where the work has got to."""

    cleared: frozenset[str]
    whole_of: frozenset[tuple[str, str]]
    """Parts that went off with a whole."""
    begun: frozenset[str]
    """Cleared since the start, so that something may hang on it."""
    given_up: frozenset[str]
    """What must not be done any more, for the standing changed since its beginning."""
    cracked: frozenset[str]
    standing: str | None
    zone: str | None = None
    tool: str = ""
    helped: bool = False


class Brute:
    """Everything that can be done with a tiny vehicle."""

    most_positions = MOST_POSITIONS

    def __init__(
        self, vehicle: Vehicle, state: State, settings: PlanSettings, kept=(), plain: bool = False
    ) -> None:
        self.v, self.s, self.settings = vehicle, state, settings
        self.kept = set(kept)
        self.plain = plain
        """Likely minutes alone: no factors of the plan's own making, no set-up."""
        start = self.start()
        self.at_start, self.cracked_at_start = start.cleared, start.cracked

    def start(self) -> Position:
        off = {p: self.s.parts[p].whole for p in self.s.parts_off}
        undone = set(self.s.undone_joints)
        for joint in self.v.joints.values():
            together = [off.get(p, "on") for p in joint.parts]
            together = [each for each in together if each is not None]
            if len(joint.parts) > 1 and len(set(together)) == len(together):
                undone.add(joint.id)
        cleared = {f"part:{p}" for p in off} | {f"joint:{j}" for j in undone}
        cleared |= {f"job:{t}" for t in self.s.jobs_done}
        cracked = {j for j, each in self.s.joints.items() if each.cracked}
        for job in self.s.jobs_done:
            cracked |= set(self.cracked_by(job))
        wholes = frozenset((p, whole) for p, whole in off.items() if whole)
        return Position(
            frozenset(cleared),
            wholes,
            frozenset(),
            frozenset(),
            frozenset(cracked),
            self.s.standing.standing,
        )

    def cracked_by(self, job: str) -> tuple[str, ...]:
        record = self.v.jobs[job]
        return record.joints if record.kind is JobKind.CRACK else ()

    def least(self, reached: Callable[[Position], bool]) -> float | None:
        """The least minutes to a position that is wanted; ``None`` if there is none."""
        start, number = self.start(), count()
        queue = [(0.0, next(number), start)]
        best = {start: 0.0}
        while queue:
            cost, _, at = heappop(queue)
            if cost > best[at]:
                continue
            if reached(at):
                return cost
            for more, after in self.steps(at):
                if cost + more < best.get(after, float("inf")):
                    best[after] = cost + more
                    heappush(queue, (cost + more, next(number), after))
            if len(best) > self.most_positions:
                raise TooMany
        return None

    def comes_to(self, reached: Callable[[Position], bool]) -> bool:
        """Whether any order leads to a position that is wanted, however long it takes.

        Steps are followed to their end first: where many orders lead there, one is soon found.
        """
        start = self.start()
        found, seen = [start], {start}
        while found:
            at = found.pop()
            if reached(at):
                return True
            for _, after in self.steps(at):
                if after not in seen:
                    seen.add(after)
                    found.append(after)
            if len(seen) > self.most_positions:
                raise TooMany
        return False

    def holds(self, joint) -> bool:
        """Whether a joint that is made holds its parts together."""
        return True

    def reached(self, goal: Goal) -> Callable[[Position], bool]:
        wanted = {f"part:{p}" for p in goal.off} | {f"job:{t}" for t in goal.jobs}
        if goal.off_rest:
            wanted |= {f"part:{p}" for p in self.v.parts if p not in goal.on and p != goal.datum}

        def is_reached(at: Position) -> bool:
            return wanted <= at.cleared and not any(
                f"joint:{j.id}" not in at.cleared
                and self.holds(j)
                and len({f"part:{p}" in at.cleared for p in j.parts}) == 2
                for j in self.v.joints.values()
            )

        return is_reached

    # -- standings ----------------------------------------------------------------------------

    def may_enter(self, at: Position, standing: str) -> bool:
        record = self.v.standings[standing]
        carried = (f"part:{each.bears_on}" for each in record.supports if not each.beside)
        return (
            not record.wrong
            and not any(part in at.cleared for part in carried)
            and all(f"part:{p}" in at.cleared for p in record.needs_off)
        )

    def changes(self, at: Position) -> Iterator[tuple[float, Position]]:
        """Other standings; direct changes only, which is all that tiny vehicles have."""
        for standing in self.v.standings:
            if standing != at.standing and self.may_enter(at, standing):
                free = at.standing is None or self.plain
                cost = 0.0 if free else self.v.standings[at.standing].change_minutes[standing]
                given_up = {
                    last
                    for first, last in self.spans()
                    if first in at.begun and last not in at.cleared
                }
                yield cost, replace(at, standing=standing, given_up=at.given_up | given_up)

    def spans(self) -> Iterator[tuple[str, str]]:
        for support in self.v.temporary_supports.values():
            yield support.first, support.last
        for job in self.v.jobs.values():
            if job.same_sitting_as:
                yield f"job:{job.id}", f"job:{job.same_sitting_as}"
                yield f"job:{job.same_sitting_as}", f"job:{job.id}"

    def supports(self, at: Position):
        return self.v.standings[at.standing].supports if at.standing else ()

    # -- steps --------------------------------------------------------------------------------

    def steps(self, at: Position) -> Iterator[tuple[float, Position]]:
        if self.v.standings:
            yield from self.changes(at)
            if at.standing is None:
                return
        for joint in self.v.joints.values():
            if f"joint:{joint.id}" not in at.cleared:
                yield from self.crack(at, joint)
                yield from self.undo(at, joint)
        for part in self.v.parts:
            yield from self.take_off(at, f"part:{part}", [part])
        for whole in self.v.assemblies.values():
            members = [p for p in whole.parts if f"part:{p}" not in self.at_start]
            if len(members) > 1:
                yield from self.take_off(at, f"assembly:{whole.id}", members)
        for job in self.v.jobs.values():
            if job.phase is not Phase.REBUILD and self.stands_right(at, job.standings):
                done = self.done(
                    at, [f"job:{job.id}"], job.minutes.likely, (job.zone, job.tool, job.crew)
                )
                for cost, after in done:
                    cracked = {
                        j
                        for j in self.cracked_by(job.id)
                        if self.v.joints[j].crack_in in (None, at.standing)
                    }
                    yield cost, replace(after, cracked=after.cracked | cracked)

    def stands_right(self, at: Position, standings) -> bool:
        return not standings or not self.v.standings or at.standing in standings

    def way_is_clear(self, at: Position, of: str, within=()) -> bool:
        return all(
            any(f"part:{p}" in at.cleared or p in within for p in fact.any_of)
            for fact in self.v.obstructions.values()
            if fact.of == of
        )

    def crack(self, at: Position, joint) -> Iterator[tuple[float, Position]]:
        if joint.crack_in and joint.crack_in == at.standing and joint.id not in at.cracked:
            factor = self.factor(at, [f"joint:{joint.id}"])
            if factor is not None:  # else it cannot be undone any more either
                minutes = 0.0 if self.plain else joint.minutes.likely * 0.2 * factor
                cost, after = self.go(at, minutes, self.place(joint))
                yield cost, replace(after, cracked=after.cracked | {joint.id})

    def undo(self, at: Position, joint) -> Iterator[tuple[float, Position]]:
        ref, off = f"joint:{joint.id}", [f"part:{p}" in at.cleared for p in joint.parts]
        if all(off):
            wholes = dict(at.whole_of)
            gone_with = {wholes.get(p) for p in joint.parts}
            if gone_with == {None} or len(gone_with) > 1:
                return
            inside = {p for p, whole in at.whole_of if whole in gone_with}
            for fact in self.v.obstructions.values():
                on_the_bench = fact.of == ref and inside.issuperset(fact.any_of)
                if on_the_bench and all(self.held_inside(at, p, inside) for p in fact.any_of):
                    return
        else:
            hidden = {p for each in self.supports(at) for p in each.hides}
            if any(p in hidden and f"part:{p}" not in at.cleared for p in joint.parts):
                return
            if not self.stands_right(at, joint.standings) or not self.way_is_clear(at, ref):
                return
        if not self.is_cracked(at, joint):
            return
        cracked = self.cracked_at_start if self.plain else at.cracked
        left = 0.8 if joint.id in cracked else 1
        yield from self.done(at, [ref], joint.minutes.likely * left, self.place(joint))

    def held_inside(self, at: Position, part: str, inside) -> bool:
        return any(
            part in j.parts
            and inside.issuperset(j.parts)
            and f"joint:{j.id}" not in at.cleared
            and self.holds(j)
            for j in self.v.joints.values()
        )

    def is_cracked(self, at: Position, joint) -> bool:
        wanted = joint.crack_in
        if wanted in (None, at.standing) or joint.id in at.cracked or not self.v.standings:
            return True
        seen = self.s.joints.get(joint.id)
        if seen and (seen.cracked or seen.undone or seen.out):
            return True
        record = self.v.standings[wanted]
        if wanted == self.s.standing.standing:
            return False
        carried = {each.bears_on for each in record.supports if not each.beside}
        return record.wrong or any(f"part:{p}" in self.at_start for p in carried)

    def take_off(self, at: Position, unit: str, parts) -> Iterator[tuple[float, Position]]:
        if any(f"part:{p}" in at.cleared or p in self.kept for p in parts):
            return
        for joint in self.v.joints.values():
            others = [p for p in joint.parts if p not in parts and f"part:{p}" not in at.cleared]
            leads_out = len(others) < len(joint.parts) and others and set(parts) & set(joint.parts)
            if leads_out and f"joint:{joint.id}" not in at.cleared and self.holds(joint):
                return
        carried = {each.bears_on for each in self.supports(at) if not each.beside}
        hidden = {p for each in self.supports(at) for p in each.hides}
        for part in parts:
            if part in carried | hidden or not self.way_is_clear(at, f"part:{part}", parts):
                return
            if not self.stands_right(at, self.v.parts[part].standings):
                return
        if any(self.is_on_a_string(at, run, parts) for run in self.v.runs.values()):
            return
        is_whole = unit.startswith("assembly:")
        name = unit.partition(":")[2]
        record = self.v.assemblies[name] if is_whole else self.v.parts[name]
        zone = self.v.parts[record.parts[0]].zone if is_whole else record.zone
        clears = [f"part:{p}" for p in parts]
        where = (zone, "", record.crew)
        for cost, after in self.done(at, clears, record.minutes.likely, where, unit):
            gone = {(p, name) for p in parts} if is_whole else set()
            yield cost, replace(after, whole_of=after.whole_of | gone)

    def place(self, joint) -> tuple[str | None, str, int]:
        """Where a joint is worked on: as described, or where the part is that comes away."""
        known = (self.v.parts[each] for each in joint.parts if each in self.v.parts)
        first = (part.zone for part in known if part.zone)
        return joint.zone or next(first, None), joint.tool, joint.crew

    def is_on_a_string(self, at: Position, run, parts) -> bool:
        """Whether a run goes through one of these parts, is not among them, and holds them so."""
        through = {each.part for each in run.passages} - {run.part}
        if run.part in parts or f"part:{run.part}" in at.cleared or through.isdisjoint(parts):
            return False
        undone = [f"joint:{end.joint}" in at.cleared for end in run.ends if end.passes]
        return not (all(undone) if len(run.ends) > 2 else any(undone)) or not undone

    # -- what every step does -----------------------------------------------------------------

    def done(self, at, clears, minutes, where, unit="") -> Iterator[tuple[float, Position]]:
        if any(ref in at.cleared or ref in at.given_up for ref in clears):
            return
        for fact in self.v.befores.values():
            binds = fact.then in clears and fact.phase is not Phase.REBUILD
            if binds and fact.first not in at.cleared:
                return
        factor = self.factor(at, [*clears, unit])
        if factor is None:
            return
        cost, after = self.go(at, minutes * factor, where)
        new = frozenset(clears)
        yield cost, replace(after, cleared=at.cleared | new, begun=at.begun | new)

    def factor(self, at: Position, refs) -> float | None:
        """The factors of now; ``None`` where it cannot be done any more."""
        factor = 1.0
        for fact in self.v.harder_afters.values():
            if fact.job in refs and fact.after in at.cleared:
                if fact.factor is None:
                    return None
                if not self.plain or fact.after in self.at_start:
                    factor *= fact.factor
        return factor

    def go(self, at: Position, minutes, where) -> tuple[float, Position]:
        if self.plain:
            return minutes, at
        zone, tool, crew = where
        setup = self.settings.helper_minutes if crew > 1 and not at.helped else 0.0
        if zone is not None:
            setup += self.settings.zone_minutes * (at.zone not in (None, zone))
        if tool:
            setup += self.settings.tool_minutes * (at.tool not in ("", tool))
        return minutes + setup, replace(
            at,
            zone=zone if zone is not None else at.zone,
            tool=tool or at.tool,
            helped=crew > 1,
        )
