"""A survey drawn: from above and from the side, deviations enlarged so that they are seen."""

import numpy as np

from putback.bench.calculator import Drawing, Shape
from putback.bench.survey.compared import Compared, Survey
from putback.bench.survey.network import Floats

_SEEN = 0.12
"""The largest deviation is drawn no longer than this part of the vehicle's length."""
_STEPS = (1, 2, 5, 10, 20, 50, 100)
_MOST_NAMES = 40
_MOST_LINES = 80
"""More readings than these would hide the points they join."""
_Plane = tuple[int, int, float]
"""The axes drawn, and the sense of the second."""
_ABOVE: _Plane = (0, 1, -1.0)
_BESIDE: _Plane = (0, 2, 1.0)


def drawings_of(survey: Survey, compared: Compared | None, tolerance_m: float) -> list[Drawing]:
    """Draw the points, and against the reference how each is off.

    Parameters
    ----------
    survey : Survey
        What was found.
    compared : Compared or None
        The same against its reference.
    tolerance_m : float
        What a point may be off, [m].
    """
    if compared is None:
        return [_net_drawing(survey)]
    planes = [("From above, front to the left", _ABOVE)]
    if not survey.is_flat:
        planes.append(("From the left, front to the left", _BESIDE))
    return [_off_drawing(title, plane, survey, compared, tolerance_m) for title, plane in planes]


def _flat(points: Floats, plane: _Plane) -> list[tuple[float, float]]:
    one, other, sense = plane
    return [(float(point[one]), sense * float(point[other])) for point in points]


def _names(names: tuple[str, ...], places: list[tuple[float, float]]) -> list[Shape]:
    if len(names) > _MOST_NAMES:
        return []
    return [Shape("text", (place,), name) for name, place in zip(names, places, strict=True)]


def _net_drawing(survey: Survey) -> Drawing:
    """Draw the readings as lines, the wrong ones marked."""
    net = survey.given
    places = _flat(survey.places, _ABOVE)
    wrong = set(survey.snooped.wrong)
    lines = [
        Shape("warn" if at in wrong else "thin", (places[a], places[b]))
        for at, (a, b) in enumerate(zip(net.start, net.to, strict=True))
        if a != b
    ]
    return Drawing(
        "Points and readings, in their own axes",
        f"{len(net.names)} points joined by {len(lines)} readings, {len(wrong)} of them marked as "
        "wrong.",
        (*lines, Shape("dot", tuple(places)), *_names(net.names, places)),
    )


def _ties(survey: Survey, names: tuple[str, ...]) -> list[tuple[int, int]]:
    """Give the pairs of points that a reading joins, by their number; none if they are many."""
    number = {name: at for at, name in enumerate(names)}
    pairs = {
        (number[each.start], number[each.to])
        for each in survey.given.readings
        if each.start in number and each.to in number
    }
    return sorted(pairs) if len(pairs) <= _MOST_LINES else []


def _off_drawing(
    title: str, plane: _Plane, survey: Survey, compared: Compared, tolerance_m: float
) -> Drawing:
    """Draw where points ought to be, and from each a line to where it is, enlarged."""
    reference, off = compared.reference_m, compared.deviations_m
    length = float(np.ptp(reference, axis=0).max()) or 1.0
    largest = float(compared.amounts_m.max(initial=0.0)) or 1e-9
    times = max((step for step in _STEPS if step * largest <= _SEEN * length), default=1)
    wanted = _flat(reference, plane)
    found = _flat(reference + times * off, plane)
    beyond = compared.amounts_m > tolerance_m
    lines = [
        Shape("warn" if too_far else "accent", (a, b))
        for a, b, too_far in zip(wanted, found, beyond, strict=True)
    ]
    ties = [Shape("thin", (wanted[a], wanted[b])) for a, b in _ties(survey, compared.names)]
    worst = int(compared.amounts_m.argmax())
    return Drawing(
        f"{title}; deviations {times} times too large",
        f"{len(wanted)} points; {int(beyond.sum())} are off by more than "
        f"{tolerance_m * 1000:g} mm, {compared.names[worst]} the most: {largest * 1000:.1f} mm.",
        (*ties, *lines, Shape("dot", tuple(wanted)), *_names(compared.names, wanted)),
    )
