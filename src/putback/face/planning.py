"""What can be asked of one vehicle about its plans, as methods of its logbook."""

from abc import ABC, abstractmethod
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING

from putback.logbook.entries.base import LogbookId
from putback.logbook.state import State
from putback.vehicle.ids import PartId, Ref, StandingId
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.saying.names import find, find_subject

if TYPE_CHECKING:
    from putback.planning.ahead import LookAhead
    from putback.planning.alternatives import Alternative
    from putback.planning.balance import Balance
    from putback.planning.balance_over import StepBalance
    from putback.planning.held.telling import Drop
    from putback.planning.not_now import Cost
    from putback.planning.plan import Plan, Step
    from putback.planning.reach import Reach
    from putback.planning.rebuild import OpenFinal, ToHave, Unseen, UsedUp
    from putback.planning.stretch import BestStretch
    from putback.planning.ties import Ties
    from putback.planning.why import Asked
    from putback.workshop.now.pack_up import PackUp
    from putback.workshop.plans.at_hand import AtHand
    from putback.workshop.plans.calendar import Calendar
    from putback.workshop.plans.plans import Continued
    from putback.workshop.plans.wishes import Wishes


@dataclass(frozen=True, slots=True)
class Book:
    """A logbook, and the workshop that keeps it."""

    workshop: Workshop
    logbook: LogbookId

    def state(self) -> State:
        """Tell where every part and fastener is now."""
        return in_its_garage(self.workshop, self.logbook)


