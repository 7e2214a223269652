"""A balance in words: how far from tipping, and what of it rests on guesses."""

import pytest

from putback.planning.balance import Balance
from putback.planning.weight.doubt import Doubtful
from putback.vehicle.ids import PartId, StandingId, SupportId
from putback.workshop.plans.balance_words import doubts, is_wrong, margin_words
from tests.makers import standing, vehicle
from tests.workshop.lines import Lines

BOX = vehicle(
    "lid - frame",
    standing("stands", "frame", wheels=5.0),
    standing("blocks", "frame", wrong=True),
    datum="frame",
)
LID = PartId("lid")


@pytest.mark.parametrize(
    ("found", "words"),
    [
        (Balance(800, None), "no margin"),
        (
            Balance(800, None, loose=(SupportId("FL"),)),
            "nothing that it stands on is one with the vehicle",
        ),
        (
            Balance(800, None, margin_m=0.25, margin_sigma_m=0.02, tips_at_rad=0.35),
            "its weight is 250 ± 40 mm inside the supports, and a slope of 20° would tip it",
        ),
        (Balance(800, None, margin_m=-0.1), "its weight is 100 ± 0 mm OUTSIDE the supports"),
    ],
)
def test_the_margin_is_told_in_words(found, words):
    """In millimetres, with twice its uncertainty, and on which side of the edge it is."""
    assert margin_words(found) == words


def test_what_rests_on_guesses_is_told_with_what_would_make_it_surer():
    """How many masses and places nobody knows, and which of them matter."""
    found = Balance(
        800,
        None,
        margin_m=0.1,
        guessed=(LID,),
        placed=(LID, PartId("frame")),
        doubtful=(Doubtful(LID, is_mass=True, share=0.6), Doubtful(LID, is_mass=False, share=0.3)),
    )
    now = Lines(BOX).state
    counted, asked = doubts(now, found)
    assert counted == "1 mass and 2 places are guessed"
    assert asked.endswith("give the mass of lid and the place of lid")
    assert list(doubts(now, Balance(800, None, margin_m=0.1))) == []


def test_a_margin_that_is_not_sure_is_told_where_nothing_is_guessed():
    """Described masses and places are a little off too: 5 cm of 11 are no longer sure."""
    now = Lines(BOX).state
    (words,) = doubts(now, Balance(800, None, margin_m=0.11, margin_sigma_m=0.025))
    assert words == "caution: the margin may be less than it seems: weigh the axles"
    assert list(doubts(now, Balance(800, None, margin_m=0.11, margin_sigma_m=0.002))) == []


def test_a_standing_described_as_wrong_is_so():
    """And none is where nobody said how it stands."""
    now = Lines(BOX).state
    assert is_wrong(now, StandingId("blocks"))
    assert not is_wrong(now, StandingId("stands"))
    assert not is_wrong(now, None)
