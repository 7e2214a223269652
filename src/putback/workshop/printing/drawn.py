"""What is drawn on a card: stacks of fixings, marks, and the way of a run."""

import re
from collections.abc import Iterator, Sequence

from putback.logbook.state import State
from putback.paper.drawing import (
    HEADS,
    NUTS,
    Facing,
    MarkLook,
    Shape,
    mark_drawing,
    stack_drawing,
)
from putback.paper.typeset import Drawing
from putback.vehicle.fastener_kind import FastenerKind, Form, Role
from putback.vehicle.ids import PartId
from putback.vehicle.joint import Fixing, Joint

_OTHERWISE = {
    FastenerKind.COUNTERSUNK_SCREW: Shape.SUNK,
    FastenerKind.CLEVIS_PIN: Shape.PIN,
    FastenerKind.SHACKLE_PIN: Shape.HEAD,
    FastenerKind.CASTLE_NUT: Shape.SLOTTED,
}
_HEADLESS = frozenset({FastenerKind.STUD, FastenerKind.GRUB_SCREW, FastenerKind.HOOK_BOLT})
_LEGGED = frozenset({FastenerKind.U_BOLT, FastenerKind.U_CLAMP})
_NUTS = re.compile(r"\bnut$")
_FACINGS = (
    (Facing.UP, re.compile(r"\bup(wards?)?\b", re.IGNORECASE)),
    (Facing.DOWN, re.compile(r"\bdown(wards?)?\b", re.IGNORECASE)),
)
_LOOKS = (
    (MarkLook.STRIPE, ("paint", "chalk", "crayon", "marker")),
    (MarkLook.SCRATCH, ("scribe", "scratch")),
    (MarkLook.DOTS, ("punch", "dot")),
    (MarkLook.LABEL, ("tag", "flag", "tape", "label", "number")),
    (MarkLook.OUTLINE, ("outline",)),
    (MarkLook.SIZE, ("measure",)),
)
_MOST_PLATES = 3


def stacks(joint: Joint | None) -> tuple[Drawing, ...]:
    """Draw the stack of each group of holes; an empty drawing where there is nothing to see."""
    if joint is None:
        return ()
    return tuple(_stack(each, min(len(joint.parts), _MOST_PLATES)) for each in joint.fixings)


def _stack(fixing: Fixing, plates: int) -> Drawing:
    kinds = [each.spec.kind for each in fixing.stack for _ in range(min(each.per_fixing, 4))]
    shapes = [shape for kind in kinds if (shape := shape_of(kind)) is not None]
    holds = any(each in HEADS or each in NUTS for each in shapes)
    is_plain = len(shapes) < 2 and not fixing.head
    if is_plain or not holds or _LEGGED.intersection(kinds):
        return Drawing("")
    said = fixing.head.partition(",")[0].partition(";")[0]
    facing = next((way for way, words in _FACINGS if words.search(said)), Facing.LEFT)
    return stack_drawing(with_plates(shapes, plates), facing)


def shape_of(kind: FastenerKind) -> Shape | None:
    """How a piece looks from the side; ``None`` for what cannot be drawn on a shank.

    Examples
    --------
    >>> shape_of(FastenerKind.BOLT), shape_of(FastenerKind.TAPER)
    (<Shape.HEAD: 'head'>, None)
    """
    if kind in _OTHERWISE:
        return _OTHERWISE[kind]
    if kind.value == "split pin":
        return Shape.SPLIT_PIN
    if _NUTS.search(kind.value):
        return Shape.NUT
    if kind.form is Form.STEM:
        return None if kind in _HEADLESS else Shape.HEAD
    if "washer" in kind.value:
        return {Role.LOCK: Shape.LOCK, Role.SEAL: Shape.SEAL}.get(kind.role, Shape.WASHER)
    if "rubber" in kind.value:
        return Shape.RUBBER
    if kind in (FastenerKind.SLEEVE, FastenerKind.SPACER, FastenerKind.BUSH):
        return Shape.SLEEVE
    return None


def with_plates(shapes: Sequence[Shape], plates: int) -> tuple[Shape, ...]:
    """Put the held parts into a stack, head first.

    What is described is the order of the pieces, not where the parts come between them. A stack
    without a nut leaves one place, behind everything; one with a nut and no rings as well. Else
    the parts are drawn as unsure, before the nut and what locks it.
    """
    heads = [each for each in shapes if each in HEADS][:1]
    ends = [each for each in shapes if each in NUTS or each is Shape.SPLIT_PIN]
    ends.sort(key=lambda each: each is Shape.SPLIT_PIN)
    rings = [each for each in shapes if each not in HEADS and each not in ends]
    if not ends:
        return (*heads, *rings, *[Shape.PLATE] * plates)
    if not heads:
        return (*[Shape.PLATE] * plates, *rings, *ends)
    if not rings:
        return (*heads, *[Shape.PLATE] * plates, *ends)
    at = next((at for at, each in enumerate(rings) if each is Shape.LOCK), len(rings))
    if at == len(rings) and rings.count(Shape.WASHER) > 1:
        at -= 1
    return (*heads, *rings[:at], *[Shape.UNSURE] * plates, *rings[at:], *ends)


def mark(how: str) -> Drawing:
    """Draw how a mark looks; empty where nobody can say from its word."""
    tidy = how.casefold()
    for look, words in _LOOKS:
        if any(each in tidy for each in words):
            return mark_drawing(look)
    return Drawing("")


def way(state: State, parts: Sequence[PartId]) -> Iterator[str]:
    """The stations of a run from end to end, for the step that draws it out or in."""
    run = state.vehicle.runs.get(parts[0]) if len(parts) == 1 else None
    if run is None:
        return
    ends = [each.at for each in run.ends if each.at]
    between = run.route or tuple(each.what for each in run.passages)
    if not between:
        return
    yield from ends[:1]
    yield from between
    yield from ends[1:][-1:]
