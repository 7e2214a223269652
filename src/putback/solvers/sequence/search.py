"""Search for a cheap order on two cores: with a bound, stoppable, and the same every time.

Work goes in rounds. In a round two things are done side by side: the best order is kicked and
mended (`exchange`); and beginnings are searched place by place (`beam`), then an order is annealed
from scratch (`anneal`) and what is known by then is put together: the cheapest order over the arcs
of the good ones is looked for (`beam` again; W. Cook and P. Seymour, *Tour merging via
branch-decomposition*, INFORMS J. Computing 15, 2003, do so for round trips). Each is strong where
the others are weak: kicks where precedence is loose, beams where it is dense, annealing between.

Where most items may follow most others and few pairs bind, or costs are the same both ways, kicks
are mended by chains (`chains`) as well. One side goes on with its own order all through and lets
ever less pass; the other kicks what it annealed, or the best where costs are the same both ways,
from a new heat in each round. There prices of items are put on all costs first (`trees`).

Large ones of these are like those without any precedence: there the other side begins with the
cheapest assignment, fines what is the wrong way round (`soften`), and then kicks the best that
either knows. Where hardly any precedence is left to mind it branches on the cheapest assignment
instead (`branch`), which mostly proves the best at once.

Parts are given so much *work*, which is counted and is about a microsecond a unit. Nothing passes
between the two sides within a round, so the same seed and work give the same order, however busy
the machine is.
"""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor, wait
from contextlib import suppress
from itertools import chain, repeat
from math import ceil
from threading import Event, Lock
from time import perf_counter

import numpy as np

from putback.errors import Stopped
from putback.progress import NoProgress, Progress
from putback.solvers.chance import chance_from
from putback.solvers.sequence.anneal import BREATH, anneal
from putback.solvers.sequence.assign import assign
from putback.solvers.sequence.beam import search_places
from putback.solvers.sequence.best import Best
from putback.solvers.sequence.branch import Branching
from putback.solvers.sequence.exchange import kick_and_mend, same_both_ways
from putback.solvers.sequence.problem import (
    Array,
    Sequencing,
    arcs_at_places,
    inner_pairs,
    is_loose,
    lists,
)
from putback.solvers.sequence.rates import (
    PER_ARC,
    PER_BRANCHED,
    PER_ITEM,
    PER_LINK,
    PER_LINK_AND_ITEM,
    PER_MOVE,
    PER_ROW,
    PER_SOFTENED,
    PER_WAY_ON,
    SPELL,
)
from putback.solvers.sequence.rounds import ROUNDS, Side
from putback.solvers.sequence.soften import count_wrong, put_right, soften
from putback.solvers.sequence.start import first_order, patched_order, promising_arcs, repriced
from putback.solvers.sequence.swaps import Run
from putback.solvers.sequence.walks import no_prizes, no_walks, raise_bound, walk_back

_LOOK_AROUND_S = 0.01
"""How often a running round looks whether somebody wants it to end [s]."""

_ENDING_S = 0.04
"""How long before the time is over a search is told to end [s]."""

_LEAST = 0.04
"""By the clock the last round is done again for what is left, if it is so much of all work [-]."""

_MOST_ROWS = 20_000_000
"""How many beginnings are remembered at most, of all lengths, so that memory suffices."""

_ARCS, _ARCS_WHERE_LOOSE, _ARCS_BOTH_WAYS = 10, 14, 16
"""How many arcs of an item are promising."""

_LARGE = 110
"""Loose problems of more items are searched in their own way, an assignment's prices taken off."""

_FEW = 0.75
"""Others are where they have fewer direct pairs an item; more bar what chains would bring."""

_KICKED_AT = 0.1
"""By how many mean arcs an order may get dearer by a kick, about."""

_KICKED_WHERE_LOOSE, _KICKED_BOTH_WAYS = (2.0, 0.1), (1.0, 0.3)
"""The same where ever less passes: when the first round begins, and when the last ends; where an
assignment's prices are taken off, and where costs are the same both ways.
"""

_SOFTENED_AT, _FINES = (0.3, 0.05), (0.5, 100.0)
"""Where softening begins and ends, and what a pair the wrong way round costs, in mean joints."""

