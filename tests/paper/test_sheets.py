"""Lists: every row in its order, boxes told by their form, nothing over the edge."""

import pytest

from putback.errors import NotFound
from putback.paper.page import Page, page_called
from putback.paper.sheets import Column, Kind, Row, Section, Sheet, Tick, sheet_pdf

COLUMNS = (
    Column("", Kind.TICK),
    Column("tag", Kind.CODE),
    Column("what", width=3),
    Column("kg", Kind.NUMBER),
    Column("note", Kind.WRITE, 1),
)
LONG = "a name that goes on and on, left and right, in front of the bulkhead and behind it " * 4
NAMES = {
    "sixty rows": [f"joint number {at}" for at in range(60)],
    "long names": [LONG, "W" * 150, "x" * 60 + " " + "y" * 60],
    "right to left": ["ברגים של הרדיאטור מאחורי המאוורר", "براغي المبرد الأمامي"],
    "Chinese characters": ["前部ラジエーター取付ボルト" * 12],
    "marks of a typesetter": ["#set page(*)", "$x$ _y_ [z] \\ `w`", "<a> @b"],
}


def sheet(names: list[str], **more) -> Sheet:
    """A list of these."""
    rows = tuple(Row((Tick.OPEN, "K7F4", each, "1.5", ""), ("a detail",)) for each in names)
    return Sheet(
        "Torque sheet", "Dunlin", "29 Nov 2026", (Section("Here", COLUMNS, rows),), **more
    )


@pytest.mark.parametrize("page", [Page(), Page("letter", is_large=True)], ids=["A4", "large"])
@pytest.mark.parametrize("names", NAMES.values(), ids=NAMES)
def test_nothing_runs_over_the_edge(names, page, printed):
    """Both margins stay white on every page, whatever the names."""
    paper = printed(sheet_pdf(sheet(names), page))
    width, height = page.size_mm
    assert paper.ink_outside((13, 0, width - 13, height)) == []


@pytest.mark.parametrize("name", ["sixty rows", "marks of a typesetter"])
def test_every_row_is_there_in_its_order(name, printed):
    """Each name is on the paper once, after the one before; headings come again on each page."""
    paper = printed(sheet_pdf(sheet(NAMES[name])))
    places = [paper.text.index(f"{each} a detail") for each in NAMES[name]]
    assert places == sorted(places)
    assert paper.text.count("page 1 of") == 1
    assert paper.text.count("kg") == paper.pages


def test_a_row_of_many_details_goes_on_on_the_next_page(printed):
    """Even what fills more than a page is there to its last word."""
    details = tuple(f"bag number {at}" for at in range(150))
    row = Row((Tick.OPEN, "", "a crate", "", ""), details)
    one = Sheet("Manifest", "Dunlin", "today", (Section("Here", COLUMNS, (row,)),))
    text = printed(sheet_pdf(one)).text
    assert all(each in text for each in details)


def test_what_is_to_be_known_of_a_list_stands_on_it(printed):
    """Lead, cautions, who signs, the day, the vehicle, what is critical."""
    columns = (Column("what", width=1),)
    section = Section("Zone", columns, (Row(("pump",), is_critical=True),), ("a note",))
    told = Sheet(
        "Title", "Dunlin", "1 May 2031", (section,), ("a lead",), ("a caution",), ("Ann",)
    )
    text = printed(sheet_pdf(told)).text
    for said in ("Title", "Dunlin", "as it was on 1 May", "a lead", "a caution", "Zone",
                 "CRITICAL pump", "a note", "Ann", "page 1 of 1"):  # fmt: skip
        assert said in text


def test_boxes_differ_without_colours(printed):
    """An empty, a half, a doubtful and a ticked box have different ink, in grey too."""
    inks = set()
    for tick in Tick:
        one = Section("", (Column("", Kind.TICK),), (Row((tick,)),))
        paper = printed(sheet_pdf(Sheet("", "", "", (one,))))
        inks.add(sum(next(iter(paper.drawn())).convert("L").histogram()[:128]))
    assert len(inks) == len(Tick)


def test_a_row_that_does_not_fit_its_columns_is_our_fault():
    """A list with a cell too few is never printed with all that follows moved."""
    bad = Sheet("", "", "", (Section("", COLUMNS, (Row(("one",)),)),))
    with pytest.raises(ValueError, match="5 columns, and a row of 1 cells"):
        sheet_pdf(bad)


def test_an_unknown_paper_names_those_there_are():
    """Whoever errs in the size of the paper is told the names."""
    assert page_called("Letter") == Page("letter")
    with pytest.raises(NotFound, match="a4"):
        page_called("a44")


def test_lines_to_sign_stand_on_no_page_of_their_own(printed):
    """However many rows there are, the last of them is on the page that is signed."""
    for rows in range(34, 40):
        names = [f"joint number {at}" for at in range(rows)]
        last = printed(sheet_pdf(sheet(names, signatures=("signed by",)))).reader.pages[-1]
        assert "signed by" in last.extract_text()
        assert names[-1] in last.extract_text()


def test_a_short_table_stays_whole(printed):
    """Its heading, rows and notes go to the next page together."""
    short = Section(
        "Short", COLUMNS, tuple(Row((Tick.OPEN, "", f"end {at}", "", "")) for at in range(3)),
        ("how it lies",),
    )  # fmt: skip
    pages = printed(sheet_pdf(Sheet("Routes", "Car", "today", (short,) * 12))).reader.pages
    assert len(pages) > 1
    for page in pages:
        text = page.extract_text()
        assert text.count("Short") == text.count("end 2") == text.count("how it lies")
