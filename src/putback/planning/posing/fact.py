"""Facts as single things: what a *why* lists, and what would have to change.

A fact is what a person could find to be otherwise: that a joint holds, that one part is in the way
of another, what supports bear on, what the goal asks for. What the rules themselves say (a joint
is undone on the bench only once its whole is out) is no fact and cannot be given up.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from enum import StrEnum
from typing import ClassVar, NamedTuple

from putback.planning.known import with_why
from putback.vehicle.ids import (
    FactId,
    JobId,
    JointId,
    PartId,
    Ref,
    SupportId,
    job_ref,
    part_ref,
    split_ref,
)
from putback.vehicle.joint import Joint
from putback.vehicle.vehicle import Vehicle


class Sort(StrEnum):
    """What sort of fact it is."""

    HOLDS = "joint holds"
    IN_THE_WAY = "in the way"
    PASSES = "run passes through it"
    BEFORE = "before"
    NEVER_AFTER = "never after"
    KEPT = "kept on"
    ASKED = "asked for"
    WHERE = "standing to work in"
    HIDES = "support hides it"
    BEARS = "support bears on it"
    NEEDS_OFF = "standing needs it off"
    NO_CHANGE = "no change of standing leads there"
    LOST = "standing is lost"
    WRONG = "standing is marked wrong"
    CRACK_FIRST = "crack first"
    SPAN = "no change of standing meanwhile"
    SAME_SITTING = "same sitting"
    REBUILD = "order of a rebuild"  # ``of`` are its words


class Fact(NamedTuple):
    """One fact: ``of`` is what it belongs to, ``by`` the other end where ``of`` does not say it.

    ``of`` is the identity of an obstruction, *before* or harder-after fact, else a joint, part,
    job, support or standing; ``by`` a part or, for `Sort.WHERE`, empty. `Sort.HOLDS` is all that a
    joint holds together, or that one part.
    """

    sort: Sort
    of: str
    by: str = ""


class _Said(NamedTuple):
    """A fact in words, and what it would be like if it were not so."""

    is_so: str
    otherwise: str


_ASKED = {"part": "off", "joint": "undone"}
"""What the goal asks of a part or a joint; a job is to be done."""


class Wording:
    """Says facts of one vehicle in the trade's words."""

    def __init__(self, vehicle: Vehicle, *, going_back: bool = False) -> None:
        """Take the names from this vehicle; on the way back things are made and go on."""
        self.vehicle = vehicle
        self.can = ("be made", "go on") if going_back else ("be undone", "come off")

    def is_so(self, fact: Fact) -> str:
        """Say the fact: ``bell housing holds engine and gearbox together``."""
        return self._SAID[fact.sort](self, fact).is_so

    def otherwise(self, fact: Fact) -> str:
        """Say what it would be like if it were not so; reads on after *if*."""
        return self._SAID[fact.sort](self, fact).otherwise

    def all_otherwise(self, facts: Iterable[Fact]) -> str:
        """Say of several facts at once what it would be like; names hold *and* as well."""
        return "; and ".join(map(self.otherwise, facts))

    def unlogged(self, jobs: Sequence[JobId]) -> str:
        """Say that jobs were done and nobody logged it; reads on after *if*."""
        names = " and ".join(self._name(job_ref(job)) for job in jobs)
        if len(jobs) == 1:
            return f"{names} was done and only not logged (log it as done, if it was)"
        return f"{names} were done and only not logged (log them as done, if they were)"

    # -- sort by sort -------------------------------------------------------------------------

    def _say_holds(self, fact: Fact) -> _Said:
        joint, parts = self._joint(fact).name, self._parts(self._joint(fact).parts, " and ")
        if fact.by:
            part = self._part(fact.by)
            return _Said(f"{joint} holds {part}", f"{joint} did not hold {part}")
        return _Said(f"{joint} holds {parts} together", f"{joint} did not hold {parts} together")

    def _say_in_the_way(self, fact: Fact) -> _Said:
        way = self.vehicle.obstructions[FactId(fact.of)]
        parts, of = self._parts(way.any_of, " or "), self._name(way.of)
        can = self.can[split_ref(way.of)[0] != "joint"]
        return _Said(
            with_why(f"{parts} in the way of {of}", way.why),
            f"{of} could {can} without {parts} off first (obstruction {fact.of})",
        )

    def _say_passes(self, fact: Fact) -> _Said:
        run, part = self._part(fact.of), self._part(fact.by)
        return _Said(f"{run} passes through {part}", f"{run} did not pass through {part}")

    def _say_before(self, fact: Fact) -> _Said:
        before = self.vehicle.befores[FactId(fact.of)]
        first, then = self._name(before.first), self._name(before.then)
        return _Said(
            with_why(f"{first} comes before {then}", before.why),
            f"{then} did not have to wait for {first} (before {fact.of})",
        )

    def _say_never_after(self, fact: Fact) -> _Said:
        late = self.vehicle.harder_afters[FactId(fact.of)]
        job, after = self._name(late.job), self._name(late.after)
        return _Said(
            with_why(f"{job} cannot be done any more after {after}", late.why),
            f"{job} could still be done after {after} (harder after {fact.of})",
        )

    def _say_kept(self, fact: Fact) -> _Said:
        part = self._part(fact.of)
        return _Said(f"{part} is to stay on", f"{part} need not stay on")

    def _say_asked(self, fact: Fact) -> _Said:
        kind = split_ref(Ref(fact.of))[0]
        name, asked = self._name(Ref(fact.of)), _ASKED.get(kind, "done")
        return _Said(f"{name} is to be {asked}", f"{name} need not be {asked}")

    def _say_span(self, fact: Fact) -> _Said:
        support = self.vehicle.temporary_supports[SupportId(fact.of)]
        hangs = f"{self._part(support.bears_on)} is on a {support.kind}"
        return _Said(
            f"{hangs}: no change of standing meanwhile",
            f"the standing could change while {hangs}",
        )

    def _say_same_sitting(self, fact: Fact) -> _Said:
        job = self.vehicle.jobs[JobId(fact.of)]
        one, two = job.name, self.vehicle.jobs[job.same_sitting_as or job.id].name
        return _Said(
            f"{one} and {two} are of one sitting: no change of standing between",
            f"the standing could change between {one} and {two}",
        )

    def _say_crack_first(self, fact: Fact) -> _Said:
        joint = self._joint(fact)
        where = self._standing(joint.crack_in)
        return _Said(
            f"{joint.name} is cracked {where} first",
            f"{joint.name} need not be cracked {where} first",
        )

    def _say_where(self, fact: Fact) -> _Said:
        name = self._name(Ref(fact.of))
        return _Said(
            f"{name} is done only {self._where(fact)}",
            f"{name} could be done in another standing",
        )

    def _say_hides(self, fact: Fact) -> _Said:
        standing, part = self._standing(fact.of), self._part(fact.by)
        return _Said(f"{standing} hides {part}", f"{part} could be got at {standing}")

    def _say_bears(self, fact: Fact) -> _Said:
        standing, part = self._standing(fact.of), self._part(fact.by)
        return _Said(f"{standing} bears on {part}", f"{standing} did not bear on {part}")

    def _say_needs_off(self, fact: Fact) -> _Said:
        standing, part = self._standing(fact.of), self._part(fact.by)
        return _Said(
            f"to stand {standing}, {part} must be off",
            f"one could stand {standing} with {part} on",
        )

    def _say_no_change(self, fact: Fact) -> _Said:
        standing = self._standing(fact.of)
        return _Said(
            f"not every standing can be changed into {standing}",
            f"every standing could be changed into {standing}",
        )

    def _say_lost(self, fact: Fact) -> _Said:
        standing = self._standing(fact.of)
        return _Said(
            f"{standing} bears on what is off now", f"what {standing} bears on were back on"
        )

    def _say_wrong(self, fact: Fact) -> _Said:
        standing = self._standing(fact.of)
        return _Said(
            f"{standing} is marked as how not to stand it",
            f"{standing} were made sound and no longer marked wrong",
        )

    _SAID: ClassVar[Mapping[Sort, Callable[["Wording", Fact], _Said]]] = {
        Sort.HOLDS: _say_holds,
        Sort.IN_THE_WAY: _say_in_the_way,
        Sort.PASSES: _say_passes,
        Sort.BEFORE: _say_before,
        Sort.NEVER_AFTER: _say_never_after,
        Sort.KEPT: _say_kept,
        Sort.ASKED: _say_asked,
        Sort.WHERE: _say_where,
        Sort.HIDES: _say_hides,
        Sort.BEARS: _say_bears,
        Sort.NEEDS_OFF: _say_needs_off,
        Sort.NO_CHANGE: _say_no_change,
        Sort.LOST: _say_lost,
        Sort.WRONG: _say_wrong,
        Sort.CRACK_FIRST: _say_crack_first,
        Sort.SPAN: _say_span,
        Sort.SAME_SITTING: _say_same_sitting,
    }

    # -- names --------------------------------------------------------------------------------

    def _name(self, ref: Ref) -> str:
        return self.vehicle.name_of(ref)

    def _part(self, part: str) -> str:
        return self._name(part_ref(PartId(part)))

    def _parts(self, parts: Iterable[PartId], between: str) -> str:
        return between.join(map(self._part, parts))

    def _joint(self, fact: Fact) -> Joint:
        return self.vehicle.joints[JointId(fact.of)]

    def _standing(self, standing: str | None) -> str:
        return f"“{self._name(Ref(f'standing:{standing}'))}”"

    def _where(self, fact: Fact) -> str:
        kind, identity = split_ref(Ref(fact.of))
        vehicle = self.vehicle
        match kind:
            case "joint":
                named = vehicle.joints[JointId(identity)].standings
            case "part":
                named = vehicle.parts[PartId(identity)].standings
            case _:
                named = vehicle.jobs[JobId(identity)].standings
        return " or ".join(self._standing(each) for each in named)
