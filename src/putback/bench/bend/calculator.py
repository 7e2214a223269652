"""The calculator ``bend``: from a measured pipe to the marks, turns and angles of a new one."""

from dataclasses import dataclass
from math import degrees, pi, radians

from putback.bench import both
from putback.bench.bend.clashes import Clash, clashes
from putback.bench.bend.geometry import (
    Bend,
    Pipe,
    Point,
    from_corners,
    to_corners,
    true_corners,
)
from putback.bench.bend.views import views
from putback.bench.calculator import (
    RULE_M,
    Answer,
    Asked,
    Calculator,
    Figure,
    OutsideLimits,
    Quantity,
    Step,
    Table,
)
from putback.bench.lines import LENGTH_UNITS, read_lines, unit_words
from putback.errors import BadInput

LEAST_OVER_TUBE = 3.0
"""Centre-line radius over outside diameter below which a tube kinks by hand (common practice)."""
_MIRRORS = ("no", "x", "y", "z")


@dataclass(frozen=True, slots=True)
class Springback:
    """A test piece of the same tube in the same bender: the angle set and the angle got [rad]."""

    tried_rad: float
    got_rad: float

    def set_for(self, angle_rad: float) -> float:
        """Angle to set for one that is wanted [rad]: ``set = A tried / got``.

        Raises
        ------
        OutsideLimits
            No bender goes past 180°.
        """
        angle = angle_rad * self.tried_rad / self.got_rad
        if angle > pi + 1e-9:
            raise OutsideLimits(
                f"{degrees(angle):.0f}° would have to be set for a bend of"
                f" {degrees(angle_rad):.0f}°",
                "springback",
                "look at the test piece again",
                "got",
            )
        return angle


def thinning(tube_m: float, radius_m: float) -> float:
    """Share of its wall that the outside of a bend loses [1]: ``(Ro - R) / Ro``, Ro = R + d/2.

    Parameters
    ----------
    tube_m : float
        Outside diameter d, [m].
    radius_m : float
        Of the centre-line R, [m].
    """
    return tube_m / 2 / (radius_m + tube_m / 2)


def least_radius_m(tube_m: float) -> float:
    """Least centre-line radius for bending by hand [m]: ``3 d`` (common practice)."""
    return LEAST_OVER_TUBE * tube_m


def read_points(text: str, unit: str) -> tuple[Point, ...]:
    """Read lines of ``x y z`` in `unit` [m].

    Raises
    ------
    BadInput
        A line that is no point.
    """
    points = []
    for line in read_lines(text, "points", unit_words(unit)):
        line.at_most(3, "120 0 45 (x, y, z)")
        x, y, z = (each * LENGTH_UNITS[unit] for each in line.values(("x", "y", "z")))
        points.append((x, y, z))
    return tuple(points)


def read_rows(text: str, unit: str, radius_m: float) -> Pipe:
    """Read lines of ``straight rotation angle``, degrees; the last has its straight alone.

    Raises
    ------
    BadInput
        A line that is no row, or rows that do not end in a straight.
    """
    lines = read_lines(text, "rows", unit_words(unit))
    if not lines:
        raise BadInput("no rows", "rows", "give straight, rotation and angle, a line each")
    bends: list[Bend] = []
    for line in lines[:-1]:
        line.at_most(3, "80 90 45 (straight, rotation and angle in degrees)")
        straight, rotation, angle = line.values(("straight", "rotation", "angle"))
        if straight < 0 or not 0 < angle <= 180 or abs(rotation) > 360:
            raise line.fault(
                "no such bend", "straight from 0, rotation within 360°, angle over 0° up to 180°"
            )
        turned = radians(rotation) if bends else 0.0
        bends.append(Bend(straight * LENGTH_UNITS[unit], turned, radians(angle)))
    lines[-1].at_most(1, "80 (the straight after the last bend)")
    last = lines[-1].value(0, "last straight")
    if last < 0:
        raise lines[-1].fault("a straight below zero", "measure from tangent point to end")
    return Pipe(tuple(bends), last * LENGTH_UNITS[unit], radius_m)


