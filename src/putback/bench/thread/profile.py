"""A thread's profile to scale, with that of its likest fellow laid over it."""

from math import tan

from putback.bench.calculator import Drawing, Shape
from putback.bench.thread_form import Dimensions, dimensions
from putback.bench.threads import Thread

_TURNS = 8


def profile_m(of: Dimensions, length_m: float) -> tuple[tuple[float, float], ...]:
    """Give the corners of a bolt's profile [m]: along the axis, and from it.

    Begins in the middle of a ridge and goes on over a length [m]. A ridge is P/2 wide where the
    pitch diameter cuts it, and widens to both sides by the flank angle.
    """
    crest_m, root_m = of.major_m / 2, of.root_m / 2
    slope = tan(of.form.half_angle_rad)
    crest_half, root_half = (
        of.pitch_m / 4 - (radius - of.pitch_diameter_m / 2) * slope for radius in (crest_m, root_m)
    )
    points = [(0.0, crest_m)]
    ridge = 0
    while (middle := ridge * of.pitch_m) <= length_m + 1e-9:
        if ridge:
            points += [(middle - root_half, root_m), (middle - crest_half, crest_m)]
        points += [(middle + crest_half, crest_m), (middle + root_half, root_m)]
        ridge += 1
    return tuple(point for point in points if point[0] <= length_m + of.pitch_m / 2)


def drawing(thread: Thread, other: Thread | None) -> Drawing:
    """Draw some turns of a thread, and of another over them, both from the middle of a ridge."""
    ours = dimensions(thread)
    length_m = _TURNS * ours.pitch_m
    shapes = [
        Shape("outline", profile_m(ours, length_m)),
        Shape("text", ((0.0, ours.major_m / 2 + 0.6 * ours.pitch_m),), thread.name),
    ]
    words = f"{_TURNS} turns of {thread.name}, cut along its axis."
    if other is not None:
        theirs = dimensions(other)
        shapes += [
            Shape("warn", profile_m(theirs, length_m)),
            Shape("text", ((length_m, theirs.root_m / 2 - 0.6 * theirs.pitch_m),), other.name),
        ]
        words = (
            f"{_TURNS} turns of {thread.name} and, over them, {other.name}, both from the middle "
            "of a ridge: their ridges drift apart by the difference of the pitches."
        )
    return Drawing("The profile", words, tuple(shapes))
