"""The strip plan of generated vehicles against its bound, beside a plain CP-SAT model.

``python -m benchmarks.strip --parts N [--seconds S] [--seed K ...] [--json] [--alone]``. The gap
is on avoidable cost: plan and bound both less what no order avoids, work and each visit that must
be made once; beside it stands the gap of both less that work alone. Work and set-up of every step
are worked out once more by the independent checker; a plan with a fault is an error. The planner
is limited by work, not by the clock: its seconds are told, and whether they are more than asked.
The plain model has so many seconds, and leaves out what the planner has to keep besides: what may
hang, how firmly the vehicle stands, what gets harder. So it has an easier problem. The ratio is
its set-up to ours.
"""

import sys
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from time import perf_counter, process_time

from benchmarks.beside import command, shown, tell
from benchmarks.measure import Figure, figure
from benchmarks.planning import state_described
from putback.cli.garbage import collect_seldom
from putback.planning.bounds.bound import setup_bound
from putback.planning.bounds.landmarks import Landmarks, landmarks
from putback.planning.check import check_strip
from putback.planning.ordering.task import Task, set_task
from putback.planning.plan import USUAL
from putback.planning.strip import plan_strip
from putback.vehicle.generate import generate
from putback.vehicle.ids import StandingId

Hands = tuple[StandingId | None, str | None, str, bool]
"""What is in hand: standing, zone, tool, helpers."""


@dataclass(frozen=True, slots=True)
class Row:
    """What came of a vehicle; times in [minutes], seconds [s] are wall time."""

    name: str
    parts: int
    steps: int
    total_minutes: float
    lower_bound: float
    unavoidable_minutes: float
    avoidable_minutes: float
    avoidable_bound: float
    gap: float | None
    """How far the plan's avoidable cost is above the bound's [-]."""
    setup_gap: float | None
    """The same of both less unavoidable work alone, so with all set-up [-]."""
    seconds: float
    cpu_seconds: float
    in_time: bool
    setup_minutes: float
    plain_setup_minutes: float | None
    """Set-up that the plain model found, of a problem with fewer rules."""
    plain_setup_bound: float | None
    plain_seconds: float | None
    ratio: float | None
    """The plain model's set-up over ours [-]."""


def solve(parts: int, seed: int, seconds: float, *, plain: bool) -> Row:
    """Plan the strip of a vehicle to the goal that asks for most.

    Raises
    ------
    ValueError
        If the checker finds a fault in the plan, or another cost.
    """
    vehicle = generate(parts, seed)
    state = state_described(vehicle)
    goal = max(vehicle.goals.values(), key=lambda each: (each.off_rest, len(each.off)))
    begun, cpu = perf_counter(), process_time()
    plan = plan_strip(vehicle, state, goal)
    spent, cpu = perf_counter() - begun, process_time() - cpu
    name = f"{parts} parts, seed {seed}"
    if faults := check_strip(vehicle, state, goal, plan):
        raise ValueError(f"{name}: {faults[0]}")
    least, once = plan.bound_minutes or 0.0, plan.unavoidable_minutes or 0.0
    task = set_task(vehicle, state, goal, USUAL)
    work = once - setup_bound(task.problem, task.targets, USUAL)
    other, below, took = (None, None, None)
    if plain:
        other, below, took = solve_plainly(task, seconds)
    return Row(
        name=name,
        parts=parts,
        steps=len(plan.steps),
        total_minutes=round(plan.total_minutes, 3),
        lower_bound=round(least, 3),
        unavoidable_minutes=round(once, 3),
        avoidable_minutes=round(plan.total_minutes - once, 3),
        avoidable_bound=round(least - once, 3),
        gap=None if plan.avoidable_gap is None else round(plan.avoidable_gap, 4),
        setup_gap=round((plan.total_minutes - work) / (least - work) - 1, 4)
        if least > work
        else None,
        seconds=round(spent, 3),
        cpu_seconds=round(cpu, 3),
        in_time=spent <= seconds,
        setup_minutes=round(plan.setup_minutes, 3),
        plain_setup_minutes=other,
        plain_setup_bound=below,
        plain_seconds=None if took is None else round(took, 3),
        ratio=round(other / plan.setup_minutes, 4) if other and plan.setup_minutes else None,
    )


# -- the plain model ------------------------------------------------------------------------------