class PlanQuestions(ABC):
    """The questions about plans of whatever has a logbook."""

    __slots__ = ()

    @property
    @abstractmethod
    def book(self) -> Book:
        """The logbook that is asked, and its workshop."""

    def reach(self, named: str) -> "Reach":
        """Find the least work that gets at a part, joint or assembly, or lets a job be done.

        Raises
        ------
        ImpossibleGoal
            If it cannot be reached; names the facts.
        """
        from putback.planning.reach import reach  # loads the solver

        state = self.book.state()
        return reach(state.vehicle, state, Ref(find_subject(state, named)))

    def ties(self, *lift: str, apart_from: Sequence[str] = ()) -> "Ties":
        """Find what still ties parts or assemblies before they are lifted, and what goes along.

        Parameters
        ----------
        *lift : str
            What is lifted together, as a person calls it.
        apart_from : sequence of str, optional
            The parts it is lifted off; else the one that the goals are about.

        Raises
        ------
        BadInput
            If all of it is off already, or nothing is left to lift it off.
        """
        from putback.planning.ties import ties  # what only this asks for

        state = self.book.state()
        refs = [Ref(find_subject(state, each, ("part", "assembly"))) for each in lift]
        rest = [PartId(find(state, "part", each)) for each in apart_from]
        return ties(state.vehicle, state, *refs, apart_from=rest)

    def drops(self, named: str) -> "tuple[Drop, ...]":
        """Say what a joint, or each joint that holds a part or assembly, lets go."""
        from putback.planning.drops import drops_at

        state = self.book.state()
        what = Ref(find_subject(state, named, ("joint", "part", "assembly")))
        return drops_at(state.vehicle, state, what)

    def why_before(self, first: str, then: str) -> "Asked":
        """Say by which facts one thing comes before another in every plan, and what would free it.

        Where no fact does, what of cost puts it first in the plan to the goal in hand.

        Raises
        ------
        BadInput
            If one of them is not in the plan, or both are the same.
        ImpossibleGoal
            If there is no plan; names the facts.
        """
        from putback.planning.why import why_before  # loads the solver

        state = self.book.state()
        one, other = (Ref(find_subject(state, each)) for each in (first, then))
        work = self._at_hand(None)
        return why_before(
            state.vehicle, state, work.plan, work.goal, one, other, settings=work.settings
        )

    def strip(self, goal: str | None = None) -> "Plan":
        """Plan the strip to a goal, by its name; else to the first that is not reached yet.

        Raises
        ------
        BadInput
            If no goal is described.
        ImpossibleGoal
            If facts and goal contradict each other; names the facts.
        """
        from putback.planning.strip import plan_strip  # loads the solver
        from putback.workshop.plans.plans import goal_called, settings_of_today

        state = self.book.state()
        wanted, settings = goal_called(state, goal), settings_of_today(self.book.workshop)
        return plan_strip(state.vehicle, state, wanted, settings)

    def follow(self, goal: str | None = None, *, afresh: bool = False) -> "Continued":
        """Plan the strip close to the plan last followed; say what changed. *Afresh* forgets it.

        Raises as `strip` does.
        """
        from putback.workshop.plans.plans import follow, goal_called  # loads the solver

        wanted = goal_called(self.book.state(), goal)
        return follow(self.book.workshop, self.book.logbook, wanted, afresh=afresh)

    def alternatives(self, goal: str | None = None) -> "tuple[Alternative, ...]":
        """Give up to three plans that differ from the one followed in what people care about."""
        from putback.workshop.plans.plans import alternatives, goal_called  # loads the solver

        return alternatives(
            self.book.workshop, self.book.logbook, goal_called(self.book.state(), goal)
        )

    def pin(self, plan: "Plan") -> None:
        """Follow this plan from now on, whatever a fresh one would save; nothing is logged."""
        from putback.workshop.plans.plans import pin  # loads the solver

        pin(self.book.workshop, self.book.logbook, plan)

    def cost_of_putting_off(self, named: str, goal: str | None = None) -> "Cost":
        """Say what it costs to put a joint, part, assembly or job off; nothing is logged.

        Of the strip to a goal, or of the rebuild where that is in hand and no goal is named.
        """
        from putback.workshop.plans.how_far import Way, how_far
        from putback.workshop.plans.plans import (  # loads the solver
            cost_of_putting_off,
            goal_called,
        )

        state = self.book.state()
        what = Ref(find_subject(state, named, ("part", "joint", "job", "assembly")))
        rebuilding = goal is None and how_far(state).way is Way.REBUILD
        wanted = None if rebuilding else goal_called(state, goal)
        return cost_of_putting_off(self.book.workshop, self.book.logbook, wanted, what)

    def balance(self, standing: str | None = None) -> "Balance":
        """Work out mass, centre of gravity, loads and margin, as it stands or in a standing."""
        from putback.planning.balance import balance

        state = self.book.state()
        stood = StandingId(find(state, "standing", standing)) if standing else None
        return balance(state.vehicle, state, stood or state.standing.standing)

    def balance_over(self, plan: "Plan") -> "tuple[StepBalance, ...]":
        """Work out the balance after every step of a plan that begins now."""
        from putback.planning.balance_over import balance_over

        state = self.book.state()
        return balance_over(state.vehicle, state, plan)

    def rebuild(self) -> "Plan":
        """Plan how everything that is off goes back.

        Raises
        ------
        ImpossibleGoal
            If the facts of the rebuild contradict each other; names them.
        """
        from putback.planning.rebuild import plan_rebuild  # loads the solver
        from putback.workshop.plans.plans import settings_of_today

        state = self.book.state()
        return plan_rebuild(state.vehicle, state, settings_of_today(self.book.workshop))

    def follow_rebuild(self, *, afresh: bool = False) -> "Continued":
        """Plan the rebuild close to the plan last followed; say what changed. *Afresh* forgets it.

        Raises as `rebuild` does.
        """
        from putback.workshop.plans.plans import follow_rebuild  # loads the solver

        return follow_rebuild(self.book.workshop, self.book.logbook, afresh=afresh)

    def rebuild_as_far_as(self, named: str, plan: "Plan | None" = None) -> "tuple[Step, ...]":
        """Give the first steps of the rebuild: to the end of a stage, or until a thing is back on.

        Of the plan given, else of the one followed; nothing if no step leads there.

        Raises
        ------
        NotFound
            If no stage of the plan, assembly or part is called so.
        """
        from putback.workshop.plans.as_far_as import as_far_as, end_called

        state = self.book.state()
        steps = (plan or self.follow_rebuild().plan.plan).steps
        return as_far_as(state, steps, end_called(state, steps, named).id)

    def rebuild_alternatives(self) -> "tuple[Alternative, ...]":
        """Give up to three other orders of the rebuild; `pin` follows the plan of one."""
        from putback.workshop.plans.plans import alternatives_of_rebuild  # loads the solver

        return alternatives_of_rebuild(self.book.workshop, self.book.logbook)

    def finals(self) -> "tuple[OpenFinal, ...]":
        """List the joints not tightened for good yet: what is nipped first, then what is apart."""
        from putback.planning.rebuild import open_finals  # loads the solver

        state = self.book.state()
        return open_finals(state.vehicle, state)

    def to_have(self, plan: "Plan | None" = None) -> "tuple[ToHave, ...]":
        """List by specification what a rebuild wants new, what is to buy first; its plan if given.

        Raises as `rebuild` does.
        """
        from putback.planning.rebuild import to_have  # loads the solver

        return to_have(plan or self.rebuild(), self.book.state())

    def used_up(self, plan: "Plan | None" = None) -> "tuple[UsedUp, ...]":
        """List the grease, sealant and the like that a rebuild takes; its plan if given.

        Raises as `rebuild` does.
        """
        from putback.planning.rebuild import used_up  # loads the solver

        return used_up(plan or self.rebuild(), self.book.state())

    def hands(self) -> "tuple[Unseen, ...]":
        """List the parts to lay hands on before the rebuild, place by place."""
        from putback.planning.rebuild import unseen  # loads the solver

        state = self.book.state()
        return unseen(state.vehicle, state, self.book.workshop.clock.now().date())

    def ahead(
        self,
        goal: str | None = None,
        *,
        sittings: int | None = None,
        days: float | None = None,
        everything: bool = False,
    ) -> "LookAhead":
        """Say what to do now for later jobs: soak, order, borrow, ask people, decide, measure.

        ``sittings`` and ``days`` of work say how far to look, ``everything`` to the end.
        """
        from putback.planning.ahead import Horizon, look_ahead

        state = self.book.state()
        plan = self._at_hand(goal).plan
        return look_ahead(state.vehicle, state, plan, Horizon(sittings, days, everything))

    def stretch(
        self, minutes: float, *, people: int | None = None, goal: str | None = None
    ) -> "BestStretch":
        """Find what of the plan to do in so many minutes, so that it ends closed and safe.

        ``people`` are all who are there; as many as it takes where not given.
        """
        from putback.planning.stretch import best_stretch

        state = self.book.state()
        work = self._at_hand(goal)
        return best_stretch(
            state.vehicle, state, work.plan, minutes, people=people, settings=work.settings
        )

    def calendar(
        self,
        wishes: "Wishes | None" = None,
        *,
        goal: str | None = None,
        rebuild: bool = False,
        runs: int | None = None,
    ) -> "Calendar":
        """Put the plan at hand on the calendar; with ``runs`` say when it will be done.

        Without ``wishes`` those work who are kept with the vehicle.

        Raises as `strip` does, and `BadInput` for hours, people, skills or days that cannot be
        read, or a skill that no work here wants.
        """
        from putback.workshop.plans.calendar import calendar  # loads the solver
        from putback.workshop.plans.plans import goal_called
        from putback.workshop.plans.wishes import check_skills

        wanted = goal_called(self.book.state(), goal) if goal is not None else None
        book = self.book
        if wishes is not None:
            check_skills(book.state().vehicle, wishes)
        return calendar(
            book.workshop, book.logbook, wishes, goal=wanted, rebuild=rebuild, runs=runs
        )

    def pack_up(self, now: datetime | None = None) -> "PackUp":
        """List what is to be done before anybody goes home, dangers first."""
        from putback.workshop.now.pack_up import pack_up

        return pack_up(self.book.workshop, self.book.logbook, now)

    def _at_hand(self, goal: str | None) -> "AtHand":
        from putback.workshop.plans.at_hand import plan_at_hand  # loads the solver
        from putback.workshop.plans.plans import goal_called

        wanted = goal_called(self.book.state(), goal) if goal is not None else None
        return plan_at_hand(self.book.workshop, self.book.logbook, wanted)
