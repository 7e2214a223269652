"""A text told again: by its row, as a sentence, by a row with slots, or in pieces."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.language import ENGLISH, Reteller, reteller
from putback.language import catalogue as catalogues
from putback.language.catalogue import FOLDERS, rows_of

ROWS = {
    "and": "und",
    "First": "Zuerst",
    "May": "Mai",
    "Jan": "Jan.",
    "front": "vorn",
    "rear": "hinten",
    "the axle falls": "fällt die Achse",
    "undo": "lösen",
    "when the last one goes, {=what}": "wenn die letzte gelöst ist, {=what}",
    "{part} off first": "zuerst {part} ab",
    "{n} of {n_of} out": "{n} von {n_of} heraus",
    "{n} parts": "{n} Teile",
    "{lid} off first. {=then}": "erst {lid} ab. {=then}",
    "{n} more": "{n} weitere",
    "{n} × {=what}": "{n} × {=what}",
    "as {=what}": "als {=what}",
    "or": "oder",
    "“": "„",
    "”": "“",
    "bolt": "Schraube",
    "{n} bolt": "{n} Schraube",
    "{n} bolts": "{n} Schrauben",
    "bush": "Buchse",
    "{n} bush": "{n} Buchse",
    "{n} bushes": "{n} Buchsen",
    "{n} left": "noch {n}",
    "new": "neu",
    "{names} off with it": "damit ab: {names}",
    "first of all {some}": "vor allem {some}",
    "tell the {=what}": "sagen: {=what}",
    "tell the {who}: {=what}": "{who} sagen: {=what}",
    "box {tag}": "Kiste {tag}",
}
WHO = Reteller("de", ROWS)


@pytest.mark.parametrize(
    ("english", "german"),
    [
        ("undo", "lösen"),
        ("Undo.", "Lösen."),
        ("First:", "Zuerst:"),
        (" Lid off first ", " zuerst Lid ab "),
        ("Lid\n  off first", "zuerst Lid ab"),
        ("2 of 4 out", "2 von 4 heraus"),
        ("Lid off first; and Hub off first", "zuerst Lid ab; und zuerst Hub ab"),
        (
            "When the last one goes, the axle falls.",
            "Wenn die letzte gelöst ist, fällt die Achse.",
        ),
        ("3 parts · 12.5 kg (27.6 lb)", "3 Teile · 12,5 kg (27,6 lb)"),
        ("12 May 2031, 14:05", "12. Mai 2031, 14:05"),
        ("First: undo", "Zuerst: lösen"),
        ("First: Grandfather's clock", "Zuerst: Grandfather's clock"),
        ("front and rear", "vorn und hinten"),
        ("Lid off first.", "zuerst Lid ab."),
        ("Jan.", "Jan."),
        ("Lid off first. Undo.", "zuerst Lid ab. Lösen."),
        ("14:05", "14:05"),
        (" · undo", " · lösen"),
        (", front and rear.", ", vorn und hinten."),
        ("bolt 5/16-24 UNF x 2.5 in", "Schraube 5/16-24 UNF x 2,5 in"),
        ("2 × bolt M8x1.25 (new) + bolt M6", "2 × Schraube M8x1,25 (neu) + Schraube M6"),
        ("Lid, jack and 3 more off with it", "damit ab: Lid, jack und 3 weitere"),
        ("Lid and jack or pin off with it", "damit ab: Lid und jack oder pin"),
        ("“on or off” or “up” off with it", "damit ab: „on or off“ oder „up“"),
        ("first of all nut and pin and 3 more", "vor allem nut and pin und 3 weitere"),
        ("bolt M6 x 20 mm new", "Schraube M6 x 20 mm neu"),
        ("tell the undo: undo", "undo sagen: lösen"),
        ("{n} parts", "{n} Teile"),
        ("As new", "Als neu"),
        ("bush, split, rear", "Buchse, split, hinten"),
        ("2 × bush, split", "2 × Buchse, split"),
        (
            "4 × bolt M6 (new, longer; see there) + 2 bush, split (new); heads up",
            "4 × Schraube M6 (neu, longer; see there) + 2 Buchse, split (neu); heads up",
        ),
        (
            "1 × bush, 3 mm, 2 × bolt M6, thin (new)",
            "1 × Buchse, 3 mm, 2 × Schraube M6, thin (neu)",
        ),
        ("front / rear", "vorn / hinten"),
        ("Box 3CAH", "Kiste 3CAH"),
        (" 54.1 % ", " 54,1 % "),
        ("1.2.3\n4", "1.2.3\n4"),
        ("1.2, 0, 0.6", "1.2, 0, 0.6"),
        ("-1.5 mm (-0.06 in).", "-1,5 mm (-0,06 in)."),
        ("M8x1.25", "M8x1,25"),
        ("T = F L = 40 N × 0.5 m = 20.5 N·m", "T = F L = 40 N × 0,5 m = 20,5 N·m"),
    ],
)
def test_a_text_is_told_again(english, german):
    """As it stands, as a sentence, with what is put in, or piece by piece."""
    assert WHO.tell(english) == german
    assert WHO.told(english).is_known is ("clock" not in english)


@pytest.mark.parametrize(
    "own",
    [
        "Grandfather's clock",
        "box spanner",
        "y = old 2.5",
        "door, front",
        "nuts and front",
        "2 of 3",
        "bolt it 3",
        "as it is",
        "split bush, rear",
        "2 × grommet, split",
        "2 x bush, split",
        "front / whose",
    ],
)
def test_what_a_person_wrote_stays(own):
    """A list of which some pieces are not known is somebody's own, and is not told by halves."""
    told = WHO.told(own)
    assert told.text == own
    assert not told.is_known


