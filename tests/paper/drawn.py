"""Papers whose look is kept as a picture: tags, red tags, a work card, a list, an answer.

``python -m tests.paper.drawn`` draws the pictures anew; look at them before they are kept.
"""

from collections.abc import Callable
from io import BytesIO
from pathlib import Path

import pypdfium2
from PIL import Image, ImageChops, ImageStat

from putback.logbook.tags import tag_at
from putback.paper.answers import (
    AnswerPaper,
    PaperTable,
    Picture,
    PutIn,
    Worked,
    answer_pdf,
)
from putback.paper.cards import CardJob, CardMark, Fetch, WorkCard, cards_pdf
from putback.paper.drawing import Facing, MarkLook, Shape, mark_drawing, stack_drawing
from putback.paper.sheets import Column, Kind, Row, Section, Sheet, Tick, sheet_pdf
from putback.paper.stock import stock_called
from putback.paper.tags import Held, RedTag, TagLabel, red_tags_pdf, tags_pdf
from putback.paper.typeset import Drawing
from putback.paper.words import ENGLISH as WORDS

GOLDEN = Path(__file__).parent / "golden"
_DOTS = 60
_CAR = "Dunlin Fourteen"


def tags() -> bytes:
    """A bag, a box with more in it than its label holds, and a blank one."""
    held = (Held("pump to frame", "2 × bolt 3/8-24 UNF × 1 in, 2 × split pin 2.4 mm", "left"),)
    many = tuple(Held(f"joint {at} behind the facia", "4 × screw M4") for at in range(20))
    labels = [
        TagLabel(tag_at(0), _CAR, "bag", "pump bolts", held, "engine bay", "1 May 2031"),
        TagLabel(tag_at(1), _CAR, "box", "facia", many, "cabin", "2 May 2031"),
        TagLabel(tag_at(2), _CAR),
    ]
    return tags_pdf(labels, stock_called("a4-2x4"))


def red() -> bytes:
    """One for a joint, and a blank one."""
    return red_tags_pdf(
        [
            RedTag(WORDS.not_torqued, WORDS.not_torqued_why, _CAR, "pump to frame", "38 N·m"),
            RedTag(WORDS.not_for_the_road, WORDS.not_for_the_road_why, _CAR),
        ],
        stock_called("a4-tie-on"),
    )


def card() -> bytes:
    """A card with everything that a job may have."""
    job = CardJob(
        *(7, "Tighten", "pump to frame"),
        pieces=("2 × bolt 3/8-24 UNF × 1 in + split pin 2.4 mm; heads upwards",),
        stacks=(
            stack_drawing(
                (
                    Shape.HEAD,
                    Shape.WASHER,
                    Shape.UNSURE,
                    Shape.UNSURE,
                    Shape.LOCK,
                    Shape.SLOTTED,
                    Shape.SPLIT_PIN,
                ),
                Facing.UP,
            ),
        ),
        marks=(CardMark("mark: paint across the joint", mark_drawing(MarkLook.STRIPE)),),
        way=("pump", "over the axle", "grommet", "bulkhead"),
        is_sketched=True,
        tool="spanner 9/16 AF",
        minutes="9 min",
        people=2,
        torque="38 N·m (28 lbf·ft), oiled, maker figure",
        not_yet=WORDS.nip_only.format(when="at laden height"),
        cautions=("it falls: the pump drops", "Prop first: a board under it"),
        first=("photo: how the hose lies",),
        then=("close 2 × hose end (threaded plug)",),
        tags=(str(tag_at(0)), str(tag_at(1))),
        into_bag=True,
        second=True,
    )
    whole = WorkCard(
        *(2, 5, "Engine bay", "front on stands", (job, CardJob(8, "Put on", "lid"))),
        minutes="about 1 h",
        is_change=True,
        bears=("2 × stand under frame",),
        before=("the hose takes 3 times as long after the pump",),
        tools=("spanner 9/16 AF", "screwdriver"),
        fetch=(Fetch("shelf B2", "pump bolts", str(tag_at(0))), Fetch("shelf B3", "pump")),
        have=("2 × split pin 2.4 mm", "grease"),
    )
    return cards_pdf("Work cards: rebuild", _CAR, "1 May 2031", [whole])


def listing() -> bytes:
    """A list with every kind of column and every box."""
    columns = (
        Column("", Kind.TICK),
        Column("tag", Kind.CODE),
        Column("what", width=3),
        Column("kg", Kind.NUMBER),
        Column("who, when", Kind.WRITE, 1),
    )
    rows = tuple(
        Row((tick, str(tag_at(0)), f"a row that is {tick or 'without a box'}", "4.5", ""),
            ("a line below",), is_critical=tick is Tick.LOOK)
        for tick in Tick
    )  # fmt: skip
    section = Section("Engine bay", columns, rows, ("What is to be said of it.",))
    sheet = Sheet("Torque sheet", _CAR, "1 May 2031", (section,), ("A lead.",), ("A caution.",),
                  ("done by, when", "checked by, when"))  # fmt: skip
    return sheet_pdf(sheet)


def answer() -> bytes:
    """An answer of the bench with everything that one may have."""
    drawing = Drawing(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 360 80"><polyline points="20,60 '
        '340,20" fill="none" stroke="#000" stroke-width="2"/><text x="180" y="30" '
        'font-family="B612" font-size="9.5">bar</text></svg>'
    )
    return answer_pdf(
        AnswerPaper(
            "Torque wrench adaptor",
            "What to set the wrench to.",
            "1 May 2031",
            "Set the wrench 11% lower: the adaptor adds to its arm.",
            (
                PutIn("Torque wanted", "80 Nm", "80 N·m (59 lbf·ft)"),
                PutIn("Lines, a line each", "\n".join(f"FL R{at} 3214" for at in range(12))),
                PutIn("Turned", "0 deg", "0°", is_usual=True),
            ),
            (("Set the wrench to", "71.1 N·m (52.4 lbf·ft)"), ("Effective arm", "450 mm")),
            (Worked("S = T L / (L + E cos θ) = 71.1 N·m", "S: set to", "statics"),),
            (PaperTable("Readings", ("Point", "x"), (("FL", "4.18 mm"), ("FR", "4.5 mm"))),),
            (Picture("The wrench from above", "The wrench lies on the left.", drawing),),
            ("A caution.", "Another."),
            ("Where it holds.",),
            ("A source.",),
            "putback bench adaptor 'torque=80 Nm'",
        )
    )


PAPERS: dict[str, Callable[[], bytes]] = {
    "tags": tags,
    "red": red,
    "card": card,
    "listing": listing,
    "answer": answer,
}


MOST = 2.0
"""How far greys may lie apart on average: edges drawn otherwise, and no more [of 255]."""


def picture(paper: bytes, page: int = 0) -> Image.Image:
    """Draw a page, small and grey."""
    document = pypdfium2.PdfDocument(paper)
    try:
        return document[page].render(scale=_DOTS / 72).to_pil().convert("L")
    finally:
        document.close()


def apart(now: Image.Image, then: Image.Image) -> float:
    """How far the greys of two pictures of one size lie apart, on average [of 255]."""
    return ImageStat.Stat(ImageChops.difference(now, then)).mean[0]


def kept(drawn: Image.Image) -> bytes:
    """Press a picture to be kept: PNG of 16 greys."""
    content = BytesIO()
    drawn.quantize(16).save(content, "PNG", optimize=True)
    return content.getvalue()


def main() -> None:
    """Draw each anew."""
    for name, paper in PAPERS.items():
        (GOLDEN / f"{name}.png").write_bytes(kept(picture(paper())))


if __name__ == "__main__":
    main()
