"""Tags on paper: every code is read back from a picture, and nothing runs over its label."""

from math import ceil

import pytest

from putback.errors import BadInput, NotFound
from putback.logbook.tag_code import QUIET_MODULES
from putback.logbook.tags import tag_at
from putback.paper.qr import WHOLE_MODULES
from putback.paper.stock import LEAST_MODULE_MM, STOCKS, Calibration, stock_called
from putback.paper.tags import Held, RedTag, TagLabel, red_tags_pdf, tags_pdf
from putback.paper.words import ENGLISH

CAR = "Dunlin Fourteen"
SHEETS = [each for each in STOCKS if each.per_page > 1]
ROLLS = [each for each in STOCKS if each.per_page == 1]

AWKWARD = {
    "sixty fasteners": TagLabel(
        tag_at(0),
        CAR,
        "box",
        "everything from behind the dashboard and from under it, left and right",
        tuple(
            Held(f"joint number {at} with a name that is rather long", "4 × bolt M8 × 25", "left")
            for at in range(60)
        ),
        "under the dashboard",
        "29 Nov 2026",
    ),
    "words without an end": TagLabel(
        tag_at(1), CAR * 9, "bag", "W" * 90, (Held("x" * 120, "y" * 90),), "z" * 70, "29 Nov 2026"
    ),
    "right to left": TagLabel(
        tag_at(2), "סיטרואן אפורה", "bag", "ברגים של הרדיאטור",
        (Held("רדיאטור לתמיכה קדמית מאחורי המאוורר", "4 × בורג"),), "קדמת הרכב", "29 Nov 2026",
    ),
    "from right to left, joined": TagLabel(
        tag_at(3), "سيارة قديمة", "bag", "براغي المبرد", (Held("حامل المبرد الأمامي الأيسر"),),
    ),
    "Chinese characters": TagLabel(
        tag_at(4), "古い車" * 8, "bag", "前部ラジエーター取付ボルト" * 3,
        (Held("ラジエーター上部支持パネル左側取付部品一式" * 3, "4 × ボルト"),), "前" * 30,
    ),
    "blank": TagLabel(tag_at(5), CAR),
    "nothing in it": TagLabel(tag_at(6), CAR, "bag"),
    "marks of a typesetter": TagLabel(
        tag_at(7), "#set page(*)", "bag", "$x$ _y_ [z] \\ `w`", (Held("#panic(1)", "<a> @b"),)
    ),
}  # fmt: skip


@pytest.mark.parametrize("stock", STOCKS, ids=lambda each: each.name)
def test_every_code_is_read_back_whatever_stands_beside_it(stock, printed):
    """A reader finds each tag once, in order, on a picture of 150 dots per inch."""
    paper = printed(tags_pdf(list(AWKWARD.values()), stock))
    assert paper.codes() == [str(each.tag) for each in AWKWARD.values()]
    assert paper.pages == ceil(len(AWKWARD) / stock.per_page)


@pytest.mark.parametrize("stock", STOCKS, ids=lambda each: each.name)
def test_a_module_is_large_enough_and_its_white_edge_wide_enough(stock):
    """Modules have four dots of any printer, and four of them are left white all around."""
    assert stock.module_mm >= LEAST_MODULE_MM
    assert WHOLE_MODULES - 21 == 2 * QUIET_MODULES == 8
    side = stock.module_mm * WHOLE_MODULES
    assert side <= min(stock.label_mm)


@pytest.mark.parametrize("stock", STOCKS, ids=lambda each: each.name)
def test_labels_lie_on_their_sheet_without_touching(stock):
    """What is printed for one label is no other's, and none runs over the edge of the sheet."""
    for axis, count in ((0, stock.columns), (1, stock.rows)):
        last = stock.first_mm[axis] + (count - 1) * stock.pitch_mm[axis] + stock.label_mm[axis]
        assert stock.first_mm[axis] >= 0
        assert last <= stock.page_mm[axis] + 1e-9
        assert count == 1 or stock.pitch_mm[axis] >= stock.label_mm[axis]


@pytest.mark.parametrize("name", AWKWARD)
@pytest.mark.parametrize("stock", ["a4-3x7", "letter-3x10", "a4-tie-on"])
def test_nothing_runs_over_its_label(stock, name, printed):
    """The millimetre at each edge of a label stays white, the line to cut along left out."""
    sheet = stock_called(stock)
    paper = printed(tags_pdf([AWKWARD[name]], sheet))
    (left, top), (width, height) = sheet.first_mm, sheet.label_mm
    inner = (left + 1, top + 1, left + width - 1, top + height - 1)
    assert bool(paper.ink_outside(inner)) is sheet.is_cut
    drawn = next(iter(paper.drawn())).convert("L")
    edge = drawn.crop(_dots(left + 0.5, top + 0.5, left + width - 0.5, top + height - 0.5))
    middle = drawn.crop(_dots(*inner))
    assert _ink(edge) == _ink(middle)


def _dots(*edges_mm: float) -> tuple[int, ...]:
    return tuple(round(each / 25.4 * 150) for each in edges_mm)


def _ink(picture) -> int:
    return sum(picture.histogram()[:128])


def test_what_does_not_fit_is_counted(printed):
    """Sixty fasteners on a small label are told as the first few, and how many more there are."""
    text = printed(tags_pdf([AWKWARD["sixty fasteners"]], stock_called("a4-3x7"))).text
    shown = text.count("4 × bolt M8 × 25")
    assert 0 < shown < 60
    assert f"and {60 - shown} more" in text


