"""Threads: found in the table, told apart, or said to be special."""

import pytest

from putback.bench.designation import take_thread, thread_named
from putback.bench.threads import (
    Series,
    inch_thread,
    known_threads,
    metric_pitches,
    metric_thread,
)
from putback.errors import BadInput


def test_every_thread_is_found_by_its_own_name():
    """The canonical name of a thread names that thread and no other."""
    assert [thread_named(thread.name) for thread in known_threads()] == list(known_threads())
    assert len({thread.name for thread in known_threads()}) == len(known_threads())


@pytest.mark.parametrize(
    ("size", "tpi", "series"),
    [
        ("5/16", "24", Series.UNF),
        ("5/16", "18", Series.UNC),  # Whitworth too, but unified is what is taken
        ("1/2", "12", Series.BSW),  # unified has 13
        ("1/4", "26", Series.BSF),  # brass too, but fine is what is taken
        ("5/8", "26", Series.BSB),
        ("1", "8", Series.UNC),
        ("1/8", "27", Series.NPT),
    ],
)
def test_size_and_pitch_tell_the_series(size, tpi, series):
    """The series follows from what can be measured, unified before British."""
    assert inch_thread(size, tpi).series is series


@pytest.mark.parametrize("tpi", ["14", "28"])
def test_pipe_threads_are_never_guessed_between(tpi):
    """Taper and parallel, American and British pipe seal differently: the person says which."""
    with pytest.raises(BadInput, match="is not one thread; say "):
        inch_thread("1/2" if tpi == "14" else "1/8", tpi)


def test_a_bare_metric_size_is_coarse():
    """M10 alone has the coarse pitch; the fine ones are said."""
    assert metric_thread("10").name == "M10x1.5"
    assert metric_pitches("10") == ("1.5", "1.25", "1", "0.75")
    assert metric_pitches("13") == ()


def test_an_unlisted_thread_may_be_special():
    """An odd thread on an old vehicle is real, once somebody says that it was measured."""
    assert thread_named("7/8-18 special").pitch_m == pytest.approx(0.0254 / 18)
    assert thread_named("M9x1 special").name == "M9x1 special"
    with pytest.raises(BadInput, match="no thread M13x1 is in the tables; with its pitch it may"):
        metric_thread("13", "1")


def test_a_special_thread_needs_its_pitch():
    """Special says that the pitch was measured, so it is there."""
    with pytest.raises(BadInput, match="if it was measured so, write 7/8-24 special"):
        thread_named("7/8 special")


def test_screws_by_number_have_a_size_and_no_pitch():
    """A self-tapping screw is known by its number; nobody measures its pitch."""
    thread = thread_named("No. 8 self-tapping")
    assert (thread.series, thread.pitch_m) == (Series.SELF_TAPPING, None)
    assert thread.major_m == pytest.approx(0.164 * 0.0254)


@pytest.mark.parametrize(
    ("name", "major_mm", "pitch_mm"),
    [
        ("M8", 8, 1.25),
        ("5/16 UNF", 7.9375, 25.4 / 24),
        ("2 BA", 4.7, 0.81),
        ("M9x1 special", 9, 1),
    ],
)
def test_diameter_and_pitch_are_in_metres(name, major_mm, pitch_mm):
    """What the size says in inches, millimetres or by number comes out in SI."""
    thread = thread_named(name)
    assert thread.major_m == pytest.approx(major_mm / 1000)
    assert thread.pitch_m == pytest.approx(pitch_mm / 1000)


@pytest.mark.parametrize(
    ("text", "name", "rest"),
    [
        ("5/16-24 x 1 UNF", "5/16-24 UNF", "x 1"),
        ("M8 x 30", "M8x1.25", "x 30"),
        ("M8 x 1 x 30", "M8x1", "x 30"),
        ("M8 x 1/2", "M8x1.25", "x 1/2"),
        ("LH 5/16-24 x 1", "5/16-24 UNF LH", "x 1"),
    ],
)
def test_a_thread_is_taken_off_the_front(text, name, rest):
    """The first number after a cross is the pitch if it can be one, else the length."""
    thread, left = take_thread(text)
    assert thread is not None
    assert (thread.name, left) == (name, rest)


def test_a_diameter_alone_is_no_thread():
    """Where neither pitch nor series is known, no thread is made up."""
    assert take_thread("5/16 x 1") == (None, "5/16 x 1")
