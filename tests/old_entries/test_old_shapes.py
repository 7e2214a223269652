"""What was ever stored can be read, and means what it meant."""

from hashlib import sha256
from pathlib import Path

import pytest

from putback import Garage, Tightness, garage_in_memory
from putback.logbook.entries.base import LogbookId
from putback.logbook.entries.judging import Choice
from putback.logbook.entries.registry import KINDS, decode
from putback.vehicle.file import read
from putback.workshop.logbooks.ports import GARAGE

HERE = Path(__file__).parent
KEPT = sorted(path for path in HERE.iterdir() if path.suffix in {".jsonl", ".zip", ".toml"})
LINES = [
    pytest.param(line, id=f"{path.stem}:{number}")
    for path in KEPT
    if path.suffix == ".jsonl"
    for number, line in enumerate(path.read_bytes().splitlines(), start=1)
]
OLD_VAN = LogbookId("old-van")


def test_no_file_was_edited():
    """Each has the digest that it was born with, and none is missing."""
    sums = (HERE / "SHA256SUMS").read_text().splitlines()
    born = {name: digest for digest, name in (line.split() for line in sums)}
    assert {path.name: sha256(path.read_bytes()).hexdigest() for path in KEPT} == born


def test_every_kind_and_version_has_an_example():
    """From the first version of each kind to its newest."""
    entries = [decode(each.values[0]) for each in LINES]
    wanted = {
        (kind, version) for kind, body in KINDS.items() for version in range(1, body.VERSION + 1)
    }
    assert {(entry.kind, entry.version) for entry in entries} == wanted


def test_the_examples_leave_no_field_out():
    """Over all its examples a kind has every field that it has today."""
    given: dict[str, set[str]] = {kind: set() for kind in KINDS}
    for each in LINES:
        entry = decode(each.values[0])
        given[entry.kind] |= entry.body.model_fields_set
    assert given == {kind: set(body.model_fields) for kind, body in KINDS.items()}


@pytest.mark.parametrize("line", LINES)
def test_an_old_entry_is_read(line):
    """Its body is understood, it says itself in words, and its bytes stay as they were."""
    entry = decode(line)
    assert isinstance(entry.body, KINDS[entry.kind])
    assert entry.body.sentence(str)
    assert entry.raw == line


@pytest.fixture(params=["entries", "bundle"])
def garage(request) -> Garage:
    """The old van, received entry by entry or taken in from its bundle."""
    garage = garage_in_memory(who="Ann")
    if request.param == "bundle":
        garage.take_in(HERE / "bundle-1.zip")
        return garage
    garage.workshop.store.create_logbook(OLD_VAN, "Old van", garage.who)
    for logbook, name in ((OLD_VAN, "entries-1.jsonl"), (GARAGE, "garage-1.jsonl")):
        lines = (HERE / name).read_bytes().splitlines()
        garage.workshop.receive(logbook, lines, received_from="phone")
    return garage


def test_the_old_logbook_means_what_it_meant(garage):
    """What was off, struck, tightened, decided and measured then is so today."""
    van = garage.vehicle("Old van")
    state, facts = van.state(), garage.workshop.facts(van.id)
    assert (facts.entries, len(facts.struck), facts.unread) == (77, 2, ())
    assert facts.digest == "6c97086e1523578685aa154db7fd9da9c86b59267ab2c3c47b7a142ff2b70c4f"
    assert state.parts_off == {"badge", "trim"}
    assert van.where("tag:3CAH")[0] == "bag: lid bolts"
    pump = state.parts["pump"].common
    assert (pump.choice, pump.readings[0].value, pump.minutes) == (Choice.RECONDITION, 0.3, 180)
    joint = state.joints["pump-frame"]
    assert (joint.tightness, joint.torque_nm, joint.locked) == (Tightness.FINAL, 25.0, True)
    assert joint.checks[0].second_person
    assert not state.fluids["oil"].is_out
    check = van.hardware_check()
    assert (check.closes, check.short, check.over, check.to_go_on) == (False, 0, 0, 2)


def test_an_old_vehicle_file_is_read(garage):
    """It describes what the entries describe."""
    assert read(HERE / "vehicle-1.toml") == garage.vehicle("Old van").state().vehicle
