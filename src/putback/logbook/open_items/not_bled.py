"""A hydraulic circuit is filled and not bled."""

from collections.abc import Iterable

from putback.logbook.entries.base import Subject
from putback.logbook.entries.rebuilding import Bled
from putback.logbook.fluids import fluid_of
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation
from putback.vehicle.job import JobKind


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find fluids that a job of the vehicle bleeds, filled and not bled since."""
    jobs = situation.state.vehicle.jobs.values()
    hydraulic = {job.fluid for job in jobs if job.kind is JobKind.BLEED}
    for identity in sorted(filter(None, hydraulic)):
        fluid = fluid_of(situation.state.vehicle, situation.state, identity)
        if fluid.filled and not fluid.bled:
            subject = Subject(f"fluid:{identity}")
            yield OpenItem(
                Danger.DANGER if situation.on_wheels else Danger.NOW,
                subject,
                f"{situation.name(subject)} is filled and the circuit is not bled",
                entries_of(fluid.filled),
                "bleed it; do not trust the pedal before",
                (Bled,),
            )