def work(
    unit: str,
    tube_m: float,
    radius_m: float,
    fitting_m: float,
    grip_m: float,
    flare_m: float,
    mirror: str,
    points: str | None = None,
    rows: str | None = None,
    old_radius_m: float | None = None,
    wall_m: float | None = None,
    tried_rad: float | None = None,
    got_rad: float | None = None,
) -> Answer:
    """Give rows, marks, length and clashes of a pipe known by its points or by its rows.

    An old pipe's rows may be of another radius: its corners stay where they are.

    Raises
    ------
    OutsideLimits
        A bend over 175°, or half of a test piece.
    BadInput
        Neither points nor rows, both, or a line that cannot be read.
    """
    corners, pipe = _pipe(points, rows, unit, radius_m, old_radius_m)
    corners, pipe = _mirrored(corners, pipe, mirror)
    spring = _springback(tried_rad, got_rad)
    found = clashes(pipe, corners, tube_m, fitting_m, grip_m)
    radius = Figure("R", "centre-line radius", radius_m, Quantity.LENGTH)
    tube = Figure("d", "tube's outside diameter", tube_m, Quantity.LENGTH)
    results, steps = _lengths(pipe, radius, flare_m)
    lost = Figure("thinning", "wall lost outside", thinning(tube_m, radius_m), Quantity.SHARE)
    least = Figure("least", "least radius", least_radius_m(tube_m), Quantity.LENGTH, step=RULE_M)
    results += [
        least,
        Figure("over", "radius over diameter", radius_m / tube_m),
        lost,
        Figure("fits", "can be bent and made up", not found, Quantity.YES),
    ]
    if wall_m is not None:
        left = Figure("wall_left", "wall left outside", wall_m * (1 - thinning(tube_m, radius_m)),
                      Quantity.LENGTH)  # fmt: skip
        results += [left, Figure("wall_factor", "diameter over wall", tube_m / wall_m)]
    steps += [
        Step("thinning = (d / 2) / (R + d / 2)", {"d": tube, "R": radius}, lost),
        Step("least = 3 d", {"d": tube}, least, "common practice for bending by hand"),
    ]
    return Answer(
        "bend",
        (tube, radius),
        tuple(results),
        _verdict(pipe, results[0], found, tight=radius_m < least_radius_m(tube_m) - 1e-9)
        + _for_other_side(mirror),
        tuple(steps),
        (_rows_table(pipe, spring, flare_m), _points_table(corners), *_clash_table(found)),
        views(pipe, corners),
        sources=(
            "Geometry of circular bends: arc R A, tangent R tan(A/2)",
            "Least radius 3 d and straights for fittings: common practice",
        ),
        limits=(
            "All bends have one radius, as one bender makes them; angles up to 175°.",
            "Rotation: look along the pipe from its first end; positive is clockwise from the last"
            " bend to the next. In a bender that stays put, turn the pipe the other way.",
            "Springback goes as the angle only near the test piece's, in the same tube and former;"
            " measure the radius on the test piece, released.",
            "Whether the pipe clears the rest of the vehicle is not looked at.",
        ),
        cautions=_CAUTIONS,
    )


def _pipe(
    points: str | None, rows: str | None, unit: str, radius_m: float, old_radius_m: float | None
) -> tuple[tuple[Point, ...], Pipe]:
    if (points is None) == (rows is None):
        raise BadInput(
            "a pipe is known by its points or by its rows", "bend", "give one of the two"
        )
    if points is not None:
        corners = read_points(points, unit)
    else:
        old = read_rows(rows or "", unit, radius_m if old_radius_m is None else old_radius_m)
        corners = to_corners(old)
    return true_corners(corners), from_corners(corners, radius_m)


def _mirrored(
    corners: tuple[Point, ...], pipe: Pipe, mirror: str
) -> tuple[tuple[Point, ...], Pipe]:
    if mirror == "no":
        return corners, pipe
    axis = _MIRRORS.index(mirror) - 1
    other = tuple(
        (
            -x if axis == 0 else x,
            -y if axis == 1 else y,
            -z if axis == 2 else z,
        )
        for x, y, z in corners
    )
    return other, pipe.mirrored()


