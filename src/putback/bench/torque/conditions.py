"""What friction to reckon with, what the head bears on, how well a method meets its aim."""

from dataclasses import dataclass

from putback.bench.calculator import OutsideLimits
from putback.bench.tables import data_table
from putback.bench.threads import Thread

_SAME_MM = 0.01


@dataclass(frozen=True, slots=True)
class Friction:
    """Friction of thread and head alike: least, usual, most; and the nut factor K."""

    condition: str
    least: float
    usual: float
    most: float
    nut_factor: float


def conditions() -> tuple[str, ...]:
    """What the table has, as a choice."""
    return tuple(row["condition"] for row in data_table("friction").rows)


def friction_of(condition: str) -> Friction:
    """Find the friction of one of `conditions`."""
    (row,) = [row for row in data_table("friction").rows if row["condition"] == condition]
    return Friction(
        condition,
        float(row["least"]),
        float(row["usual"]),
        float(row["most"]),
        float(row["nut_factor"]),
    )


def bearing_mean_m(thread: Thread, face_m: float | None, hole_m: float | None) -> float:
    """Give the mean diameter that a head bears on [m].

    Parameters
    ----------
    thread : Thread
        Of a hexagon head by the standards, where the other two are not given.
    face_m, hole_m : float or None
        Outside of the face that turns, and the hole under it, [m].

    Raises
    ------
    OutsideLimits
        The table has no head of that size, or the hole is no smaller than the face.
    """
    if face_m is None or hole_m is None:
        major_mm = thread.major_m * 1000
        for row in data_table("bearing_faces").rows:
            if abs(float(row["major_mm"]) - major_mm) < _SAME_MM:
                face_m = float(row["face_mm"]) / 1000 if face_m is None else face_m
                hole_m = float(row["hole_mm"]) / 1000 if hole_m is None else hole_m
                break
    if face_m is None or hole_m is None:
        raise OutsideLimits(
            f"no hexagon head for {thread.name} is in the tables",
            mend="measure the face under the head (face) and the hole in the part (hole)",
            field="face",
        )
    if hole_m >= face_m:
        raise OutsideLimits(
            "the hole is no smaller than the face on it",
            mend="give the outside of the face that turns, or of a washer that turns with it",
            field="hole",
        )
    return (face_m + hole_m) / 2


def scatters() -> tuple[tuple[str, float], ...]:
    """How far preload may lie from its aim by method: the words, and a share either way."""
    return tuple(
        (row["method"], float(row["scatter"])) for row in data_table("tightening_scatter").rows
    )
