"""Small drawings on work cards: what goes onto a bolt in which order, and how a mark looks.

Black lines on white, no letters: the words stand beside them, in whatever language.
"""

from collections.abc import Sequence
from enum import StrEnum

from putback.paper.typeset import Drawing

_GAP = 1.4
"""Between pieces, which are drawn as they are before they touch [mm]."""
_HALF = 9.0
"""Of the height of a drawing [mm]."""
_LINE = 'fill="none" stroke="#000" stroke-width="0.5"'
_WHITE = 'fill="#fff" stroke="#000" stroke-width="0.5"'


class Shape(StrEnum):
    """How a piece looks from the side."""

    HEAD = "head"
    SUNK = "sunk head"
    PIN = "pin head"
    WASHER = "washer"
    LOCK = "lock washer"
    SEAL = "seal"
    RUBBER = "rubber"
    SLEEVE = "sleeve"
    PLATE = "plate"  # one of the parts that are held
    UNSURE = "plate, its place not described"
    NUT = "nut"
    SLOTTED = "slotted nut"
    SPLIT_PIN = "split pin"


HEADS = frozenset({Shape.HEAD, Shape.SUNK, Shape.PIN})
NUTS = frozenset({Shape.NUT, Shape.SLOTTED})

# Width along the shank, half height [mm].
_SIZES = {
    Shape.HEAD: (4.5, 4.5),
    Shape.SUNK: (3.5, 4.5),
    Shape.PIN: (1.8, 3.5),
    Shape.WASHER: (1.3, 5.5),
    Shape.LOCK: (1.6, 4.5),
    Shape.SEAL: (1.3, 4.8),
    Shape.RUBBER: (5.0, 6.0),
    Shape.SLEEVE: (6.0, 3.2),
    Shape.PLATE: (3.4, 8.5),
    Shape.UNSURE: (3.4, 8.5),
    Shape.NUT: (4.0, 4.5),
    Shape.SLOTTED: (5.0, 4.5),
    Shape.SPLIT_PIN: (1.6, 5.0),
}


class Facing(StrEnum):
    """Which way the head faces on the drawing."""

    LEFT = "left"
    """As usual: where it faces on the vehicle is said in words beside it."""
    UP = "up"
    DOWN = "down"


def stack_drawing(shapes: Sequence[Shape], facing: Facing = Facing.LEFT) -> Drawing:
    """Draw a stack from its head on, each piece on the shank; an arrow goes out of the head.

    Without a head among ``shapes`` a stud is drawn, on which the pieces go.
    """
    x = 6.0
    drawn: list[str] = []
    for shape in shapes:
        width, half = _SIZES[shape]
        drawn.append(_piece(shape, x, width, half))
        x += width + _GAP
    has_head = any(each in HEADS for each in shapes)
    arrow = f'<path d="M5 0H0.8M2.6 -1.6L0.8 0L2.6 1.6" {_LINE}/>' if has_head else ""
    shank = (
        f'<path d="M{6 if has_head else 3} -1.3H{x + 1:g}V1.3H{6 if has_head else 3}z" {_WHITE}/>'
    )
    length = x + 2
    body = arrow + shank + "".join(drawn)
    if facing is Facing.LEFT:
        return _svg((0, -_HALF, length, 2 * _HALF), body)
    turned = 90 if facing is Facing.UP else -90
    top = 0.0 if facing is Facing.UP else -length
    return _svg((-_HALF, top, 2 * _HALF, length), f'<g transform="rotate({turned})">{body}</g>')


