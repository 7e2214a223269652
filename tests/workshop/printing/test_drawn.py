"""What is drawn of a stack: pieces head first, and the parts where the description puts them."""

import pytest

from putback.paper.drawing import Facing, MarkLook, Shape, mark_drawing, stack_drawing
from putback.vehicle.fastener import parse
from putback.vehicle.ids import JointId, PartId
from putback.vehicle.joint import Fixing, Joint, Piece
from putback.workshop.printing.drawn import mark, shape_of, stacks, with_plates

H, W, L, N, S = Shape.HEAD, Shape.WASHER, Shape.LOCK, Shape.NUT, Shape.SPLIT_PIN
P, U = Shape.PLATE, Shape.UNSURE


@pytest.mark.parametrize(
    ("pieces", "drawn"),
    [
        ((H,), (H, P, P)),
        ((H, L, W), (H, L, W, P, P)),
        ((H, N), (H, P, P, N)),
        ((H, N, S), (H, P, P, N, S)),
        ((H, S, N), (H, P, P, N, S)),
        ((H, W, N), (H, W, U, U, N)),
        ((H, W, W, N), (H, W, U, U, W, N)),
        ((H, W, L, N), (H, W, U, U, L, N)),
        ((H, N, L), (H, U, U, L, N)),
        ((W, N), (P, P, W, N)),
        ((N, L), (P, P, L, N)),
    ],
)
def test_the_held_parts_come_where_they_must(pieces, drawn):
    """Where only one place is possible they are drawn solid, else dashed; no ring beyond a nut."""
    assert with_plates(pieces, 2) == drawn


@pytest.mark.parametrize(
    ("spec", "shape"),
    [
        ("bolt M8 x 20 mm", H),
        ("countersunk screw M5 x 10 mm", Shape.SUNK),
        ("stud M8 x 40 mm", None),
        ("castle nut M12", Shape.SLOTTED),
        ("self-locking nut M8", N),
        ("spring washer M8", L),
        ("plain washer M8", W),
        ("copper washer 10 mm", Shape.SEAL),
        ("split pin 2.4 mm", S),
        ("clevis pin 8 mm x 30 mm", Shape.PIN),
        ("bonded rubber bush", Shape.RUBBER),
        ("taper", None),
    ],
)
def test_each_piece_looks_like_what_it_is(spec, shape):
    """As a trade catalogue would draw it from the side; what has no outline is left out."""
    assert shape_of(parse(spec).kind) == shape


def joint(*specs: str, head: str = "") -> Joint:
    """One hole that holds two parts."""
    pieces = tuple(Piece(parse(each)) for each in specs)
    fixing = Fixing("a", 1, pieces, head=head)
    return Joint(JointId("a"), "a", (PartId("p"), PartId("q")), fixings=(fixing,))


@pytest.mark.parametrize(
    ("head", "facing"),
    [
        ("heads up, inside the body; nuts below", Facing.UP),
        ("heads downwards", Facing.DOWN),
        ("heads outboard", Facing.LEFT),
        ("heads inboard, drawn upwards", Facing.LEFT),
    ],
)
def test_a_head_that_faces_up_or_down_is_drawn_so(head, facing):
    """Read from what is said before the first comma."""
    assert stacks(joint("bolt M8 x 20 mm", head=head)) == (stack_drawing((H, P, P), facing),)


@pytest.mark.parametrize(
    "specs",
    [("screw M4 x 10 mm",), ("taper", "plain washer M8"), ("U-bolt M10 x 80 mm", "nut M10")],
)
def test_what_shows_nothing_is_not_drawn(specs):
    """A lone screw, a stack that nothing holds, and legs over a tube."""
    assert stacks(joint(*specs)) == ("",)


@pytest.mark.parametrize(
    ("how", "look"),
    [("paint", MarkLook.STRIPE), ("Scribe", MarkLook.SCRATCH), ("punch", MarkLook.DOTS),
     ("tag+count", MarkLook.LABEL), ("outline", MarkLook.OUTLINE), ("measure", MarkLook.SIZE)],
)  # fmt: skip
def test_a_mark_is_drawn_as_it_looks(how, look):
    """By its word; one that says nothing of its look is not drawn."""
    assert mark(how) == mark_drawing(look)
    assert mark("as usual") == ""
