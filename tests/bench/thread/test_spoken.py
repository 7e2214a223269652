"""A thread's name in the ways people write it."""

import pytest

from putback.bench.designation import thread_named
from putback.errors import BadInput


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("MF10x1", "M10x1"),
        ("M8*1.25", "M8x1.25"),
        ("M10x1.5-6g", "M10x1.5"),
        ("M8-6H", "M8x1.25"),
        ("M10x1.25 fine", "M10x1.25"),
        ("M10 coarse", "M10x1.5"),
        ("1/2-20 UNF-2A", "1/2-20 UNF"),
        ("1/4-20UNC-2B", "1/4-20 UNC"),
        ("1/4-28 UNRF", "1/4-28 UNF"),
        ("3/8 x 24", "3/8-24 UNF"),
        ("3/8 24tpi", "3/8-24 UNF"),
        ('3/8" x 24 tpi', "3/8-24 UNF"),
        ("0.375-24", "3/8-24 UNF"),
        (".3125-18 UNC", "5/16-18 UNC"),
        ("1-1/8-12 UNF", "1 1/8-12 UNF"),
        ("1.1/8-12 UNF", "1 1/8-12 UNF"),
        ("1/4W", "1/4-20 BSW"),
        ("BA2", "2 BA"),
        ("0 BA", "0 BA"),
        ("UNF 3/8", "3/8-24 UNF"),
        ("0-80", "0-80 UNF"),
        ("G1/4", "1/4-19 BSP"),
    ],
)
def test_a_thread_is_found_as_people_write_it(typed, name):
    """With its class, its series first, in decimal inches, with a cross or a blank."""
    assert thread_named(typed).name == name


@pytest.mark.parametrize("typed", ["M10 fine", "5/16 fine", "0.37-24", "Tr20x4", "3/8 x 24 x 50"])
def test_a_name_with_several_meanings_is_refused(typed):
    """Of fine threads there are several; no size is guessed from a figure rounded otherwise."""
    with pytest.raises(BadInput):
        thread_named(typed)
