"""What becomes of things when a joint is undone, told in words for one moment of the work.

The graph of still-made joints to what the vehicle stands on says it (*What holds what up* in
``docs/planning-rules.md``); what somebody described of the joint is told as well, and its words
come first. ``docs/numbers-holding.md`` says what is counted and what is not.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from putback.logbook.open_items.item import USUAL
from putback.planning.held.holding import Hold, Links
from putback.planning.held.lifting import MOST_BY_HAND, Lifting
from putback.vehicle.fastener import Role
from putback.vehicle.fastener_kind import Form
from putback.vehicle.ids import (
    FluidId,
    JointId,
    PartId,
    StandingId,
    joint_ref,
    part_ref,
)
from putback.vehicle.joint import Does, Joint
from putback.vehicle.masses import hefts_of
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle

_TURN = frozenset({Form.STEM, Form.RING, Form.PIN})
"""On one bolt, nut, screw or pin a thing turns; on a clip, a weld or a taper it does not."""


class Fate(StrEnum):
    """What becomes of something when a joint is undone, worst first."""

    FLIES = "flies"  # a spring lets go: only what was described says so
    FALLS = "falls"
    HANGS = "hangs"  # on a pipe, hose, cable or loom, which must not carry it
    SWINGS = "swings"  # on the one fixing that is left
    IN_THE_HAND = "in the hand"  # light enough to be held while the joint is undone
    STAYS = "stays"


_AS_DESCRIBED = {
    Does.FLIES: Fate.FLIES,
    Does.FALLS: Fate.FALLS,
    Does.HANGS: Fate.HANGS,
    Does.SWINGS: Fate.SWINGS,
    Does.STAYS: Fate.STAYS,
}
_HOLD_IT = {
    Does.FALLS: "hold it up",
    Does.SWINGS: "tie it back",
    Does.HANGS: "hold it up: no hose or cable carries it",
    Does.FLIES: "nobody in line with the spring until it is slack",
}
"""What to do first where somebody described what moves, but not what to do about it."""


@dataclass(frozen=True, slots=True)
class Ground:
    """What all of it rests on; ``assumed`` says in words what was taken, where nobody knows."""

    parts: frozenset[PartId]
    assumed: str = ""


@dataclass(frozen=True, slots=True)
class Piece:
    """What comes away in one piece: its parts, the heaviest first, and their mass [kg].

    ``guessed`` if nobody knows the mass of one of them. ``pivot`` is the joint it swings on,
    ``runs`` are what it hangs on, ``ends`` joints where nobody described what goes between.
    """

    fate: Fate
    parts: tuple[PartId, ...]
    mass_kg: float
    guessed: bool = False
    pivot: JointId | None = None
    runs: tuple[PartId, ...] = ()
    ends: tuple[JointId, ...] = ()

    @property
    def wants_a_prop(self) -> bool:
        """Whether something must be done before the joint is undone."""
        return self.fate not in (Fate.IN_THE_HAND, Fate.STAYS)


@dataclass(frozen=True, slots=True)
class Drop:
    """What becomes of things when a joint is undone.

    ``described`` is what somebody said of the joint, with its ``detail``; ``pieces`` are worked
    out. ``people`` is how many it takes, ``words`` all of it in one line.
    """

    joint: JointId
    does: Fate
    pieces: tuple[Piece, ...] = ()
    described: Does = Does.STAYS
    detail: str = ""
    prop_first: str = ""
    people: int = 1
    words: str = ""
    ground: tuple[PartId, ...] = ()
    assumed: str = ""
    """What was taken as the ground where nobody said how the vehicle stands; else empty."""

    @property
    def lets_go(self) -> bool:
        """Whether anybody has to do something about it first."""
        return self.does not in (Fate.IN_THE_HAND, Fate.STAYS)

    @property
    def is_said_to_stay(self) -> bool:
        """Whether somebody described that nothing moves, and how."""
        return self.described is Does.STAYS and bool(self.detail)

    @property
    def needs_a_helper(self) -> bool:
        """Whether one person is not enough."""
        return self.people > 1


def ground_of(
    vehicle: Vehicle, links: Links, off: Collection[PartId], standing: StandingId | None
) -> Ground:
    """Find what all of it rests on: what the supports bear on, else the likeliest part.

    That is the datum of a goal, else the heaviest part that others are bolted to; of a vehicle of
    which nothing is described, nothing.
    """
    record = vehicle.standings.get(standing) if standing is not None else None
    if record is not None and record.supports:
        borne = {each.bears_on for each in record.supports if not each.beside}
        return Ground(frozenset(borne - set(off)))
    on = [part for part in links.parts if part not in off]
    datums = [goal.datum for goal in vehicle.goals.values() if goal.datum in on]
    structures = [
        part
        for part in on
        if (known := vehicle.parts.get(part)) and known.kind is PartKind.STRUCTURE
    ]
    hefts = hefts_of(vehicle).parts
    heaviest = sorted(structures, key=lambda part: (-hefts[part].mass_kg, part))
    taken = (datums or heaviest)[:1]
    if not taken:
        return Ground(frozenset(), "nobody described what carries the vehicle")
    name = vehicle.name_of(part_ref(taken[0]))
    return Ground(frozenset(taken), f"the {name} is taken as what stands, for nobody said")


class Telling:
    """Puts into words what a joint lets go, as things then hold."""

    def __init__(
        self,
        vehicle: Vehicle,
        links: Links,
        *,
        one_person_kg: float = USUAL.one_person_kg,
        fluids: Iterable[FluidId] = (),
    ) -> None:
        """Weigh the parts with these fluids in them."""
        self.vehicle = vehicle
        self.links = links
        self.lifting = Lifting(vehicle, one_person_kg=one_person_kg, fluids=fluids)
        self.one_fixing = frozenset(
            at for at, joint in enumerate(links.joints) if turns(vehicle.joints[joint])
        )

    def of(
        self,
        hold: Hold,
        joint: JointId,
        ground: Ground,
        lets_go: Sequence[Collection[int]] | None = None,
    ) -> Drop:
        """Say what becomes of things if a joint is undone, as all the others hold now.

        What was described of it counts no more once what it speaks of is off. ``lets_go`` is what
        comes away, where a support begins or ends with the joint.
        """
        record = self.vehicle.joints[joint]
        at = self.links.joint_at.get(joint)
        if at is None or not hold.made[at]:
            return Drop(joint, Fate.STAYS, words="it is undone already")
        pieces = tuple(self._pieces(hold, at, lets_go))
        numbered = zip(record.parts, self.links.parts_of[at], strict=True)
        when = record.moves([part for part, number in numbered if not hold.on[number]])
        record = replace(record, when_undone=when)
        fates = [piece.fate for piece in pieces if piece.fate is Fate.HANGS or not stays(record)]
        fates.append(_AS_DESCRIBED[when.does])
        return Drop(
            joint=joint,
            does=min(fates, key=list(Fate).index),
            pieces=pieces,
            described=when.does,
            detail=when.detail,
            prop_first=self._prop_first(record, pieces),
            people=max(record.crew, self._holders(record, pieces)),
            words=self._words(record, pieces),
            ground=tuple(sorted(ground.parts)),
            assumed=ground.assumed,
        )

    # -- what comes away ----------------------------------------------------------------------

    def _pieces(
        self, hold: Hold, at: int, lets_go: Sequence[Collection[int]] | None
    ) -> list[Piece]:
        if self.links.is_loose[at]:
            return [self._piece(Fate.FALLS, piece) for piece in self._hung_on(hold, at)]
        pieces = []
        for piece in hold.lets_go(at) if lets_go is None else lets_go:
            on = hold.hangs_on(piece, at)
            runs = tuple(self.links.parts[each.run] for each in on if each.run is not None)
            ends = tuple(
                self.links.joints[j] for each in on if each.run is None for j in each.near
            )
            fate = Fate.HANGS if on else Fate.FALLS
            pieces.append(self._piece(fate, piece, runs=runs, ends=ends))
        return pieces or self._swinging(hold, at)

    def _hung_on(self, hold: Hold, at: int) -> list[set[int]]:
        """What hung on a run, not held by anything else, and has nothing left without it."""
        found: list[set[int]] = []
        near = [p for p in self.links.parts_of[at] if hold.on[p]]
        for run in [part for part in near if self.links.is_run[part]]:
            tied = (j for j in self.links.loose_of[run] if hold.made[j])
            near += [p for j in tied for p in self.links.parts_of[j] if hold.on[p]]
        for part in dict.fromkeys(near):
            if not self.links.is_run[part] and not any(part in each for each in found):
                piece = hold.unheld(part)
                if piece and hold.hangs_on(piece) and not hold.hangs_on(piece, at):
                    found.append(piece)
        return found

    def _swinging(self, hold: Hold, at: int) -> list[Piece]:
        """What swings on the one fixing that is left: of several such, the heaviest."""
        swinging = [
            self._piece(
                Fate.SWINGS,
                hold.unheld(part, at, hinge) or {part},
                pivot=self.links.joints[hinge],
            )
            for part in self.links.parts_of[at]
            if hold.on[part]
            for hinge in hold.hinges(at, part, self.one_fixing)
        ]
        swinging.sort(key=lambda piece: (piece.wants_a_prop, piece.mass_kg))
        return swinging[-1:]

    def _piece(
        self,
        fate: Fate,
        numbers: Iterable[int],
        *,
        pivot: JointId | None = None,
        runs: tuple[PartId, ...] = (),
        ends: tuple[JointId, ...] = (),
    ) -> Piece:
        lifting = self.lifting
        parts = lifting.heaviest_first(self.links.parts[number] for number in numbers)
        if fate is not Fate.HANGS and lifting.is_light(parts):
            fate = Fate.IN_THE_HAND
        mass_kg, guessed = lifting.mass_kg(parts), lifting.is_guessed(parts)
        return Piece(fate, parts, mass_kg, guessed, pivot, runs, ends)

    # -- in words -----------------------------------------------------------------------------

    def _prop_first(self, record: Joint, pieces: Iterable[Piece]) -> str:
        """What was described comes first, else what is worked out."""
        when = record.when_undone
        if when.prop_first:
            return when.prop_first
        worked_out = map(self._prop, _held(record, pieces))
        return "; ".join(worked_out) or _HOLD_IT.get(when.does, "")

    def _holders(self, record: Joint, pieces: Iterable[Piece]) -> int:
        """How many it takes with whoever holds; who said how it is propped has said that, too."""
        held = () if record.when_undone.prop_first else _held(record, pieces)
        return max(map(self._people, held), default=1)

    def _prop(self, piece: Piece) -> str:
        if piece.fate is Fate.SWINGS:
            swings = f"it swings on {self._joint(piece.pivot)}"
            if self.lifting.is_no_lift(piece.parts):
                return f"{self.lifting.held(piece.parts)}: {swings}"
            who = "a helper holds" if self._people(piece) > 1 else "tie back"
            return f"{who} the {self.lifting.named(piece.parts)}: {swings}"
        words = self.lifting.held(piece.parts)
        if piece.fate is Fate.HANGS:
            return f"{words}: it hangs on {self._runs(piece)}, which must not carry it"
        return f"{words}: nothing else holds it"

    def _words(self, record: Joint, pieces: Iterable[Piece]) -> str:
        when = record.when_undone
        if when.does is Does.STAYS and not when.detail:
            return "; ".join(map(self._tell, pieces)) or "nothing moves"
        told = [f"as described it {when.does}{f': {when.detail}' if when.detail else ''}"]
        told += [self._tell(piece) for piece in pieces if piece.wants_a_prop]
        return "; ".join(told[:1] if stays(record) else told)

    def _tell(self, piece: Piece) -> str:
        named = f"the {self.lifting.named(piece.parts)}"
        match piece.fate:
            case Fate.HANGS:
                return f"{named} hangs on {self._runs(piece)}"
            case Fate.SWINGS:
                return f"{named} swings on {self._joint(piece.pivot)}"
            case Fate.IN_THE_HAND:
                return f"{named} comes away in the hand"
            case _:
                return f"{named} falls"

    def _runs(self, piece: Piece) -> str:
        refs = (*map(part_ref, piece.runs), *map(joint_ref, piece.ends))
        return " and ".join(f"the {self.vehicle.name_of(ref)}" for ref in refs)

    def _joint(self, joint: JointId | None) -> str:
        return self.vehicle.joints[joint].name if joint is not None else ""

    def _people(self, piece: Piece) -> int:
        """One, or two: where it is too heavy for them one sees to the jack."""
        return min(self.lifting.people(piece.parts), MOST_BY_HAND)


def _held(joint: Joint, pieces: Iterable[Piece]) -> Iterator[Piece]:
    """What is propped or held, as it is worked out."""
    for piece in pieces:
        if piece.wants_a_prop and (piece.fate is Fate.HANGS or not stays(joint)):
            yield piece


def stays(joint: Joint) -> bool:
    """Whether somebody described that nothing moves, and how: he has seen it."""
    return joint.when_undone.does is Does.STAYS and bool(joint.when_undone.detail)


def turns(joint: Joint) -> bool:
    """Whether all that a joint has is one bolt, nut, screw or pin, on which a thing can swing."""
    if sum(fixing.count for fixing in joint.fixings) != 1:
        return False
    pieces = (piece for fixing in joint.fixings for piece in fixing.stack)
    return any(p.role is Role.HOLD and p.spec.kind.form in _TURN for p in pieces)
