"""The history file of a large logbook with many photos, made in a process of its own.

Only so can be measured what memory it takes: ``python -m benchmarks.illustrated HOME FILE`` makes
the file from the store in a folder, and prints seconds and bytes as JSON.
"""

import json
import resource
import sys
from collections.abc import Iterator
from io import BytesIO
from itertools import islice
from pathlib import Path
from time import perf_counter

import numpy as np
from PIL import Image

from benchmarks.logbooks import LOGBOOK, entry, work
from benchmarks.stores import open_workshop
from putback.logbook.entries.base import Body, DeviceId, Subject
from putback.logbook.entries.working import PhotoTaken
from putback.vehicle.generate import generate
from putback.workshop.logbooks.describe import describe
from putback.workshop.printing.form import Form
from putback.workshop.printing.history import save_history
from putback.workshop.printing.wanted import Wanted

_HIGH, _WIDE = 3000, 4000
"""As phones take them [pixels]."""


def store_in(home: Path, entries: int, photos: int, parts: int = 400, seed: int = 7) -> None:
    """Keep the logbook of a generated vehicle, its photos among the entries, in a folder."""
    workshop, vehicle = open_workshop(home), generate(parts, seed)
    bodies = list(describe(vehicle))
    worked = (each for each in work(vehicle, seed) if not isinstance(each, PhotoTaken))
    bodies += islice(worked, entries - photos - len(bodies))
    every, names = (entries - photos) // photos, sorted(vehicle.parts)
    for at, content in enumerate(_photos(photos, seed)):
        of = (Subject(f"part:{names[at % len(names)]}"),)
        taken = PhotoTaken(photo=workshop.photos.put(content), of=of, media_type="image/jpeg")
        bodies.insert(at * (every + 1), taken)
    logged: list[Body] = bodies
    kept = [entry(number, body) for number, body in enumerate(logged)]
    workshop.store.create_logbook(LOGBOOK, "bench", kept[0].who)
    workshop.store.append(LOGBOOK, kept, "bench")


def _photos(count: int, seed: int) -> Iterator[bytes]:
    """Pictures as hard to press as a bench full of parts: patches of colour, and grain."""
    rnd = np.random.default_rng(seed)
    patches = Image.fromarray(rnd.integers(0, 200, (150, 200, 3), dtype=np.uint8))
    ground = np.asarray(patches.resize((_WIDE, _HIGH), Image.Resampling.BILINEAR))
    ground = ground + rnd.integers(0, 24, (_HIGH, _WIDE, 1), dtype=np.uint8)
    for at in range(count):
        into = BytesIO()
        Image.fromarray(np.roll(ground, at * 7 + 1, axis=1)).save(into, "JPEG", quality=85)
        yield into.getvalue()


def _peak_bytes() -> int:
    """What this process has taken at most: ``ru_maxrss`` counts who began it as well."""
    status = Path("/proc/self/status").read_text().splitlines()
    (peak,) = (line.split()[1] for line in status if line.startswith("VmHWM:"))
    return int(peak) * 1024


def main(home: Path, target: Path) -> None:
    """Make the file, and say what it took."""
    begun = perf_counter()
    workshop = open_workshop(home)
    form = Form.HTML if target.suffix == ".html" else Form.PDF
    save_history(form, Wanted(workshop, LOGBOOK, DeviceId("bench")), target)
    wall_s = perf_counter() - begun
    own, others = (
        resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)
    )
    told = {
        "wall_s": wall_s,
        "processor_s": own.ru_utime + own.ru_stime + others.ru_utime + others.ru_stime,
        "own_bytes": _peak_bytes(),
        "setter_bytes": others.ru_maxrss * 1024,
        "file_bytes": target.stat().st_size,
    }
    sys.stdout.write(json.dumps(told))


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
