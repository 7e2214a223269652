"""Logging from the command line."""

import re
import shlex

import pytest

from putback.logbook.entries.registry import KINDS
from putback.workshop.saying.forms import ELSEWHERE, FORMS
from tests.pictures.photographs import packed, scene


@pytest.mark.parametrize("word", FORMS)
def test_every_example_of_a_short_form_is_logged(demo, word):
    """What the help offers as an example works on the demo vehicle, as the kind it is for."""
    if word == "lift-hold":  # there is one to lift
        demo.ok(f"log {FORMS['hold'].example}")
    answer = demo("log", *shlex.split(FORMS[word].example), "--json")
    assert answer.code == 0, answer.err
    assert [each["kind"] for each in answer.json["entries"]] == [FORMS[word].kind]


def test_every_kind_has_a_word_or_a_command(demo):
    """Of no kind of entry is a person left without a way to log it."""
    said = demo("kinds", "--json").json["kinds"]
    assert [each["kind"] for each in said] == list(KINDS)
    without = {each["kind"] for each in said if not each["words"] and not each["command"]}
    assert without == {"moved between vehicles", "sealed"}
    listed = demo.ok("kinds")
    assert "putback log sealed entries=... digest=..." in listed
    assert all(command in listed for command in ELSEWHERE.values())


def test_what_was_logged_is_said_and_what_is_open_by_it(demo):
    """The answer is a sentence, what it leaves open, and how to take it back."""
    said = demo.ok("log undone 'rear bumper irons to chassis' 3/4 stuck=1 tag=3CAH")
    assert said.startswith("Undid rear bumper irons to chassis: 3 of 4 out (1 stuck).\n")
    assert "Rear bumper irons to chassis is left half way: 3 of 4 out, 1 stuck." in said
    assert re.search(r"\([0-9a-f]{8}; `putback undo` strikes it out\)\n$", said)


def test_who_takes_a_job_in_hand_is_told_what_can_hurt(demo):
    """Before the work, not after it."""
    said = demo.ok("log hand 'rear brake drum, left'")
    assert "caution: old friction linings may hold asbestos: wet them, never blow" in said
    assert "The maker's data win over what is described here." in said
    assert "caution" not in demo.ok("log hand grille")


def test_a_part_nobody_described_is_logged_by_its_name(blank):
    """Without --new it is a mistake that names --new; with it, part and joint are described."""
    assert blank.refused(line="log off radiator") == (
        "no part 'radiator'; to log a part that nobody described yet, add --new"
    )
    assert blank.ok("log off radiator tag=3CAH --new").startswith(
        "Described radiator.\nTook off radiator, into 3CAH.\n"
    )
    blank.ok("log undone 'radiator bolts' 2/4 tag=3CAH --new")
    assert blank.ok("where radiator") == "radiator:\n  off\n  in 3CAH\n"
    assert "part undone: 2 of 4 out" in blank.ok("where 'radiator bolts'")


def test_a_mistaken_name_is_answered_with_the_nearest(demo):
    """One sentence, exit code 2, nothing saved."""
    before = demo("vehicles", "--json").json["vehicles"][0]["position"]
    assert demo.refused(line="log off 'rear gearbox mounting'").startswith("no part 'rear gearbox")
    assert demo.refused(line="where 'gearbox rear mount'") == (
        "no part, joint, tag or job 'gearbox rear mount'; did you mean 'gearbox rear mounting'?"
    )
    assert demo.refused(line="log off 'front wing'") == (
        "2 parts are called 'front wing'; say which: 'Front wing, left', 'Front wing, right'"
    )
    assert demo.refused(line="log undon x").startswith(
        "no kind of entry 'undon'; did you mean 'undone x'"
    )
    assert demo("vehicles", "--json").json["vehicles"][0]["position"] == before


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("log ''", 'nothing was said; for example: off "radiator" tag=3CAH'),
        ("log off ''", "the name of the part is empty; say which is meant"),
        ("log off radiator here", "off: 'here' is one word too many; for example: off"),
        ("log off radiator colour=red", "off: off has no detail 'colour': whole, tag, place;"),
        ("log off radiator tag=3CAA", "tag '3CAA' does not check: 3CA takes H;"),
        ("log made 'tunnel cover to floor' tigth", "made: tightness: 'tigth' is none of 'finger"),
        ("log closed 'master cylinder outlet' 1.5", "closed: ends: '1.5' is no whole number;"),
        ("log undone 'tunnel cover to floor' 5/4", "undone: 5 of 4 cannot be out;"),
        ("log undone 'tunnel cover to floor' own=²", "own: '²' is no number of fixings;"),
        ("log time 90", "cannot read '90' as a time of work; write it like"),
        ("log money much GBP", "money: amount: 'much' is no number;"),
        ("log money 1 pounds", "money: currency: 'POUNDS' is not three letters, like GBP;"),
        ("log measured radiator depth 1e999 mm", "value: '1e999' is no number;"),
        ("log bought 'four bolts'", "'four bolts' does not say how many of what;"),
        ("log sent grille Plater due=soon", "due: 'soon' is no day; write it as 2031-06-01"),
        (
            "log shift 'tunnel cover to floor' '1 x nut 1/4 UNF' source=x to=scrap",
            "source: 'x' is",
        ),
        ("log settled 'tunnel cover to floor' 4", "settled: there are no entries on it"),
        ("log offered radiator", "offered: fits is missing; for example: offered"),
        ("log checked radiator", "no joint 'radiator'; did you mean"),
        ("log photo x", "'photo' has a command of its own; putback photo FILE"),
        ("log note x --when 2031-13", "'2031-13' is no moment; say now, today, yesterday,"),
        ("log note x --after zz", "no entry or act 'zz'"),
        ("log seen radiator nowhere", "no place 'nowhere'"),
        ("log unfit braces", "no temporary fit 'braces'"),
    ],
)
def test_a_mistake_is_one_sentence(demo, line, said):
    """It says what is wrong and how to mend it, and nothing was saved."""
    told = demo.refused(line=line)
    assert told.startswith(said)
    assert "\n" not in told


