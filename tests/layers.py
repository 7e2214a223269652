"""The layers of tests and the time each may take; tests/README.md tells what belongs where."""

from pathlib import Path
from typing import NamedTuple

HERE = Path(__file__).parent


class Layer(NamedTuple):
    """Seconds on two cores that are busy with other things as well."""

    each_s: int
    """What one test may take before it is stopped as hanging."""

    all_s: int
    """What the whole layer should take, added up over its tests; said aloud if it takes more."""

    measured: bool = True
    """Whether coverage counts what its tests run; not where they pass through others' modules."""


LAYERS = {
    "": Layer(each_s=60, all_s=40),  # the files right in tests/: the house itself
    "errors": Layer(each_s=10, all_s=5),
    "progress": Layer(each_s=10, all_s=5),
    "units": Layer(each_s=30, all_s=20),
    "bench": Layer(each_s=30, all_s=30),
    "solvers": Layer(each_s=60, all_s=30),
    "pictures": Layer(each_s=60, all_s=40),
    "vehicle": Layer(each_s=60, all_s=150),
    "logbook": Layer(each_s=120, all_s=300),
    "planning": Layer(each_s=300, all_s=450),
    "workshop": Layer(each_s=120, all_s=60),
    "web": Layer(each_s=120, all_s=120, measured=False),
    "cli": Layer(each_s=300, all_s=400, measured=False),
    "published": Layer(each_s=120, all_s=60, measured=False),
    "old_entries": Layer(each_s=30, all_s=10, measured=False),
    "stateful": Layer(each_s=300, all_s=90, measured=False),
    "faults": Layer(each_s=180, all_s=240, measured=False),
    "demo": Layer(each_s=300, all_s=200, measured=False),
    "docs": Layer(each_s=120, all_s=45, measured=False),
    "browser": Layer(each_s=120, all_s=240, measured=False),
}

COSTLY = frozenset({"planning", "workshop", "stateful"})
"""Layers of which an example of a property takes a whole plan or store: CI tries fewer of them."""


def layer_of(path: str | Path) -> str:
    """Name of the layer that the test file `path` (absolute, or from the project's root) is in.

    A folder that nobody gave a layer counts as the house, whose tests complain of it.
    """
    folder = (HERE.parent / path).relative_to(HERE).parts[0]
    return folder if folder in LAYERS else ""
