"""Cutting lists: what a person types, what comes out, and that it can be cut."""

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.stock import CALCULATOR, Lot, cutting_list, read_lots, work
from putback.errors import BadInput

PLAIN = {"unit": "mm", "kerf_m": 0.0, "flare_m": 0.0, "trim_m": 0.0}
lengths = st.integers(100, 900).map(lambda mm: mm * 1e-3)


@settings(max_examples=10, deadline=None)
@given(
    st.lists(st.builds(Lot, lengths, st.integers(1, 3), st.just("")), min_size=1, max_size=4),
    st.sampled_from([0.0, 0.0015, 0.003]),
    st.sampled_from([0.0, 0.004]),
    st.sampled_from([0.0, 0.02]),
)
def test_a_list_can_be_cut(pieces, kerf, flare, trim):
    """Pieces, flares and the cuts between them fit each length, and every piece is there."""
    pieces = tuple(dict.fromkeys(pieces))
    plan = cutting_list(pieces, (Lot(2.0, None, ""),), kerf, flare, trim)
    cut_out = Counter(piece for bar in plan.bars for piece in bar.pieces)
    assert cut_out == Counter({piece: piece.count for piece in pieces})
    for bar in plan.bars:
        taken = sum(piece.length_m + 2 * flare for piece in bar.pieces)
        taken += kerf * (len(bar.pieces) - 1)
        assert taken <= 2.0 - trim + 1e-9
        assert bar.left_m == pytest.approx(max(0.0, 2.0 - trim - taken - kerf), abs=1e-9)
    assert plan.least_m <= plan.taken_m + 1e-9


def test_a_cut_counts_between_pieces_only():
    """Four of 500 fit 2000 without a kerf, three with one; 1,994 and three cuts of 2 fit."""
    for size, kerf, count in ((500, 0.0, 1), (500, 0.002, 2), (498.5, 0.002, 1)):
        answer = work(**{**PLAIN, "kerf_m": kerf}, pieces=f"{size} 4", stock="2000")
        assert answer["lengths"] == count
        assert answer["proven"] is True


def test_flares_and_trimmed_ends_are_allowed_for():
    """3 mm at both ends of a pipe, and 10 mm of spoilt coil."""
    fits = {"pieces": "494 4", "stock": "2000"}
    assert work(**{**PLAIN, "flare_m": 0.003}, **fits)["lengths"] == 1
    assert work(**{**PLAIN, "flare_m": 0.0032}, **fits)["lengths"] == 2
    assert work(**{**PLAIN, "flare_m": 0.003, "trim_m": 0.01}, **fits)["lengths"] == 2


def test_inches_are_cut_exactly():
    """Three of 100 in are a coil of 25 ft to the hair."""
    answer = work(**{**PLAIN, "unit": "in"}, pieces="100 3", stock="300")
    assert answer["lengths"] == 1
    assert answer["use"] == pytest.approx(1.0)


def test_an_offcut_is_used_first_where_it_takes_less():
    """1,850 from the offcut of 2,000 rather than from a new coil."""
    answer = work(**PLAIN, pieces="1850 1 rear", stock="7620|2000 1 offcut")
    assert answer["taken"] == pytest.approx(2.0)
    said = "Cut into 1 of offcut, 2000 mm (78.7 in) in all; no plan takes less."
    assert answer.verdict == said


def test_the_list_names_pieces_and_what_is_left():
    """Counted, with their names; the longest offcut is worth keeping."""
    answer = work(**PLAIN, pieces="1850 2 rear|640 1", stock="5000")
    (row,) = answer.tables[0].rows
    assert row[2].value == "2 × rear 1850 mm, 640 mm"
    assert answer["offcut"] == pytest.approx(0.66)


def test_the_drawing_has_a_box_for_every_piece():
    """To scale: boxes and what is left over fill each length."""
    answer = work(**PLAIN, pieces="1850 2 rear|640 3", stock="5000")
    (drawing,) = answer.drawings
    boxes = [shape for shape in drawing.shapes if shape.role == "outline"]
    left = [shape for shape in drawing.shapes if shape.role == "hidden"]
    assert len(boxes) == 5
    wide = sum(shape.points_m[1][0] - shape.points_m[0][0] for shape in boxes + left)
    assert wide == pytest.approx(answer["taken"])
    assert "rear 1850 mm" in drawing.words


