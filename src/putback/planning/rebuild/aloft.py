"""What is in the air by now: follows an order of a rebuild step by step (its rule 19).

Parts that joints hold together are merged, for nothing comes apart in a rebuild: disjoint sets, of
two of which the smaller is named anew (A. V. Aho, J. E. Hopcroft and J. D. Ullman, *The Design and
Analysis of Computer Algorithms*, 1974, section 4.6; *from memory*). One merging is of joints that
hold, one of joints that are tightened.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping

from putback.planning.plan import Action
from putback.planning.rebuild.fastening import START, Fastenings
from putback.planning.rebuild.work import Node
from putback.vehicle.ids import JointId, PartId, Ref, StandingId, joint_ref, part_ref


class Lumps:
    """Parts merged to lumps, and in which standings each lump stands on something."""

    __slots__ = ("_lump", "_parts", "_under")

    def __init__(self, grounds: Mapping[PartId, int]) -> None:
        """Begin with each part by itself; ``grounds`` are the standings that bear on it."""
        self._lump: dict[PartId, PartId] = {}
        self._under = dict(grounds)
        self._parts: dict[PartId, list[PartId]] = {}

    def of(self, part: PartId) -> PartId:
        """Name the lump of a part by one of its parts."""
        return self._lump.get(part, part)

    def stands_in(self, part: PartId) -> int:
        """The standings in which its lump stands on something."""
        return self._under.get(self._lump.get(part, part), 0)

    def all_of(self, part: PartId) -> list[PartId]:
        """All parts of its lump."""
        return self._parts.get(self.of(part), [part])

    def merge(self, parts: Iterable[PartId]) -> None:
        """Make one lump of these, named like the largest: so a part is seldom named anew."""
        lumps = dict.fromkeys(map(self.of, parts))
        if len(lumps) < 2:
            return
        largest, *others = sorted(lumps, key=lambda lump: -len(self.all_of(lump)))
        mine = self._parts.setdefault(largest, [largest])
        for lump in others:
            theirs = self._parts.pop(lump, [lump])
            mine += theirs
            self._lump |= dict.fromkeys(theirs, largest)
            if mask := self._under.get(lump, 0):
                self._under[largest] = self._under.get(largest, 0) | mask


class Aloft:
    """Which parts are on and in the air, as the vehicle stands now."""

    def __init__(self, fastenings: Fastenings, standing: StandingId | None) -> None:
        """Begin as it is before the first step."""
        self.fastenings = fastenings
        work = fastenings.work
        self.on = {part for part in fastenings.place if part not in work.off}
        seen = ((part, work.state.parts.get(part)) for part in self.on)
        self.in_hand = {part for part, each in seen if each is not None and each.on}
        """What the plan put on, or the logbook says was put back on."""
        self.held_by = Lumps(fastenings.grounds)
        self.tight = Lumps(fastenings.grounds)
        self.done: set[int] = set()
        self.turns = 0
        """How often anything may have changed of what is in the air or hangs."""
        self._bearing = dict.fromkeys(range(len(fastenings.temporary)), 0)
        """How many of the steps that each temporary support bears from and to are done."""
        self._borne: list[PartId] = []
        self.standing: StandingId | None = None
        self.bit = 0
        self.in_air: set[PartId] = set()
        self._join(self.on)
        self.stand(standing)

    def stand(self, standing: StandingId | None) -> None:
        """Stand otherwise."""
        self.standing = standing
        self.bit = self.fastenings.bit.get(standing, 0)
        self._look_anew()

    def do(self, number: int, node: Node) -> None:
        """Do a step."""
        fastenings = self.fastenings
        self.done.add(number)
        joint = fastenings.held_from(number)
        self.turns += node.action in (Action.PUT_ON, Action.MAKE) or joint is not None
        if node.action is Action.PUT_ON:
            fresh = [p for p in fastenings.work.unit_parts(node.what) if p in fastenings.place]
            self.on.update(fresh)
            self.in_hand.update(fresh)
            self._join(fresh)
            self.in_air = self._air_of(self.in_air.union(fresh))
        if joint is not None:
            self._hold(self.held_by, joint)
            self.in_air = self._air_of(self.in_air)
        joint = fastenings.tightened_at(number)
        if joint is not None:
            self._hold(self.tight, joint)
        self._turn(number)

    # -- what holds it ------------------------------------------------------------------------

    def is_held(self, part: PartId, bit: int | None = None) -> bool:
        """Whether stiff joints lead from a part to what it stands on, as it stands or would."""
        if self.held_by.stands_in(part) & (self.bit if bit is None else bit):
            return True
        if not self._borne:
            return False
        return self.held_by.of(part) in map(self.held_by.of, self._borne)

    def holds(self, joint: JointId) -> bool:
        """Whether a stiff joint holds by now."""
        step = self.fastenings.holds_from[joint]
        return step == START or step in self.done

    def is_tight(self, joint: JointId) -> bool:
        """Whether a stiff joint is tightened by now."""
        step = self.fastenings.tightened_by[joint]
        return step == START or step in self.done

    def lumps(self, parts: Iterable[PartId]) -> list[list[PartId]]:
        """Sort parts by the lump they are in, each lump in its order."""
        found: dict[PartId, list[PartId]] = {}
        for part in sorted(parts):
            found.setdefault(self.held_by.of(part), []).append(part)
        return list(found.values())

    def in_air_in(self, standing: StandingId | None) -> set[PartId]:
        """What would be in the air in a standing, as things hold now."""
        bit = self.fastenings.bit.get(standing, 0)
        place = self.fastenings.place
        return {p for p in self.on if place[p] & bit and not self.is_held(p, bit)}

    def slack(self) -> Iterator[list[PartId]]:
        """What is held as it stands, but by joints only that are not tightened yet: each lump."""
        found: dict[PartId, list[PartId]] = {}
        for part in sorted(self.on):
            if (
                not self.tight.stands_in(part) & self.bit
                and self.fastenings.place[part] & self.bit
            ):
                found.setdefault(self.tight.of(part), []).append(part)
        for parts in found.values():
            if self.held_by.stands_in(parts[0]) & self.bit:
                yield parts

    # -- what hangs on runs -------------------------------------------------------------------

    def hanging(self, parts: Collection[PartId]) -> dict[PartId, tuple[Ref, ...]]:
        """Of parts in the air, those that runs tie to what is held, each with these runs.

        Where nobody described a run, with the joint that it is all in.
        """
        found: dict[PartId, tuple[Ref, ...]] = {}
        for lump in self.lumps(parts):
            ties = tuple(tie for tie, ends in self._ties(lump) if self._leads_up(ends, lump))
            if ties:
                found |= dict.fromkeys(lump, ties)
        return found

    def _ties(self, lump: Collection[PartId]) -> Iterator[tuple[Ref, tuple[PartId, ...]]]:
        """What made joints tie to parts, each with where it leads to."""
        table = self.fastenings.loose_joints_of
        made = (j for part in lump for j in table.get(part, ()) if self._is_made(j))
        joints = list(dict.fromkeys(made))
        for run in dict.fromkeys(run for joint in joints for run in self._runs_in(joint)):
            yield part_ref(run), (run,)
        for joint in joints:
            if not any(self._runs_in(joint)):
                beyond = (p for p in self.fastenings.parts_of[joint] if p in self.on)
                yield joint_ref(joint), tuple(p for p in beyond if p not in lump)

    def tied_to(self, parts: Iterable[PartId], standing: StandingId | None) -> list[PartId]:
        """These parts, and what made joints tie to them, however far, up to what is held."""
        fastenings, bit = self.fastenings, self.fastenings.bit.get(standing, 0)
        queue = list(parts)
        found = set(queue)
        for at in queue:
            loose = (j for j in fastenings.loose_joints_of.get(at, ()) if self._is_made(j))
            stiff = (j for j in fastenings.joints_of.get(at, ()) if self.holds(j))
            for part in (p for joint in (*loose, *stiff) for p in fastenings.parts_of[joint]):
                on = part in self.on and not self.is_held(part, bit)
                if part not in found and (on or part in fastenings.runs):
                    found.add(part)
                    queue.append(part)
        return queue

    def _runs_in(self, joint: JointId) -> Iterator[PartId]:
        return (p for p in self.fastenings.parts_of[joint] if p in self.fastenings.runs)

    def _is_made(self, joint: JointId) -> bool:
        step = self.fastenings.made_by[joint]
        return step == START or step in self.done

    def _leads_up(self, ends: Iterable[PartId], lump: Collection[PartId]) -> bool:
        """Whether joints of any sort lead from somewhere to something held, past a lump."""
        fastenings, queue = self.fastenings, list(ends)
        seen = {*queue, *lump}
        for at in queue:
            if at in self.on and self.is_held(at):
                return True
            loose = (j for j in fastenings.loose_joints_of.get(at, ()) if self._is_made(j))
            stiff = (j for j in fastenings.joints_of.get(at, ()) if self.holds(j))
            for joint in (*loose, *stiff):
                fresh = [p for p in fastenings.parts_of[joint] if p not in seen]
                fresh = [p for p in fresh if p in self.on or p in fastenings.runs]
                seen.update(fresh)
                queue += fresh
        return False

    # -- keeping up ---------------------------------------------------------------------------

    def _join(self, parts: Iterable[PartId]) -> None:
        """Merge what has come on by the joints that hold and are tight already."""
        table = self.fastenings.joints_of
        for joint in dict.fromkeys(joint for part in parts for joint in table.get(part, ())):
            if self.holds(joint):
                self._hold(self.held_by, joint)
            if self.is_tight(joint):
                self._hold(self.tight, joint)

    def _hold(self, lumps: Lumps, joint: JointId) -> None:
        lumps.merge(part for part in self.fastenings.parts_of[joint] if part in self.on)

    def _turn(self, number: int) -> None:
        """Mind where a temporary support begins or ends to bear."""
        turned = False
        for at, (_, steps) in enumerate(self.fastenings.temporary):
            if number in steps:
                self._bearing[at] += 1
                turned = True
        if turned:
            self._borne = [
                part
                for at, (part, steps) in enumerate(self.fastenings.temporary)
                if 0 < self._bearing[at] < len(steps)
            ]
            self._look_anew()

    def _look_anew(self) -> None:
        self.turns += 1
        self.in_air = self._air_of(self.on)

    def _air_of(self, parts: Iterable[PartId]) -> set[PartId]:
        place, bit = self.fastenings.place, self.bit
        return {part for part in parts if place[part] & bit and not self.is_held(part)}
