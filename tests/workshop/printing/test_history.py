"""The history file: what it tells, in which order, as PDF/A and as one page; and its seal."""

import hashlib
import json
import re
import subprocess
from dataclasses import replace
from html.parser import HTMLParser
from io import BytesIO

import pytest
from PIL import Image
from pypdf import PdfReader

from putback.errors import BadInput, Stopped
from putback.language import reteller
from putback.logbook.entries.bookkeeping import MoneySpent, TimeSpent
from putback.logbook.entries.working import Found, Measured, NoteMade, PhotoTaken
from putback.paper.language import words_in
from putback.progress import Stoppable
from putback.workshop.printing.documents import document_called
from putback.workshop.printing.form import Form
from putback.workshop.printing.history import history_as_html, history_as_pdf
from putback.workshop.printing.wanted import Wanted
from tests.makers import vehicle
from tests.stores import ANN, PHONE
from tests.workshop.lines import CAR, Lines

LONG = "scored " + "x" * 90 + " שלום 漢字 <b>&amp;"
CHAPTERS = [
    "Timeline", "Before and after", "Found and repaired", "Measurements", "Originality",
    "Torque and checks", "Hours and money", "Seal", "Index",
]  # fmt: skip


def log(lines: Lines, *bodies: object) -> None:
    """Log bodies, a minute later."""
    lines.watch.put_on(minutes=1)
    lines.workshop.log(CAR, bodies, who=ANN, device=PHONE)


def photograph(lines: Lines, colour: str, caption: str, of: str = "part:lid") -> None:
    """Take a photo larger than a history file holds."""
    into = BytesIO()
    Image.new("RGB", (2000, 1000), colour).save(into, "JPEG")
    photo = lines.workshop.photos.put(into.getvalue())
    log(lines, PhotoTaken(photo=photo, of=(of,), caption=caption, media_type="image/jpeg"))


@pytest.fixture(scope="module")
def wanted() -> Wanted:
    """A lid off, painted and on again; a pump scored, measured, and made final."""
    lines = Lines(
        vehicle("pump - frame: 2 nut M8; critical", "lid - pump: 4 screw M4", datum="frame")
    )
    photograph(lines, "brown", "rusty")
    lines("undone lid-pump 4/4 tag=3HNA")
    lines("off lid")
    log(
        lines,
        Found(of="part:pump", what=LONG),
        Measured(of="part:pump", what="end float", value=0.2, unit="mm", low=0.05, high=0.15),
        Measured(of="part:pump", what="stroke", value=12, unit="mm"),
        TimeSpent(minutes=90, people=2),
        MoneySpent(amount="12.50", currency="EUR", what="paint"),
    )
    lines("on lid")
    photograph(lines, "teal", "painted")
    photograph(lines, "gold", "scored bore", "part:pump")
    lines("undone pump-frame")
    lines("made pump-frame final")
    return Wanted(lines.workshop, CAR, PHONE)


@pytest.fixture(scope="module")
def pdf(wanted) -> PdfReader:
    """The file as a PDF, read back."""
    return PdfReader(BytesIO(history_as_pdf(wanted)))


@pytest.fixture(scope="module")
def html(wanted) -> str:
    """The file as a page."""
    return history_as_html(wanted).decode()


def words(text: str) -> str:
    """One line of words, without what lets long ones break."""
    return " ".join(text.replace("\u200b", "").split())


def test_it_claims_pdf_a_and_holds_what_that_asks(pdf):
    """ISO 19005-2: its claim in XMP, an output intent, fonts inside, nothing encrypted."""
    root = pdf.trailer["/Root"]
    said = root["/Metadata"].get_data().decode()
    assert re.search(r"pdfaid:part>2<", said)
    assert re.search(r"pdfaid:conformance>B<", said)
    assert root["/OutputIntents"][0]["/S"] == "/GTS_PDFA1"
    assert not pdf.is_encrypted
    fonts = [
        font.get_object() for page in pdf.pages for font in page["/Resources"]["/Font"].values()
    ]
    below = [font["/DescendantFonts"][0]["/FontDescriptor"] for font in fonts]
    assert below
    assert all({"/FontFile2", "/FontFile3"} & each.keys() for each in below)


