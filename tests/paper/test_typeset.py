"""The door to Typst: what goes in, what comes out, and what is refused."""

import pickle
from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from putback.paper.typeset import (
    CannotTypeset,
    Drawing,
    breakable,
    plain,
    typeset,
    typeset_for_keeping,
)


@dataclass(frozen=True, slots=True)
class Nothing:
    """No template can be set from it."""

    words: str = "none"


def test_a_template_that_typst_refuses_is_named():
    """With what Typst says; and the error travels between processes."""
    with pytest.raises(CannotTypeset, match=r"the paper 'tags' could not be set: .+ report"):
        typeset("tags", Nothing())
    error = CannotTypeset("tags", "no stock")
    assert str(pickle.loads(pickle.dumps(error))) == str(error)


@settings(max_examples=50)
@given(st.text(max_size=120))
def test_breaking_changes_no_letter(text):
    """Whatever is written, only places to break are put in, and none into ordinary words."""
    assert breakable(text).replace("\u200b", "") == text.replace("\u200b", "")
    if all(len(word) < 20 for word in text.split(" ")) and "\u200b" not in text:
        assert breakable(text) == text


def test_a_drawing_is_not_broken():
    """What is written may break within long words; what is drawn stays as it is."""
    long = "M0 0" + "h7v1h-7z" * 9
    assert plain({"drawn": Drawing(long)}) == {"drawn": long}
    assert plain([long, 3, None, True]) == [breakable(long), 3, None, True]
    assert breakable(long) != long


def test_what_pdf_a_refuses_becomes_an_ordinary_pdf_that_says_why(tmp_path):
    """The template is told in Typst's words; asked for no archive, it is told nothing."""
    (tmp_path / "page.typ").write_text(
        '#set document(title: "page")\n#set text(font: "B612")\n'
        "#sys.inputs.content [#sys.inputs.refused]"
    )
    said = {}
    for may_be_archive in (True, False):
        (tmp_path / "content.json").write_text("\ue000")
        typeset_for_keeping("page", tmp_path, may_be_archive=may_be_archive)
        said[may_be_archive] = PdfReader(tmp_path / "page.pdf").pages[0].extract_text()
    assert "PDF/A-2b error" in said[True]
    assert said[False].endswith("[]")
