"""Keep to an order: what is left of a plan, fitted to the vehicle as it is now.

A *wish* is a move and the standing it was planned in; wishes in a row are the order that somebody
follows. `fitted` keeps to it as long as the rules allow, and brings forward what a step needs and
does not have yet, right before that step.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence

from putback.planning.ordering.price import CannotBeDone, Priced, price, total_minutes
from putback.planning.plan import Action, PlanSettings, Step
from putback.planning.posing.problem import Clause, Kind, Problem
from putback.planning.search.arrange import bouts_of, without_needless_cracks
from putback.planning.search.choose import Chosen, cheapest
from putback.planning.search.field import Field, Move, Rules
from putback.progress import NoProgress, Progress
from putback.vehicle.ids import AssemblyId, Ref, StandingId, part_ref, split_ref

Wish = tuple[Move, StandingId | None]

_ATTEMPTS = 120
"""Places that are tried for what is new in the order, all of it together."""
_NEAR = 12
"""Places that are tried for one thing."""
_NOTHING = 1e-9


def left_of(problem: Problem, steps: Iterable[Step]) -> list[Wish]:
    """Give what is still to be done of a plan's steps, in their order."""
    wishes: list[Wish] = []
    taken: set[Ref] = set()
    cracked: list[tuple[int, Ref, StandingId | None]] = []
    for step in steps:
        if step.action is Action.CRACK:
            cracked.append((len(wishes), step.what, step.standing))
            continue
        for index in _nodes_of(problem, step, taken):
            wishes.append((index, step.standing))
            if problem.nodes[index].kind in (Kind.PART, Kind.WHOLE):
                taken.add(problem.nodes[index].what)
    undone = {problem.nodes[index].what: index for index, _ in wishes}
    for at, what, standing in reversed(cracked):
        joint = undone.get(what)
        if joint is not None and problem.nodes[joint].crack_in == standing is not None:
            wishes.insert(at, (~joint, standing))
    return wishes


def _nodes_of(problem: Problem, step: Step, taken: Collection[Ref]) -> Iterator[int]:
    """The nodes by which a step is done now; none if it is done already."""
    ways = problem.providers.get(step.what, ())
    if split_ref(step.what)[0] == "assembly":
        whole = [i for i, node in enumerate(problem.nodes) if node.what == step.what]
        taking = [i for i in whole if problem.nodes[i].kind is Kind.WHOLE]
        yield from taking or _single_parts(problem, step.what)
    elif step.action is Action.TAKE_OFF:
        yield from (i for i in ways if problem.nodes[i].kind is Kind.PART)
    else:
        fitting = [i for i in ways if problem.nodes[i].unit in taken]
        on_the_vehicle = [i for i in ways if problem.nodes[i].unit is None]
        yield from (fitting or on_the_vehicle)[:1]


def _single_parts(problem: Problem, whole: Ref) -> Iterator[int]:
    """What is left of a whole that is none any more, part by part."""
    record = problem.vehicle.assemblies.get(AssemblyId(split_ref(whole)[1]))
    for part in record.parts if record else ():
        for index in problem.providers.get(part_ref(part), ()):
            if problem.nodes[index].kind is Kind.PART:
                yield index


def chosen_like(
    problem: Problem,
    targets: Sequence[Clause],
    wishes: Iterable[Wish],
    *,
    barred: Collection[int] = (),
    progress: Progress = NoProgress(),
) -> Chosen:
    """Choose what the targets need by the ways wished for, and by least work what else it takes.

    Raises
    ------
    Contradiction
        If nothing fulfils the targets.
    """
    there = {id(problem.nodes[max(move, ~move)]) for move, _ in wishes}
    return cheapest(
        problem,
        targets,
        # Any step more is worse than none: what was to be done anyway costs nothing here.
        minutes=lambda node: 0.0 if id(node) in there else node.minutes + 1.0,
        barred=barred,
        progress=progress,
    )


def fitted(rules: Rules, wishes: Sequence[Wish]) -> list[Wish] | None:
    """Put all wanted steps in the order wished for, as far as that can be; ``None`` if it cannot.

    What is wanted and not wished for is done when it is needed, else at the end.
    """
    return _Fitting(rules, wishes).run()


