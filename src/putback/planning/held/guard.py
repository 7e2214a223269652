"""The guard: what a plan leaves alone though joints and facts would allow it (rules 11 and 12).

Nothing is left hanging on a hose whose end could come off first, nothing is left in the air when
the standing changes, and nothing is done that brings the vehicle too near to tipping, as long as
there is another order. Where there is none, a thing is *waived*: it is done all the same, and the
step says what to prop or what support to add.
"""

from collections.abc import Callable, Collection, Sequence
from math import inf
from typing import NamedTuple

from putback.bench.statics import Feet
from putback.planning.held.holding import Hold
from putback.planning.held.watch import Watch
from putback.planning.weight.poise import Burden, Footing, Poise, must_add_support
from putback.vehicle.ids import PartId, StandingId

_STANDS = Footing()

_NOWHERE = StandingId("")

_SURE_M = 1e-6
_SURE_KG = 1e-3
"""By less than that nothing is plain [m], [kg]."""


class _Asked(NamedTuple):
    """What was found out of a node that undoes a joint, as long as nothing is done.

    ``pieces`` are what comes away; ``parts_a_foot`` is whether the vehicle is parted from what
    a support bears on.
    """

    node: int
    pieces: list[set[int]]
    parts_a_foot: bool


_NO_PARTS: frozenset[PartId] = frozenset()

_NOT_ASKED = _Asked(-1, [], parts_a_foot=False)


class _Stance:
    """Some supports, and round which point of the floor it is plain that they hold."""

    __slots__ = ("_feet", "_least_rating_kg", "_ratings_kg", "_spare_m2", "_x", "_y")

    def __init__(self, feet: Feet, ratings_kg: Sequence[float | None]) -> None:
        self._feet = feet
        self._ratings_kg = tuple(inf if each is None else each for each in ratings_kg)
        self._least_rating_kg = min(self._ratings_kg)
        self._x = self._y = 0.0
        self._spare_m2 = -1.0

    def plainly_holds(self, mass_kg: float, x: float, y: float, least_margin_m: float) -> bool:
        """Whether a mass over a point keeps the margin and all ratings, with something to spare.

        The margin lessens by no more than the centre moves; so round a point with some to spare
        it need not be measured.
        """
        if (x - self._x) ** 2 + (y - self._y) ** 2 >= self._spare_m2:
            spare = self._feet.margin_m((x, y)) - least_margin_m - _SURE_M
            if spare <= 0:
                return False
            self._x, self._y, self._spare_m2 = x, y, spare * spare
        if mass_kg <= self._least_rating_kg:
            return True
        loads = self._feet.loads_kg(mass_kg, (x, y))
        return bool(loads) and all(
            load < rating - _SURE_KG for load, rating in zip(loads, self._ratings_kg, strict=True)
        )


