"""What holds what up: the joints that still hold, as a graph to what the vehicle stands on.

The words are those of *What holds what up* in ``docs/planning-rules.md``: a joint of which a part
is a run (pipe, hose, cable, loom) holds loosely, and so does one of ends alone (clips, plugs), any
other stiffly; a part is held if stiff joints lead from it to one that a support bears on. `Links`
is what was made at the start, by numbers; `Hold` is what is left of it, small enough to be copied
for every thing that a search tries.
"""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass
from typing import NamedTuple

from putback.planning.held.leading import Leading, Ways
from putback.vehicle.ids import JointId, PartId, StandingId
from putback.vehicle.vehicle import Vehicle


@dataclass(frozen=True, slots=True)
class OnRun:
    """A run that something hangs on: its joints with what hangs, and all its others.

    ``None`` for the run where nobody described one: it is all in a joint.
    """

    run: int | None
    near: tuple[int, ...]
    far: tuple[int, ...]


class Tie(NamedTuple):
    """A run, and its joints with what may hang on it; ``None`` where it is all in a joint."""

    run: int | None
    near: tuple[int, ...]


class Links:
    """The joints that held at the start, and the parts that were on, by numbers."""

    def __init__(
        self, vehicle: Vehicle, made: Iterable[JointId], off: Collection[PartId] = ()
    ) -> None:
        """Read the joints; what is ``off`` holds nothing."""
        self.joints = tuple(made)
        self.joint_at = {joint: at for at, joint in enumerate(self.joints)}
        named = (part for joint in self.joints for part in vehicle.joints[joint].parts)
        self.parts = tuple(dict.fromkeys(named))
        self.part_at = {part: at for at, part in enumerate(self.parts)}
        self.on = bytes(part not in off for part in self.parts)
        self.is_run = bytes(part in vehicle.loose.runs for part in self.parts)
        self.parts_of = tuple(
            tuple(self.part_at[part] for part in vehicle.joints[joint].parts)
            for joint in self.joints
        )
        self.is_loose = bytes(joint in vehicle.loose.joints for joint in self.joints)
        stiff: list[list[tuple[int, int]]] = [[] for _ in self.parts]
        loose: list[list[int]] = [[] for _ in self.parts]
        for joint, parts in enumerate(self.parts_of):
            for part in dict.fromkeys(parts):
                if self.is_loose[joint]:
                    loose[part].append(joint)
                else:
                    stiff[part] += [(joint, other) for other in parts if other != part]
        self.stiff_of: Ways = tuple(map(tuple, stiff))
        self.loose_of = tuple(map(tuple, loose))
        self.on_runs = frozenset(part for part, joints in enumerate(loose) if joints)
        """The parts of which a joint held loosely."""
        self._leading: dict[frozenset[int], Leading] = {}
        self._under = {
            standing.id: self.numbers(
                each.bears_on for each in standing.supports if not each.beside
            )
            for standing in vehicle.standings.values()
        }

    def numbers(self, parts: Iterable[PartId]) -> frozenset[int]:
        """The numbers of those parts that have joints."""
        return frozenset(self.part_at[part] for part in parts if part in self.part_at)

    def under(self, standing: StandingId | None) -> frozenset[int]:
        """The parts that the supports of a standing bear on."""
        return self._under.get(standing, frozenset()) if standing is not None else frozenset()

    def leading_to(self, goal: frozenset[int]) -> Leading:
        """Lead each part to the nearest of a goal, as all was at the start."""
        found = self._leading.get(goal)
        if found is None:
            found = self._leading[goal] = self._straight_to(goal)
        return found.copy()

    def _straight_to(self, goal: frozenset[int]) -> Leading:
        """Sort the neighbours of each part, the nearest to the goal first."""
        far = len(self.parts)
        level = dict.fromkeys(goal, 0)
        queue = list(goal)
        for part in queue:
            for _, other in self.stiff_of[part]:
                if other not in level:
                    level[other] = level[part] + 1
                    queue.append(other)
        of = tuple(
            tuple(sorted(these, key=lambda way: level.get(way[1], far))) for these in self.stiff_of
        )
        straight = [
            these[0] if these and level.get(these[0][1], far) < level.get(part, far) else None
            for part, these in enumerate(of)
        ]
        return Leading(goal, of, straight)


