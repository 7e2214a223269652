"""The pipe drawn to scale in three views: as seen from above, from the side and from the end."""

from math import ceil, degrees, radians

from putback.bench.bend.geometry import Pipe, Point, arc_points
from putback.bench.calculator import Drawing, Shape

_CHORD_RAD = radians(6)
"""Bends are drawn by chords so short that they look round [rad]."""
_VIEWS = (
    ("From above", "x to the right, y up", 0, 1),
    ("From the side", "x to the right, z up", 0, 2),
    ("From the end", "y to the right, z up", 1, 2),
)


def views(pipe: Pipe, corners: tuple[Point, ...]) -> tuple[Drawing, ...]:
    """Draw the centre-line with its corners; the drawing's words tell what is to be seen."""
    line = centre_line(pipe, corners)
    told = _told(pipe)
    drawings = []
    for title, axes, across, up in _VIEWS:

        def seen(point: Point, across: int = across, up: int = up) -> tuple[float, float]:
            return point[across], point[up]

        drawings.append(
            Drawing(
                title,
                f"{title}, {axes}. {told}",
                (
                    Shape("thin", tuple(seen(corner) for corner in corners)),
                    Shape("outline", tuple(seen(point) for point in line)),
                    Shape("dot", tuple(seen(corner) for corner in (corners[0], corners[-1]))),
                    Shape("text", (seen(corners[0]),), "first end"),
                    Shape("text", (seen(corners[-1]),), "last end"),
                    *(
                        Shape("text", (seen(corner),), str(number))
                        for number, corner in enumerate(corners[1:-1], 1)
                    ),
                ),
            )
        )
    return tuple(drawings)


def centre_line(pipe: Pipe, corners: tuple[Point, ...]) -> tuple[Point, ...]:
    """Points along the middle of the pipe from end to end, its bends round [m]."""
    points = [corners[0]]
    for place, bend in enumerate(pipe.bends, 1):
        chords = max(2, ceil(bend.angle_rad / _CHORD_RAD))
        points.extend(arc_points(corners, place, pipe.radius_m, chords))
    return (*points, corners[-1])


def _told(pipe: Pipe) -> str:
    if not pipe.bends:
        return f"A straight tube of {pipe.length_m * 1e3:.0f} mm."
    angles = ", ".join(f"{degrees(bend.angle_rad):.0f}°" for bend in pipe.bends)
    bends = "one bend" if len(pipe.bends) == 1 else f"{len(pipe.bends)} bends"
    return f"A tube of {pipe.length_m * 1e3:.0f} mm with {bends}: {angles}."