def test_weird_words_are_mistakes_too(demo):
    """Endless numbers and names, and bytes that are no text, end in a short sentence."""
    endless = "9" * 5000
    for words in (
        ("undone", "tunnel cover to floor", f"{endless}/{endless}"),
        ("undone", "tunnel cover to floor", f"own={endless}"),
        ("closed", "master cylinder outlet", endless),
        ("time", endless),
        ("counted", "3CAH", f"{endless} x nut 1/4 UNF"),
        ("off", "x" * 5000, "--new"),
        ("note", "x", "--when", endless),
    ):
        assert len(demo.refused("log", *words)) < 500
    assert demo.refused("log", "note", "\udcff") == (
        "'\\udcff' holds characters that are no text; type it anew"
    )


def test_a_late_note_stands_where_it_belongs(demo):
    """A day, and the entry it comes after, named by the end of its identity, place it."""
    first = demo("log", "off", "grille", "--json").json["entries"][0]["id"]
    demo.ok("log off radiator")
    demo.ok(f"log note 'the grille was cracked' grille --when yesterday --after {first[-8:]}")
    entries = demo("history", "grille", "--json").json["entries"]
    assert [each["kind"] for each in entries] == ["part off", "note"]
    assert len(entries[1]["happened_at"]) == len("2031-05-02")
    day = demo("log", "note", "x", "--when", "2031-05", "--json")
    assert day.code == 0


def test_places_and_people_go_into_the_garage(demo):
    """They are named in every vehicle, and are struck out where they were logged."""
    assert "`putback -v garage undo` strikes it out" in demo.ok("log place 'Paint shop'")
    demo.ok("log person ann 'Ann Smith'")
    assert demo.ok("log moved radiator 'paint shop'").startswith("Moved Radiator to Paint shop.")
    assert "  in Paint shop\n" in demo.ok("where radiator")
    assert "here: Radiator" in demo.ok("where 'paint shop'")
    assert "Ann Smith" in demo.ok("history radiator")
    assert "Paint shop" in demo.ok("-v garage state")
    demo.ok("-v garage undo")
    assert "ann" in demo.ok("history radiator")


def test_undo_and_strike(blank):
    """Undo takes back an act, never the vehicle; striking the strike brings it back."""
    act = blank("log", "off", "radiator", "--new", "--json").json["act"]
    said = blank.ok("undo")
    assert "Struck out: took off radiator (" in said
    strike = re.search(r"putback strike ([0-9a-f]{8}) brings it back", said)
    assert strike
    assert blank.refused(line="undo").endswith(
        "there is nothing of yours to undo; strike an entry out by its identity"
    )
    assert blank.refused(line="where radiator").startswith("no part, joint, tag or job 'radiator'")
    blank.ok(f"strike {strike[1]}")
    assert "off" in blank.ok("where radiator")
    gone = blank("strike", act[-8:], "--why", "it was the heater", "--json").json
    assert len(gone["struck"]) == 2
    assert blank.refused(line="strike zz") == "no entry or act 'zz'"


def test_what_rests_on_a_struck_entry_is_told(demo):
    """It stays, and is named."""
    off = demo("log", "off", "grille", "--json").json["entries"][0]["id"]
    demo.ok(f"log note 'into the shed' grille --after {off[-8:]}")
    said = demo.ok(f"strike {off}")
    assert "1 entry rests on what is struck out, and stays:\n  noted: into the shed (" in said


def test_a_photo_is_kept_and_shown_as_logged(demo, tmp_path):
    """A picture is told by its bytes; anything else is refused and nothing is kept."""
    picture = tmp_path / "no-ending"
    picture.write_bytes(packed(scene(40, 30), "PNG"))
    answer = demo("photo", str(picture), "radiator", "grille", "--looking", "up", "--json")
    said = "photographed Radiator and Grille, looking up"
    assert answer.json["entries"][0]["sentence"] == said
    assert len(list((demo.home / "photos").rglob("*"))) > 0
    text = tmp_path / "notes.png"
    text.write_text("no picture")
    assert demo.refused("photo", str(text), "radiator").endswith(
        "notes.png: is no picture that is kept here; "
        "give a JPEG, PNG, WebP, GIF or HEIC, whatever its name; nothing was saved"
    )
    assert demo.refused("photo", str(tmp_path / "none"), "radiator").endswith(
        "none: no such file or directory"
    )
    assert demo.refused("photo", str(tmp_path), "radiator").endswith(": is a directory")


def test_hardware_goes_where_the_line_says(demo):
    """Own holes, scrap and a bag in one line; the account of the joint shows each."""
    demo.ok("log undone 'support panel to chassis horns' 2/2 own=1 tag=3CAH")
    said = demo.ok("where 'support panel to chassis horns'")
    assert "in its own hole: 1 × bolt 5/16-24 UNF x 1 1/4 in" in said
    assert "3CAH: 1 × bolt 5/16-24 UNF x 1 1/4 in" in said


def test_a_decision_settles_the_one_finding(demo):
    """Where one finding waits, it is the one that is meant."""
    demo.ok("log found 'cracked at the eye' 'rear leaf spring, left'")
    assert "cracked at the eye" in demo.ok("where 'rear leaf spring, left'")
    demo.ok("log decided 'rear leaf spring, left' replace")
    assert "cracked at the eye" not in demo.ok("where 'rear leaf spring, left'")
