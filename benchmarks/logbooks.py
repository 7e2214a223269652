"""Large logbooks of generated vehicles: the same bodies for every run."""

import random
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

from putback.logbook.entries.base import (
    ActId,
    Body,
    DeviceId,
    Entry,
    EntryId,
    LogbookId,
    PersonId,
    Subject,
)
from putback.logbook.entries.bookkeeping import TimeSpent
from putback.logbook.entries.rebuilding import JointMade, PartOn, Tightness
from putback.logbook.entries.registry import encode
from putback.logbook.entries.working import JointUndone, NoteMade, PartOff, PhotoTaken
from putback.logbook.tags import tag_at
from putback.vehicle.generate import generate
from putback.vehicle.vehicle import Vehicle
from putback.workshop.logbooks.describe import describe

LOGBOOK = LogbookId("bench")
BEGIN = datetime(2031, 3, 1, 8, tzinfo=UTC)


def entry(number: int, body: Body, happened: datetime | None = None) -> Entry:
    """Write the entry of a number, one minute after the one before."""
    logged = BEGIN + timedelta(minutes=number)
    stamp = logged.isoformat()
    identity = f"019aaaaa-{number >> 16 & 0xFFFF:04x}-7000-8000-{number:012x}"
    return encode(
        id=EntryId(identity),
        act=ActId(identity),
        logbook=LOGBOOK,
        happened_at=(happened or logged).isoformat(),
        logged_at=stamp,
        clock=(round(logged.timestamp() * 1000), 0),
        device=DeviceId("phone"),
        who=PersonId("A"),
        body=body,
    )


def work(vehicle: Vehicle, seed: int) -> Iterator[Body]:
    """Strip and rebuild a vehicle over and over, with notes, photos and hours, for ever."""
    rnd = random.Random(seed)
    joints, parts = sorted(vehicle.joints), sorted(vehicle.parts)
    bag = {joint: tag_at(index % 300) for index, joint in enumerate(joints)}
    box = {part: tag_at(300 + index % 100) for index, part in enumerate(parts)}
    while True:
        joint, part = rnd.choice(joints), rnd.choice(parts)
        of = (Subject(f"part:{part}"),)
        chance = rnd.random()
        if chance < 0.30:
            yield JointUndone(joint=joint, tag=bag[joint])
        elif chance < 0.45:
            yield JointMade(joint=joint, tightness=Tightness.FINAL, renewed=True)
        elif chance < 0.60:
            yield PartOff(part=part, tag=box[part])
        elif chance < 0.70:
            yield PartOn(part=part)
        elif chance < 0.80:
            yield NoteMade(text="thread a little worn, still good", of=of)
        elif chance < 0.90:
            yield PhotoTaken(photo=f"{rnd.getrandbits(256):064x}", of=of)
        else:
            yield TimeSpent(minutes=5, of=Subject(f"joint:{joint}"))


def logbook(entries: int, parts: int = 400, seed: int = 7) -> tuple[Vehicle, list[Entry]]:
    """Make a logbook of so many entries, the description of its vehicle among them."""
    vehicle = generate(parts, seed)
    bodies = list(describe(vehicle))
    more = work(vehicle, seed)
    while len(bodies) < entries:
        bodies.append(next(more))
    return vehicle, [entry(number, body) for number, body in enumerate(bodies[:entries])]
