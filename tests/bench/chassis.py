"""Invented chassis to be surveyed, and readings of them with known errors."""

from itertools import combinations

import numpy as np

from putback.bench.survey.readings import Kind, Reading

NAMES = ("FL", "FR", "AL", "AR", "BL", "BR", "RL", "RR")
PLACES = np.array(
    [
        (0.0, -0.43, 0.12), (0.0, 0.43, 0.12), (0.7, -0.44, 0.09), (0.7, 0.44, 0.09),
        (1.5, -0.455, 0.06), (1.5, 0.455, 0.06), (2.6, -0.49, 0.15), (2.6, 0.49, 0.15),
    ]
)  # fmt: skip
"""Eight points of a ladder frame: x rearwards, y to the right, z up [m]."""

PAIRS = list(combinations(range(len(NAMES)), 2))


def points(places):
    """Places by name."""
    return {name: tuple(map(float, at)) for name, at in zip(NAMES, places, strict=True)}


def lengths(places, kind=Kind.TRUE, sigma_m=0.0, seed=1):
    """Every distance between its points, with chance errors."""
    random = np.random.default_rng(seed)
    ways = places.copy()
    if kind is Kind.PLAN:
        ways[:, 2] = 0.0
    return [
        Reading(
            NAMES[a], NAMES[b],
            float(np.linalg.norm(ways[a] - ways[b])) + random.normal(0, sigma_m), kind,
        )
        for a, b in PAIRS
    ]  # fmt: skip


def heights(places, sigma_m=0.0, seed=2):
    """The height of every point over the datum, with chance errors."""
    random = np.random.default_rng(seed)
    return [
        Reading(name, "", float(at[2]) + random.normal(0, sigma_m), Kind.HEIGHT)
        for name, at in zip(NAMES, places, strict=True)
    ]


def bent(**amounts_m):
    """The chassis with a kind of damage of a given size, as its words measure it [m]."""
    low, high = PLACES.min(axis=0), PLACES.max(axis=0)
    along, across, _ = ((PLACES - (low + high) / 2) / ((high - low) / 2)).T
    bow = 1 - along**2
    moved = PLACES.copy()
    moved[:, 0] -= amounts_m.get("mash", 0.0) / 2 * along
    moved[:, 0] += amounts_m.get("diamond", 0.0) / 2 * across
    moved[:, 1] += amounts_m.get("sway", 0.0) * bow
    moved[:, 2] -= amounts_m.get("sag", 0.0) * bow
    moved[:, 2] += amounts_m.get("twist", 0.0) / 4 * along * across
    return moved
