"""A job as a page shows it, with what is asked before it is logged."""

from dataclasses import dataclass

from putback.logbook.entries.base import TagCode
from putback.logbook.state import State
from putback.vehicle.ids import JointId
from putback.web.here import here
from putback.web.pages.access import Visit
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.now.bag_at_hand import ProposedTag, proposed_tag
from putback.workshop.now.next_job import NextJob
from putback.workshop.pictures.album import Picture
from putback.workshop.pictures.photo_before import photo_before
from putback.workshop.plans.job_card import JobCard


@dataclass(frozen=True, slots=True)
class Work:
    """The next job as it is shown and logged."""

    next: NextJob
    photo: Picture | None
    bag: ProposedTag | None
    """Where the pieces are proposed to go."""
    places: tuple[tuple[str, str], ...]
    """Identity and name of each place of the garage, for a part that comes off."""

    @property
    def card(self) -> JobCard:
        """The job's card."""
        return self.next.card


def work_of(visit: Visit, found: NextJob, tags: tuple[TagCode, ...]) -> Work:
    """Gather what a page shows of a job."""
    workshop = here().workshop
    state = in_its_garage(workshop, visit.logbook)
    card = found.card
    joint = JointId(card.identity) if card.is_joint else None
    return Work(
        next=found,
        photo=photo_before(workshop, visit.logbook, card),
        bag=proposed_tag(state, joint, tags),
        places=places_of(state),
    )


def places_of(state: State) -> tuple[tuple[str, str], ...]:
    """Give the identity and name of each place of the garage."""
    return tuple((each.place, each.name or each.place) for each in state.places.values())