def _springback(tried_rad: float | None, got_rad: float | None) -> Springback | None:
    if tried_rad is None and got_rad is None:
        return None
    if tried_rad is None or got_rad is None:
        missing = "tried" if tried_rad is None else "got"
        raise OutsideLimits(
            "a test piece has the angle set and the angle got",
            missing,
            f"give {missing} too",
            missing,
        )
    if got_rad > tried_rad:
        raise OutsideLimits(
            "a test piece springs back, not on", "got", "measure it after release", "got"
        )
    return Springback(tried_rad, got_rad)


def _lengths(pipe: Pipe, radius: Figure, flare_m: float) -> tuple[list[Figure], list[Step]]:
    straights = Figure("S", "all straights", sum(pipe.straights_m), Quantity.LENGTH, step=RULE_M)
    turned = Figure("A", "all bends, rad", sum(bend.angle_rad for bend in pipe.bends))
    developed = Figure(
        "developed", "developed length", pipe.length_m, Quantity.LENGTH, step=RULE_M
    )
    flare = Figure("f", "tube that a flare takes", flare_m, Quantity.LENGTH)
    cut = Figure("cut", "cut length", pipe.length_m + 2 * flare_m, Quantity.LENGTH, step=RULE_M)
    symbols = {"S": straights, "R": radius, "A": turned}
    return [cut, developed, straights], [
        Step("developed = S + R A", symbols, developed),
        Step("cut = developed + 2 f", {"developed": developed, "f": flare}, cut),
    ]


def _rows_table(pipe: Pipe, spring: Springback | None, flare_m: float) -> Table:
    head = ("Bend", "Mark at", "Straight before", "Rotation", "Angle", "Set")
    rows = [
        (
            Figure("bend", "bend", number, Quantity.COUNT),
            Figure("mark", "mark at", mark_m + flare_m, Quantity.LENGTH, step=RULE_M),
            Figure("straight", "straight before", bend.straight_m, Quantity.LENGTH, step=RULE_M),
            Figure("rotation", "rotation", bend.rotation_rad, Quantity.ANGLE),
            Figure("angle", "angle", bend.angle_rad, Quantity.ANGLE),
            Figure(
                "set",
                "set",
                bend.angle_rad if spring is None else spring.set_for(bend.angle_rad),
                Quantity.ANGLE,
            ),
        )
        for number, (bend, mark_m) in enumerate(zip(pipe.bends, pipe.marks_m, strict=True), 1)
    ]
    rows.append(
        (
            Figure("bend", "bend", "last", Quantity.TEXT),
            Figure(
                "mark",
                "mark at",
                pipe.length_m - pipe.last_m + flare_m,
                Quantity.LENGTH,
                step=RULE_M,
            ),
            Figure("straight", "straight before", pipe.last_m, Quantity.LENGTH, step=RULE_M),
            Figure("rotation", "rotation", None, Quantity.ANGLE),
            Figure("angle", "angle", None, Quantity.ANGLE),
            Figure("set", "set", None, Quantity.ANGLE),
        )
    )
    return Table(
        "For the bender: marks where each bend begins, on the cut tube", head, tuple(rows)
    )


def _points_table(corners: tuple[Point, ...]) -> Table:
    rows = tuple(
        (
            Figure("point", "point", number, Quantity.COUNT),
            *(
                Figure(axis, axis, value, Quantity.LENGTH, step=RULE_M)
                for axis, value in zip("xyz", corner, strict=True)
            ),
        )
        for number, corner in enumerate(corners, 1)
    )
    return Table("Points on the centre-line", ("Point", "x", "y", "z"), rows)


def _clash_table(found: tuple[Clash, ...]) -> tuple[Table, ...]:
    if not found:
        return ()
    rows = tuple(
        (
            Figure("clash", "clash", each.words, Quantity.TEXT),
            Figure("short", "short by", each.short_m, Quantity.LENGTH, step=RULE_M),
        )
        for each in found
    )
    return (Table("Clashes", ("Clash", "Short by"), rows),)


def _verdict(pipe: Pipe, cut: Figure, found: tuple[Clash, ...], *, tight: bool) -> str:
    bends = {0: "no bend", 1: "one bend"}.get(len(pipe.bends), f"{len(pipe.bends)} bends")
    length_m = cut.value if isinstance(cut.value, float) else 0.0
    said = f"Cut {both.length(length_m, 1)} of tube; it takes {bends}."
    if found:
        others = f", and {len(found) - 1} more" if len(found) > 1 else ""
        said += f" It cannot be made so: {found[0].words}{others}."
    if tight and pipe.bends:
        said += " The radius is under three times the tube's diameter: it may kink."
    return said


