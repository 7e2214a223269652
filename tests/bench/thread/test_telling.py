"""What a thread could be mistaken for, and how to tell."""

from math import inf

import pytest

from putback.bench.designation import thread_named
from putback.bench.thread.telling import likenesses, telling_reading, turns_before_binding


def like(name):
    """The lookalikes of a thread, by name."""
    return {each.thread.name: each for each in likenesses(thread_named(name))}


def test_the_classic_mistake_is_named():
    """A 3/8-24 nut enters an M10x1 hole, feels right, then strips (common practice)."""
    found = like("M10x1")["3/8-24 UNF"]
    assert found.reading == "over 10 threads: 10.00 mm is M10x1, 10.58 mm 3/8-24 UNF"
    assert found.danger == (
        "a male 3/8-24 UNF enters a female M10x1 some 5 turns, feels right, then strips"
    )
    assert "M10x1" in like("3/8-24 UNF")


@pytest.mark.parametrize(
    ("one", "other", "reading"),
    [
        ("1/4-20 UNC", "1/4-20 BSW", "a thread gauge against the light: 60° sits close in"),
        ("1/8 BSP", "1/8 BSPT", "over the crests at two places 10 mm apart: alike unless it is"),
        ("7/16-24 special", "7/16-20", "over 10 threads: 10.58 mm is 7/16-24 special, 12.70 mm"),
        ("7/16-24 special", "3/8-24", "over the crests, where it is least worn: 10.90 mm to"),
        ("1/4-26 BSF", "1/4-26 BSB", "no calliper tells 1/4-26 BSF from 1/4-26 BSB"),
    ],
)
def test_the_best_reading_tells_them_apart(one, other, reading):
    """By pitch, crests, taper or angle, whichever differs most for what can be seen."""
    found = telling_reading(thread_named(one), thread_named(other))
    assert found.startswith(reading)


def test_what_holds_and_what_only_seems_to_is_told():
    """Same size and pitch, another form: it goes together, on part of its flanks."""
    assert like("1/4-20 UNC")["1/4-20 BSW"].danger.endswith("bears on part of its flanks only")
    assert like("1/4-26 BSF")["1/4-26 BSB"].danger == "goes together and holds"
    assert like("1/8 BSP")["1/8-28 BSPT"].danger.startswith("seems to seal")
    assert "special" not in " ".join(like("M24"))


def test_turns_before_binding_are_the_play_over_the_difference_of_pitches():
    """Geometry of basic sizes: 3/8-24 in M10x1 has 0.297 mm of play for 0.058 mm a turn."""
    one, other = thread_named("M10x1"), thread_named("3/8-24")
    play = (9.3505 - 8.8376) * 3**-0.5
    assert turns_before_binding(one, other) == pytest.approx(play / 0.05833, rel=1e-3)
    assert turns_before_binding(one, other) == turns_before_binding(other, one)
    assert turns_before_binding(thread_named("1/4-20 UNC"), thread_named("1/4-20 BSW")) == inf
    assert like("5/16-24 UNF")["M8x1"].danger == "starts, then binds and tears"


def test_what_is_met_with_on_the_same_things_comes_first():
    """On a brake pipe the 3/8-24 is the danger, though a brass thread is nearer in size."""
    assert list(like("M10x1"))[:2] == ["3/8-24 UNF", "3/8-26 BSB"]


def test_a_thread_is_no_lookalike_of_itself():
    """And the list is short."""
    assert "M10x1" not in like("M10x1")
    assert "M10x1" not in like("M10x1 LH")
    assert len(like("M10x1")) <= 6