def test_of_what_a_fastener_is_stays_as_it_is_called():
    """A side at the end of the name is none of the rows of what is left over."""
    told = reteller("de").tell("1 × gasket, flange, of hub to shaft, left")
    assert told == "1 × Dichtung, flange, zu hub to shaft, left"


TOLD_WHOLE = (
    (
        "K7F4 (trim clips): 20 × screw No. 8 self-tapping x 5/8 in (not counted).",
        "K7F4 (trim clips): 20 × Schraube No. 8 selbstschneidend x 5/8 in (nicht gezählt).",
    ),
    (
        "Goes along: main loom (6.8 kg); rear loom (1.9 kg)",
        "Geht mit: main loom (6,8 kg); rear loom (1,9 kg)",
    ),
    (
        "before: Gearbox mounting first: hoist taut",
        "davor: Gearbox mounting: hoist taut",
    ),
    (
        "block; keep the Door, rear propped until the hinge is made: nothing else holds it",
        "block; gestützt lassen: Door, rear, bis hinge gefügt ist: sonst hält es nichts",
    ),
    (
        "“a-b” is made before “c” goes on or “d” is tightened (all its fixings go in loose first)",
        "„a-b“ fügen vor „c“ ansetzen oder „d“ festziehen"
        " (alle Befestigungen kommen zuerst lose hinein)",
    ),
    (
        "“lid” is made: only “pit” or “ramps”, which cannot be entered then",
        "„lid“ fügen: nur „pit“ oder „ramps“, und so ist es dann nicht aufzustellen",
    ),
    (
        "Lid is off; nobody said where the hardware of a to b and c to d is.",
        "Lid ist ab; niemand hat gesagt, wo die Kleinteile von a to b und c to d sind.",
    ),
    ("Stands on", "Steht auf"),
    ("In it: Radiator; Starter motor", "Darin: Radiator; Starter motor"),
    (
        "last seen 1 Dec 2026, 01:19, since 3 Nov 2026",
        "zuletzt gesehen 1. Dez. 2026, 01:19, seit 3. Nov. 2026",
    ),
)
"""What was once told by halves on a page or a paper, or not at all."""


@pytest.mark.parametrize(("english", "german"), TOLD_WHOLE)
def test_nothing_of_a_longer_text_is_left_untold(english, german):
    """The stop of a size ends no sentence, a list is no name, a stop spoils no list."""
    assert reteller("de").tell(english) == german


@given(st.text())
def test_in_english_every_text_stays(text):
    """To the last space."""
    assert reteller(ENGLISH).tell(text) == text


@given(st.text())
def test_any_text_can_be_told(text):
    """Nothing breaks, and white space around it stays."""
    told = WHO.tell(text)
    assert told[: len(told) - len(told.lstrip())] == text[: len(text) - len(text.lstrip())]


@pytest.mark.parametrize("language", FOLDERS)
def test_every_row_is_told_by_itself(language):
    """No row hides another: what a row puts in comes out again as that row says."""
    who = reteller(language)
    wrong = [
        (english, told)
        for english in rows_of(language)
        if not (told := who.told(catalogues.SLOT.sub("7007", english))).is_known
    ]
    assert wrong == []


@pytest.mark.parametrize("columns", [["one"], ["a", ""], ["{n} of", "von"], ["a", "b", "c"]])
def test_a_row_that_makes_no_sense_is_refused(columns):
    """Two columns, neither empty, and what is put in is put in."""
    with pytest.raises(ValueError, match="here, line 3"):
        catalogues._take({}, columns, "here, line 3")


def test_a_text_has_one_row():
    """Said twice alike is well, said twice otherwise is not."""
    rows = {"a": "b"}
    catalogues._take(rows, ["a", "b"], "x")
    with pytest.raises(ValueError, match="twice"):
        catalogues._take(rows, ["a", "c"], "x")