def _for_other_side(mirror: str) -> str:
    """Say that it is not the pipe that was given, but the one for the other side."""
    if mirror == "no":
        return ""
    return f" This is the other side's: {mirror} is turned round."


_CAUTIONS = (
    "Brake pipe is steel or copper-nickel brake tube, double or bubble flared to match its seat;"
    " never plain copper, never a single flare.",
    "A pipe that was kinked or bent back is scrap; pressure test every brake and fuel pipe.",
    "Drain and ventilate before fuel pipes are opened; no flame, no spark.",
)

CALCULATOR = Calculator(
    "bend",
    "Pipe bending",
    "From points or an old pipe to straights, rotations and angles, marks and cut length.",
    (
        Asked(
            "points",
            "points",
            "points, a line each",
            Quantity.LINES,
            hint="x y z of the first end, every corner and the last end, on the centre-line",
            is_optional=True,
        ),
        Asked(
            "rows",
            "rows",
            "or an old pipe's rows",
            Quantity.LINES,
            hint="straight, rotation and angle (degrees), a line each; the last straight alone",
            is_optional=True,
        ),
        Asked(
            "unit",
            "unit",
            "lines are in",
            Quantity.CHOICE,
            default="mm",
            choices=tuple(LENGTH_UNITS),
        ),
        Asked(
            "tube",
            "tube_m",
            "tube's outside diameter",
            Quantity.LENGTH,
            default="3/16 in",
            low=1e-3,
            high=0.1,
            bare="mm",
        ),
        Asked(
            "wall",
            "wall_m",
            "its wall",
            Quantity.LENGTH,
            low=1e-4,
            high=0.02,
            is_optional=True,
            bare="mm",
        ),
        Asked(
            "radius",
            "radius_m",
            "centre-line radius",
            Quantity.LENGTH,
            default="15 mm",
            hint="of the new bends, as measured on a test piece",
            low=0.0,
            high=1.0,
            bare="mm",
        ),
        Asked(
            "old_radius",
            "old_radius_m",
            "the old pipe's radius",
            Quantity.LENGTH,
            hint="if its rows were measured with another",
            low=0.0,
            high=1.0,
            is_optional=True,
            bare="mm",
        ),
        Asked(
            "tried",
            "tried_rad",
            "test piece: angle set",
            Quantity.ANGLE,
            low=radians(1),
            high=pi,
            is_optional=True,
            bare="deg",
        ),
        Asked(
            "got",
            "got_rad",
            "test piece: angle got",
            Quantity.ANGLE,
            hint="after release",
            low=radians(1),
            high=pi,
            is_optional=True,
            bare="deg",
        ),
        Asked(
            "flare",
            "flare_m",
            "tube that each flare takes",
            Quantity.LENGTH,
            default="0 mm",
            hint="flare a test piece and see how much shorter it is",
            low=0.0,
            high=0.1,
            bare="mm",
        ),
        Asked(
            "fitting",
            "fitting_m",
            "straight that an end needs",
            Quantity.LENGTH,
            default="25 mm",
            hint="for flare, nut and flaring tool; common practice",
            low=0.0,
            high=0.5,
            bare="mm",
        ),
        Asked(
            "grip",
            "grip_m",
            "straight that the bender holds",
            Quantity.LENGTH,
            default="0 mm",
            hint="between two bends",
            low=0.0,
            high=0.5,
            bare="mm",
        ),
        Asked(
            "mirror",
            "mirror",
            "mirrored for the other side",
            Quantity.CHOICE,
            default="no",
            hint="the axis that is turned round: y where x points ahead and z up",
            choices=_MIRRORS,
        ),
    ),
    work,
    {
        "points": "0 0 0 | 180 0 0 | 180 120 0 | 260 120 90 | 400 120 90",
        "tube": "3/16 in",
        "radius": "15 mm",
        "tried": "90 deg",
        "got": "86 deg",
    },
)
