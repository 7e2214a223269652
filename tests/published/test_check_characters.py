"""Codes of tags: check characters by ISO/IEC 7064 MOD 37,36, sizes of QR codes by ISO/IEC 18004.

Held against published examples, python-stdnum, and a table of printers.
"""

from itertools import pairwise, product

import pytest
from stdnum.iso7064 import mod_37_36

from putback.logbook.tag_code import QUIET_MODULES, SIDE_MODULES, modules_of
from putback.logbook.tags import TAG_COUNT, Tag, check_character, tag_at
from putback.paper.stock import COARSEST_DPI, LEAST_DOTS, STOCKS, module_of_dots_mm
from tests.published.reference import rows

ISO_7064 = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
QR = {row.quantity: row for row in rows("k_check_characters_qr.csv") if row.unit != "mm"}
PRINTED = [row for row in rows("k_check_characters_qr.csv") if row.quantity == "QR module size"]
EXAMPLES = [row for row in rows("k_check_characters_qr.csv") if row.unit == "char"]


@pytest.fixture(scope="module")
def checking():
    """Every code of four characters that checks, by python-stdnum 2.2."""
    bodies = map("".join, product(ISO_7064, repeat=3))
    return {body + mod_37_36.calc_check_digit(body) for body in bodies}


@pytest.mark.parametrize("row", EXAMPLES, ids=lambda row: row.inputs["data"])
def test_published_examples_have_their_check_character(row):
    """Examples of k_check_characters_qr.csv; each names its source there."""
    assert check_character(row.inputs["data"].replace("-", "")) == row.expected


def test_the_check_character_of_every_body_agrees_with_stdnum(checking):
    """python-stdnum 2.2, stdnum.iso7064.mod_37_36, on all 46,656 bodies of three."""
    ours = {body + check_character(body) for body in map("".join, product(ISO_7064, repeat=3))}
    assert ours == checking


def test_every_issued_code_checks_and_no_slip_of_it_does(checking):
    """python-stdnum 2.2 on every issued code, single wrong character and adjacent swap."""
    issued = [str(tag_at(index)) for index in range(TAG_COUNT)]
    assert set(issued) <= checking
    slips = {
        code[:at] + character + code[at + 1 :]
        for code in issued
        for at in range(4)
        for character in ISO_7064
        if character != code[at]
    } | {
        code[:at] + second + first + code[at + 2 :]
        for code in issued
        for at, (first, second) in enumerate(pairwise(code))
        if first != second
    }
    assert not slips & checking


@pytest.mark.parametrize("code", ["3CAH", "3HNA", "K7F4"])
def test_tags_already_in_use_are_valid(code):
    """Codes written in the description of the demonstration and in the house's style."""
    assert mod_37_36.is_valid(code)
    assert Tag(code) == code


def test_a_tag_has_the_smallest_qr_code_with_its_quiet_zone():
    """k_check_characters_qr.csv: 21 modules a side for version 1, four left white around it."""
    side = int(QR["QR modules per side = 17 + 4 v"].expected)
    assert QR["QR modules per side = 17 + 4 v"].inputs == {"version": "1"}
    assert side == SIDE_MODULES
    assert [len(row) for row in modules_of(Tag("K7F4"))] == [side] * side
    assert int(QR["QR quiet zone"].expected) == QUIET_MODULES


@pytest.mark.parametrize("row", PRINTED, ids=lambda row: str(row.inputs))
def test_a_module_of_so_many_dots_is_as_printed(row):
    """k_check_characters_qr.csv: modules of four to six dots; 200 dpi counts as 203."""
    found = module_of_dots_mm(int(row.inputs["dots"]), float(row.inputs["dpi"]))
    assert found == pytest.approx(float(row.expected), abs=row.slack)


@pytest.mark.parametrize("stock", STOCKS, ids=lambda each: each.name)
def test_every_stock_has_the_dots_that_are_recommended(stock):
    """k_check_characters_qr.csv: four dots a module at least, on the coarsest printer of it."""
    least = int(QR["dots per module recommended at least"].expected)
    assert least == LEAST_DOTS
    assert min(float(row.inputs["dpi"]) for row in PRINTED) == COARSEST_DPI
    assert stock.module_mm >= module_of_dots_mm(least, COARSEST_DPI)
