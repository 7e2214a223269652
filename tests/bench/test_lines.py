"""The one reader of fields that hold several lines."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from putback.bench.lines import LENGTH_UNITS, MASS_UNITS, read_lines, read_number, unit_words
from putback.errors import BadInput


def cells_of(text):
    """All cells, line by line."""
    return [line.cells for line in read_lines(text, "points")]


@pytest.mark.parametrize(
    ("text", "cells"),
    [
        ("FL RR 3214", [("FL", "RR", "3214")]),
        ("FL,RR;3214", [("FL", "RR", "3214")]),
        ("FL\tRR , 3214 ;", [("FL", "RR", "3214")]),
        ('"front left" 3', [("front left", "3")]),
        ("'top, left' 3", [("top, left", "3")]),
        ("a 1 # across\n\n  \n# nothing\nb 2", [("a", "1"), ("b", "2")]),
        ("a 1|b 2", [("a", "1"), ("b", "2")]),
        ("a 1\r\nb 2\rc 3", [("a", "1"), ("b", "2"), ("c", "3")]),
        ("driver's 1", [("driver's", "1")]),
        ("", []),
        ('""', [("",)]),
    ],
)
def test_cells_are_split_and_comments_left_out(text, cells):
    """Spaces, commas, semicolons and tabs part cells; quotes hold a name together."""
    assert cells_of(text) == cells


@pytest.mark.parametrize(
    ("cell", "number"),
    [
        ("12", 12),
        ("-0.5", -0.5),
        (".5", 0.5),
        ("5.", 5),
        ("+3", 3),
        ("1e3", 1000),
        ("7/8", 0.875),
        ("2-1/4", 2.25),
        ("2 1/4", 2.25),
        ("-2-1/4", -2.25),
        ("-1/2", -0.5),
    ],
)
def test_numbers_are_read_as_a_person_writes_them(cell, number):
    """Decimals, fractions, and a whole number with a fraction."""
    assert read_number(cell) == number


@pytest.mark.parametrize(
    ("text", "place", "cells"),
    [
        ("39 1/2 4 front", 0, ("39-1/2", "4", "front")),
        ("FL RR 126 7/16", 2, ("FL", "RR", "126-7/16")),
        ("39 4 front", 0, ("39", "4", "front")),
        ("39.5 1/2", 0, ("39.5", "1/2")),
        ("39", 0, ("39",)),
        ("39", 4, ("39",)),
    ],
)
def test_a_fraction_may_stand_behind_its_whole(text, place, cells):
    """Where a line has room for one number alone."""
    (line,) = read_lines(text, "pieces")
    assert line.mixed(place).cells == cells


@pytest.mark.parametrize("cell", ["450mm", "nan", "inf", "1e999", "1/0", "1,5", "", "--1", "0x10"])
def test_what_is_no_bare_number_is_none(cell):
    """A unit, a word, and what no float holds."""
    assert read_number(cell) is None


def test_a_fault_names_its_line_and_field():
    """Blank lines count, as they do for whoever looks at the field."""
    (line,) = read_lines("\n\nFL RR 3214mm", "distances")
    with pytest.raises(BadInput) as caught:
        line.value(2, "distance")
    assert str(caught.value) == (
        "line 3 of distances: '3214mm' is not a number for the distance; "
        "write a bare number; the unit is chosen beside the lines"
    )


def test_a_missing_or_surplus_cell_is_refused():
    """A line is as long as it should be, no shorter and no longer."""
    (line,) = read_lines("1 2", "points")
    with pytest.raises(BadInput, match="line 1 of points: the z is missing; write it as number 3"):
        line.values(("x", "y", "z"))
    with pytest.raises(BadInput, match="'2' is one too many; write it like: 450"):
        line.at_most(1, "450")
    assert line.values(("x", "y")) == (1, 2)
    assert line.is_number(1)
    assert not line.is_number(2)


def test_an_open_quote_is_refused():
    """What was meant cannot be known."""
    with pytest.raises(BadInput, match=r"line 2 of points: a quote in .* is not closed"):
        read_lines('a 1\n"b 2', "points")


@settings(max_examples=50)
@given(
    st.lists(st.lists(st.floats(-1e6, 1e6, allow_nan=False), min_size=1, max_size=4), max_size=6),
    st.sampled_from([" ", ",", "; ", "\t"]),
)
def test_written_numbers_are_read_back(table, between):
    """A round trip, whatever parts the cells."""
    text = "\n".join(between.join(repr(number) for number in row) for row in table)
    read = [[line.value(i, "n") for i in range(len(line))] for line in read_lines(text, "x")]
    assert read == table


def test_units_are_exact():
    """NIST SP 811 App. B: in = 25.4 mm, ft = 0.3048 m, lb = 0.45359237 kg."""
    assert LENGTH_UNITS["in"] == 0.0254
    assert LENGTH_UNITS["ft"] == pytest.approx(12 * LENGTH_UNITS["in"], rel=1e-15)
    assert MASS_UNITS["lb"] == 0.45359237


@pytest.mark.parametrize(
    "typed",
    [
        "0 0 0 | 100 0 0",
        "0,0,0\n100,0,0",
        "0 0 0; 100 0 0",
        "(0,0,0) (100,0,0)",
        "(0, 0, 0), (100, 0, 0)",
        "[[0,0,0],[100,0,0]]",
        "0 0 0 | 10cm 0 0",
        "0 0 0 | 0.1 m 0 0",
    ],
)
def test_points_are_read_however_they_are_parted(typed):
    """One line each, with or without brackets; a number may say its own unit."""
    lines = read_lines(typed, "points", unit_words("mm"))
    assert [line.values(("x", "y", "z")) for line in lines] == [(0, 0, 0), (100, 0, 0)]


@pytest.mark.parametrize(
    "typed", ['39 1/2" 2', "39 1/2 in 2", "39-1/2in 2", '39.5" 2', "39.5 in 2"]
)
def test_inches_are_read_with_their_mark(typed):
    """A mark behind a number is no quote; inches are exact."""
    (line,) = read_lines(typed, "pieces", unit_words("mm"))
    assert line.values(("length", "count")) == (pytest.approx(39.5 * 25.4), 2)


@pytest.mark.parametrize("typed", ["1850,5 2", "FL RR 3214,5"])
def test_a_comma_with_two_meanings_is_refused(typed):
    """It parts columns to some and decimals to others; with blanks beside it nobody knows."""
    with pytest.raises(BadInput, match="may part columns or stand for a point"):
        read_lines(typed, "pieces")


def test_a_semicolon_may_part_columns():
    """Where nothing else parts them."""
    (line,) = read_lines("FL;RR;3214", "readings")
    assert line.cells == ("FL", "RR", "3214")
