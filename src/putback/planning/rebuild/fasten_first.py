"""What to do first so that nothing is left in the air: rule 19 of the rebuild, looking ahead.

`FastenFirst` goes along with one scheduling. It knows which steps fasten what is in hand, which
lead to that, which units could be fastened where they would go on, and what to fasten before the
standing changes.
"""

from collections.abc import Collection, Iterable, Iterator

from putback.planning.bits import numbers_in
from putback.planning.held.lifting import Lifting
from putback.planning.rebuild.aloft import Aloft
from putback.planning.rebuild.network import Network
from putback.vehicle.ids import JointId, PartId, StandingId, joint_ref


class FastenFirst:
    """What is in the air by now, and what would fasten it."""

    def __init__(self, network: Network, lifting: Lifting) -> None:
        self.net = network
        self.lifting = lifting
        self.fastenings = network.fastenings
        self.aloft = Aloft(self.fastenings, network.stands.start)
        self._named = frozenset(step for _, steps in self.fastenings.temporary for step in steps)
        """The steps at which a temporary support begins or ends to bear."""
        self._fits: set[tuple[int, StandingId | None]] = set()
        """Units that can be fastened in a standing: the more is done, the surer."""
        self._unfit: set[tuple[int, StandingId | None]] = set()
        """Units that cannot, as long as no more is done than `_as_of`."""
        self._as_of = 0
        self._waiting: dict[int, tuple[int, ...]] = {}
        self._counts: dict[int, int] = {}
        """For how many others a step waited when that was counted, and how many were done then."""
        self._would_hang: dict[StandingId | None, set[int]] = {}
        self._hung_at = -1

    def is_anything_in_air(self, *, as_left: bool) -> bool:
        """Whether anything is on that nothing holds; without what was left so, if not asked."""
        aloft = self.aloft
        return bool(aloft.in_air) if as_left else not aloft.in_air.isdisjoint(aloft.in_hand)

    # -- what fastens it ----------------------------------------------------------------------

    def fastening(self, ready: Collection[int], done: int, *, as_left: bool = False) -> set[int]:
        """Of the steps that are ready, those that fasten what is in hand, or anything at all."""
        aloft, fastenings = self.aloft, self.fastenings
        found = set()
        for part in aloft.in_air if as_left else aloft.in_air & aloft.in_hand:
            for joint in fastenings.joints_of[part]:
                step = fastenings.next_step(joint, done)
                if step in ready and self._leads_to_held(joint, part):
                    found.add(step)
        return found

    def _leads_to_held(self, joint: JointId, part: PartId) -> bool:
        aloft = self.aloft
        return any(
            p != part and p in aloft.on and aloft.is_held(p)
            for p in self.fastenings.parts_of[joint]
        )

    def would_hang(self, done: int, standing: StandingId | None) -> set[int]:
        """The steps that would hang on a run what is in the air as it stands, or would."""
        aloft = self.aloft
        if self._hung_at != aloft.turns:
            self._hung_at = aloft.turns
            self._would_hang.clear()
        if standing not in self._would_hang:
            here = standing == aloft.standing
            air = aloft.in_air if here else aloft.in_air_in(standing)
            found = self._find_would_hang(air, standing, done) if air else ()
            self._would_hang[standing] = set(found)
        return self._would_hang[standing]

    def _find_would_hang(
        self, air: Collection[PartId], standing: StandingId | None, done: int
    ) -> Iterator[int]:
        fastenings = self.fastenings
        near = self.aloft.tied_to(air, standing)
        joints = (j for part in near for j in fastenings.loose_joints_of.get(part, ()))
        steps = (fastenings.made_by[joint] for joint in joints)
        return (step for step in steps if step >= 0 and not done >> step & 1)

    def opening(self, steps: Iterable[int], done: int) -> set[int]:
        """Of some steps, those that something else waits for, and for the fewest others.

        A step that is done lets a count fall by no more than one, so what had a large one not
        long ago is not counted anew.
        """
        now, left, counts = done.bit_count(), ~done, self._counts
        waiting = [(counts.get(each, 0) - now, each, step) for step in steps
                   for each in self._waiting_for(step)]  # fmt: skip
        least, found = len(self.net.nodes), set[int]()
        for floor, each, step in sorted(waiting):
            if floor > least:
                break
            count = (self.net.led_by[each] & left).bit_count()
            counts[each] = count + now
            if count < least:
                least, found = count, set()
            if count == least:
                found.add(step)
        return found

    def _waiting_for(self, step: int) -> tuple[int, ...]:
        """What waits for a step, but for steps of the same joint or of joints of the same unit."""
        if step not in self._waiting:
            net = self.net
            unit = net.units.get(step)
            own = {joint_ref(joint) for joint in unit.joints} if unit else {net.nodes[step].what}
            self._waiting[step] = tuple(
                each for each in net.after[step] if net.nodes[each].what not in own
            )
        return self._waiting[step]

    # -- what leads to that -------------------------------------------------------------------

    def wanted(
        self, done: int, loose: Iterable[tuple[int, Collection[int]]], *, as_left: bool = False
    ) -> int:
        """All that has to be done, as it stands, before what is in hand is fastened, as bits.

        ``loose`` are joints with what has to be made before they are tightened.
        """
        aloft = self.aloft
        first = dict(loose)
        found = 0
        parts = aloft.in_air if as_left else aloft.in_air & aloft.in_hand
        for lump in aloft.lumps(parts):
            way = self._lump_way(lump, aloft.standing, done, set())
            if way is not None:
                found |= way
        for step in numbers_in(found):
            for mate in first.get(step, ()):
                needed = (self.net.led_by[mate] | 1 << mate) & ~done
                if not needed & self.net.barred(aloft.standing):
                    found |= needed
        return found

    def will_be_fastened(self, unit: int, standing: StandingId | None, done: int) -> bool:
        """Whether a unit that goes on can be fastened without a change of standing."""
        if (unit, standing) in self._fits:
            return True
        if done != self._as_of:
            self._unfit.clear()
            self._as_of = done
        if (unit, standing) in self._unfit:
            return False
        if self._unit_way(unit, standing, done, set()) is None:
            self._unfit.add((unit, standing))
            return False
        self._fits.add((unit, standing))
        return True

    def _unit_way(
        self, unit: int, standing: StandingId | None, done: int, seen: set[PartId]
    ) -> int | None:
        """The steps by which a unit is fastened once it is on; none if it cannot be."""
        bit = self.fastenings.bit.get(standing, 0)
        place, borne = self.fastenings.place, self.fastenings.temporary
        parts = [p for p in self.net.units[unit].parts if place.get(p, 0) & bit]
        if not parts or any(p in parts and unit in steps for p, steps in borne):
            return 0
        return self._way(parts, unit, standing, done, seen)

    def _lump_way(
        self, lump: Collection[PartId], standing: StandingId | None, done: int, seen: set[PartId]
    ) -> int | None:
        return self._way(lump, None, standing, done, seen)

    def _way(
        self,
        parts: Collection[PartId],
        unit: int | None,
        standing: StandingId | None,
        done: int,
        seen: set[PartId],
    ) -> int | None:
        """The shortest way to hold parts, of those by one joint each."""
        seen.update(parts)
        best: int | None = None
        for joint in dict.fromkeys(j for part in parts for j in self.fastenings.joints_of[part]):
            way = self._by(joint, parts, unit, standing, done, seen)
            if way is not None and (best is None or way.bit_count() < best.bit_count()):
                best = way
        return best

    def _by(
        self,
        joint: JointId,
        parts: Collection[PartId],
        unit: int | None,
        standing: StandingId | None,
        done: int,
        seen: set[PartId],
    ) -> int | None:
        """The steps by which a joint holds parts; none if it cannot hold them in a standing."""
        step = self.fastenings.holds_from[joint]
        if step < 0 or done >> step & 1:
            return None
        needed = (self.net.led_by[step] | 1 << step) & ~done
        if needed & self.net.barred(standing):
            return None
        for other in self.fastenings.parts_of[joint]:
            if other not in parts:
                more = self._up_by(other, unit, standing, done, seen)
                if more is not None:
                    return needed | more
        return None

    def _up_by(
        self,
        part: PartId,
        unit: int | None,
        standing: StandingId | None,
        done: int,
        seen: set[PartId],
    ) -> int | None:
        """The steps by which a part is held; none if it is not, and cannot be."""
        aloft = self.aloft
        if part in aloft.on:
            bit = self.fastenings.bit.get(standing, 0)
            if aloft.is_held(part, bit):
                return 0
            if part in seen:
                return None
            return self._lump_way(aloft.held_by.all_of(part), standing, done, seen)
        node = self.net.work.put_on(part)
        if node is None or part in seen:
            return None
        number = self.net.index[node]
        if unit is not None and not self.net.leads_to[unit] >> number & 1:
            return None  # that one goes on first
        return self._unit_way(number, standing, done, seen)

    # -- before the standing changes ----------------------------------------------------------

    def slack(self, ready: Collection[int]) -> set[int]:
        """Of the steps that are ready, those that tighten what alone holds something heavy."""
        found = set()
        for lump in self.aloft.slack():
            steps = set(self._tightening(lump)) & set(ready)
            if steps and not self.lifting.is_light(lump):
                found |= steps
        return found

    def _tightening(self, lump: Collection[PartId]) -> Iterator[int]:
        aloft, fastenings = self.aloft, self.fastenings
        inside = set(lump)
        for joint in (j for part in lump for j in fastenings.joints_of[part]):
            others = (p for p in fastenings.parts_of[joint] if p in aloft.on)
            if aloft.holds(joint) and not inside.issuperset(others):
                yield fastenings.tightened_by[joint]