class Guard:
    """What holds and what it stands on, as far as the work has got."""

    __slots__ = (
        "_feet",
        "_footing",
        "_next",
        "_stance",
        "anchor",
        "hold",
        "loose",
        "poise",
        "spared",
        "standing",
        "watch",
    )

    def __init__(
        self, watch: Watch, standing: StandingId | None, spared: frozenset[int] = frozenset()
    ) -> None:
        """Begin as it is at the start; ``spared`` parts may be in the air."""
        self.watch = watch
        self.hold = Hold(watch.links)
        self.poise: Poise | None = watch.poise.copy() if watch.poise is not None else None
        self.anchor = self.poise.anchor if self.poise is not None else None
        self.loose: dict[int, int] = {}
        """Parts that were let go and are still on, each with the node that did it."""
        self.spared = spared
        self.standing: StandingId | None = None
        self._feet: frozenset[PartId] | None = None
        self._footing: Footing | None = None
        self._stance: _Stance | None = None
        """On what it stands, once that was asked for, as long as that stays."""
        self._next = _NOT_ASKED
        """What the node last asked about would let go, until anything is done."""
        self._bear(())
        self.stand(standing)

    def copy(self) -> "Guard":
        """Make a copy to try something on."""
        twin = object.__new__(Guard)
        twin.watch = self.watch
        twin.hold = self.hold.copy()
        twin.poise = self.poise.copy() if self.poise is not None else None
        twin.loose = self.loose.copy()
        twin.standing = self.standing
        twin.spared = self.spared
        twin.anchor = self.anchor
        twin._feet = self._feet
        twin._footing = self._footing
        twin._stance = self._stance
        twin._next = self._next
        return twin

    def _bear(self, done: Collection[int]) -> None:
        bearings = self.watch.bearings
        if bearings:
            self.hold.borne = frozenset(each.part for each in bearings if each.bears(done))

    def stand(self, standing: StandingId | None) -> None:
        """Let the vehicle stand otherwise."""
        self.standing = standing
        self._next = _NOT_ASKED
        self.hold.rest_on(self.watch.links.under(standing))
        self._feet = self._footing = self._stance = None
        if self.loose:
            self.loose = {p: by for p, by in self.loose.items() if not self.hold.is_held(p)}

    # -- what is done -------------------------------------------------------------------------

    def do(
        self,
        index: int,
        parts: Collection[PartId],
        done: Collection[int],
        *,
        waived: bool = False,
    ) -> None:
        """Take note of a node, of the parts it takes off, and of all that is done with it.

        What it lets go is spared if the node is ``waived``.
        """
        joint = self.watch.joint_of.get(index)
        if joint is not None:
            asked = self._next
            if asked.node != index:
                asked = self._ask(index, joint, done)
            for piece in asked.pieces:
                if waived:
                    self.spared |= piece
                self.loose |= dict.fromkeys(piece - self.spared, index)
            if asked.parts_a_foot:
                self._feet = self._footing = self._stance = None
            self.hold.made[joint] = 0
        self._next = _NOT_ASKED
        for part in parts:
            self.take_off(part)
        for fluid in self.watch.drains.get(index, ()):
            if self.poise is not None:
                self.poise.drain(fluid)
                self._footing = None
        if index in self.watch.turning:
            self._bear({*done, index})
            self.loose = {p: by for p, by in self.loose.items() if not self.hold.is_held(p)}

    def take_off(self, part: PartId) -> None:
        """Take note that a part is off."""
        at = self.watch.links.part_at.get(part)
        if at is not None:
            self.hold.on[at] = 0
            self.loose.pop(at, None)
        if self.poise is not None:
            self.poise.take_off(part)
            self._footing = None
            if part == self.anchor:
                self.anchor = self.poise.anchor
                self._feet = self._stance = None

    def lets_go(self, index: int, joint: int, done: Collection[int]) -> list[set[int]]:
        """What comes away in pieces if a joint is undone, as supports begin or end with it."""
        if index not in self.watch.turning:
            return self.hold.lets_go(joint)
        before, twin = self.hold, self.borne_after(index, done)
        twin.made[joint] = 0
        near = [*self.watch.links.parts_of[joint], *(before.borne - twin.borne)]
        pieces: list[set[int]] = []
        for part in near:
            if twin.on[part] and before.is_held(part) and not any(part in p for p in pieces):
                piece = twin.unheld(part)
                if piece is not None:
                    pieces.append(piece)
        return pieces

    def borne_after(self, index: int, done: Collection[int]) -> Hold:
        """What holds, with the temporary supports as they bear after a node."""
        twin = self.hold.copy()
        after = {*done, index}
        twin.borne = frozenset(each.part for each in self.watch.bearings if each.bears(after))
        return twin

    # -- rules 11 and 12 ----------------------------------------------------------------------

    def bars(
        self,
        index: int,
        done: Collection[int],
        least_margin_m: float,
        still_comes: Callable[[int], Callable[[int], bool]],
    ) -> bool:
        """Whether a node would leave something hanging on a run, or bring it near to tipping.

        ``still_comes`` says for the node, of one that undoes a joint of the run, whether that can
        be waited for.
        """
        watch = self.watch
        if index not in watch.weighty:
            return False
        joint = watch.joint_of.get(index)
        if joint is None:
            return self._would_tip_without(index, least_margin_m)
        asked = self._next
        if asked.node != index:
            asked = self._next = self._ask(index, joint, done)
        if asked.pieces:
            is_to_come = still_comes(index)
            for piece in asked.pieces:
                if self._stays_up_here(piece, is_to_come) or self._first_of(
                    piece, joint, is_to_come
                ):
                    return True
        return asked.parts_a_foot and self._would_lose_a_foot(joint, least_margin_m)

    def _ask(self, index: int, joint: int, done: Collection[int]) -> _Asked:
        """Find out what a joint lets go, and whether it parts what the vehicle stands on."""
        if index in self.watch.turning:
            pieces, is_one = self.lets_go(index, joint, done), False
        else:
            pieces, is_one = self.hold.parted_by(joint)
        if pieces or not is_one:
            parts_a_foot = bool(self._stands_on()) and self._parts_a_foot(joint, pieces)
        else:
            parts_a_foot = False
        return _Asked(index, pieces, parts_a_foot)

    # -- rule 11 ------------------------------------------------------------------------------

    def _stays_up_here(self, piece: set[int], still_comes: Callable[[int], bool]) -> bool:
        """Whether something that comes away could not be taken off as the vehicle stands.

        It would be in the air then when the standing changes.
        """
        left = self.watch.left_here(self.standing)
        if not left.stuck.isdisjoint(piece) and not left.stuck & piece <= self.spared:
            return True
        if left.on_ends.isdisjoint(piece):
            return False
        return any(
            self.hold.made[joint] and still_comes(node)
            for part in left.on_ends & piece - self.spared
            for joint, node in left.tied[part]
        )

    def comes_first(
        self, index: int, done: Collection[int], may_go: Callable[[int], bool]
    ) -> list[int]:
        """The nodes that part a run from what would else be left hanging on it (11)."""
        joint = self.watch.joint_of.get(index)
        if joint is None or self.watch.links.is_loose[joint]:
            return []
        for piece in self.lets_go(index, joint, done):
            first = self._first_of(piece, joint, may_go)
            if first:
                return first
        return []

    def _first_of(
        self, piece: Collection[int], joint: int, may_go: Callable[[int], bool]
    ) -> list[int]:
        undone_by = self.watch.undone_by
        for tie in self.hold.ties(piece, (joint,)):
            for joints in (tie.near, self.hold.far_ends(tie)):
                nodes = [undone_by.get(each, -1) for each in joints]
                if nodes and all(self._may_part(node) and may_go(node) for node in nodes):
                    if self.hold.leads_up(tie, piece, (joint,)):
                        return nodes
                    break
        return []

    def _may_part(self, node: int) -> bool:
        return node >= 0 and node not in self.watch.begins and node not in self.watch.put_off

    def leaves_in_the_air(self, standing: StandingId | None) -> bool:
        """Whether something that is held now would not be, stood otherwise (11)."""
        links = self.watch.links
        there = links.under(standing)
        if not there or not self.hold.ground:
            return False
        twin = self.hold.copy()
        twin.rest_on(there)
        return not all(twin.is_held(part) for part in self.hold.ground if self.hold.on[part])

    # -- rule 12 ------------------------------------------------------------------------------

    def footing(self) -> Footing:
        """What carries the vehicle as it stands now."""
        if self._footing is None:
            self._footing = self._footing_of(self.poise, self.feet_now())
        return self._footing

    def footing_in(self, standing: StandingId | None) -> Footing:
        """What would carry it, stood otherwise."""
        twin = self.copy()
        twin.stand(standing)
        return twin.footing()

    def is_one(self, part: PartId, *without: int) -> bool:
        """Whether a part is one with the vehicle (*the margin*), these joints thought undone."""
        at, anchor = self.watch.links.part_at, self._anchor()
        if part not in self.watch.jointed or part == self.anchor:
            return True
        return (
            anchor is not None
            and part in at
            and self.hold.apart(at[part], anchor, *without) is None
        )

    def feet_now(self) -> frozenset[PartId]:
        """Of the parts that the supports bear on, those that are one with the vehicle."""
        if self._feet is None:
            self._feet = self._feet_without()
        return self._feet

    def _feet_without(self, *joints: int) -> frozenset[PartId]:
        feet = self.watch.feet.get(self.standing or _NOWHERE, ())
        return frozenset(part for part in feet if self.is_one(part, *joints))

    def _anchor(self) -> int | None:
        return self.watch.links.part_at.get(self.anchor) if self.anchor is not None else None

    def _footing_of(self, poise: Poise | None, feet: frozenset[PartId]) -> Footing:
        if poise is None or not self._stands_on():
            return _STANDS
        return poise.footing(self.standing, feet.__contains__)

    def _stands_on(self) -> tuple[PartId, ...]:
        """The parts that the supports bear on, if anybody can say how it stands."""
        if self.poise is None or self.standing is None:
            return ()
        return self.watch.feet.get(self.standing, ())

    def _would_tip_without(self, index: int, least_margin_m: float) -> bool:
        """Whether what goes off or out with a node takes it too near to tipping."""
        burden, parts = self.watch.burdens[index], self.watch.off_with.get(index, _NO_PARTS)
        if self.poise is None or not self._stands_on():
            return False
        if self.anchor not in parts and self._is_plain(burden, least_margin_m):
            return False
        poise = self.poise.copy()
        for part in parts:
            poise.take_off(part)
        for fluid in self.watch.drains.get(index, ()):
            poise.drain(fluid)
        if self.anchor not in parts:
            after = self._footing_of(poise, self.feet_now())
        else:
            twin = self.copy()
            for part in parts:
                twin.take_off(part)
            after = twin.footing()
        return must_add_support(self.footing(), after, least_margin_m)

    def _is_plain(self, burden: Burden, least_margin_m: float) -> bool:
        """Whether it is plain that nothing tips and nothing is overloaded without a burden."""
        if self.poise is None:
            return False
        if self._stance is None:
            supports = self.footing().supports
            if not supports:
                return False
            ratings = [each.rating_kg for each in supports]
            self._stance = _Stance(self.poise.feet(supports), ratings)
        after = self.poise.without(burden)
        return after is not None and self._stance.plainly_holds(*after, least_margin_m)

    def _would_lose_a_foot(self, joint: int, least_margin_m: float) -> bool:
        """Whether it tips when what a support bears on is parted from the vehicle."""
        after = self._footing_of(self.poise, self._feet_without(joint))
        return must_add_support(self.footing(), after, least_margin_m)

    def _parts_a_foot(self, joint: int, pieces: list[set[int]]) -> bool:
        anchor = self._anchor()
        if anchor is None or self.watch.links.is_loose[joint]:
            return False
        if pieces:  # what is let go stands on nothing: it matters only if the vehicle itself is
            return any(anchor in piece for piece in pieces)
        feet, hold = self.hold.ground, self.hold
        if feet == {anchor}:
            return False
        for part in self.watch.links.parts_of[joint]:
            if hold.on[part]:
                apart = hold.apart(part, anchor, joint)
                if apart is not None and not feet.isdisjoint(apart):
                    return True
        return False
