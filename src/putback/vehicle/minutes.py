"""How long work takes, as a person estimates it."""

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Minutes:
    """An estimate of work in three points [minutes]."""

    best: float
    likely: float
    worst: float

    def __post_init__(self) -> None:
        """Refuse points that are negative or out of order."""
        if not 0 <= self.best <= self.likely <= self.worst:
            raise ValueError(
                f"minutes {self.best}, {self.likely}, {self.worst} are not in order: "
                "give best, likely and worst, each at least as long as the one before"
            )

    @property
    def mean(self) -> float:
        """What it takes on the average [minutes].

        Notes
        -----
        (b + 4 l + w) / 6, as PERT estimates it (Malcolm, Roseboom, Clark and Fazar, Operations
        Research 7, 1959).
        """
        return (self.best + 4 * self.likely + self.worst) / 6


NO_TIME = Minutes(0, 0, 0)

TIMED: Mapping[str, str] = {
    "joint": "joints",
    "part": "parts",
    "job": "jobs",
    "assembly": "assemblies",
}
"""Kinds of things whose work is estimated, and the table that describes each."""