class Hold:
    """Which joints still hold, which parts are on, and what all of it rests on."""

    __slots__ = ("_borne", "_leading", "_leading_to", "ground", "links", "made", "on")

    def __init__(self, links: Links) -> None:
        """Begin as it was at the start, resting on nothing yet."""
        self.links = links
        self.made = bytearray(b"\1") * len(links.joints)
        self.on = bytearray(links.on)
        self.ground: frozenset[int] = frozenset()
        self._borne: frozenset[int] = frozenset()
        self._leading = links.leading_to(self.ground)
        """Whither each part leads: to the ground and to what is borne."""
        self._leading_to: dict[int, Leading] = {}
        """The same for one part as the goal."""

    def copy(self) -> "Hold":
        """Make a copy to try something on."""
        twin = object.__new__(Hold)
        twin.links = self.links
        twin.made = self.made[:]
        twin.on = self.on[:]
        twin.ground = self.ground
        twin._borne = self._borne
        twin._leading = self._leading.copy()
        twin._leading_to = {part: each.copy() for part, each in self._leading_to.items()}
        return twin

    @property
    def borne(self) -> frozenset[int]:
        """What temporary supports bear on."""
        return self._borne

    @borne.setter
    def borne(self, parts: frozenset[int]) -> None:
        self._borne = parts
        self._leading.lead_to(self.ground | parts)

    def rest_on(self, parts: frozenset[int]) -> None:
        """Let it rest on these parts."""
        self.ground = parts
        self._leading = self.links.leading_to(parts)
        self._leading.lead_to(parts | self._borne)

    def undo(self, joint: JointId) -> None:
        """A joint holds no more."""
        at = self.links.joint_at.get(joint)
        if at is not None:
            self.made[at] = 0

    def take_off(self, parts: Iterable[PartId]) -> None:
        """Parts are off."""
        for part in parts:
            at = self.links.part_at.get(part)
            if at is not None:
                self.on[at] = 0

    # -- what holds it -----------------------------------------------------------------------

    def unheld(self, part: int, *without: int) -> set[int] | None:
        """All that stiff joints still hold together with a part; ``None`` if that is held.

        ``without`` are joints that are thought undone.
        """
        end = self._leading.end_of(part, self.made, self.on, without)
        if isinstance(end, int):
            return None
        if not without:
            self._leading.lost |= end
        return end

    def apart(self, part: int, other: int, *without: int) -> set[int] | None:
        """All that is stiffly joined to a part; ``None`` if another is among it."""
        leading = self._leading_to.get(other)
        if leading is None:
            leading = self._leading_to[other] = self.links.leading_to(frozenset({other}))
        end = leading.end_of(part, self.made, self.on, without)
        return None if isinstance(end, int) else end

    def is_held(self, part: int, *without: int) -> bool:
        """Whether stiff joints lead from a part to the ground."""
        return part not in self._leading.lost and self.unheld(part, *without) is None

    def lets_go(self, joint: int) -> list[set[int]]:
        """Give what comes away if a joint is undone now: in pieces, each one piece still."""
        return self.parted_by(joint)[0]

    def parted_by(self, joint: int) -> tuple[list[set[int]], bool]:
        """Give what comes away, and whether all that does not is surely one still.

        That is sure where all parts of the joint lead to one and the same part on the ground, and
        where none of them is held.
        """
        parts, leading = self.links.parts_of[joint], self._leading
        if self.links.is_loose[joint] or not self.made[joint]:
            return [], True
        end_of, made, on, without = leading.end_of, self.made, self.on, (joint,)
        pieces: list[set[int]] = []
        ends = set[int]()
        for part in parts:
            if on[part] and not (pieces and any(part in piece for piece in pieces)):
                if part in leading.lost:
                    return [], True
                end = end_of(part, made, on, without)
                if isinstance(end, int):
                    ends.add(end)
                else:
                    pieces.append(end)
        if not ends:
            leading.lost = leading.lost.union(*pieces)
            return [], True
        return pieces, len(ends) == 1

    def hangs_on(self, piece: Collection[int], *without: int) -> list[OnRun]:
        """Give the runs by which something that is not held still hangs on what is."""
        return [
            OnRun(tie.run, tie.near, self.far_ends(tie))
            for tie in self.ties(piece, without)
            if self.leads_up(tie, piece, without)
        ]

    def ties(self, piece: Collection[int], without: tuple[int, ...]) -> list[Tie]:
        """Give the runs that are joined to a piece, whether or not they lead to what is held.

        A joint that holds loosely and has no run in it is one by itself.
        """
        links = self.links
        near: dict[int, list[int]] = {}
        bare = dict[int, None]()
        for part in sorted(links.on_runs.intersection(piece)):
            for joint in links.loose_of[part]:
                if self.made[joint] and joint not in without:
                    runs = [p for p in links.parts_of[joint] if links.is_run[p]]
                    if not runs:
                        bare[joint] = None
                    runs = [run for run in runs if run not in piece]
                    for run in [p for p in runs if self.on[p]] or runs:
                        near.setdefault(run, []).append(joint)
        ties = [Tie(run, tuple(dict.fromkeys(joints))) for run, joints in near.items()]
        return ties + [Tie(None, (joint,)) for joint in bare]

    def far_ends(self, tie: Tie) -> tuple[int, ...]:
        """Give the other joints of a run; one that is off itself, or in a joint, has none."""
        if tie.run is None or not self.on[tie.run]:
            return ()
        return tuple(
            joint
            for joint in self.links.loose_of[tie.run]
            if self.made[joint] and joint not in tie.near and self._joins_on(joint, tie.run)
        )

    def _joins_on(self, joint: int, run: int) -> bool:
        return any(part != run and self.on[part] for part in self.links.parts_of[joint])

    def leads_up(self, tie: Tie, piece: Collection[int], without: tuple[int, ...]) -> bool:
        """Whether joints of any sort lead from a tie to something held, past what hangs."""
        if tie.run is not None and self.on[tie.run]:
            queue = [tie.run]
        else:  # what its joints still tie together, though it is off, or was never described
            ends = (part for joint in tie.near for part in self.links.parts_of[joint])
            queue = [part for part in ends if self.on[part] and part not in piece]
        seen = set(queue)
        for part in queue:
            if part in self._leading.goal:
                return True
            if not self.links.is_run[part] and self.is_held(part, *without):
                return True
            for other in self._next_to(part, without):
                if other not in seen and other not in piece:
                    seen.add(other)
                    queue.append(other)
        return False

    def _next_to(self, part: int, without: tuple[int, ...]) -> Iterator[int]:
        """The parts that joints of any sort join to a part."""
        for joint, other in self.links.stiff_of[part]:
            if self.made[joint] and joint not in without and self.on[other]:
                yield other
        for joint in self.links.loose_of[part]:
            if self.made[joint] and joint not in without:
                yield from (p for p in self.links.parts_of[joint] if p != part and self.on[p])

    def hinges(self, joint: int, part: int, one_fixing: Collection[int]) -> list[int]:
        """The joints that alone still hold a part once another is undone, and did not before.

        Only joints of ``one_fixing`` are asked for: on more than one nothing swings.
        """
        return [
            other
            for other in self._leading.way_of(part, self.made, self.on, (joint,))
            if other in one_fixing
            and not self.is_held(part, joint, other)
            and self.is_held(part, other)
        ]