class _Work:
    """What every plan does, from the facts: in hand for it, and before it one of each."""

    def __init__(self, marks: Landmarks) -> None:
        problem = marks.problem
        self.order = list(marks.order)
        self.ways = marks.ways
        self.sure = set(marks.steps)
        self.usable = problem.usable
        self.start = problem.start
        self.standings = {thing: self._standings(marks, thing) for thing in marks.steps}
        of = {thing: problem.nodes[marks.cracked.get(thing, thing)] for thing in marks.steps}
        self.zone = {thing: node.zone for thing, node in of.items()}
        self.tool = {thing: node.tool for thing, node in of.items()}
        self.helped = {thing: node.crew > 1 for thing, node in of.items()}

    def _standings(self, marks: Landmarks, thing: int) -> frozenset[StandingId]:
        only = marks.standings(thing)
        return frozenset(self.usable if only is None else only)

    def hands(self, thing: int, now: Hands) -> Hands:
        """What is in hand when a thing is done, changed as little as may be."""
        standing, zone, tool, _ = now
        if self.standings[thing] and standing not in self.standings[thing]:
            standing = min(self.standings[thing])
        return standing, self.zone[thing] or zone, self.tool[thing] or tool, self.helped[thing]

    def slots(self) -> tuple[list[Hands], dict[int, int]]:
        """Do all that can be done with what is in hand, and then go where most can be done.

        Gives what is in hand time after time, and at which time each thing is done.
        """
        now: Hands = (self.start or next(iter(self.usable), None), None, "", False)
        found, at = [now], dict[int, int]()
        left = self.order
        while left:
            free = [thing for thing in left if self._is_free(thing, at)]
            here = [each for each in free if each not in self.sure or self.hands(each, now) == now]
            if not here:
                now = Counter(self.hands(thing, now) for thing in free).most_common(1)[0][0]
                found.append(now)
                continue
            at |= dict.fromkeys(here, len(found) - 1)
            left = [thing for thing in left if thing not in at]
        return found, at

    def _is_free(self, thing: int, done: dict[int, int]) -> bool:
        return all(any(way in done for way in some) for some in self.ways[thing])


def solve_plainly(task: Task, seconds: float) -> tuple[float, float, float]:
    """Solve by CP-SAT as one writes it down: times in a row, and for each thing one of them.

    Each time has one standing, zone, tool and number of hands. Begins from a greedy order, which
    also says how many times there are. Gives set-up [min], that of the greedy order where nothing
    better was found, bound [min] and time taken [s], building the model included.
    """
    from ortools.sat.python import cp_model

    begun = perf_counter()
    work = _Work(landmarks(task.problem, task.targets))
    greedy, hint = work.slots()
    model, last = cp_model.CpModel(), len(greedy) - 1
    time = {thing: model.new_int_var(0, last, "") for thing in work.order}
    for thing, at in hint.items():
        model.add_hint(time[thing], at)
    for thing in work.order:
        for some in work.ways[thing]:
            if len(some) == 1:
                model.add(time[some[0]] <= time[thing])
                continue
            chosen = [model.new_bool_var("") for _ in some]
            model.add_bool_or(chosen)
            for way, is_it in zip(some, chosen, strict=True):
                model.add_hint(is_it, hint[way] <= hint[thing])
            for way, is_it in zip(some, chosen, strict=True):
                model.add(time[way] <= time[thing]).only_enforce_if(is_it)
    cost: list[cp_model.LinearExprT] = []
    changes = task.problem.vehicle.standings
    usable = list(work.usable)
    for layer, minutes in ((0, 0.0), (1, USUAL.zone_minutes), (2, USUAL.tool_minutes)):
        label = (work.standings, work.zone, work.tool)[layer]
        number = {each: at for at, each in enumerate(usable)} if layer == 0 else {}
        if layer:
            number = {each: at for at, each in enumerate(sorted({*label.values()} - {None, ""}))}
        if not number:
            continue
        held = [model.new_int_var(0, len(number) - 1, "") for _ in greedy]
        known = [number.get(hands[layer], 0) for hands in greedy]
        for each, label_then in zip(held, known, strict=True):
            model.add_hint(each, label_then)
        if layer == 0 and work.start is not None:
            model.add(held[0] == number[work.start])
        for thing in work.sure:
            wanted = label[thing]
            if layer == 0 and 0 < len(work.standings[thing]) < len(usable):
                wants = [number[each] for each in sorted(work.standings[thing])]
                domain = cp_model.Domain.from_values(wants)
                stands = model.new_int_var_from_domain(domain, "")
                model.add_hint(stands, number[greedy[hint[thing]][0]])
                model.add_element(time[thing], held, stands)
            elif layer and wanted:
                model.add_element(time[thing], held, number[wanted])
        dear = [
            [round(changes[a].change_minutes.get(b, 1e4) if a != b else 0) for b in usable]
            for a in usable
        ]
        for at, (one, other) in enumerate(pairwise(held)):
            if layer == 0:
                price = model.new_int_var(0, 10_000, "")
                rows = [(a, b, dear[a][b]) for a in range(len(dear)) for b in range(len(dear))]
                model.add_allowed_assignments([one, other, price], rows)
                model.add_hint(price, dear[known[at]][known[at + 1]])
                cost.append(price)
                continue
            same = model.new_bool_var("")
            model.add_hint(same, known[at] == known[at + 1])
            model.add(one == other).only_enforce_if(same)
            cost.append(round(minutes) * (1 - same))
    cost += _calls(model, work, time, greedy)
    model.minimize(sum(cost))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.fix_variables_to_their_hinted_value = True
    if solver.solve(model) != cp_model.OPTIMAL:
        raise ValueError("the greedy order is none")
    setup = solver.objective_value
    solver.parameters.fix_variables_to_their_hinted_value = False
    solver.parameters.max_time_in_seconds = max(seconds - (perf_counter() - begun), 0.1)
    if solver.solve(model) in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        setup = min(setup, solver.objective_value)
    return setup, max(0.0, solver.best_objective_bound), perf_counter() - begun


