"""A job's own photo: the one that whoever does it wants to see."""

from collections.abc import Iterable

from putback.logbook.entries.base import LogbookId
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.pictures.album import Picture, album, pictures_of
from putback.workshop.plans.job_card import JobCard


def photo_before(workshop: Workshop, logbook: LogbookId, card: JobCard) -> Picture | None:
    """Give the photo for a job; ``None`` if nobody took one.

    Of the thing itself rather than of a part of it, from before it came off rather than after, and
    of these the latest.
    """
    return photos_before(workshop, logbook, [card])[0]


def photos_before(
    workshop: Workshop, logbook: LogbookId, cards: Iterable[JobCard]
) -> tuple[Picture | None, ...]:
    """Give the photo for each of these jobs, in their order."""
    pictures = [each for each in album(workshop, logbook) if not each.is_sound]
    state = workshop.state(logbook)
    return tuple(
        next(iter(pictures_of(pictures, state, card.what)), None) if pictures else None
        for card in cards
    )
