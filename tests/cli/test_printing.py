"""``putback print``: documents as files, by name, with what labels they are printed on."""

from pypdf import PdfReader

from putback.logbook.tags import ALPHABET


def test_a_ring_of_blank_tags_is_a_file_and_takes_its_codes(blank, tmp_path):
    """Two sheets of blank tags have different codes, and the answer names file and document."""
    texts = []
    for name in ("one.pdf", "two.pdf"):
        target = tmp_path / name
        answer = blank("print", "tags", "Old Plover", "--blank", "21", "-o", str(target), "--json")
        assert answer.json["file"] == str(target)
        assert answer.json["bytes"] == target.stat().st_size
        texts.append(set(PdfReader(target).pages[0].extract_text().split()))
    codes = [
        {each for each in text if len(each) == 4 and set(each) <= set(ALPHABET)} for text in texts
    ]
    assert [len(each) for each in codes] == [21, 21]
    assert not codes[0] & codes[1]


def test_the_list_names_documents_and_labels(putback):
    """What can be printed, and on what, is told without a vehicle."""
    said = putback.ok("print --list")
    assert "tags" in said
    assert "a4-3x7" in said
    told = putback("print", "--list", "--json").json
    assert {"name", "title", "words"} == set(told["documents"][0])
    assert told["stocks"][0]["per_page"] == 21


def test_what_cannot_be_printed_is_told(blank, tmp_path):
    """Each mistake is one sentence; no file is written, and one that is there is kept."""
    target = tmp_path / "there.pdf"
    target.write_text("mine")
    for line, said in (
        ("print", "no document is named; putback print --list names them"),
        (f"print tags -o {target}", "name another, or write over it with --force"),
        (f"print tags -o {tmp_path / 'new.pdf'}", "there is no tag to print"),
        (f"print tags --shift 3 -o {tmp_path / 'new.pdf'}", "write millimetres as 1.5,-0.5"),
        (f"--suppose 'off lid' print tags --blank 3 -o {tmp_path / 'new.pdf'}", "take codes"),
    ):
        assert said in blank.refused(line=line)
    assert target.read_text() == "mine"
    assert list(tmp_path.glob("*.pdf")) == [target]


def test_a_list_is_printed_on_the_paper_that_is_asked_for(blank, tmp_path):
    """Letter has other edges than A4, and its letters may be large."""
    sizes = []
    for more in ("", "--paper letter --large"):
        target = tmp_path / f"open{len(sizes)}.pdf"
        assert "Open tonight" in blank.ok(f"print open {more} -o {target}")
        box = PdfReader(target).pages[0].mediabox
        sizes.append((round(float(box.width)), round(float(box.height))))
    assert sizes == [(595, 842), (612, 792)]


def test_cards_and_walk_rounds_say_what_they_want(blank, tmp_path):
    """Without a goal there is no plan to print, and without a lift nothing to walk round."""
    target = tmp_path / "x.pdf"
    for line, said in (
        (f"print cards -o {target}", "no goal is described yet"),
        (f"print walk-round -o {target}", "nothing is lifted; say what is lifted"),
        (f"print walk-round --lift moon -o {target}", "moon"),
        (f"print open --paper a9 -o {target}", "a9"),
    ):
        assert said in blank.refused(line=line)
    assert not target.exists()


def test_cards_are_those_of_a_fresh_plan(blank, tmp_path):
    """The command plans first where no plan is on hand."""
    for line in (
        "describe zones z name=front",
        "describe parts frame name=frame zone=z",
        "describe parts lid name=lid zone=z",
        "describe joints j name='lid to frame' parts='[\"lid\",\"frame\"]'",
        "describe goals bare name='bare frame' datum=frame off_rest=true",
    ):
        blank.ok(line)
    blank.ok(f"print cards -o {tmp_path / 'cards.pdf'}")
    text = " ".join(PdfReader(tmp_path / "cards.pdf").pages[0].extract_text().split())
    assert text.index("Undo: lid to frame") < text.index("Take off: lid")
    assert "strip to bare frame" in text