def _piece(shape: Shape, x: float, width: float, half: float) -> str:
    box = f'<rect x="{x:g}" y="{-half:g}" width="{width:g}" height="{2 * half:g}" '
    if shape is Shape.SUNK:
        return f'<path d="M{x:g} {-half:g}L{x + width:g} -1.5V1.5L{x:g} {half:g}z" {_WHITE}/>'
    if shape is Shape.SEAL:
        return f'{box}fill="#000"/>'
    if shape is Shape.LOCK:
        return (
            f'{box}{_WHITE}/><path d="M{x:g} {half:g}L{x + width:g} {half - 2.5:g}'
            f'M{x:g} {-half + 2.5:g}L{x + width:g} {-half:g}" {_LINE}/>'
        )
    if shape is Shape.RUBBER:
        return f'{box}rx="1.6" fill="#bbb" stroke="#000" stroke-width="0.5"/>'
    if shape is Shape.UNSURE:
        return f'{box}{_WHITE} stroke-dasharray="1.2 0.9"/>'
    if shape is Shape.PLATE:
        hatch = "".join(
            f"M{x:g} {y:g}L{x + width:g} {y - width:g}" for y in (-4.5, -1.5, 1.5, 4.5, 7.5)
        )
        return f'{box}{_WHITE}/><path d="{hatch}" {_LINE} />'
    if shape is Shape.SPLIT_PIN:
        middle = x + width / 2
        return (
            f'<path d="M{middle:g} {-half:g}V{half:g}l1.4 1.6M{middle:g} {half:g}l-1.4 1.6" '
            f'{_LINE}/><circle cx="{middle:g}" cy="{-half - 0.9:g}" r="0.9" {_LINE}/>'
        )
    edges = f'<path d="M{x:g} {-half / 2:g}h{width:g}M{x:g} {half / 2:g}h{width:g}" {_LINE}/>'
    slots = f'<path d="M{x + width - 1.8:g} 0h1.8" stroke="#000" stroke-width="1.2"/>'
    if shape is Shape.SLOTTED:
        return f"{box}{_WHITE}/>{edges}{slots}"
    return f"{box}{_WHITE}/>{edges if shape in (Shape.HEAD, Shape.NUT) else ''}"


class MarkLook(StrEnum):
    """How a mark looks across two parts, or on one."""

    STRIPE = "a stripe across both"
    SCRATCH = "a fine line across both"
    DOTS = "punched dots on both"
    LABEL = "a label tied on"
    OUTLINE = "drawn round"
    SIZE = "measured from edge to edge"


_HALVES = f'<path d="M1 2h11v14h-11z" {_WHITE}/><path d="M12 4h11v10h-11z" {_WHITE}/>'
_MARKS = {
    MarkLook.STRIPE: _HALVES + '<path d="M7 9h10" stroke="#000" stroke-width="2.4"/>',
    MarkLook.SCRATCH: _HALVES + f'<path d="M6 9h12" {_LINE}/>',
    MarkLook.DOTS: _HALVES
    + '<path d="M9 9h0.01M15 9h0.01" stroke="#000" stroke-width="2.2" stroke-linecap="round"/>',
    MarkLook.LABEL: f'<path d="M1 7h9v4h-9z" {_WHITE}/><path d="M10 9c2 -3 2 2 4 0" {_LINE}/>'
    f'<path d="M14 9l2 -3h7v6h-7z" {_WHITE}/>',
    MarkLook.OUTLINE: f'<path d="M6 5h12v8h-12z" {_WHITE}/>'
    f'<path d="M4 3h16v12h-16z" {_LINE} stroke-dasharray="1.6 1"/>',
    MarkLook.SIZE: f'<path d="M4 2v14M20 2v14M4 9h16M6 7.5L4 9L6 10.5" {_LINE}/>'
    f'<path d="M18 7.5L20 9L18 10.5" {_LINE}/>',
}


def mark_drawing(look: MarkLook) -> Drawing:
    """Draw how a mark looks."""
    return _svg((0, 0, 24, 18), _MARKS[look])


def _svg(box: tuple[float, float, float, float], body: str) -> Drawing:
    left, top, width, height = box
    return Drawing(
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="{left:g} {top:g} {width:g} {height:g}">{body}</svg>'
    )
