"""Search for the shortest schedule of a site, with a bound; it may be stopped.

First schedules made forward in time (`crews`); then CP-SAT with crews as a whole (`site_exact`):
for a while for schedules shorter than the best known only, where windows are narrow and proofs
short; then from the best known on, which it mends bit by bit. Only if what that finds lacks
people, person by person.
"""

from dataclasses import dataclass
from itertools import count

from putback.progress import NoProgress, Progress
from putback.solvers.schedule.allowance import Allowance
from putback.solvers.schedule.crews import Forward, Staffed, staff
from putback.solvers.schedule.site import Site, least_time
from putback.solvers.schedule.site_exact import Model, staff_exactly

_FIRST_SHARE, _AGAIN_SHARE = 0.2, 0.5
"""Of the time that is left, for schedules made forward: at first, and if people are lacking."""
_PER_JOB = 2e-5
"""The work of making a schedule forward, for each job in it."""
_LUCK = (0.0, 0.1, 0.05, 0.2, 0.1, 0.5)
_PEOPLE_SHARE = 0.1
"""Of the time that is left, for an exact search for people."""
_FOLLOWED = 100
"""How many are made in about the order of a schedule that lacks people."""
_WHOLE_SHARE = 0.6
"""Of the time that is left, what crews as a whole get if nobody could be found for a schedule."""
_TIGHT_SHARE = 0.3
"""Of the time that is left, what the search has that knows no schedule as short as it wants."""


@dataclass(frozen=True, slots=True)
class Timetable:
    """The best that is known; `plan` is None where none was found."""

    plan: Staffed | None
    bound: int
    """No schedule ends sooner; above the horizon where there is none at all."""

    @property
    def optimal(self) -> bool:
        """Whether no schedule ends sooner."""
        return self.plan is not None and self.plan.ends <= self.bound


class SiteSearch:
    """A search that knows the best so far at any moment."""

    def __init__(self, site: Site, seed: int = 1, known: Staffed | None = None) -> None:
        """Begin with what needs no search: the bound, and a schedule if one is known.

        Raises
        ------
        Circular
            If jobs wait for one another in a circle.
        """
        self._site, self._seed = site, seed
        self._plan = known
        self._bound = least_time(site)
        self._unstaffed: tuple[int, ...] | None = None
        self._forward = Forward(site, seed)
        self._per_made = _PER_JOB * len(site.jobs)

    @property
    def best(self) -> Timetable:
        """The best so far."""
        return Timetable(self._plan, self._bound)

    def run(
        self,
        work: float | None = None,
        *,
        seconds: float | None = None,
        progress: Progress = NoProgress(),
    ) -> Timetable:
        """Search until the best is proved, so much work is done, or so long [s].

        The same seed and work give the same schedule, unless the time was over before.

        Parameters
        ----------
        work : float, optional
            As `Choice.solve` counts it, on one core.
        seconds : float, optional
            When to end, from now, [s]. Without it and without work, after five.

        Raises
        ------
        Stopped
            If `progress` wants the search to end; `best` is what was found until then.
        """
        allowed = Allowance(work, 5.0 if work is None and seconds is None else seconds)
        self._go_forward(allowed.share(_FIRST_SHARE), progress)
        while not self._settled() and not allowed.is_over:
            self._unstaffed = None
            self._as_a_whole(allowed, progress)
            if self._settled() or self._unstaffed is None:
                break
            if not self._find_people(self._unstaffed, allowed, progress):
                self._go_forward(allowed.share(_AGAIN_SHARE), progress)
                self._person_by_person(allowed, progress)
                break
        return self.best

    def _find_people(
        self, starts: tuple[int, ...], allowed: Allowance, progress: Progress
    ) -> bool:
        """Find people for a schedule or one like it; say whether that made the best shorter."""
        known = self._most()
        self._offer(staff_exactly(self._site, starts, allowed.share(_PEOPLE_SHARE), progress))
        for number in range(_FOLLOWED):
            if self._settled() or allowed.is_over:
                break
            progress.step(0, None, "looking for people")
            allowed.spend(self._per_made)
            self._offer(self._forward.follow(starts, number / 10))
        return self._most() < known

    def _go_forward(self, allowed: Allowance, progress: Progress) -> None:
        """Make schedules forward in time, each with other luck; one in any case."""
        for number in count():
            if self._settled() or (number and allowed.is_over):
                return
            progress.step(0, None, "making schedules")
            allowed.spend(self._per_made)
            self._offer(self._forward.make(_LUCK[number % len(_LUCK)]))

    def _as_a_whole(self, allowed: Allowance, progress: Progress) -> None:
        """Search with crews as a whole; keep the best schedule that nobody was found for."""
        for shorter_only in (True, False):
            if self._settled() or self._unstaffed is not None:
                return
            known = self._plan
            most = self._most() if known is None or shorter_only else known.ends
            model = Model(self._site, self._bound, most, by_person=False)
            if model.possible and known is not None:
                model.hint(known.starts)
            share = _WHOLE_SHARE if known is None else _TIGHT_SHARE if shorter_only else 1.0
            result = model.run(allowed.share(share), self._seed, progress, self._meet)
            self._bound = max(self._bound, result.bound)

    def _meet(self, starts: tuple[int, ...]) -> None:
        """Take a schedule of crews as a whole, if people are found for it."""
        found = staff(self._site, starts)
        if found is None:
            self._unstaffed = starts
        elif self._plan is None or found.ends < self._plan.ends:
            self._plan, self._unstaffed = found, None

    def _person_by_person(self, allowed: Allowance, progress: Progress) -> None:
        """Search for what everybody does; only schedules shorter than the best."""
        if self._settled():
            return
        model = Model(self._site, self._bound, self._most(), by_person=True)
        if model.possible and self._plan is not None:
            model.hint(self._plan.starts)
        result = model.run(allowed, self._seed, progress, lambda _: None)
        self._bound = max(self._bound, result.bound)
        if result.starts is not None:
            ends = self._site.ends(result.starts)
            self._offer(Staffed(result.starts, model.people(), ends))

    def _most(self) -> int:
        """When a schedule that is sought ends at the latest."""
        return self._site.horizon if self._plan is None else self._plan.ends - 1

    def _settled(self) -> bool:
        known = self._site.horizon + 1 if self._plan is None else self._plan.ends
        return self._bound >= known

    def _offer(self, plan: Staffed | None) -> None:
        if plan is not None and (self._plan is None or plan.ends < self._plan.ends):
            self._plan = plan
