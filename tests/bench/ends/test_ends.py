"""Ends of pipes: what mates, what only seems to."""

import pytest

from putback.bench.designation import thread_named
from putback.bench.ends.calculator import work
from putback.bench.ends.mating import (
    Meeting,
    choice_of_thread,
    ends,
    forms,
    hole_m,
    mates,
    mistaken_for,
    shared_threads,
    threads_meet,
)
from putback.bench.tables import data_table


def meeting(male, female):
    """What one thread does in another, both by their names."""
    return threads_meet(thread_named(male), thread_named(female)).meeting


@pytest.mark.parametrize(
    ("male", "female", "what"),
    [
        ("3/8-24 UNF", "3/8-24 UNF", Meeting.SAME),
        ("3/8-24 UNF", "M10x1", Meeting.STRIPS),
        ("M10x1", "3/8-24 UNF", Meeting.LARGER),
        ("7/16-24 special", "7/16-20 UNF", Meeting.JAMS),
        ("3/8-24 UNF", "3/8-20 BSF", Meeting.JAMS),
        ("1/8-28 BSP", "M10x1", Meeting.STRIPS),
        ("1/8-27 NPT", "7/16-20 UNF", Meeting.TAPER),
        ("1/8-28 BSPT", "1/8-27 NPT", Meeting.STRIPS),
        ("3/8-24 UNF", "1/2-20 UNF", Meeting.FALLS_THROUGH),
        ("M10x1", "7/16-24 special", Meeting.FALLS_THROUGH),
    ],
)
def test_a_nut_in_a_hole_does_what_the_trade_knows(male, female, what):
    """Common practice; the first pairs are the classic ones."""
    assert meeting(male, female) is what


def test_the_dangerous_nut_holds_on_half_its_thread():
    """3/8-24 in M10x1: 9.525 mm in a hole of 8.917 mm, 0.058 mm apart in a turn."""
    met = threads_meet(thread_named("3/8-24 UNF"), thread_named("M10x1"))
    assert met.depth == pytest.approx((9.525 - 8.917468) / 1.082532, abs=1e-6)
    assert met.drift_m == pytest.approx(25.4e-3 / 24 - 1e-3)


def test_every_end_mates_with_itself():
    """And mating is mutual; nothing mates that it is mistaken for."""
    for end in ends().values():
        assert mates(end, end)
        assert threads_meet(end.thread, end.thread).depth == pytest.approx(1)
        for other in ends().values():
            assert mates(end, other) == mates(other, end)
        assert not [other for other, _ in mistaken_for(end) if mates(end, other)]


def test_every_hole_is_smaller_than_its_bolt():
    """Each thread of the table has a depth to hold on."""
    for end in ends().values():
        assert 0 < hole_m(end.thread) < end.thread.major_m


def test_bubble_and_inverted_flares_never_meet():
    """One thread, two seats: screws in and leaks."""
    answer = work("ISO 4.75", "metric double 4.75")
    assert answer["mates"] is False
    assert answer.verdict.startswith("Never: ISO 4.75 screws into metric double 4.75")


def test_ends_of_one_thread_and_form_mate():
    """ISO 4.75 and 5 mm pipes have one nut and one seat."""
    assert work("ISO 5", "ISO 4.75")["mates"] is True
    assert work("ISO 5", "ISO 4.75").verdict.endswith("same thread, same form.")


def test_the_classic_mistake_is_said_aloud():
    """With the words that a restorer remembers."""
    answer = work("SAE 3/16", "ISO 4.75")
    assert answer.verdict == "Never: 3/8-24 UNF in M10x1 enters, feels right, and strips."
    never = next(table for table in answer.tables if table.title == "Never mixed")
    assert any(row[0].value == "M10x1 and 3/8-24 UNF" for row in never.rows)


def test_an_end_alone_is_described():
    """Thread, flare, seat, nut and lead, with the standard's name."""
    answer = work("SAE 1/4")
    assert answer["thread"] == "7/16-24 special"
    assert (answer["flare_deg"], answer["seat_deg"]) == (45, 42)
    assert answer["standard"] == "SAE J533"
    assert "pushes with a 45° nose" in answer["nut"]
    assert not answer.steps


def test_what_is_not_for_brakes_is_said():
    """Only double and bubble flares, and banjos."""
    assert {name for name, form in forms().items() if form.on_brakes} == {
        "inverted",
        "bubble",
        "banjo",
    }
    assert work("JIC 3/16")["brakes"] is False
    brakes = [end for end in ends().values() if end.is_for_brakes]
    assert all(end.form.on_brakes for end in brakes)


def test_every_row_says_how_far_it_may_be_trusted():
    """Published, from memory or common practice."""
    for name in ("pipe_ends", "pipe_forms"):
        said = {row["status"] for row in data_table(name).rows}
        assert said <= {"published", "memory", "common practice"}


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("3/8-24", ("3/8-24 UNF",)),
        ("M12 x 1", ("M12x1",)),
        ("3/8-20 BSF", ("BSF 3/16",)),
        ("M10", ()),
        ("SAE", ()),
    ],
)
def test_a_thread_means_its_end_or_itself(typed, meant):
    """As data/pipe_ends.csv has them; M10 is coarse, and on no pipe."""
    assert choice_of_thread(typed) == meant


def test_a_thread_alone_never_says_that_an_end_seats():
    """Of two ends of one thread only the flare tells; of two threads their meeting does."""
    for male in shared_threads():
        for female in shared_threads():
            answer = work(male, female)
            assert answer["mates"] is (None if male == female else False)
    assert work("3/8-24 UNF", "M10x1").verdict == (
        "Never: 3/8-24 UNF in M10x1 enters, feels right, and strips."
    )
    assert work("SAE 3/16", "M10x1")["depth"] == work("SAE 3/16", "ISO 4.75")["depth"]


def test_a_thread_alone_lists_the_ends_that_have_it():
    """As data/pipe_ends.csv has them."""
    (first, _) = work("3/8-24 UNF").tables
    assert [row[0].value for row in first.rows] == [
        "SAE 3/16", "UNF bubble 3/16", "banjo 3/8", "JIC 3/16"
    ]  # fmt: skip
