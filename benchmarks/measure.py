"""How a measurement is made and shown."""

import gc
import json
import os
import platform
import statistics
import sys
from collections.abc import Callable, Sequence
from dataclasses import asdict, dataclass
from time import perf_counter


@dataclass(frozen=True, slots=True)
class Figure:
    """One measured figure; times in seconds [s].

    ``target`` is what the project asks of itself, as text, and ``ok`` whether it is met.
    """

    name: str
    median_s: float
    p95_s: float
    runs: int
    target: str
    ok: bool
    note: str = ""
    avoidable_gap: float | None = None
    """How far a plan's avoidable cost is above the bound's [-]."""

    def said(self, width: int) -> str:
        """Say it in a line, its name filled up to so many characters."""
        verdict = "ok  " if self.ok else "OVER"
        return (
            f"{verdict} {self.name:<{width}}  median {self.median_s:8.4f} s  "
            f"p95 {self.p95_s:8.4f} s  ({self.runs} runs; {self.target}) {self.note}"
        )


@dataclass(frozen=True, slots=True)
class Grade:
    """A figure that is better the higher it is, in points."""

    name: str
    median: float
    least: float
    runs: int

    @property
    def ok(self) -> bool:
        """Whether it is high enough."""
        return self.median >= self.least

    def said(self, width: int) -> str:
        """Say it in a line, its name filled up to so many characters."""
        verdict = "ok  " if self.ok else "LOW "
        wanted = f"({self.runs} runs; median >= {self.least:g})"
        return f"{verdict} {self.name:<{width}}  median {self.median:8.1f}  {wanted}"


def timed(work: Callable[[], object], runs: int = 1) -> list[float]:
    """Time some work so many times [s], with the collector's debts paid beforehand."""
    spent = []
    for _ in range(runs):
        gc.collect()
        start = perf_counter()
        work()
        spent.append(perf_counter() - start)
    return spent


def figure(
    name: str,
    spent: Sequence[float],
    *,
    limit_s: float,
    by: str = "median",
    note: str = "",
    avoidable_gap: float | None = None,
    most_gap: float | None = None,
) -> Figure:
    """Sum up times against a limit [s] on their median or their 95th percentile.

    With ``most_gap`` the figure is met only if the gap is known and no greater [-].
    """
    ordered = sorted(spent)
    median = statistics.median(ordered)
    p95 = ordered[min(len(ordered) - 1, round(0.95 * (len(ordered) - 1)))]
    reached = p95 if by == "p95" else median
    near = most_gap is None or (avoidable_gap is not None and avoidable_gap <= most_gap)
    target = f"{by} < {limit_s:g} s" + (f", gap < {most_gap:.0%}" if most_gap is not None else "")
    return Figure(
        name,
        median,
        p95,
        len(ordered),
        target,
        reached < limit_s and near,
        note,
        avoidable_gap,
    )


def machine() -> dict[str, object]:
    """Say on what the figures were measured."""
    return {
        "python": platform.python_version(),
        "system": platform.system(),
        "cores": os.cpu_count(),
        "load": os.getloadavg()[0],
    }


def show(figures: Sequence[Figure | Grade], *, as_json: bool) -> None:
    """Print figures for people, or as JSON."""
    if as_json:
        document = {
            "machine": machine(),
            "figures": [{**asdict(each), "ok": each.ok} for each in figures],
        }
        sys.stdout.write(json.dumps(document, indent=2) + "\n")
        return
    width = max(len(each.name) for each in figures)
    for each in figures:
        sys.stdout.write(f"{each.said(width)}\n")
