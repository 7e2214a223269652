"""A job's own photo: the one that whoever does it wants to see."""

from putback.logbook.entries.base import LogbookId
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.pictures.album import Picture, album, pictures_of
from putback.workshop.plans.job_card import JobCard


def photo_before(workshop: Workshop, logbook: LogbookId, card: JobCard) -> Picture | None:
    """Give the photo for a job; ``None`` if nobody took one.

    Of the thing itself rather than of a part of it, from before it came off rather than after, and
    of these the latest.
    """
    found = pictures_of(album(workshop, logbook), workshop.state(logbook), card.what)
    return next((each for each in found if not each.is_sound), None)
