"""Check characters by ISO/IEC 7064 MOD 37,36, against published examples and python-stdnum."""

from itertools import pairwise, product

import pytest
from stdnum.iso7064 import mod_37_36

from putback.logbook.tags import TAG_COUNT, Tag, check_character, tag_at
from tests.published.reference import rows

ISO_7064 = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
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