def test_an_endless_label_holds_all(printed):
    """On an endless roll none of sixty fasteners is left out."""
    text = printed(tags_pdf([AWKWARD["sixty fasteners"]], stock_called("roll-62"))).text
    assert text.count("4 × bolt M8 × 25") == 60
    assert "more" not in text


def test_what_is_in_it_stands_on_it(printed):
    """Code, name, contents, whence, side, vehicle, zone and day can all be read."""
    held = (Held("lower eye", "1 × bolt 1/2-20 UNF × 3 in", "left"),)
    label = TagLabel(
        tag_at(9), CAR, "bag", "shock absorber, lower", held, "rear axle", "1 May 2026"
    )
    text = printed(tags_pdf([label], stock_called("a4-2x4"))).text
    for said in (str(tag_at(9)), CAR, "shock absorber, lower", "lower eye left",
                 "1 × bolt 1/2-20 UNF × 3 in", "from the zone rear axle",
                 "1 May 2026"):  # fmt: skip
        assert said in text


def test_marks_of_a_typesetter_are_only_marks(printed):
    """A name with a # in it is printed as it is written."""
    text = printed(tags_pdf([AWKWARD["marks of a typesetter"]], stock_called("a4-2x4"))).text
    assert "#set page(*)" in text
    assert "<a> @b · #panic(1)" in text


def test_a_sheet_begun_goes_on_where_it_is_white(printed):
    """Labels that are gone stay free, and what does not fit goes to the next sheet."""
    sheet = stock_called("a4-2x4")
    paper = printed(
        tags_pdf([TagLabel(tag_at(at), CAR) for at in range(3)], sheet, Calibration(used=6))
    )
    assert paper.pages == 2
    assert paper.codes() == [str(tag_at(at)) for at in range(3)]
    third_row = sheet.first_mm[1] + 3 * sheet.pitch_mm[1]
    assert 0 not in paper.ink_outside((0, third_row, *sheet.page_mm))


def test_a_shift_moves_everything(printed):
    """What prints too far to the left and too high is moved by so many millimetres."""
    label, sheet = [TagLabel(tag_at(0), CAR)], stock_called("a4-3x7")
    plain, moved = (
        next(iter(printed(tags_pdf(label, sheet, at)).drawn(254)))
        for at in (Calibration(), Calibration(3.0, -2.0))
    )

    def first(picture):
        return picture.convert("L").point(lambda grey: 255 * (grey < 128)).getbbox()

    (left, top, *_), (left_then, top_then, *_) = first(plain), first(moved)
    assert (left_then - left, top_then - top) == pytest.approx((30, -20), abs=1)


GONE = "say how many are gone from the sheet begun: 0 to 20"


@pytest.mark.parametrize(
    ("at", "message"),
    [
        (
            Calibration(right_mm=25),
            "a shift of 25 and 0 mm is off the label; measure it again; 20 mm is the most",
        ),
        (Calibration(used=21), f"21 labels cannot be gone from a sheet of 21; {GONE}"),
        (Calibration(used=-1), f"-1 labels cannot be gone from a sheet of 21; {GONE}"),
    ],
)
def test_what_cannot_be_calibrated_is_refused(at, message):
    """A shift off the label and a sheet used up beyond its end are named, with what would do."""
    with pytest.raises(BadInput) as refused:
        tags_pdf([TagLabel(tag_at(0), CAR)], stock_called("a4-3x7"), at)
    assert str(refused.value) == message


def test_no_tag_is_no_paper():
    """An empty sheet is not printed; the message says where tags come from."""
    with pytest.raises(BadInput, match="there is no tag to print; log something into a bag"):
        tags_pdf([], STOCKS[0])


def test_an_unknown_stock_names_those_there_are():
    """Whoever errs in the name of a sheet is told the names."""
    with pytest.raises(NotFound, match="a4-3x7"):
        stock_called("a4-9x9")


def test_the_same_tags_give_the_same_bytes():
    """Nothing of the clock or of chance is in the file."""
    labels = [AWKWARD["blank"], AWKWARD["nothing in it"]]
    assert tags_pdf(labels, STOCKS[0]) == tags_pdf(labels, STOCKS[0])


def test_a_red_tag_says_what_is_not_done(printed):
    """Heading, joint and what it needs can be read; without colours, too, it is white on dark."""
    red = RedTag(
        ENGLISH.not_torqued, ENGLISH.not_torqued_why, CAR, "steering box to frame", "45 N·m"
    )
    paper = printed(red_tags_pdf([red], stock_called("a4-tie-on")))
    for said in ("NOT TORQUED", "steering box to frame", "45 N·m", CAR):
        assert said in paper.text
    (left, top), (width, _) = stock_called("a4-tie-on").first_mm, (60, 120)
    grey = next(iter(paper.drawn())).convert("L")
    bar = grey.crop(_dots(left + 5, top + 18, left + width - 5, top + 30))
    dark, light = bar.histogram()[:120], bar.histogram()[200:]
    assert sum(dark) > sum(light) > 0


def test_a_red_tag_is_tied_on():
    """On a small label it would not be seen, so it is refused there."""
    red = RedTag("a", "b", CAR)
    with pytest.raises(BadInput, match="does not fit on a4-3x7; take one of a4-tie-on"):
        red_tags_pdf([red], stock_called("a4-3x7"))
