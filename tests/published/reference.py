"""Reads the published values in `data`: one CSV a topic, each row with its source."""

import csv
from dataclasses import dataclass
from pathlib import Path

DATA = Path(__file__).parent / "data"


@dataclass(frozen=True)
class Row:
    """One value that a calculator or a table must reproduce."""

    quantity: str
    inputs: dict[str, str]
    """By name, with the unit at its end; ``words`` alone where the row has none by name."""
    expected: str
    unit: str
    tolerance: str
    """``abs 0.01``, ``rel 0.005`` (of the value expected) or ``text``."""
    status: str
    """``published``, ``memory`` or ``practice``."""
    source: str

    @property
    def slack(self) -> float:
        """How far from the expected number is near enough, in its unit."""
        how, amount = self.tolerance.split()
        return float(amount) * (abs(float(self.expected)) if how == "rel" else 1)


def rows(name: str) -> list[Row]:
    """Every row of a table."""
    with (DATA / name).open(encoding="utf-8", newline="") as table:
        return [
            Row(
                row["quantity"],
                dict(pair.split("=", 1) for pair in row["inputs"].split("; ") if "=" in pair)
                or {"words": row["inputs"]},
                *(row[column] for column in ("expected", "unit", "tolerance", "status", "source")),
            )
            for row in csv.DictReader(table)
        ]
