"""The layers of tests and the time each may take; tests/README.md tells what belongs where."""

from pathlib import Path
from typing import NamedTuple

HERE = Path(__file__).parent


class Layer(NamedTuple):
    """What its tests may take: to stop one, seconds on cores busy with other things as well."""

    each_s: int
    """What one test may take before it is stopped as hanging."""

    all_s: int
    """What all of them should take on quiet cores, added up; said aloud if they take more."""

    measured: bool = True
    """Whether coverage counts what its tests run; not where they pass through others' modules."""


LAYERS = {
    "": Layer(each_s=60, all_s=40),  # the files right in tests/: the house itself
    "errors": Layer(each_s=10, all_s=5),
    "progress": Layer(each_s=10, all_s=5),
    "units": Layer(each_s=30, all_s=15),
    "bench": Layer(each_s=30, all_s=10),
    "solvers": Layer(each_s=60, all_s=30),
    "pictures": Layer(each_s=60, all_s=20),
    "vehicle": Layer(each_s=60, all_s=110),
    "logbook": Layer(each_s=120, all_s=200),
    "planning": Layer(each_s=300, all_s=350),
    "workshop": Layer(each_s=120, all_s=50),
    "web": Layer(each_s=120, all_s=120, measured=False),
    "cli": Layer(each_s=300, all_s=130, measured=False),
    "published": Layer(each_s=120, all_s=30, measured=False),
    "old_entries": Layer(each_s=30, all_s=10, measured=False),
    "stateful": Layer(each_s=300, all_s=30, measured=False),
    "faults": Layer(each_s=180, all_s=90, measured=False),
    "demo": Layer(each_s=300, all_s=80, measured=False),
    "docs": Layer(each_s=120, all_s=45, measured=False),
    "browser": Layer(each_s=120, all_s=180, measured=False),
}

COSTLY = frozenset({"planning", "workshop", "stateful"})
"""Layers of which an example of a property takes a whole plan or store: CI tries fewer of them."""


def layer_of(path: str | Path) -> str:
    """Name of the layer that the test file `path` (absolute, or from the project's root) is in.

    A folder that nobody gave a layer counts as the house, whose tests complain of it.
    """
    folder = (HERE.parent / path).relative_to(HERE).parts[0]
    return folder if folder in LAYERS else ""
