"""A lift from the side: where the hands are at both ends, and how far out and up is too far."""

from math import cos, pi, sin

from putback.bench import both
from putback.bench.calculator import Drawing, Shape
from putback.bench.lift.equation import Constants, Lift

_NECK_M, _HEAD_M, _TALL_M = 1.45, 0.11, 1.71
"""Of the figure that stands there for scale: somebody of middle height."""
_CORNERS = 16
_BELOW_M = 0.1
"""How far under the floor its word stands."""


def from_the_side(start: Lift, end: Lift, by: Constants) -> Drawing:
    """Draw the way of the hands, the ankles at the origin and the floor along x.

    Parameters
    ----------
    start, end : Lift
        Both ends of the lift; what they say of travel is not looked at.
    by : Constants
        Metric or US: how far out and up the equation goes, and where most is lifted.
    """
    ends = {"start": start, "end": end}
    places = {name: (each.reach_m, each.height_m) for name, each in ends.items()}
    out_m = max(by.far_m, *(each.reach_m for each in ends.values()))
    best = (by.near_m, by.waist_m)
    shapes = [
        Shape("outline", ((-0.3, 0.0), (out_m + _BELOW_M, 0.0))),
        *_figure(),
        Shape("hidden", ((by.far_m, 0.0), (by.far_m, by.top_m), (0.0, by.top_m))),
        *(
            Shape("thin", ((0.0, up_m), (along_m, up_m), (along_m, 0.0)))
            for along_m, up_m in places.values()
        ),
        Shape("accent", tuple(places.values())),
        Shape("dot", tuple(places.values())),
        Shape("dot", (best,)),
        Shape("text", (best,), "best"),
        *(Shape("text", (place,), name) for name, place in places.items()),
        Shape("text", ((0.0, -_BELOW_M),), "ankles"),
    ]
    return Drawing("The hands, from the side", _told(start, end, by), tuple(shapes))


def _figure() -> tuple[Shape, Shape]:
    """Somebody who stands upright over the ankles: trunk and legs a line, the head a ring."""
    middle_m = _TALL_M - _HEAD_M
    turns = (2 * pi * corner / _CORNERS for corner in range(_CORNERS + 1))
    head = tuple((_HEAD_M * sin(turn), middle_m - _HEAD_M * cos(turn)) for turn in turns)
    return Shape("thin", ((0.0, 0.0), (0.0, _NECK_M))), Shape("thin", head)


def _told(start: Lift, end: Lift, by: Constants) -> str:
    (out, up), (to_out, to_up) = (
        (both.length(each.reach_m), both.length(each.height_m)) for each in (start, end)
    )
    return (
        f"The hands go from {out} before the ankles and {up} over the floor to {to_out} and "
        f"{to_up}. Dashed, how far out and up anything may be lifted: {both.length(by.far_m)} and "
        f"{both.length(by.top_m)}. The dot called best is where most may be lifted."
    )
