"""Put the steps in order along another order, by all the rules, and learn from what may not be.

An order that keeps plain precedence may still leave something in the air, or tighten what is to
be loose. So the steps are scheduled anew, of those that the rules allow always the one that comes
first in the order given. Where that had to wait, what was done before it is a lesson.
"""

from collections.abc import Collection, Sequence
from typing import NamedTuple

from putback.planning.held.lifting import Lifting
from putback.planning.ordering.items import Change, Lesson
from putback.planning.rebuild.hands import Keep
from putback.planning.rebuild.network import Network
from putback.planning.rebuild.order import Scheduling, Steps, Thumb
from putback.planning.rebuild.pays import PAYS
from putback.planning.rebuild.placed import Choice
from putback.vehicle.ids import StandingId


class Aim(NamedTuple):
    """A step by number as an order wants it: how the vehicle stands, and since which change."""

    node: int
    standing: StandingId | None
    bout: int


class Along(Scheduling):
    """One scheduling along an order that is wanted, of all steps."""

    def __init__(self, network: Network, aims: Sequence[Aim], lifting: Lifting) -> None:
        # The rules of thumb are asked only where nothing that is left may be done as it is wanted.
        super().__init__(network, Thumb(PAYS[0], Keep.TOOL), lifting)
        self.aims = aims
        self.aim = {aim.node: aim for aim in aims}
        self.wanted_at = {aim.node: at for at, aim in enumerate(aims)}
        self.next_at = 0
        """Where the first step stands that is not done yet."""
        self.bout = 0
        """How many changes of standing the order has come past."""
        self.lessons: dict[Lesson, None] = {}
        self.last_bout = aims[-1].bout
        self.passed_by: set[int] = set()
        """Steps that were wanted, and had to wait until now."""

    def _first_standing(self) -> StandingId:
        return self.aims[0].standing or super()._first_standing()

    def _here(self, steps: Collection[int]) -> Choice | None:
        node = self._first_of(steps, self.standing)
        return None if node is None else Choice(node, self.standing, 0.0)

    def _anywhere(self, late: bool) -> Choice | None:
        """Do what is wanted first; for that the standing changes, if it is time to."""
        if wanted := self._wanted():
            near = self._due(self.all_ready & (self.passed_by | {wanted.node}))
            if choice := self._here(self._open(near, late, self.standing)):
                return choice
        here = self._due(self._open(self.all_ready, late, self.standing))
        return self._here(here) or self._going_on(late) or super()._anywhere(late)

    def _due(self, steps: Steps) -> Steps:
        """Of some steps those that are wanted as it stands, or were before."""
        return {node for node in steps if self.aim[node].bout <= self.bout}

    def _going_on(self, late: bool) -> Choice | None:
        """What is wanted first of all that any standing allows, as it is wanted or overdue."""
        found: tuple[int, Choice] | None = None
        for standing, minutes in self._ways().items():
            steps = [
                node
                for node in self._open(self.all_ready, late, standing)
                if self.aim[node].standing == standing or self.aim[node].bout < self.bout
            ]
            node = self._first_of(steps, standing)
            if node is not None and (found is None or self.wanted_at[node] < found[0]):
                found = self.wanted_at[node], Choice(node, standing, minutes)
        return found[1] if found else None

    def _first_of(self, steps: Collection[int], standing: StandingId | None) -> int | None:
        """The step that is wanted first, of those that go on."""
        by_place = sorted(steps, key=self.wanted_at.__getitem__)
        return next((node for node in by_place if self._goes_on(node, standing)), None)

    def _wanted(self) -> Aim | None:
        """The first step that is neither done nor passed by."""
        while self.next_at < len(self.aims):
            node = self.aims[self.next_at].node
            if not self.done >> node & 1 and node not in self.passed_by:
                return self.aims[self.next_at]
            self.next_at += 1
        return None

    def _place(self, choice: Choice) -> None:
        wanted = self._wanted()
        if wanted and wanted.node != choice.node and choice.node not in self.passed_by:
            self.passed_by.add(wanted.node)
            self._learn(wanted, choice)
        if choice.standing != self.standing:
            self._learn_to_leave()
        self.passed_by.discard(choice.node)
        if self.aim[choice.node].standing == choice.standing:
            self.bout = max(self.bout, self.aim[choice.node].bout)
        super()._place(choice)

    def _learn(self, wanted: Aim, choice: Choice) -> None:
        """Learn what comes before steps that have to wait, or before the change that is wanted."""
        if wanted.node in self.loose:
            for making in self.loose[wanted.node]:
                for tightened in self.held_by[making]:
                    self.lessons[Lesson(tightened, (making,))] = None
        elif choice.standing == self.standing and wanted.bout > self.bout:
            self.lessons[Lesson(Change(wanted.bout), (choice.node,))] = None
        else:
            self.lessons[Lesson(wanted.node, (choice.node,))] = None

    def _learn_to_leave(self) -> None:
        """Learn that what could not be done as it stood waits for the next change."""
        for node in sorted(self.passed_by):
            if self.aim[node].bout == self.bout < self.last_bout:
                self.lessons[Lesson(node, (Change(self.bout + 1),))] = None
