"""Work cards: the jobs in order with all that was said of them, on as many pages as they take."""

from dataclasses import replace

import pytest

from putback.errors import BadInput
from putback.paper.cards import CardJob, CardMark, Fetch, WorkCard, cards_pdf
from putback.paper.drawing import MarkLook, Shape, mark_drawing, stack_drawing
from putback.paper.language import words_in
from putback.paper.page import Page
from putback.paper.words import ENGLISH

JOB = CardJob(
    7,
    "Tighten",
    "steering box to frame",
    pieces=("3 × bolt 3/8-24 UNF × 1 1/4 + spring washer; heads upwards",),
    tool="spanner 9/16 AF",
    minutes="9 min",
    people=2,
    torque="38 N·m (28 lbf·ft), oiled, maker figure",
    not_yet="Nip it only; for good at laden height.",
    cautions=("it falls: the box drops", "Prop first: a board under it"),
    first=("mark: paint across the joint",),
    then=("close 2 × hose end (threaded plug)",),
    tags=("K7F4", "3CAH"),
    into_bag=True,
    second=True,
)
CARD = WorkCard(
    2,
    5,
    "Front end",
    "front on stands",
    (JOB,),
    stage="final build",
    minutes="about 1 h",
    is_change=True,
    bears=("2 × stand under frame",),
    before=("the pump takes 3 times as long after the box",),
    tools=("spanner 9/16 AF",),
    fetch=(Fetch("shelf B2", "box bolts", "K7F4"), Fetch("shelf B3", "steering box")),
    have=("2 × split pin",),
)


def test_all_that_is_said_of_a_job_stands_on_its_card(printed):
    """Head, what bears on what, tools, bags, each line of the job, in the order of the work."""
    text = printed(cards_pdf("Rebuild", "Dunlin", "1 May 2031", [CARD])).text
    said = [
        *("sitting 2 of 5", "Front on stands", "Front end · 1 job · about 1 h · final build"),
        *("Stand it so first.", "2 × stand under frame", "Rock it", "Lay out spanner 9/16 AF"),
        *("Have ready 2 × split pin", "K7F4 box bolts shelf B2", "steering box shelf B3"),
        *("The pump takes 3 times as long", "Tighten: steering box to frame", "2 people", "9 min"),
        *("It falls: the box drops", "Prop first: a board", "mark: paint across the joint"),
        *("heads upwards", "38 N·m (28 lbf·ft), oiled, maker figure"),
        *("NOT YET tight. Nip it only; for good at laden height.", "close 2 × hose end"),
        *("into bag", "checked by a second person", "the maker's data and local rules win"),
    ]
    missing = [each for each in said if each not in text]
    assert missing == []
    places = [text.index(each) for each in said]
    assert places == sorted(places)


def test_sixty_jobs_are_all_there_in_their_order(printed):
    """Each number once, rising, and each job whole on one page."""
    jobs = tuple(CardJob(at, "Undo", f"joint number {at} of it") for at in range(1, 61))
    paper = printed(cards_pdf("Strip", "Dunlin", "", [WorkCard(1, 1, "", "", jobs)]))
    places = [paper.text.index(f"Undo: joint number {at} of it") for at in range(1, 61)]
    assert places == sorted(places)
    assert "60 jobs" in paper.text
    assert "As it stands" in paper.text


def test_each_sitting_begins_a_page(printed):
    """A card can be hung up by itself."""
    cards = [WorkCard(at, 3, "", "", (JOB,)) for at in (1, 2, 3)]
    pages = printed(cards_pdf("Strip", "Dunlin", "", cards)).reader.pages
    assert [f"sitting {at} of 3" in " ".join(page.extract_text().split())
            for at, page in enumerate(pages, 1)] == [True] * 3  # fmt: skip


@pytest.mark.parametrize("page", [Page(), Page("letter", is_large=True)], ids=["A4", "large"])
@pytest.mark.parametrize(
    "words",
    ["W" * 200, "a name that goes on and on " * 20, "前部ラジエーター取付ボルト" * 12,
     "ברגים של הרדיאטור מאחורי המאוורר " * 5],
    ids=["one word", "many words", "Chinese characters", "right to left"],
)  # fmt: skip
def test_nothing_runs_over_the_edge(words, page, printed):
    """Both margins stay white, whatever stands in any line of a card."""
    few = (words,)
    stack = stack_drawing([Shape.HEAD, *[Shape.WASHER] * 20, Shape.NUT])
    job = CardJob(999, words, words, few, (stack,), words, "9 min", 3, words, words, few, few,
                  (CardMark(words, mark_drawing(MarkLook.STRIPE)),), (words, words), True, few,
                  ("K7F4",) * 12)  # fmt: skip
    card = WorkCard(99, 99, words, words, (job,), words, "", True, (words,), (words,), (words,),
                    (Fetch(words, words, "K7F4"),), (words,))  # fmt: skip
    paper = printed(cards_pdf(words[:80], words[:80], "", [card], page))
    width, height = page.size_mm
    assert paper.ink_outside((12.5, 0, width - 12.5, height)) == []


def test_no_job_is_no_card():
    """Nothing is printed where nothing is to be done."""
    with pytest.raises(BadInput, match="no job is left to print"):
        cards_pdf("Strip", "Dunlin", "", [])


def test_each_page_says_of_which_sitting_it_is(printed):
    """A page that hangs alone is known by its head; the last job is on the page that is signed."""
    jobs = tuple(CardJob(at, "Undo", f"joint {at}", tool="spanner") for at in range(30))
    cards = [WorkCard(number, 2, "", "", jobs) for number in (1, 2)]
    pages = printed(cards_pdf("Strip", "Dunlin", "", cards)).reader.pages
    said = [" ".join(page.extract_text().split()) for page in pages]
    begins = next(at for at, text in enumerate(said) if "sitting 2 of 2" in text)
    assert 1 < begins < len(said) - 1
    for at, text in enumerate(said):
        assert f"sitting {1 if at < begins else 2} · Strip" in text
        assert ("stopped at" in text) == (at in (begins - 1, len(said) - 1))
        assert "Undo" in text


@pytest.mark.parametrize(
    ("words", "told"),
    [(ENGLISH, "(from the page before)"), (words_in("de"), "(von der Seite davor)")],
)
def test_a_job_longer_than_a_page_is_called_by_its_name_on_each(printed, words, told):
    """Number and title again, but one box to tick; a job that fits is told once."""
    first = tuple(f"mark: paint number {number}" for number in range(100))
    long = replace(JOB, number=8, title="loom to body", first=first)
    card = replace(CARD, jobs=(JOB, long, replace(JOB, number=9)))
    paper = printed(cards_pdf("Rebuild", "Dunlin", "1 May 2031", [card], words=words))
    pages = [" ".join(page.extract_text().split()) for page in paper.reader.pages]
    assert len(pages) == 3
    again = f"loom to body {told}"
    assert [again in page for page in pages] == [False, True, True]
    assert paper.text.count("loom to body") == 3
    assert paper.text.count(told) == 2
