"""What a step brings with it: all that is done before it and along with it, near or far.

A plan of thousands of steps is asked this for each of them, so it is worked out once, in the order
of the plan, what must come before each step.
"""

from collections.abc import Callable, Iterable, Sequence
from math import inf

from putback.planning.bits import bits, numbers_in
from putback.planning.stretch.needs import Needs


class Brought:
    """Closes sets of steps of one plan."""

    def __init__(self, needs: Needs, work: Sequence[float], may: Callable[[int], bool]) -> None:
        """``work`` is what each step takes [minutes]; ``may`` whether it can be done at all."""
        self._work = work
        self._barred = bits(at for at in range(len(work)) if not may(at))
        self._either = tuple(tuple(map(bits, clauses)) for clauses in needs.either)
        self._choosing = bits(at for at, clauses in enumerate(needs.either) if clauses)
        self._along = tuple(map(bits, needs.along))
        self._leading_on = bits(at for at, along in enumerate(needs.along) if along)
        self._before: list[int] = []
        """Each step with all that must come before it: what it needs is earlier, and done here."""
        for at, must in enumerate(needs.must):
            closed, left = 1 << at, must
            while left:
                latest = left.bit_length() - 1
                closed |= self._before[latest]
                left &= ~closed
            self._before.append(closed)

    def by(self, wanted: Iterable[int], minutes: float = inf) -> frozenset[int] | None:
        """Give the steps that must be done to do these and go home.

        ``None`` if one of them cannot be done, or if their work is more than so many minutes. Of
        several that will do, the earliest that can be done is taken.
        """
        found, todo, left = 0, bits(wanted), minutes
        while todo:
            new = 0
            while todo:
                latest = todo.bit_length() - 1
                new |= self._before[latest]
                todo &= ~new
            new &= ~found
            if new & self._barred:
                return None
            for at in numbers_in(new):
                left -= self._work[at]
                if left < 0:
                    return None
            found |= new
            for at in numbers_in(new & self._leading_on):
                todo |= self._along[at]
            todo &= ~found
            if not todo:
                choice = self._next_choice(found)
                if choice is None:
                    return None
                todo = choice
        return frozenset(numbers_in(found))

    def _next_choice(self, found: int) -> int | None:
        """One step of the first choice that nothing settles; none left is 0, none allowed None."""
        for at in numbers_in(found & self._choosing):
            for clause in self._either[at]:
                if not clause & found:
                    allowed = clause & ~self._barred
                    return allowed & -allowed or None
        return 0
