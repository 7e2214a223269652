"""The code of a printed tag: small, nothing but the tag, read back by somebody else's reader."""

import numpy as np
import pytest
import segno
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st

from putback.logbook.tag_code import MASKS, QUIET_MODULES, SIDE_MODULES, modules_of
from putback.logbook.tags import TAG_COUNT, Tag, tag_at


def picture_of(rows, module_px=6):
    """The modules as grey values, with the quiet zone."""
    dark = np.pad(np.array(rows, dtype=bool), QUIET_MODULES)
    return np.where(dark, 0, 255).astype(np.uint8).repeat(module_px, 0).repeat(module_px, 1)


@given(st.integers(0, TAG_COUNT - 1))
def test_zxing_cpp_reads_every_tag_back(place):
    """Its four characters and nothing else, from the smallest code with the most correction."""
    tag = tag_at(place)
    rows = modules_of(tag)
    assert {len(rows), *map(len, rows)} == {SIDE_MODULES}
    (found,) = zxingcpp.read_barcodes(picture_of(rows), formats=zxingcpp.BarcodeFormat.QRCode)
    assert found.text == tag
    assert found.ec_level == "H"


def test_four_characters_take_the_smallest_code():
    """ISO/IEC 18004: version 1 is 21 modules, and no other level bears more than H."""
    code = segno.make("K7F4", micro=False, error="h")
    assert (code.version, code.mode, code.error) == (1, "alphanumeric", "H")
    assert modules_of(Tag("K7F4")) == tuple(tuple(map(bool, row)) for row in code.matrix)


@pytest.mark.parametrize("spoilt", [4, 12])
def test_a_blot_over_some_of_it_leaves_it_readable(spoilt):
    """A dark blot as wide as four modules does no harm; one as wide as twelve is too much."""
    rows = [list(row) for row in modules_of(Tag("K7F4"))]
    for y in range(9, min(SIDE_MODULES, 9 + spoilt)):
        for x in range(SIDE_MODULES - spoilt, SIDE_MODULES):
            rows[y][x] = True
    found = zxingcpp.read_barcodes(picture_of(rows), formats=zxingcpp.BarcodeFormat.QRCode)
    assert [each.text for each in found] == (["K7F4"] if spoilt == 4 else [])


def test_the_masks_written_down_are_those_that_segno_chooses():
    """One for each tag; of every 70th the whole code is compared with one made without them."""
    assert len("".join(MASKS.read_text().split())) == TAG_COUNT
    for place in range(0, TAG_COUNT, 70):
        tag = tag_at(place)
        free = segno.make(
            str(tag), version=1, mode="alphanumeric", error="h", boost_error=False, micro=False
        )
        assert modules_of(tag) == tuple(tuple(map(bool, row)) for row in free.matrix)
