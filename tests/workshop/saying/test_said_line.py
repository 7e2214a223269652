"""A line that is typed: completed, understood, and refused with words."""

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from putback.errors import BadInput
from putback.logbook.entries.describing import Described
from putback.logbook.entries.working import JointUndone, NoteMade, PartOff
from putback.vehicle.part import Part
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.saying.completion import MOST_OFFERED, completions
from putback.workshop.saying.forms import FORMS, is_form
from putback.workshop.saying.said_line import understand
from putback.workshop.saying.said_off import said_off
from putback.workshop.saying.spoken import SPOKEN
from tests.makers import vehicle
from tests.stores import Watch
from tests.workshop.lines import CAR, Lines

CAR_OF_PARTS = vehicle(
    Part("w", "Front wing, left", "here"),
    Part("r", "Radiator", "here"),
    Part("s", "Radiator shroud", "here"),
    "wing to frame = w - frame: 3 bolt M6 x 16",
)


def offered(line: str) -> tuple[str, ...]:
    """What goes on from a line."""
    return completions(Lines(CAR_OF_PARTS).state, line)


def test_the_first_word_is_a_kind_of_entry():
    """Offered by its beginning, never more than fit a screen."""
    assert offered("und") == ("undone",)
    assert len(offered("")) == MOST_OFFERED
    assert set(offered("")) <= set(FORMS)


def test_a_name_is_offered_by_any_of_its_words():
    """That whose beginning was typed first; in quotes where it has blanks."""
    assert offered("off rad") == ("off Radiator", 'off "Radiator shroud"')
    assert offered("off wing") == ('off "Front wing, left"',)
    assert offered("off fr wi") == ('off "Front wing, left"',)
    assert offered("undone wing") == ('undone "wing to frame"',)
    assert offered("nonsense x") == ()


@given(st.text(max_size=40))
def test_whatever_is_typed_is_answered(line):
    """Completion and reading never fail; they offer nothing, or say what is wrong."""
    lines = Lines(CAR_OF_PARTS)
    completions(lines.state, line)
    found = understand(lines.workshop, CAR, line)
    assert bool(found.bodies) is not bool(found.fault)


def test_a_known_name_needs_no_quotes():
    """The longest name that is known is taken; counts and details stay."""
    lines = Lines(CAR_OF_PARTS)
    found = understand(lines.workshop, CAR, "undone wing to frame 2/3 tag=3CAH")
    assert found.bodies == (JointUndone(joint="wing to frame", out=2, of=3, tag="3CAH"),)
    assert found.sentences == ("undid wing to frame: 2 of 3 out",)
    assert understand(lines.workshop, CAR, "off radiator shroud").bodies == (PartOff(part="s"),)


def test_what_is_wrong_is_said_with_how_to_mend_it():
    """Of a name that is not known, also that it may be new."""
    lines = Lines(CAR_OF_PARTS)
    found = understand(lines.workshop, CAR, "off radiater")
    assert found.may_be_new
    assert "Radiator" in found.remedy
    new = understand(lines.workshop, CAR, "off heater", new=True)
    assert isinstance(new.bodies[0], Described)
    assert new.sentences[-1] == "took off heater"
    assert "quote" in understand(lines.workshop, CAR, "off 'rad").fault


def test_what_vehicles_share_goes_into_the_garages_book():
    """A place is of the garage."""
    lines = Lines(CAR_OF_PARTS)
    assert understand(lines.workshop, CAR, "place 'Dry store'").book == GARAGE
    assert understand(lines.workshop, CAR, "off radiator").book == CAR


def test_another_reader_can_take_its_place():
    """The page asks whatever it is given."""
    lines = Lines(CAR_OF_PARTS)

    def hears(text, state, *, new):
        return (NoteMade(text=text),)

    found = understand(lines.workshop, CAR, "wing is off, I think", read=hears)
    assert found.sentences == ("noted: wing is off, I think",)


