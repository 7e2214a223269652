"""What setting papers takes of the processor: 300 tags, the cards of a sitting of 60 jobs.

And of processor and memory: the history file of 5,000 entries and 500 photos.
"""

import json
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from time import process_time
from typing import Any

from benchmarks.illustrated import store_in
from benchmarks.measure import Figure, figure
from putback.logbook.tags import tag_at
from putback.paper.cards import CardJob, Fetch, WorkCard, cards_pdf
from putback.paper.stock import STOCKS
from putback.paper.tags import Held, TagLabel, tags_pdf

TAGS, JOBS, RUNS = 300, 60, 5
TAGS_S, CARDS_S = 1.5, 1.0
ENTRIES, PHOTOS = 5_000, 500
HISTORY_S, HISTORY_BYTES = 60.0, 1e9


def run() -> Iterator[Figure]:
    """Set each a few times, other words each time, as Typst remembers what it set before.

    Others may be using this machine, so that the processor's time counts. The first run reads the
    fonts and is counted like the others.
    """
    sheets = [[_label(at + run * TAGS) for at in range(TAGS)] for run in range(RUNS)]
    yield figure(
        f"{TAGS} tags on A4",
        _taken(lambda labels: tags_pdf(labels, STOCKS[0]), sheets),
        limit_s=TAGS_S,
    )
    yield figure(
        f"card of {JOBS} jobs",
        _taken(
            lambda card: cards_pdf("Rebuild", "Dunlin Fourteen", "29 Nov 2026", [card]),
            [_card(run) for run in range(RUNS)],
        ),
        limit_s=CARDS_S,
    )
    with tempfile.TemporaryDirectory() as scratch:
        home = Path(scratch, "home")
        home.mkdir()
        store_in(home, ENTRIES, PHOTOS)
        for form in ("pdf", "html"):
            yield _history(home, Path(scratch, f"history.{form}"))


def _history(home: Path, target: Path) -> Figure:
    """One run: memory is that of the process that gathers and of the one that sets together."""
    took = json.loads(
        subprocess.check_output(
            [sys.executable, "-m", "benchmarks.illustrated", str(home), str(target)]
        )
    )
    peak = took["own_bytes"] + took["setter_bytes"]
    made = figure(
        f"history file, {target.suffix[1:].upper()}", [took["processor_s"]], limit_s=HISTORY_S
    )
    return replace(
        made,
        target=f"{made.target}, < {HISTORY_BYTES / 1e9:g} GB",
        ok=made.ok and peak < HISTORY_BYTES,
        note=f"{PHOTOS} photos, {ENTRIES} entries; {took['wall_s']:.0f} s on the clock, at most "
        f"{peak / 1e6:.0f} MB, a file of {took['file_bytes'] / 1e6:.0f} MB",
    )


def _taken(work: Callable[[Any], object], of: Iterable[object]) -> list[float]:
    spent = []
    for each in of:
        begun = process_time()
        work(each)
        spent.append(process_time() - begun)
    return spent


def _card(run: int) -> WorkCard:
    return WorkCard(
        1,
        1,
        "Under the rear",
        "rear on stands",
        tuple(_job(run, number) for number in range(1, JOBS + 1)),
        minutes="about 9 h",
        tools=tuple(f"spanner {size}/16 AF" for size in range(5, 13)),
        fetch=tuple(Fetch("shelf B2", f"bolts of joint {at}", "K7F4") for at in range(20)),
    )


def _label(at: int) -> TagLabel:
    held = tuple(
        Held(f"joint {at} to the frame, front", f"{each + 1} × bolt 5/16-24 UNF × 1 in", "left")
        for each in range(at % 5)
    )
    return TagLabel(
        tag_at(at), "Dunlin Fourteen", "bag", f"joint {at}", held, "engine bay", "29 Nov 2026"
    )


def _job(run: int, number: int) -> CardJob:
    return CardJob(
        number,
        "Tighten",
        f"joint {number} of the axle {run + 1} to its spring, left",
        pieces=(
            "4 × bolt 3/8-24 UNF × 1 1/2 in + spring washer 3/8 in; heads rearwards",
            f"{run} × sleeve",
        ),
        tool="spanner 9/16 AF",
        minutes="9 min",
        torque="38 N·m (28 lbf·ft), oiled, maker figure",
        cautions=("it falls: the rear end drops", "Prop first: a board under it"),
        first=("mark: paint across the joint", "have new: 4 × self-locking nut 3/8-24 UNF"),
        tags=("K7F4",),
        second=number % 5 == 0,
    )