def labels(**asked):
    """What stands on the boxes of a drawing, and its words."""
    (drawing,) = work(**PLAIN, **asked).drawings
    return [shape.words for shape in drawing.shapes if shape.role == "text"], drawing.words


def test_a_piece_too_narrow_for_its_name_has_a_letter():
    """One letter for one name, explained in words; too narrow even for that, none."""
    said, words = labels(pieces="3000 1 rear|300 3 long-name|400 1 other", stock="5000")
    assert said == ["rear", "A", "B", "B", "B"]
    assert "Letters: A = other, B = long-name." in words
    said, words = labels(pieces="4900 1 rear|40 1 clip", stock="5000")
    assert said == ["rear"]
    assert "clip" in words


def test_many_lengths_leave_less_room_for_names():
    """A picture of forty bars is as high as it may be, and narrower for it."""
    few, _ = labels(pieces="1500 2 eleven-mm", stock="5000")
    many, _ = labels(pieces="1500 120 eleven-mm", stock="5000")
    assert set(few) == {"eleven-mm"}
    assert set(many) == {"A"}


@pytest.mark.parametrize(
    ("given_", "message"),
    [
        ({"pieces": "", "stock": "5000"}, "pieces: no lengths"),
        (
            {"pieces": "0", "stock": "5000"},
            "line 1 of pieces: 0 is no length; write one",
        ),
        ({"pieces": "-39 1/2", "stock": "5000"}, "line 1 of pieces: -39-1/2 is no length"),
        (
            {"pieces": "500 1.5", "stock": "5000"},
            "line 1 of pieces: 1.5 is no count; write a",
        ),
        ({"pieces": "500 2 a b", "stock": "5000"}, "line 1 of pieces: 'b' is one too many"),
        ({"pieces": "rear", "stock": "5000"}, "'rear' is not a number for the length"),
        ({"pieces": "6000 1 long", "stock": "5000"}, "stock: no stock is long enough for long"),
        ({"pieces": "3000 3", "stock": "5000 2"}, "stock: there is not enough stock"),
        ({"pieces": "30 999|40 999", "stock": "5000"}, "1998 pieces are more than 1000"),
    ],
)
def test_what_cannot_be_cut_is_refused(given_, message):
    """By the line that is wrong, or by what is too long or too little."""
    with pytest.raises(BadInput, match=message):
        work(**PLAIN, **given_)


def test_a_name_may_follow_a_length():
    """Without a count it is one piece, or as much stock as is needed."""
    assert read_lots("39 1/2 2 rear", "in", "pieces", endless=False) == (
        Lot(39.5 * 0.0254, 2, "rear"),
    )
    assert read_lots("500 rear", "mm", "pieces", endless=False) == (Lot(0.5, 1, "rear"),)
    assert read_lots("5000 coil", "mm", "stock", endless=True) == (Lot(5.0, None, "coil"),)


def test_every_argument_is_asked_for():
    """The form and the function agree."""
    assert {asked.argument for asked in CALCULATOR.asked} == set(
        work.__code__.co_varnames[: work.__code__.co_argcount]
    )


@pytest.mark.parametrize(
    "typed",
    ["1200 4 | 700 3", "1200x4, 700x3", "4 x 1200 mm; 3 x 700 mm", "1200 mm x 4 | 3 x 0.7 m"],
)
def test_counts_are_read_on_either_side_of_a_cross(typed):
    """The length is the number with a unit, or the far larger one."""
    lots = read_lots(typed, "mm", "pieces", endless=False)
    assert [(round(lot.length_m, 9), lot.count) for lot in lots] == [(1.2, 4), (0.7, 3)]


def test_a_cross_between_two_like_numbers_is_refused():
    """Nobody can say whether five pieces of 6 mm are meant, or six of 5 mm."""
    with pytest.raises(BadInput, match="which number of '6 x 5' is the length"):
        read_lots("6 x 5", "mm", "pieces", endless=False)
