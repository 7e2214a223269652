"""The demo vehicle laid out in a workshop, with its story up to some sitting."""

from putback.logbook.entries.base import DeviceId, LogbookId, PersonId
from putback.vehicle.demo import demo_vehicle
from putback.workshop import story
from putback.workshop.workshop import Workshop


def lay_out_demo(
    workshop: Workshop, owner: PersonId, device: DeviceId, sittings: int | None = None
) -> LogbookId:
    """Begin the demo vehicle's logbook and take in what its phones sent.

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
    begun = 0
    for event in story.demo_story():
        match event:
            case story.Phones(tags):
                for phone, how_many in tags.items():
                    workshop.reserve_tags(phone, how_many)
            case story.Sitting():
                begun += 1
                if sittings is not None and begun > sittings:
                    break
            case story.PhotoSent(content=content):
                workshop.photos.put(content)
            case story.Sent(sent_from=phone, logbook=logbook, lines=lines):
                workshop.receive(logbook, lines, received_from=phone)
            case _:  # copies that exchange what they have, and questions: here is one copy
                pass
    return story.DEMO_VEHICLE