@pytest.mark.parametrize("name", ["history", "open"])
def test_qpdf_finds_a_document_sound(wanted, tmp_path, name):
    """Its structure, streams and cross references, by a reader that is not ours; and no other."""
    file = tmp_path / "a.pdf"
    document_called(name).save_as(Form.PDF, wanted, file)
    checked = subprocess.run(["qpdf", "--check", file], capture_output=True, text=True)
    assert checked.returncode == 0, checked.stdout + checked.stderr
    file.write_bytes(file.read_bytes()[:-700])
    assert subprocess.run(["qpdf", "--check", file], capture_output=True).returncode != 0


NOBODYS = "\U00030000"
"""Of the ideographs that were added last: no font that tests install has it."""


@pytest.fixture(scope="module")
def letter_without_font() -> Wanted:
    """A car with a letter that no font has, a photo that is none, and one that is elsewhere."""
    lines = Lines(vehicle("lid - frame: 4 screw M4", datum="frame"))
    log(lines, NoteMade(text=f"stamped {NOBODYS}", of=("part:lid",)))
    photograph(lines, "brown", "rusty")
    for photo in (lines.workshop.photos.put(b"no picture"), "0" * 64):
        log(lines, PhotoTaken(photo=photo, of=("part:lid",), media_type="image/jpeg"))
    return Wanted(lines.workshop, CAR, PHONE)


@pytest.fixture(scope="module")
def cover(letter_without_font) -> str:
    """The words of its cover."""
    reader = PdfReader(BytesIO(history_as_pdf(letter_without_font)))
    assert "pdfaid" not in reader.trailer["/Root"]["/Metadata"].get_data().decode()
    return words(reader.pages[0].extract_text())


def test_a_letter_without_a_font_makes_an_ordinary_pdf_that_says_why(cover, pdf):
    """Its letter is named on the cover; where none is missing nothing of it is said."""
    assert "not PDF/A: this machine has no font for U+30000." in cover
    assert "ordinary PDF" not in words(pdf.pages[0].extract_text())


def test_photos_that_are_left_out_are_counted_on_the_cover(cover, letter_without_font, pdf):
    """Those that are spoilt and those that are elsewhere, each for its reason; in both forms."""
    html = history_as_html(letter_without_font).decode()
    for told in (cover, html):
        assert "Photos left out, as they could not be read: 1." in told
        assert "Photos left out, as they are not on this machine: 1." in told
    assert "Photos left out" not in words(pdf.pages[0].extract_text())


def test_its_chapters_are_bookmarks_in_their_order(pdf):
    """Each once, with its months and parts below it."""
    assert [each["/Title"] for each in pdf.outline if not isinstance(each, list)] == CHAPTERS


def test_the_timeline_tells_the_logbook_in_its_order(pdf, wanted, html):
    """What stands in the logbook is told, one after the other, on paper and as a page."""
    state = wanted.state()
    told = [
        each.body.sentence(state.name_of)
        for each in wanted.workshop.standing(CAR)
        if each.kind in ("part off", "joint undone", "part on", "joint made", "photo")
    ]
    assert len(told) == 8
    paper = words(" ".join(page.extract_text() for page in pdf.pages))
    for text in (
        paper[paper.index("50 entries" if "50 entries" in paper else "that stand") :],
        html,
    ):
        at = 0
        for each in told:
            at = text.index(each[1:], at) + 1


@pytest.mark.parametrize(
    "said",
    ["OUTSIDE; no decision recorded", "no limits recorded", "0.05 – 0.15 mm", "not recorded",
     "Money is left out", "3.0 person-hours", "CRITICAL Pump-frame", "Before. Photo 1",
     "Afterwards. Photo 2", "Photo 3"],
)  # fmt: skip
def test_what_is_known_and_what_is_not_stand_in_both(pdf, html, said):
    """Unknown things are said to be unknown, and nothing of money where it is not wanted."""
    paper = words(" ".join(page.extract_text() for page in pdf.pages))
    assert said in paper
    assert said in words(re.sub(r"<[^>]*>", " ", html))
    assert "12.50" not in paper + html


def test_photos_are_capped(pdf):
    """1,600 pixels along the longer edge, each once in the file."""
    sizes = {
        (each.name, each.image.size) for page in pdf.pages for each in page.images if each.image
    }
    assert {size for _, size in sizes} == {(1600, 800)}


