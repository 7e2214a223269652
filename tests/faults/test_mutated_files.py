"""5,000 spoilt bundles and vehicle files: a clear error or a full import, and nothing else.

`make soak` spoils ten times as many.
"""

import json
import os
import re
from functools import lru_cache
from hashlib import sha256
from pathlib import Path
from random import Random
from tempfile import TemporaryDirectory

import pytest

from putback.errors import BundleError, UnreadableFile, VehicleFileError
from putback.logbook.bundle import Bundle, check_bundle, read_bundle, write_bundle
from putback.logbook.bundle import read as bundle_reader
from putback.logbook.entries.base import LogbookId, PersonId
from putback.logbook.entries.registry import decode
from putback.logbook.fold import fold
from putback.vehicle.file import read, write
from putback.vehicle.generate import generate
from putback.workshop.exchange.exchange import take_in
from putback.workshop.logbooks import look
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.logbooks.workshop import Workshop
from tests.faults import mutate

TIMES = 10 if os.environ.get("HYPOTHESIS_PROFILE") == "soak" else 1
SEEDS = range(10 * TIMES)
BUNDLES, VEHICLES = 350, 150
"""Files spoilt for each seed: 5,000 over the ten of the default run."""

OLD = Path(__file__).parent.parent / "old_entries"


def _sound() -> bytes:
    """A bundle with every kind of entry, one that came with line breaks, and two photos."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "sound.zip"
        old = read_bundle(OLD / "bundle-1.zip")
        photos = {sha256(content).hexdigest(): content for content in (b"a photo", b"\xff" * 999)}
        taken = [old.entries[0]]
        for number, photo in enumerate(photos, start=1):
            document = json.loads(taken[0].raw) | {
                "id": f"{number:08x}-0000-7000-8000-000000000000",
                "kind": "photo",
                "version": 1,
                "body": {"photo": photo},
            }
            taken.append(decode(json.dumps(document, indent=number).encode()))
        entries = [*old.entries, *taken]
        write_bundle(path, old.logbook, entries, old.garage, photos.get, name="Old van")
        return path.read_bytes()


SOUND = _sound()
BYTE_BY_BYTE = frozenset({*mutate.BYTES, *mutate.ARCHIVE})
"""Mutations that only spoil: whatever is still read must be what was there."""

pytestmark = pytest.mark.slow


@pytest.fixture(autouse=True)
def a_line_is_read_once(monkeypatch):
    """Remember what bytes mean: 3,500 spoilt bundles share nearly all of their lines."""
    remembered = lru_cache(maxsize=10_000)(decode)
    for reader in (bundle_reader, look):
        monkeypatch.setattr(reader, "decode", remembered)


def contents(bundle: Bundle) -> object:
    """All that a bundle holds."""
    return (
        [each.raw for each in bundle.entries],
        [each.raw for each in bundle.garage],
        dict(bundle.photos()),
    )


def counts(workshop: Workshop) -> dict[LogbookId, int]:
    """How many entries a workshop has in each logbook."""
    return {each.id: each.position for each in workshop.store.logbooks()}


def taken_in(path: Path) -> Bundle | None:
    """Take a bundle into an empty workshop: all of it, or an error and nothing at all."""
    workshop = Workshop(MemoryEntryStore(), MemoryPhotoStore())
    before = counts(workshop)
    try:
        take_in(workshop, path, who=PersonId("ann"))
    except BundleError:
        assert counts(workshop) == before, "half an import"
        assert not list(workshop.photos)
        with pytest.raises(BundleError, match=re.escape(str(path))):
            raise_unless_sound(path)
        return None
    bundle = read_bundle(path)
    entries = {(each.id, each.digest) for each in bundle.entries}
    assert counts(workshop)[bundle.logbook] == len(entries)
    assert counts(workshop).get(GARAGE, 0) == len(bundle.garage)
    assert set(workshop.photos) == set(bundle.photo_files)
    assert check_bundle(path).is_sound
    workshop.state(bundle.logbook)  # and it can be folded, whatever it says
    return bundle


def raise_unless_sound(path: Path) -> None:
    """A check finds fault wherever taking in does."""
    report = check_bundle(path)
    if not report.is_sound:
        raise BundleError(path, str(report.faults[0]))


@pytest.mark.parametrize("seed", SEEDS)
def test_a_spoilt_bundle_is_refused_or_taken_in_whole(seed, tmp_path):
    """No other exception, no half import, no file outside, whatever is done to the file."""
    random = Random(seed)
    path = tmp_path / "inside" / "spoilt.zip"
    path.parent.mkdir()
    path.write_bytes(SOUND)
    sound = contents(read_bundle(path))
    refused = 0
    for _ in range(BUNDLES):
        group = random.choice([mutate.BYTES, mutate.ARCHIVE, mutate.CONTENT])
        spoil = random.choice(group)
        path.write_bytes(spoil(SOUND, random))
        bundle = taken_in(path)
        refused += bundle is None
        if bundle is not None and spoil in BYTE_BY_BYTE:
            assert contents(bundle) == sound, spoil.__name__
    assert [*tmp_path.rglob("*")] == [path.parent, path]
    assert 0 < refused < BUNDLES, "mutations should spoil much, but not everything"


VEHICLE_TEXTS = ((OLD / "vehicle-1.toml").read_bytes(), write(generate(3, 1)).encode())


@pytest.mark.parametrize("seed", SEEDS)
def test_a_spoilt_vehicle_file_is_refused_or_read_whole(seed, tmp_path):
    """What is read is a vehicle that can be written and read again; all else is a clear error."""
    random = Random(seed)
    path = tmp_path / "spoilt.toml"
    refused = 0
    for _ in range(VEHICLES):
        spoil = random.choice(mutate.TOML)
        path.write_bytes(spoil(random.choice(VEHICLE_TEXTS), random))
        try:
            vehicle = read(path)
        except (UnreadableFile, VehicleFileError):
            refused += 1
        else:
            assert read(write(vehicle)) == vehicle, spoil.__name__
    assert 0 < refused < VEHICLES, "mutations should spoil much, but not everything"


@pytest.mark.parametrize("spoil", dict.fromkeys([*mutate.BYTES, *mutate.ARCHIVE, *mutate.CONTENT]))
def test_every_mutation_of_a_bundle_spoils(spoil):
    """A mutation that changed nothing would prove nothing."""
    assert any(spoil(SOUND, Random(seed)) != SOUND for seed in range(5))


@pytest.mark.parametrize("spoil", dict.fromkeys(mutate.TOML))
def test_every_mutation_of_a_vehicle_file_spoils(spoil):
    """A mutation that changed nothing would prove nothing."""
    text = VEHICLE_TEXTS[0]
    assert any(spoil(text, Random(seed)) != text for seed in range(5))


def test_a_seal_of_ours_is_whole(tmp_path):
    """A bundle that was only sealed anew is sound: so it is the wild entries that are refused."""
    path = tmp_path / "sealed.zip"
    path.write_bytes(mutate.resealed(mutate.unpacked(SOUND)))
    assert check_bundle(path).is_sound
    assert fold(read_bundle(path).entries).state()
