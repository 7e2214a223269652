"""What people called things stays whole, whatever is told again around it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.language import OwnNames, Reteller, reteller

WHO = Reteller(
    "de", {"{part} comes first": "zuerst kommt {part}", "free": "frei", "undo": "lösen"}
)
SHOES = "adjust the shoes: free; before any bleeding"
OWN = OwnNames([SHOES, "before: any", "free", "Hose: end"])


@pytest.mark.parametrize(
    ("english", "german"),
    [
        (f"{SHOES} comes first: undo", f"zuerst kommt {SHOES}: lösen"),
        ("Adjust the shoes: free; before any bleeding comes first; free; undo",
         "zuerst kommt Adjust the shoes: free; before any bleeding; frei; lösen"),
        (f"undo: {SHOES}; Hose: end", f"lösen: {SHOES}; Hose: end"),
        ("hose: end; undo", "hose: end; lösen"),
        ("Free", "Free"),
        ("free; undo", "frei; lösen"),
    ],
)  # fmt: skip
def test_a_name_stays_whole_in_a_sentence(english, german):
    """As it stands or with a capital; what is around it is told."""
    assert OWN.tell(WHO, english) == german


@given(
    st.text(st.characters(exclude_categories=["Z", "C", "P"]), min_size=1),
    st.sampled_from([": ", "; ", ". ", " · "]),
)
def test_whatever_a_thing_is_called_it_stays(word, joint):
    """With a joint in it that texts are parted at."""
    name = f"{word}{joint}before undo"
    told = OwnNames([name]).tell(reteller("de"), f"{name} comes first; undo")
    assert told == f"zuerst kommt {name}; lösen"


def test_on_paper_too_a_reason_is_told_behind_the_name_of_what_comes_first():
    """Papers know no names; the row of the sentence finds its end."""
    told = reteller("de").tell(f"the {SHOES} comes first: undo")
    assert told == f"zuerst kommt {SHOES}: lösen"


def test_a_sentence_that_somebody_wrote_is_told_whole_or_not_at_all():
    """With the capital and the stop that a page gives it; a piece of another text is told."""
    own = OwnNames(sentences=["undo: the prop goes", "free; undo"])
    assert own.tell(WHO, "Undo: the prop goes.") == "Undo: the prop goes."
    assert own.tell(WHO, "Free; undo.") == "Frei; lösen."
    assert own.tell(WHO, "undo: the strut goes") == "lösen: the strut goes"
