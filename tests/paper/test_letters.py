"""Letters that no font has are named, with the package that helps, and no others."""

import logging

import pytest

from putback.paper.letters import letters_without_font, told
from putback.paper.sheets import Sheet, sheet_pdf
from putback.paper.typeset import FONTS, _fonts, typst

NOBODYS = "\ue000"
"""For private use: no font of Debian's has it (Unicode, chapter 23)."""


def test_what_no_font_has_is_found_among_what_some_have():
    """Each once, in order; signs that are not drawn are not asked for."""
    fonts, families = _fonts()
    text = f"bolt ö {chr(0x10FFFD)}\u200b{NOBODYS}{NOBODYS}ü\u0301"
    assert letters_without_font(text, fonts, families) == ()
    only = typst.Fonts(
        include_system_fonts=False, include_embedded_fonts=False, font_paths=[str(FONTS)]
    )
    assert letters_without_font("für ברגים 前 ö", only, ("B612",)) == (
        *sorted("בגירם"),
        "前",
    )


@pytest.mark.parametrize(
    "name", ["前部ラジエーター", "ברגים", "براغي", "Болт", "Βίδα"],
)  # fmt: skip
def test_the_packages_that_tests_install_have_all_scripts_of_these_names(name):
    """Those in the Makefile: no box stands for a letter of them."""
    assert letters_without_font(name, *_fonts()) == ()


@pytest.mark.parametrize(
    ("letters", "package"),
    [("볼", "install fonts-noto-cjk"), ("\U0001f697", "install fonts-noto-color-emoji"),
     ("ঝ", "install fonts-noto-core"),
     ("ঝ前", "fonts-noto-core and fonts-noto-cjk")],
)  # fmt: skip
def test_the_package_that_helps_is_named(letters, package):
    """By script; many letters are counted."""
    assert package in told(letters)
    assert "and 12 more" in told(["ঝ"] * 20)


def test_a_paper_with_a_letter_that_no_font_has_warns(caplog):
    """It is printed all the same; one without such a letter warns of nothing."""
    with caplog.at_level(logging.WARNING):
        sheet_pdf(Sheet("Title", "Käfer 前", "", ()))
        assert caplog.text == ""
        sheet_pdf(Sheet("Title", f"Car {chr(0x1F697)}", "", ()))
    assert "U+1F697" in caplog.text
