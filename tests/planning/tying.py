"""Lifts of small and of generated vehicles, and their ties."""

from random import Random

from putback.planning.ties import Ties, ties
from putback.vehicle.generate import generate
from tests.makers import vehicle
from tests.makers_logbook import Story
from tests.planning.hand_made import state_of


def on_frame(*more) -> Story:
    """A shell on a frame by two mountings, with whatever is said besides."""
    return Story(
        vehicle("front mount = shell - frame", "rear mount = shell - frame", *more, datum="frame")
    )


def of(story: Story, *lift: str, **options) -> Ties:
    """The ties of a lift, of the shell if none is named."""
    refs = lift or ("part:shell",)
    return ties(story.state.vehicle, story.state, *refs, **options)


def drawn(seed: int, parts: int, share: float):
    """A generated vehicle some of whose joints are undone, a lift of it, and what it is off."""
    rng = Random(seed)
    car = generate(parts, seed)
    datum = next(iter(car.goals.values())).datum
    lift = rng.sample([part for part in car.parts if part != datum], rng.randint(1, 3))
    undone = [joint for joint in car.joints if rng.random() < share]
    found = ties(
        car, state_of(car, undone=undone), *(f"part:{part}" for part in lift), apart_from=[datum]
    )
    return car, lift, datum, undone, found