class _Fitting:
    """Where the work has got to while it is fitted."""

    def __init__(self, rules: Rules, wishes: Sequence[Wish]) -> None:
        self.rules = rules
        self.field = Field(rules)
        self.placed: list[Wish] = []
        named = {max(move, ~move) for move, _ in wishes}
        ready = (*wishes, *((i, None) for i in rules.steps if i not in named))
        wanted = [wish for wish in ready if max(wish[0], ~wish[0]) in rules.wanted]
        wanted = self._with_cracks(wanted)
        self.wishes = sorted(wanted, key=lambda wish: rules.stage_of.get(wish[0], 0))
        self.rank = {move: at for at, (move, _) in enumerate(self.wishes)}
        self.where = dict(self.wishes)

    def _with_cracks(self, wishes: list[Wish]) -> list[Wish]:
        """Have every joint cracked in its standing that nobody wished to crack there."""
        there = {move for move, _ in wishes}
        missing = [
            move for move, _ in wishes if move >= 0 and ~move not in there and self._crack_in(move)
        ]
        for move in missing:
            standing = self._crack_in(move)
            last = [at for at, (_, here) in enumerate(wishes) if here == standing]
            own = next(at for at, (each, _) in enumerate(wishes) if each == move)
            at = min(own, last[-1] + 1) if last else 0
            wishes.insert(at, (~move, standing))
        return wishes

    def _crack_in(self, move: Move) -> StandingId | None:
        return self.rules.nodes[move].crack_in

    def run(self) -> list[Wish] | None:
        """Do one wish after another; what cannot be done yet is tried again later."""
        todo = [move for move, _ in self.wishes]
        while todo:
            waiting = [move for move in todo if not self._bring(move)]
            waiting = [move for move in waiting if not self._is_done(move)]
            if len(waiting) == len(todo):
                return None
            todo = waiting
        bouts = without_needless_cracks(self.rules, bouts_of(self.placed))
        return [(move, bout.standing) for bout in bouts for move in bout.moves]

    def _is_done(self, move: Move) -> bool:
        if move < 0:
            return ~move in self.field.cracked or ~move in self.field.done
        return move in self.field.done

    def _bring(self, move: Move) -> bool:
        """Do a move, after all that it needs; what was done for it stays done in any case."""
        stack = [move]
        while stack:
            top = stack[-1]
            if self._is_done(top):
                stack.pop()
                continue
            needed = self._needed(top, stack)
            if needed is None:
                return False
            if needed == top:
                self.placed.append((top, self.field.standing))
                self.field.do(top)
                stack.pop()
            else:
                stack.append(needed)
        return True

    def _needed(self, move: Move, stack: Collection[Move]) -> Move | None:
        """What is to be done next for a move: itself, if it can be done; ``None`` if nothing."""
        if move >= 0:
            for any_of in self.rules.steps_before(move):
                if self.field.done.isdisjoint(any_of):
                    return self._first(any_of, stack)
            if not self.rules.nodes[move].kind.is_step:
                return None
        return move if self._go_to(move) else self._on_the_way(move, stack)

    def _first(self, any_of: Iterable[int], stack: Collection[Move]) -> Move | None:
        """Of several ways the one that comes first in the order."""
        ways = [by for by in any_of if by in self.rules.wanted and by not in stack]
        return min(ways, key=lambda by: self.rank.get(by, len(self.rank)), default=None)

    def _on_the_way(self, move: Move, stack: Collection[Move]) -> Move | None:
        """What keeps the vehicle from being stood as a move wants it.

        A part that must be off for that, a joint to crack before, a jack that it still hangs on.
        """
        node = self.rules.nodes[max(move, ~move)]
        for clause in node.clauses:
            stands = any(self.rules.nodes[by].kind is Kind.STANDING for by in clause.any_of)
            if stands and self.field.done.isdisjoint(clause.any_of):
                return self._first(clause.any_of, stack)
        is_cracked = move < 0 or node.crack_in is None or move in self.field.cracked
        if not is_cracked and ~move not in stack:
            return ~move
        ends = (self._first(last, stack) for _, last in self.field.ends_hanging())
        return next((end for end in ends if end is not None), None)

    def _go_to(self, move: Move) -> bool:
        """Stand the vehicle so that the move may be done; leave it where it cannot be."""
        here = self.field.standing
        for standing in self._standings(move):
            if standing != here:
                if self.field.enter_minutes(standing) is None or self.field.hangs():
                    continue
                self.field.standing = standing
            if self.field.may(move) and (move < 0 or move in self.field.ready):
                return True
            self.field.standing = here
        return False

    def _standings(self, move: Move) -> Iterator[StandingId | None]:
        """As it was wished, else as it stands, else the others, the cheapest change first.

        Only those in which the move may be made; whether they can be entered is looked at then.
        """
        here, wished = self.field.standing, self.where.get(move)
        node, stands = self.rules.nodes[max(move, ~move)], self.rules.stands
        first = dict.fromkeys((here,) if wished is None else (wished, here))
        yield from (each for each in first if move < 0 or node.allows(each))
        others = (
            (stands.change_minutes(here, each, self.field.off), each)
            for each in self.rules.problem.usable
            if each not in first and (node.allows(each) if move >= 0 else node.crack_in == each)
        )
        yield from (each for _, each in sorted((m, each) for m, each in others if m is not None))


def slotted(
    rules: Rules, placed: Sequence[Wish], fresh: Collection[Move], settings: PlanSettings
) -> tuple[Priced, ...] | None:
    """Price an order, with what is new in it moved to where it costs least.

    ``None`` if it cannot be done as it stands.
    """
    try:
        best = price(rules, bouts_of(placed), settings)
    except CannotBeDone:
        return None
    attempts = 0
    for move in [each.move for each in best if each.move in fresh]:
        for change in _elsewhere(rules, [(each.move, each.standing) for each in best], move):
            if attempts == _ATTEMPTS:
                return best
            attempts += 1
            try:
                priced = price(rules, bouts_of(change), settings)
            except CannotBeDone:
                continue
            if total_minutes(priced) < total_minutes(best) - _NOTHING:
                best = priced
                break
    return best


def _elsewhere(rules: Rules, placed: list[Wish], move: Move) -> Iterator[list[Wish]]:
    """Put one move beside others of its zone or tool, the nearest places first."""
    node = rules.nodes[move]
    at = next(place for place, (each, _) in enumerate(placed) if each == move)
    rest = placed[:at] + placed[at + 1 :]

    def is_kin(place: int) -> bool:
        other = rules.nodes[max(rest[place][0], ~rest[place][0])]
        return (node.zone is not None and other.zone == node.zone) or (
            bool(node.tool) and other.tool == node.tool
        )

    places = {place + side for place in range(len(rest)) if is_kin(place) for side in (0, 1)}
    for place in sorted(places - {at}, key=lambda place: abs(place - at))[:_NEAR]:
        for neighbour in dict.fromkeys((max(place - 1, 0), min(place, len(rest) - 1))):
            standing = rest[neighbour][1]
            if node.allows(standing):
                yield [*rest[:place], (move, standing), *rest[place:]]
                break
