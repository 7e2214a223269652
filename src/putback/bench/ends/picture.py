"""Half sections of pipe ends, so that flare, seat and nut are seen beside each other.

Sketches, not to scale along the pipe: lengths are in tube radii, drawn on a tube of 5 mm. Angles
of flares and seats are those of the form.
"""

from math import radians, tan

from putback.bench.calculator import Drawing, Shape
from putback.bench.ends.mating import End, Form

_RADIUS_M = 2.5e-3
_BORE, _LIP = 0.7, 0.75
"""Radius of the bore, and how far a flare stands out beyond the tube [tube radii]."""
_LEFT = -5.0
_NUT_FROM, _NUT_HIGH, _GAP = -3.4, 2.3, 0.12

_Line = tuple[tuple[float, float], ...]


def pictures(own: End, port: End | None) -> tuple[Drawing, ...]:
    """Draw an end, and beneath it the one that the port is made for if that is another form."""
    drawn = [_picture(own)]
    if port is not None and port.form != own.form:
        drawn.append(_picture(port))
    return tuple(each for each in drawn if each is not None)


def _picture(end: End) -> Drawing | None:
    """Draw an end in section; nothing of one that has no form to be drawn."""
    draw = _FORMS.get(end.form.name)
    if draw is None:
        return None
    shapes = []
    for role, line in draw(end.form):
        shapes += [
            Shape(role, _scaled(line)),
            Shape(role, _scaled(tuple((x, -y) for x, y in line))),
        ]
    axis = Shape("hidden", _scaled(((_LEFT, 0.0), (3.2, 0.0))))
    words = (
        Shape("text", _scaled(((_LEFT + 0.4, 1.5),)), "pipe"),
        Shape("text", _scaled(((-1.8, _NUT_HIGH + 0.5),)), "nut"),
        Shape("text", _scaled(((2.9, 1.9),)), "seat"),
    )
    told = f"{end.form.words}; the nut {end.form.nut}"
    title = f"{end.code}, cut open (a sketch)"
    return Drawing(title, f"The pipe comes from the left: {told}.", (*shapes, axis, *words))


def _scaled(line: _Line) -> _Line:
    return tuple((x * _RADIUS_M, y * _RADIUS_M) for x, y in line)


def _nut(nose: float) -> tuple[str, _Line]:
    """Draw the upper half of a nut whose nose leans so far back [tube radii]."""
    front = -_GAP
    return "thin", (
        (front, 1.0 + _GAP),
        (front - nose, _NUT_HIGH),
        (_NUT_FROM, _NUT_HIGH),
        (_NUT_FROM, 1.0 + _GAP),
        (front, 1.0 + _GAP),
    )


def _flared(form: Form) -> tuple[tuple[str, _Line], ...]:
    """Draw a flare that opens like a funnel over a seat that points into it."""
    slope = tan(radians(form.flare_deg or 45.0))
    out = _LIP / slope
    lip, thick = 1.0 + _LIP, 1.0 - _BORE
    is_double = form.name == "inverted"
    folded = 2.0 if is_double else 1.0
    inner = ((out + thick * folded / slope, lip), (thick * folded, _BORE * 0.97))
    wall: _Line = ((_LEFT, 1.0), (0.0, 1.0), (out, lip), *inner, (_LEFT, _BORE))
    seat = tan(radians(form.seat_deg or 45.0))
    tip = thick * folded + 0.25
    cone: _Line = (
        (tip, _BORE * 0.9),
        (tip + (lip - _BORE * 0.9) / seat, lip),
        (3.2, lip),
    )
    lines = [("outline", wall), ("accent", cone), _nut(0.0 if form.name == "37" else 1.3 / slope)]
    if is_double:
        fold: _Line = ((thick, _BORE), (out + thick / slope * 0.9, lip))
        lines.append(("outline", fold))
    return tuple(lines)


def _bubble(form: Form) -> tuple[tuple[str, _Line], ...]:
    """Draw a bulb: square behind, round in front, in a seat that is hollowed out for it."""
    del form
    lip = 1.0 + _LIP
    wall: _Line = (
        (_LEFT, 1.0), (0.0, 1.0), (0.0, lip), (0.5, lip), (0.95, 1.5), (1.3, 1.1), (1.45, _BORE),
        (_LEFT, _BORE),
    )  # fmt: skip
    seat: _Line = ((0.7, lip + 0.35), (1.62, _BORE), (3.2, _BORE))
    return ("outline", wall), ("accent", seat), _nut(0.0)


def _olive(form: Form) -> tuple[tuple[str, _Line], ...]:
    """Draw a plain end with a ring that nut and port squeeze on to it."""
    del form
    wall: _Line = ((_LEFT, 1.0), (2.2, 1.0), (2.2, _BORE), (_LEFT, _BORE))
    ring: _Line = ((0.0, 1.0), (0.5, 1.5), (1.1, 1.5), (1.6, 1.0), (0.0, 1.0))
    seat: _Line = ((1.2, 1.9), (2.3, 1.0 + _GAP), (3.2, 1.0 + _GAP))
    return ("outline", wall), ("outline", ring), ("accent", seat), _nut(0.0)


def _cone(form: Form) -> tuple[tuple[str, _Line], ...]:
    """Draw a brazed nipple, its cone in a cone of the port."""
    del form
    wall: _Line = ((_LEFT, 1.0), (0.2, 1.0), (0.2, _BORE), (_LEFT, _BORE))
    nipple: _Line = (
        (-1.0, 1.0), (-1.0, 1.25), (0.0, 1.25), (0.0, 1.75), (0.4, 1.75), (1.9, 0.9), (1.9, _BORE),
        (0.2, _BORE),
    )  # fmt: skip
    seat: _Line = ((0.8, 1.95), (2.6, 0.92), (3.2, 0.92))
    return ("outline", wall), ("outline", nipple), ("accent", seat), _nut(0.0)


_FORMS = {
    "inverted": _flared,
    "45": _flared,
    "37": _flared,
    "bubble": _bubble,
    "olive": _olive,
    "60 cone": _cone,
}
"""How each form is drawn; banjos and taper threads are known by what they are called."""
