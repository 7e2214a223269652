"""Every word that stands on paper and is not in a vehicle's description, in one place.

A second language is another `Words`; nothing else knows which language is printed. What the
planner and the logbook say (notes, reasons, cautions, open items) comes from there.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Words:
    """The words of one language; ``{...}`` stands for what is put in."""

    language: str = "en"
    """ISO 639-1 code: how words are broken."""

    # -- tags --
    and_more: str = "and {count} more"
    empty: str = "nothing known in it"
    made_on: str = "tagged {day}"
    from_zone: str = "from {zone}"
    blank_what: str = "What"
    blank_from: str = "From"
    blank_side: str = "Side"
    blank_date: str = "Date"
    left: str = "left"
    right: str = "right"

    # -- red tags --
    not_torqued: str = "NOT TORQUED"
    not_torqued_why: str = "Finger tight or nipped only. Take this off when it is tightened."
    not_for_the_road: str = "NOT FOR THE ROAD"
    not_for_the_road_why: str = (
        "Something is left undone. Take this off when it is done and checked."
    )
    red_what: str = "What"
    red_needs: str = "Needs"
    red_who: str = "Who, when"


ENGLISH = Words()