_SOFTENED = 2
"""In so many rounds, the first, what breaks precedence is softened."""

_AGAIN_AT = (0.3, 0.05)
"""Where the kicks that follow softening begin and end in a round, in mean joints."""

_BRANCHED, _BRANCHED_PAIRS = 1_000, 30
"""With so many items and pairs that must come in order, at most, an assignment is branched on."""

_BRANCHED_AT = (3.0, 10.0, 2.0, 5.0)
"""What a pair the wrong way round counts there, by round, in mean arcs of the assignment."""

_LEAST_JOINT = 0.02
"""Where the circles of an assignment are joined for nothing, a joint counts so much an item."""


class _Enough(Exception):
    """The part of a round shall end now."""


class SequenceSearch:
    """A search that may be asked for the best so far at any moment, from any thread."""

    def __init__(self, problem: Sequencing, seed: int = 1) -> None:
        """Begin with the first order."""
        self._problem = problem
        self._seed = seed
        self._lock = Lock()
        self._enough = Event()
        both_ways = same_both_ways(problem)
        few = both_ways or len(inner_pairs(problem)) < _FEW * problem.size
        self._is_loose = is_loose(problem) and (few or problem.size > _LARGE)
        self._large_and_loose = problem.size > _LARGE and self._is_loose
        self._turns = both_ways and not self._large_and_loose
        self._prizes = no_prizes(problem.size)
        self._walks = no_walks(problem.size)
        self._loose, parts, bound = repriced(problem, self._is_loose, self._turns)
        """What is kicked and annealed."""
        self._bound = max(float(problem.costs[:-1].min(axis=1).sum()), bound)
        self._heats = _KICKED_BOTH_WAYS if self._turns else _KICKED_WHERE_LOOSE
        arcs = _ARCS_WHERE_LOOSE if self._large_and_loose else _ARCS
        arcs = _ARCS_BOTH_WAYS if self._turns else arcs
        self._promising = promising_arcs(self._loose, arcs)
        self._annealed: Run | None = None
        """How far kicks are that go on from round to round."""
        self._soft: Run | None = None
        """What came of softening, and of kicking that."""
        self._order = first_order(problem if self._turns else self._loose, self._prizes.prize)
        self._cost = problem.cost_of(self._order)
        self._prices = 0 if self._turns else self._cost - self._loose.cost_of(self._order)
        """What was taken off what every order costs."""
        self._branched = self._cost
        """What the best cost when an assignment was branched on last."""
        self._branches = (
            self._large_and_loose
            and problem.size <= _BRANCHED
            and len(inner_pairs(problem)) <= _BRANCHED_PAIRS
        )
        if self._large_and_loose:  # walks over all arcs at all places would take all the time
            self._bound = max(self._bound, float(self._prices))
        self._good: dict[int, Array] = {self._cost: self._order}
        self._turn = 0
        self._patched = patched_order(problem) if self._large_and_loose else self._order
        excess = self._loose.cost_of(self._patched) / problem.size
        self._joint = max(excess, _LEAST_JOINT)
        """What joining the circles of the cheapest assignment costs, an item, on the mean."""
        mean = self._cost * parts if self._turns else self._loose.cost_of(self._order)
        self._mean = max(1.0, mean / problem.size)
        self._mean_arc = max(1.0, self._cost / problem.size)
        """The mean arc of the first order, without and with what was taken off."""
        self._per_step = PER_ARC * arcs_at_places(problem)

    @property
    def best(self) -> Best:
        """The best so far."""
        with self._lock:
            items = self._problem.items[self._order]
            bound = min(self._cost, ceil(self._bound - 1e-3))
            return Best(tuple(int(item) for item in items if item >= 0), self._cost, bound)

    def run(
        self,
        work: float | None = None,
        *,
        seconds: float | None = None,
        progress: Progress = NoProgress(),
    ) -> Best:
        """Search until the best is proved, the work is done or the time is over.

        Parameters
        ----------
        work : float, optional
            How much each of two cores does, about microseconds, [-]. Without it, what this machine
            seems to do in the time.
        seconds : float, optional
            When to end in any case, from now, [s]. Without it and without work, after two seconds
            of work.
        progress : Progress
            Asked often whether to go on.

        Raises
        ------
        Stopped
            If `progress` wants the search to end; `best` is what was found until then.
        """
        begun = perf_counter()
        until = None if seconds is None else begun + seconds - _ENDING_S
        self._enough.clear()
        done = 0.0
        wanted = work if work is not None else 1e6 * (2.0 if seconds is None else seconds)
        with ThreadPoolExecutor(2) as cores:
            for number, plan in enumerate(chain(ROUNDS, repeat(ROUNDS[-1]))):
                part = plan.share * wanted
                if work is None and seconds is not None and number:
                    spent = perf_counter() - begun
                    share = plan.share / sum(each.share for each in ROUNDS[number:] or [plan])
                    part = max(seconds - spent, 0) * share * done / spent
                is_over = number >= len(ROUNDS) and (work is not None or part < _LEAST * done)
                if is_over or self.best.optimal or self._enough.is_set():
                    break
                self._round(cores, min(number, len(ROUNDS) - 1), part, until, progress)
                done += part
        return self.best

    def _round(
        self,
        cores: ThreadPoolExecutor,
        number: int,
        work: float,
        until: float | None,
        progress: Progress,
    ) -> None:
        """Do a round, and take together what its sides found."""
        self._turn += 1
        loose, built = (Side(self._order, self._cost, self._good) for _ in range(2))
        parts = [
            cores.submit(self._quietly, self._loosened, loose, number, work),
            cores.submit(self._quietly, self._built, built, number, work),
        ]
        try:
            while wait(parts, _LOOK_AROUND_S).not_done:
                progress.step(number, len(ROUNDS), "searching for the cheapest order")
                if until is not None and perf_counter() >= until:
                    self._enough.set()
        except Stopped:
            self._enough.set()
            wait(parts)
            raise
        finally:
            # of two as cheap that which may be proved, however far the other side was by then
            best = built if built.cost <= loose.cost else loose
            for cost, order in loose.good.items():
                built.take(order, cost)
            with self._lock:
                self._order, self._cost, self._good = best.order, best.cost, built.good
        for part in parts:
            part.result()

    # -- what both sides share ----------------------------------------------------------------

    def _quietly(
        self, what: Callable[[Side, int, float], None], side: Side, number: int, work: float
    ) -> None:
        """Do one side of a round to its end, or until it is enough."""
        with suppress(_Enough):
            what(side, number, work)

    def _go_on(self) -> None:
        if self._enough.is_set():
            raise _Enough

    def _take(self, side: Side, order: Array) -> None:
        """Take note of an order, and let it be seen."""
        cost = self._problem.cost_of(order)
        order = order.copy()
        side.take(order, cost)
        with self._lock:
            if cost < self._cost:
                self._cost, self._order = cost, order

    def _prove(self, bound: float) -> None:
        """Take note of a bound."""
        with self._lock:
            self._bound = max(self._bound, bound)

    def _run(self, order: Array, heat: float, seed: int) -> Run:
        """Begin with an order; heat in units of cost."""
        place = np.empty(self._problem.size, np.int64)
        place[order] = np.arange(self._problem.size)
        cost = np.full(2, self._loose.cost_of(order), np.int64)
        chance = chance_from(self._seed * 7919 + seed)
        return Run(order.copy(), place, order.copy(), cost, np.array([float(heat)]), chance)

    # -- the one side: from the best on -------------------------------------------------------

    def _loosened(self, side: Side, number: int, work: float) -> None:
        """Kick the best order; or, where precedence is loose, that of the round before."""
        if not self._is_loose:
            heat = _KICKED_AT * self._mean
            self._kick(side, self._run(side.order, 0.0, 2 * self._turn), work, (heat, heat))
            return
        if self._annealed is None:
            self._annealed = self._run(side.order, 0.0, 2 * self._turn)
        first, last = self._heats
        done = [sum(each.share for each in ROUNDS[:at]) for at in (number, number + 1)]
        begin, end = (self._mean * first * (last / first) ** share for share in done)
        self._kick(side, self._annealed, work, (begin, end))

    def _kick(self, side: Side, run: Run, work: float, heats: tuple[float, float]) -> None:
        """Kick an order and mend it, from one heat to another, in units of cost."""
        begin, end = heats
        looked = np.zeros(1, np.int64)
        per_item = PER_ITEM
        if self._is_loose:
            per_item = PER_LINK + PER_LINK_AND_ITEM * self._problem.size
        known = int(run.cost[1])
        try:
            while (done := looked[0] * per_item) < work:
                self._go_on()
                run.heat[0] = begin * (end / begin) ** (done / work)
                most = ceil(min(done + SPELL, work) / per_item)
                kick_and_mend(
                    self._loose, self._promising, run, looked, most, self._turns, self._is_loose
                )
                if run.cost[1] < known:
                    known = int(run.cost[1])
                    self._take(side, run.best)
        finally:
            self._take(side, run.best)

    # -- the other side: from the beginning ---------------------------------------------------

    def _built(self, side: Side, number: int, work: float) -> None:
        """Raise the bound, search place by place, anneal, and put together what is known."""
        plan = ROUNDS[number]
        if self._large_and_loose:
            self._softened(side, number, work)
            return
        self._raise_bound(side, work * plan.bound)
        work *= 1 - plan.bound
        if not work:
            return
        self._put_together(side, work / 10)
        heats = _KICKED_AT, _KICKED_AT
        if self._is_loose or self._turns:
            heats = plan.heat * self._heats[0], self._heats[1]
        self._build(side, work / (10 if self._is_loose else 3))
        order, share = side.order, 0.7 if self._is_loose else 0.6
        if not self._turns:
            anneals, share = (0.4, 0.3) if self._is_loose else (0.5, 0.1)
            order = self._anneal(side, plan.heat, 2 * self._turn + 1, anneals * work)
        begin, end = (heat * self._mean for heat in heats)
        self._kick(side, self._run(order, 0.0, -self._turn), share * work, (begin, end))
        self._put_together(side, work / 10)

    def _softened(self, side: Side, number: int, work: float) -> None:
        """Begin where precedence is broken; then kick what came of it, and at last the best."""
        if self._branches and number < len(_BRANCHED_AT):
            # where kicks found better in the first round than branching, softening may as well
            if number != 1 or self._branched == side.cost:
                self._branch(side, _BRANCHED_AT[number], work)
            else:
                self._soften(side, 2 * self._turn + 1, work)
            return
        if number < _SOFTENED:
            self._soften(side, 2 * self._turn + 1, work)
            return
        self._put_together(side, work / 20)
        run = self._soft
        if run is None or number == len(ROUNDS) - 1:
            run = self._run(side.order, 0.0, -self._turn)
        begin, end = (each * self._joint for each in _AGAIN_AT)
        self._kick(side, run, 0.9 * work, (begin, end))
        self._put_together(side, work / 20)

    def _branch(self, side: Side, fine: float, work: float) -> None:
        """Branch on the cheapest assignment; fine a pair the wrong way round so many mean arcs."""
        paid = max(1, round(fine * self._prices / self._problem.size))
        branching = Branching(self._loose, side.order, paid)
        done = 0.0
        try:
            while not branching.over and done < work:
                self._go_on()
                most = min(done + SPELL, work)
                known = branching.cost
                done = PER_BRANCHED * branching.go_on(ceil(most / PER_BRANCHED))
                if branching.cost < known:
                    self._take(side, branching.best)
        finally:
            self._take(side, branching.best)
            self._prove(self._prices + branching.bound)
        self._branched = self._prices + branching.cost
        if self._prices + branching.bound >= side.cost:
            self._enough.set()

    def _soften(self, side: Side, seed: int, work: float) -> None:
        """Begin without precedence, and fine what breaks it more and more."""
        order = self._patched
        run = self._run(order, _SOFTENED_AT[0] * self._joint, seed)
        fine = np.array([count_wrong(self._problem, order), _FINES[0] * self._joint])
        none = np.iinfo(np.int64).max
        if fine[0]:
            run.cost[1] = none
        moves = int(work / PER_SOFTENED)
        breaths = max(moves // BREATH, 1)
        ways = (_SOFTENED_AT, _FINES)
        cooling, growing = ((end / begin) ** (1 / breaths) for begin, end in ways)
        spell = int(SPELL / PER_SOFTENED) // BREATH * BREATH
        try:
            for tried in range(0, moves, spell):
                self._go_on()
                most = min(spell, moves - tried)
                soften(self._loose, self._promising, run, fine, most, cooling, growing)
        finally:
            right = run.best if run.cost[1] < none else put_right(self._problem, run.order)
            found = self._run(right, 0.0, seed)
            self._take(side, right)
            if self._soft is None or found.cost[1] < self._soft.cost[1]:
                self._soft = found

    def _raise_bound(self, side: Side, work: float) -> None:
        """Raise the bound from where it is and, if that is higher, from an assignment's prices."""
        if not work:
            return
        problem, prizes = self._problem, self._prizes
        steps = max(2, int(work / 2 / self._per_step))
        self._step(problem, side.cost, steps)
        row, column, _ = assign(problem.costs[:-1, 1:])
        prices = np.zeros(problem.size)
        prices[1:] = column
        prices[1:-1] += row[1:]
        bound = walk_back(problem, prices, self._walks)
        if bound > prizes.bound[0]:
            prizes.prize[:] = prizes.best[:] = prices
            prizes.bound[0], prizes.pace[:], prizes.way[:] = bound, (0.1, 0.0), 0
        self._step(problem, side.cost, steps)

    def _step(self, problem: Sequencing, known: int, steps: int) -> None:
        """Raise the bound step by step."""
        at_once = max(1, int(SPELL / self._per_step))
        for done in range(0, steps, at_once):
            self._go_on()
            most = min(at_once, steps - done)
            raise_bound(problem, self._walks, self._prizes, float(known), most)
            self._prove(float(self._prizes.bound[0]))
        walk_back(problem, self._prizes.best, self._walks)

    def _anneal(self, side: Side, heat: float, seed: int, work: float) -> Array:
        """Anneal the best order from a heat at which it is forgotten; heat in mean arcs."""
        moves = int(work / PER_MOVE)
        run = self._run(side.order, heat * self._mean_arc, seed)
        cooling = (0.03 / heat) ** (BREATH / max(moves, BREATH))
        spell = int(SPELL / PER_MOVE) // BREATH * BREATH
        try:
            for tried in range(0, moves, spell):
                self._go_on()
                anneal(self._loose, self._promising, run, min(spell, moves - tried), cooling)
        finally:
            self._take(side, run.best)
        return run.best

    def _build(self, side: Side, work: float) -> None:
        """Search place by place, in as much room as the work allows."""
        problem, known = self._problem, side.cost
        room = self._room(problem, work)
        found = search_places(
            problem, self._walks, self._prizes.best, known - 1 + 1e-3, room, self._go_on
        )
        if found.order is not None:
            self._take(side, found.order)
        self._prove(min(found.bound, known))
        if min(found.bound, known) >= side.cost - 1e-3:
            self._enough.set()

    def _put_together(self, side: Side, work: float) -> None:
        """Look for the cheapest order over the arcs of the good ones."""
        problem, count = self._problem, self._problem.size
        has = np.zeros((count, count), bool)
        for order in side.good.values():
            has[order[:-1], order[1:]] = True
        few = problem._replace(arcs=lists(np.flatnonzero(row) for row in has))
        walks, prizes = no_walks(count), no_prizes(count)
        prizes.prize[:] = prizes.best[:] = self._prizes.best
        prizes.pace[0] = 0.5
        self._go_on()
        raise_bound(few, walks, prizes, float(side.cost), 40)
        walk_back(few, prizes.best, walks)
        below = side.cost - 1 + 1e-3
        room = self._room(few, work)
        found = search_places(few, walks, prizes.best, below, room, self._go_on)
        if found.order is not None:
            self._take(side, found.order)

    def _room(self, problem: Sequencing, work: float) -> int:
        """How many beginnings of one length may be kept."""
        ways_on = len(problem.arcs.items) / problem.size
        per_row = PER_ROW + PER_WAY_ON * ways_on
        return max(50, min(int(work / problem.size / per_row), _MOST_ROWS // problem.size))
