"""Minutes of a task, shared out over what it opens and takes off.

The scenario gives one estimate for a task of several joints and parts. It is split in proportion
to fixings, a part taken off counting as two of them (four if it takes two people), and the sum is
kept to the tenth of a minute at each of the three points.
"""

from collections.abc import Mapping

from scripts.map_scenario.source import Row

POINTS = ("best", "likely", "worst")


def split(task: Row, weights: Mapping[str, float]) -> dict[str, dict[str, float]]:
    """Share a task's minutes out over references with weights."""
    total = sum(weights.values())
    shares: dict[str, dict[str, float]] = {ref: {} for ref in weights}
    for point in POINTS:
        tenths, before, upto = round(10 * task["time_min"][point]), 0, 0.0
        for ref, weight in weights.items():
            # Rounding the running sum keeps the whole exact; see below for the order of points.
            upto += weight
            until = round(tenths * upto / total)
            shares[ref][point] = (until - before) / 10
            before = until
    for ref, share in shares.items():
        # A rounded tenth may fall to best rather than to likely where the two are nearly equal.
        if not share["best"] <= share["likely"] <= share["worst"]:
            raise ValueError(f"{task['id']}: {ref} has {share}; give it more weight")
    return shares


def flat(minutes: float) -> dict[str, float]:
    """Minutes that nobody can shorten: a cure, a watch."""
    return dict.fromkeys(POINTS, float(minutes))


def spread(minutes: float) -> dict[str, float]:
    """Minutes of which the scenario gives only the likely: four fifths at best, nine at worst."""
    return {"best": minutes * 0.8, "likely": float(minutes), "worst": minutes * 1.8}
