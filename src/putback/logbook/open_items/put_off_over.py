"""Something was put off until a day, and the day is here."""

from collections.abc import Iterable
from datetime import date

from putback.logbook.entries.judging import PutOff
from putback.logbook.entries.working import TakenInHand
from putback.logbook.moments import day_words
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find what was put off until today or an earlier day; without a day nothing is due."""
    today = situation.now.date()
    for subject, each in situation.state.put_off.items():
        if each.until and _day(each.until) <= today:
            why = f"{each.why}: {each.note}" if each.note else f"{each.why}"
            yield OpenItem(
                Danger.NOW,
                subject,
                f"{situation.name(subject)} was put off until {day_words(each.until)} ({why}),"
                " and the day is here",
                entries_of(each.said),
                "take it in hand, or put it off again",
                (TakenInHand, PutOff),
            )


def _day(text: str) -> date:
    """Read a day; one that no calendar has is never here."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        return date.max
