"""What a search knows at a moment."""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Best:
    """The best that is known."""

    order: tuple[int, ...]
    """The caller's items, in order."""
    cost: int
    bound: int
    """No order costs less."""

    @property
    def optimal(self) -> bool:
        """Whether no order is cheaper."""
        return self.bound >= self.cost