def _calls(model, work: _Work, time, greedy: Sequence[Hands]) -> list:
    """Add at which times helpers are there; give what calling them costs."""
    help_at = [model.new_bool_var("") for _ in greedy]
    for at, hands in enumerate(greedy):
        model.add_hint(help_at[at], hands[3])
    for thing in work.sure:
        model.add_element(time[thing], help_at, int(work.helped[thing]))
    calls = [model.new_bool_var("") for _ in greedy]
    for at, (call, here) in enumerate(zip(calls, help_at, strict=True)):
        before = help_at[at - 1] if at else 0
        model.add(call >= here - before)
        model.add_hint(call, greedy[at][3] and not (at and greedy[at - 1][3]))
    return [round(USUAL.helper_minutes) * call for call in calls]


# -- telling --------------------------------------------------------------------------------------


def warm_up() -> float:
    """Load or compile what planning needs, on a small vehicle; give the time that took [s]."""
    return solve(30, 1, 1.0, plain=False).seconds


def measure(parts: int, seeds: Sequence[int], seconds: float, *, plain: bool) -> Iterator[Row]:
    """Measure vehicle after vehicle."""
    for seed in seeds:
        yield solve(parts, seed, seconds, plain=plain)


def run() -> Iterator[Figure]:
    """Measure 400 parts in 2 s and 1,500 in 10 s, held against what is aimed at."""
    warm_up()
    for parts, seeds, seconds, most_gap in ((400, (1, 2, 7), 2.0, 0.08), (1500, (7,), 10.0, 0.12)):
        for row in measure(parts, seeds, seconds, plain=True):
            yield figure(
                f"strip of {row.name}, {row.steps} steps",
                [row.seconds],
                limit_s=seconds,
                note=f"set-up {row.setup_minutes:g} min; plain CP-SAT {row.plain_setup_minutes:g}",
                avoidable_gap=row.gap,
                setup_gap=row.setup_gap,
                most_gap=most_gap,
            )


def main() -> int:
    """Measure vehicles of so many parts."""
    parser = command("strip", __doc__, seconds=3.0)
    parser.add_argument("--parts", type=int, default=400, help="parts of each vehicle")
    parser.add_argument("--seed", type=int, nargs="+", default=[1, 2, 7], help="which vehicles")
    asked = parser.parse_args()
    collect_seldom()  # as the command line does
    heading = (
        f"{'name':22}{'steps':>6}{'plan':>9}{'bound':>9}{'avoidable':>11}{'its bound':>11}"
        f"{'gap':>6}{'set-up gap':>11}{'s':>7}"
        f"{'set-up':>8}{'plain':>7}{'its bound':>11}{'ratio':>7}\n"
    )
    tell(
        measure(asked.parts, asked.seed, asked.seconds, plain=not asked.alone),
        heading,
        _said,
        as_json=asked.json,
        begun=f"loading and compiling took {warm_up():.2f} s\n",
    )
    return 0


def _said(row: Row) -> str:
    """Say a row in a line; the seconds of what took longer than asked are marked."""
    gap = shown(row.gap, ".0%")
    of_setup = shown(row.setup_gap, ".0%")
    plain = shown(row.plain_setup_minutes, ".0f")
    below = shown(row.plain_setup_bound, ".0f")
    ratio = shown(row.ratio, ".2f")
    return (
        f"{row.name:22}{row.steps:6}{row.total_minutes:9.1f}{row.lower_bound:9.1f}"
        f"{row.avoidable_minutes:11.1f}{row.avoidable_bound:11.1f}{gap:>6}{of_setup:>11}{row.seconds:6.2f}"
        f"{' ' if row.in_time else '!'}{row.setup_minutes:8.1f}{plain:>7}{below:>11}{ratio:>7}\n"
    )


if __name__ == "__main__":
    sys.exit(main())
