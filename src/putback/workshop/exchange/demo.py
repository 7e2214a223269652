"""The demo vehicle laid out in a workshop, with its story up to some sitting."""

import json
from collections.abc import Iterable, Iterator
from datetime import datetime, timedelta

from putback.logbook.entries.base import DeviceId, LogbookId, PersonId, canonical
from putback.vehicle.demo import demo_vehicle
from putback.workshop.exchange import story
from putback.workshop.logbooks.workshop import Workshop


def lay_out_demo(
    workshop: Workshop, owner: PersonId, device: DeviceId, sittings: int | None = None
) -> LogbookId:
    """Begin the demo vehicle's logbook and take in what its phones sent.

    The story is moved by whole days, so that its last entry is of the day before now: what
    somebody logs in it then comes after what is there, as it would on a vehicle of theirs.

    Parameters
    ----------
    sittings : int, optional
        How many sittings of the story are over; all of them where not given.

    Raises
    ------
    AlreadyExists
        If it is laid out already.
    """
    workshop.new_vehicle(demo_vehicle(), who=owner, device=device, logbook=story.DEMO_VEHICLE)
    events = tuple(_up_to(sittings))
    by = _days_to_move(events, workshop.clock.now())
    for event in events:
        match event:
            case story.Phones(tags):
                for phone, how_many in tags.items():
                    workshop.reserve_tags(phone, how_many)
            case story.PhotoSent(content=content):
                workshop.photos.put(content)
            case story.Sent(sent_from=phone, logbook=logbook, lines=lines):
                workshop.receive(
                    logbook, [_moved(line, by) for line in lines], received_from=phone
                )
            case _:  # sittings, copies that exchange what they have, questions: here is one copy
                pass
    return story.DEMO_VEHICLE


def _up_to(sittings: int | None) -> Iterator[story.Event]:
    begun = 0
    for event in story.demo_story():
        begun += isinstance(event, story.Sitting)
        if sittings is not None and begun > sittings:
            return
        yield event


def _days_to_move(events: Iterable[story.Event], now: datetime) -> timedelta:
    """Whole days from the day of the last entry to yesterday, by the calendar of here."""
    logged = (
        datetime.fromisoformat(json.loads(line)["logged_at"])
        for event in events
        if isinstance(event, story.Sent)
        for line in event.lines
    )
    last = max(logged, default=None)
    if last is None:
        return timedelta()
    return now.date() - last.astimezone(now.tzinfo).date() - timedelta(days=1)


def _moved(line: bytes, by: timedelta) -> bytes:
    """Move an entry in time; its identity stays, as others name it."""
    said = json.loads(line)
    said["logged_at"] = _later(said["logged_at"], by)
    said["happened_at"] = _later(said["happened_at"], by)
    milliseconds, counter = said["clock"]
    said["clock"] = [milliseconds + by // timedelta(milliseconds=1), counter]
    if said["body"].get("due"):
        said["body"]["due"] = _later(said["body"]["due"], by)
    return canonical(said)


def _later(moment: str, by: timedelta) -> str:
    """Move an instant or a day, written as exactly as it was; a month or nothing stays."""
    if len(moment) < len("2031-05-12"):
        return moment
    then = datetime.fromisoformat(moment) + by
    is_day = len(moment) == len("2031-05-12")
    return then.date().isoformat() if is_day else then.isoformat(timespec="milliseconds")
