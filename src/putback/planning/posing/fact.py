"""Facts as single things: what a *why* lists, and what would have to change.

A fact is what a person could find to be otherwise: that a joint holds, that one part is in the way
of another, what supports bear on, what the goal asks for. What the rules themselves say (a joint
is undone on the bench only once its whole is out) is no fact and cannot be given up.
"""

from collections.abc import Iterable
from enum import StrEnum
from typing import NamedTuple

from putback.planning.known import with_why
from putback.vehicle.ids import (
    FactId,
    JobId,
    JointId,
    PartId,
    Ref,
    StandingId,
    SupportId,
    part_ref,
    split_ref,
)
from putback.vehicle.vehicle import Vehicle


class Sort(StrEnum):
    """What sort of fact it is."""

    HOLDS = "joint holds"
    IN_THE_WAY = "in the way"
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
    CRACK_FIRST = "crack first"
    SPAN = "no change of standing meanwhile"
    SAME_SITTING = "same sitting"
    REBUILD = "order of a rebuild"  # ``of`` are its words


class Fact(NamedTuple):
    """One fact: ``of`` is what it belongs to, ``by`` the other end where ``of`` does not say it.

    ``of`` is the identity of an obstruction, *before* or harder-after fact, else a joint, part,
    job, support or standing; ``by`` a part or, for `Sort.WHERE`, empty.
    """

    sort: Sort
    of: str
    by: str = ""


class Wording:
    """Says facts of one vehicle in the trade's words."""

    def __init__(self, vehicle: Vehicle) -> None:
        """Take the names from this vehicle."""
        self.vehicle = vehicle

    def is_so(self, fact: Fact) -> str:
        """Say the fact: ``bell housing holds engine and gearbox together``."""
        match fact.sort:
            case Sort.HOLDS:
                return f"{self._joint(fact)} holds {self._parts_of(fact)} together"
            case Sort.IN_THE_WAY:
                way = self.vehicle.obstructions[FactId(fact.of)]
                what = f"{self._parts(way.any_of, ' or ')} in the way of {self._name(way.of)}"
                return with_why(f"{what}", way.why)
            case Sort.BEFORE:
                before = self.vehicle.befores[FactId(fact.of)]
                words = f"{self._name(before.first)} comes before {self._name(before.then)}"
                return with_why(words, before.why)
            case Sort.NEVER_AFTER:
                late = self.vehicle.harder_afters[FactId(fact.of)]
                job, after = self._name(late.job), self._name(late.after)
                return with_why(f"{job} cannot be done any more after {after}", late.why)
            case Sort.KEPT:
                return f"{self._part(fact.of)} is to stay on"
            case Sort.ASKED:
                return f"{self._name(Ref(fact.of))} is to be {self._asked(fact)}"
            case Sort.SPAN:
                return f"{self._support(fact)}: no change of standing meanwhile"
            case Sort.SAME_SITTING:
                one, two = self._sitting(fact)
                return f"{one} and {two} are of one sitting: no change of standing between"
            case Sort.CRACK_FIRST:
                joint = self.vehicle.joints[JointId(fact.of)]
                return f"{joint.name} is cracked {self._standing(joint.crack_in)} first"
            case _:
                return self._of_standings(fact)

    def _of_standings(self, fact: Fact) -> str:
        match fact.sort:
            case Sort.WHERE:
                return f"{self._name(Ref(fact.of))} is done only {self._where(fact)}"
            case Sort.HIDES:
                return f"{self._standing(fact.of)} hides {self._part(fact.by)}"
            case Sort.BEARS:
                return f"{self._standing(fact.of)} bears on {self._part(fact.by)}"
            case Sort.NEEDS_OFF:
                return f"to stand {self._standing(fact.of)}, {self._part(fact.by)} must be off"
            case Sort.NO_CHANGE:
                return f"not every standing can be changed into {self._standing(fact.of)}"
            case _:
                return f"{self._standing(fact.of)} bears on what is off now"

    def otherwise(self, fact: Fact) -> str:
        """Say what it would be like if it were not so; reads on after *if*."""
        match fact.sort:
            case Sort.HOLDS:
                return f"{self._joint(fact)} did not hold {self._parts_of(fact)} together"
            case Sort.IN_THE_WAY:
                way = self.vehicle.obstructions[FactId(fact.of)]
                can = "be undone" if split_ref(way.of)[0] == "joint" else "come off"
                without = self._parts(way.any_of, " or ")
                words = f"{self._name(way.of)} could {can} without {without} off first"
                return f"{words} (obstruction {fact.of})"
            case Sort.BEFORE:
                before = self.vehicle.befores[FactId(fact.of)]
                then, first = self._name(before.then), self._name(before.first)
                return f"{then} did not have to wait for {first} (before {fact.of})"
            case Sort.NEVER_AFTER:
                late = self.vehicle.harder_afters[FactId(fact.of)]
                job, after = self._name(late.job), self._name(late.after)
                return f"{job} could still be done after {after} (harder after {fact.of})"
            case Sort.KEPT:
                return f"{self._part(fact.of)} need not stay on"
            case Sort.ASKED:
                return f"{self._name(Ref(fact.of))} need not be {self._asked(fact)}"
            case Sort.SPAN:
                return f"the standing could change while {self._support(fact)}"
            case Sort.SAME_SITTING:
                one, two = self._sitting(fact)
                return f"the standing could change between {one} and {two}"
            case Sort.CRACK_FIRST:
                joint = self.vehicle.joints[JointId(fact.of)]
                return f"{joint.name} need not be cracked {self._standing(joint.crack_in)} first"
            case _:
                return self._standings_otherwise(fact)

    def _standings_otherwise(self, fact: Fact) -> str:
        match fact.sort:
            case Sort.WHERE:
                return f"{self._name(Ref(fact.of))} could be done in another standing"
            case Sort.HIDES:
                return f"{self._part(fact.by)} could be got at {self._standing(fact.of)}"
            case Sort.BEARS:
                return f"{self._standing(fact.of)} did not bear on {self._part(fact.by)}"
            case Sort.NEEDS_OFF:
                return f"one could stand {self._standing(fact.of)} with {self._part(fact.by)} on"
            case Sort.NO_CHANGE:
                return f"every standing could be changed into {self._standing(fact.of)}"
            case _:
                return f"what {self._standing(fact.of)} bears on were back on"

    # -- names --------------------------------------------------------------------------------

    def _name(self, ref: Ref) -> str:
        return self.vehicle.name_of(ref)

    def _part(self, part: str) -> str:
        return self._name(part_ref(PartId(part)))

    def _parts(self, parts: Iterable[PartId], between: str) -> str:
        return between.join(map(self._part, parts))

    def _joint(self, fact: Fact) -> str:
        return self.vehicle.joints[JointId(fact.of)].name

    def _parts_of(self, fact: Fact) -> str:
        return self._parts(self.vehicle.joints[JointId(fact.of)].parts, " and ")

    def _standing(self, standing: str | None) -> str:
        return f"“{self.vehicle.standings[StandingId(standing or '')].name}”"

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

    def _asked(self, fact: Fact) -> str:
        kind = split_ref(Ref(fact.of))[0]
        return {"part": "off", "joint": "undone"}.get(kind, "done")

    def _support(self, fact: Fact) -> str:
        support = self.vehicle.temporary_supports[SupportId(fact.of)]
        return f"{self._part(support.bears_on)} is on a {support.kind}"

    def _sitting(self, fact: Fact) -> tuple[str, str]:
        job = self.vehicle.jobs[JobId(fact.of)]
        other = self.vehicle.jobs[job.same_sitting_as or job.id]
        return job.name, other.name
