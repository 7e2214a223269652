"""Run the benchmarks: ``python -m benchmarks [--json] [NAME ...]``."""

import argparse
import importlib
import sys

from benchmarks.measure import show
from putback.cli.garbage import collect_seldom

BENCHMARKS = {
    "fold": "folding",
    "append": "appending",
    "plan": "planning",
    "strip": "strip",
    "sequence": "sequence",
    "schedule": "schedule",
    "stock": "stock",
    "dismantle": "dismantle",
    "andor": "andor",
    "risk": "risk",
    "survey": "survey",
    "questions": "questions",
    "contradictions": "contradictions",
    "pages": "pages",
    "queue": "queued",
    "load": "load",
    "lighthouse": "lighthouse",
    "scan": "scan",
    "offline": "offline",
    "calculators": "calculators",
    "paper": "paper",
}


def main() -> int:
    """Measure what is asked for; exit with 1 if a figure misses its target."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks", description=__doc__)
    parser.add_argument("names", nargs="*", metavar="NAME", help=", ".join(BENCHMARKS))
    parser.add_argument("--json", action="store_true", help="print JSON")
    asked = parser.parse_args()
    unknown = sorted(set(asked.names) - set(BENCHMARKS))
    if unknown:
        parser.error(f"no benchmark {unknown[0]!r}; there are {', '.join(BENCHMARKS)}")
    collect_seldom()  # as the command line does
    figures = []
    for name in asked.names or BENCHMARKS:
        module = importlib.import_module(f"benchmarks.{BENCHMARKS[name]}")
        figures.extend(module.run())
    show(figures, as_json=asked.json)
    return 0 if all(each.ok for each in figures) else 1


if __name__ == "__main__":
    sys.exit(main())
