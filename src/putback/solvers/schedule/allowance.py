"""How long a search may go on: so much work, which is the same on every machine, or so long."""

from time import perf_counter


class Allowance:
    """What is left of work, as CP-SAT counts it (about seconds), and of time [s]."""

    def __init__(
        self,
        work: float | None = None,
        seconds: float | None = None,
        part_of: "Allowance | None" = None,
    ) -> None:
        """Allow so much work, so long, both, or, with neither, all that it takes.

        What is spent of a part is spent of the whole.
        """
        self._work, self._whole = work, part_of
        self._end = None if seconds is None else perf_counter() + seconds

    @property
    def work(self) -> float | None:
        """What is left of work; None where it is not counted."""
        return self._work

    @property
    def seconds(self) -> float | None:
        """What is left of time [s]; None where it is not counted."""
        return None if self._end is None else self._end - perf_counter()

    @property
    def is_over(self) -> bool:
        """Whether nothing is left."""
        return any(left is not None and left <= 0 for left in (self.work, self.seconds))

    def share(self, part: float) -> "Allowance":
        """Allow a part of what is left [-]."""
        work = None if self.work is None else part * self.work
        seconds = None if self.seconds is None else part * self.seconds
        return Allowance(work, seconds, self)

    def spend(self, work: float) -> None:
        """Take work off."""
        if self._work is not None:
            self._work -= work
        if self._whole is not None:
            self._whole.spend(work)