def test_three_parts_come_off_by_their_names_alone():
    """A known one is the one that is known; one said twice came off once."""
    bodies = said_off(Lines(CAR_OF_PARTS).state, ["Radiator", "fan", "", "fan "], "3CAH")
    assert [body.KIND for body in bodies] == ["part off", "described", "part off"]
    assert [body.tag for body in bodies if isinstance(body, PartOff)] == ["3CAH", "3CAH"]
    assert bodies[0].part == "r"


def test_saying_nothing_is_told():
    """And so is a tag that was misread."""
    with pytest.raises(BadInput, match="nothing was said"):
        said_off(Lines().state, ["", " "])
    with pytest.raises(Exception, match="does not check"):
        said_off(Lines().state, ["fan"], "3CAK")


@pytest.mark.parametrize(
    ("line", "meant"),
    [
        ("took off radiator", "off Radiator"),
        ("I took the radiator off", "off Radiator"),
        ("Took the Radiator shroud off into bag 3CAH", "off 'Radiator shroud' tag=3CAH"),
        ("removed a radiator bag 3CAH", "off Radiator tag=3CAH"),
        ("off radiator shroud into 3CAH", "off 'Radiator shroud' tag=3CAH"),
        ("undid the wing to frame 2/3 in the box 3CAH", "undone 'wing to frame' 2/3 tag=3CAH"),
        ("soaked wing to frame", "note 'soaked in penetrating oil' 'wing to frame'"),
        ("put the radiator back", "on Radiator"),
        ("put radiator 3CAH", "put Radiator 3CAH"),
    ],
)
def test_a_line_is_said_as_people_speak(line, meant):
    """The same entries as by the short form."""
    lines = Lines(CAR_OF_PARTS)
    found = understand(lines.workshop, CAR, line)
    assert found.fault == ""
    assert found.bodies == lines.read(meant)


def test_every_word_people_say_stands_for_a_form():
    """And none of them is a form of its own, which would never be reached."""
    for phrase, form in SPOKEN.items():
        assert form[0] in FORMS
        assert " " in phrase or not is_form(phrase)


def test_an_unknown_verb_is_answered_with_a_line():
    """The nearest, said whole; where none is near, that it came off."""
    lines = Lines(CAR_OF_PARTS)
    assert "'removed" not in understand(lines.workshop, CAR, "remoed the radiator").remedy
    assert "off radiator" in understand(lines.workshop, CAR, "remoed the radiator").remedy
    assert "off radiator" in understand(lines.workshop, CAR, "hoiked the radiator").remedy
    assert "off radiator" in understand(lines.workshop, CAR, "radiator").remedy


def test_a_name_of_several_words_is_refused_or_new_as_a_whole():
    """Up to its details."""
    lines = Lines(CAR_OF_PARTS)
    found = understand(lines.workshop, CAR, "off heater box tag=3CAH")
    assert "'heater box'" in found.fault
    bodies = understand(lines.workshop, CAR, "off the heater box tag=3CAH", new=True).bodies
    assert bodies[0].fields["name"] == "heater box"


def test_a_line_takes_the_day_it_was():
    """At its beginning or end; as on the command line."""
    lines = Lines(CAR_OF_PARTS, Watch(datetime(2026, 11, 28, 12, tzinfo=UTC)))  # a Saturday
    for line, day in [
        ("off radiator @2026-11-20", "2026-11-20"),
        ("@2026-11 off the radiator", "2026-11"),
        ("off radiator @unknown", ""),
        ("off radiator", None),
        ("off radiator @yesterday", "2026-11-27"),
        ("off radiator @fri", "2026-11-27"),
        ("off radiator @2026-11-20T9:15", "2026-11-20T09:15:00+00:00"),
    ]:
        found = understand(lines.workshop, CAR, line)
        assert (found.fault, found.happened_at) == ("", day)
        assert found.bodies == (PartOff(part="r"),)
    assert "is no moment" in understand(lines.workshop, CAR, "off radiator @whenever").fault