def test_the_seal_can_be_computed_anew(wanted, pdf, html):
    """By hashlib and json alone, from the entries as they were received: docs/file-format.md."""
    total = count = 0
    for stored in wanted.workshop.since(CAR):
        count += 1
        form = json.dumps(
            json.loads(stored.raw), sort_keys=True, separators=(",", ":"), ensure_ascii=False
        )
        total += int(hashlib.sha256(form.encode()).hexdigest(), 16)
    seal = hashlib.sha256(f"{count} {total:x}".encode()).hexdigest()
    paper = "".join(page.extract_text() for page in pdf.pages)
    assert seal in re.sub(r"[\s\u200b]", "", paper)
    assert seal in html


class Reader(HTMLParser):
    """Notes tags left open, double ids, and what points where."""

    VOID = ("meta", "img", "link", "br", "col")

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.ids: list[str] = []
        self.points: list[str] = []

    def handle_starttag(self, tag, attrs):
        """Note one."""
        if tag not in self.VOID:
            self.open.append(tag)
        given = dict(attrs)
        self.ids += [given["id"]] if "id" in given else []
        self.points += [given[key] for key in ("href", "src") if key in given]

    def handle_endtag(self, tag):
        """Close it; it must be the last that was opened."""
        assert self.open.pop() == tag


def test_the_page_is_whole_and_asks_nobody_for_anything(html):
    """Each tag closed, each id once, each link inside; photos inside; a name is no markup."""
    read = Reader()
    read.feed(html)
    assert read.open == []
    assert len(read.ids) == len(set(read.ids))
    inside = {f"#{each}" for each in read.ids}
    assert all(each in inside or each.startswith("data:image/jpeg") for each in read.points)
    assert sum(each.startswith("data:") for each in read.points) == 4  # three, and the cover
    assert not re.search(r"https?:|@import|url\(|<script", html)
    assert "&lt;b&gt;&amp;amp;" in html


def test_columns_are_as_wide_as_on_paper_and_the_contents_are_never_far(html):
    """No name is broken in a narrow column; on a phone day and who stand over what was done."""
    tables = html.split("<table")[1:]
    for table in tables:
        widths = re.findall(r'<col style="width:([0-9.]+)%">', table)
        assert len(widths) == table.count('<th scope="col">')
        assert sum(map(float, widths)) == pytest.approx(100, abs=0.5)
    timeline = html.partition('<section id="c0">')[2].partition("</section>")[0]
    assert timeline.count('<table class="told">') == timeline.count("<table") > 0
    assert html.count('class="told"') == timeline.count('class="told"')
    assert '<a class="up" href="#contents">Contents</a>' in html


def test_it_can_be_stopped_while_its_pages_are_set(wanted):
    """Whoever waits may end it; no file comes of it."""
    seen = []

    class Watcher:
        def step(self, done, total, what):
            seen.append(what)

    stop = Stoppable(lambda: "setting the pages" in seen, Watcher())
    with pytest.raises(Stopped):
        history_as_pdf(Wanted(wanted.workshop, CAR, PHONE, progress=stop))


def test_money_is_told_where_it_is_wanted(wanted):
    """Line by line and as a sum."""
    told = history_as_html(Wanted(wanted.workshop, CAR, PHONE, with_money=True)).decode()
    assert told.count("12.50 EUR") >= 2


def test_an_empty_logbook_gives_a_file_that_says_so():
    """Nothing is known, and that is what it says."""
    told = history_as_html(Wanted(Lines().workshop, CAR, PHONE)).decode()
    assert "The logbook says nothing of this." in told


def test_only_what_is_a_page_is_made_as_one(wanted):
    """A manifest is not."""
    with pytest.raises(BadInput, match="no page"):
        document_called("manifest").made_as(Form.HTML, wanted)


def test_in_german_days_and_what_is_critical_are_german(wanted, words_of):
    """Who and when stand in one cell, and a joint behind a word: each is told by itself."""
    german = words_of(history_as_pdf(replace(wanted, words=words_in("de"))))
    assert re.search(r"SICHERHEIT [Pp]ump", german)
    assert "CRITICAL" not in german
    assert re.search(r"[Aa]nn · 2\. Mai 2031", german)


def test_in_german_a_part_keeps_its_name(words_of):
    """Though a row would fit it: in the chapters, and in the index."""
    lines = Lines(vehicle("spring - frame: 2 nut M8; critical", datum="frame"))
    log(lines, Measured(of="part:spring", what="free length", value=0.2, unit="m"))
    told = Wanted(lines.workshop, CAR, PHONE, words=words_in("de"))
    german = words_of(history_as_pdf(told))
    assert reteller("de").tell("Spring") == "Feder"
    assert len(re.findall(r"\bSpring\b", german)) >= 2
    assert "Feder" not in german
