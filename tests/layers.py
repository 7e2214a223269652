"""The layers of tests and the time each may take; tests/README.md tells what belongs where."""

from functools import cache
from pathlib import Path
from typing import NamedTuple

HERE = Path(__file__).parent


class Layer(NamedTuple):
    """What its tests may take: to stop one, seconds on cores busy with other things as well."""

    each_s: int
    """What one test may take before it is stopped as hanging."""

    all_s: int
    """What all of them should take on quiet cores, added up; said aloud if they take more."""


LAYERS = {
    "": Layer(each_s=60, all_s=30),  # the files right in tests/: the house itself
    "errors": Layer(each_s=10, all_s=5),
    "progress": Layer(each_s=10, all_s=5),
    "language": Layer(each_s=30, all_s=10),
    "units": Layer(each_s=30, all_s=10),
    "bench": Layer(each_s=30, all_s=10),
    "solvers": Layer(each_s=60, all_s=25),
    "pictures": Layer(each_s=60, all_s=20),
    "vehicle": Layer(each_s=60, all_s=70),
    "logbook": Layer(each_s=120, all_s=100),
    "planning": Layer(each_s=300, all_s=210),
    "paper": Layer(each_s=60, all_s=15),
    "workshop": Layer(each_s=120, all_s=80),
    "web": Layer(each_s=120, all_s=160),
    "cli": Layer(each_s=300, all_s=160),
    "published": Layer(each_s=120, all_s=20),
    "old_entries": Layer(each_s=30, all_s=10),
    "stateful": Layer(each_s=300, all_s=30),
    "faults": Layer(each_s=180, all_s=80),
    "demo": Layer(each_s=300, all_s=80),
    "docs": Layer(each_s=120, all_s=35),
    "browser": Layer(each_s=120, all_s=280),
}

COSTLY = frozenset({"planning", "workshop", "stateful"})
"""Layers of which an example of a property takes a whole plan or store: fewer are tried."""


@cache
def layer_of(path: str | Path) -> str:
    """Name of the layer that the test file `path` (absolute, or from the project's root) is in.

    A folder that nobody gave a layer counts as the house, whose tests complain of it.
    """
    folder = (HERE.parent / path).relative_to(HERE).parts[0]
    return folder if folder in LAYERS else ""
