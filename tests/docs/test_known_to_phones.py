"""What the phone's scripts know from the program is what the program knows."""

from putback.workshop.saying.short_forms import QUANTITIES
from scripts import german_to_phones
from scripts.known_to_phones import FIELDS, FILE, text


def test_the_phones_scripts_know_what_the_program_knows():
    """Units and versions of kinds are those of the program: run `make docs` where they are not."""
    assert FILE.read_text() == text()


def test_the_phones_scripts_say_what_the_catalogue_says():
    """In German: run `make docs` where they do not."""
    assert german_to_phones.FILE.read_text() == german_to_phones.text()


def test_every_quantity_of_a_form_is_known_to_phones():
    """A field that is typed as a quantity here is one there, too."""
    assert {*FIELDS, "minutes"} == set(QUANTITIES)
