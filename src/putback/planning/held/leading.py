"""Whither each part leads: one way to a goal kept for each, and mended where it broke.

A way is looked at when it is asked for. Where it is broken, the search goes on from part to part
until it meets the way of another that is whole; from then on that is the way. So an answer usually
costs the few joints of one way, and all that came away is looked at only where something does.
What is never made again and never put back makes that right: ways only become fewer.
"""

from collections.abc import Sequence

Way = tuple[int, int]
"""A joint and the part it leads to."""

Ways = tuple[tuple[Way, ...], ...]
"""For each part its stiff joints."""


class Leading:
    """By which joint each part leads to a goal, and to which part next, if it does."""

    __slots__ = ("_of", "_up", "goal", "lost")

    def __init__(self, goal: frozenset[int], of: Ways, straight: Sequence[Way | None]) -> None:
        """Begin with the straight ways to a goal; a part of the goal has none."""
        self.goal = goal
        self._of = of
        self._up = list(straight)
        self.lost: frozenset[int] = frozenset()
        """Parts that are known to lead to no goal any more."""

    def copy(self) -> "Leading":
        """Make a copy that goes its own way."""
        twin = object.__new__(Leading)
        twin.goal = self.goal
        twin._of = self._of
        twin._up = self._up.copy()
        twin.lost = self.lost
        return twin

    def lead_to(self, goal: frozenset[int]) -> None:
        """Let the goal be another, with the ways as far as they are known."""
        for part in goal - self.goal:
            self._up[part] = None
            self.lost = frozenset()
        self.goal = goal

    def end_of(
        self, part: int, made: bytearray, on: bytearray, without: Sequence[int] = ()
    ) -> int | set[int]:
        """The part of the goal to which a part leads; else all that it is joined with.

        Parameters
        ----------
        part : int
            Which; that it is on is taken for granted.
        made, on : bytearray
            Which joints hold, and which parts are on.
        without : sequence of int
            Joints that are thought undone.
        """
        goal, up, at = self.goal, self._up, part
        while at not in goal:
            way = up[at]
            if way is None:
                return self._mend(part, made, on, without)
            joint, at = way
            if not made[joint] or not on[at] or joint in without:
                return self._mend(part, made, on, without)
        return at

    def way_of(
        self, part: int, made: bytearray, on: bytearray, without: Sequence[int]
    ) -> list[int]:
        """The joints of one way by which a part leads to the goal; none where there is none."""
        joints = []
        if isinstance(self.end_of(part, made, on, without), int):
            while part not in self.goal and (way := self._up[part]) is not None:
                joint, part = way
                joints.append(joint)
        return joints

    def _mend(
        self, part: int, made: bytearray, on: bytearray, without: Sequence[int]
    ) -> int | set[int]:
        """Find another way, and keep it."""
        goal, up, of = self.goal, self._up, self._of
        came: dict[int, tuple[int, Way]] = {}
        lost = {part}
        """What is known to lead nowhere by its way, which ends where something holds no more."""
        seen, todo = {part}, [part]
        for here in todo:
            for way in of[here]:
                joint, other = way
                if not made[joint] or other in seen or not on[other] or joint in without:
                    continue
                came[other] = here, way
                at = other
                while at not in lost:
                    if at in goal:
                        while other in came:
                            other, up[other] = came[other]
                        return at
                    lost.add(at)
                    further = up[at]
                    if further is None:
                        break
                    joint, at = further
                    if not made[joint] or not on[at] or joint in without:
                        break
                seen.add(other)
                todo.append(other)
        return seen
