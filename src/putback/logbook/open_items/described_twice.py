"""Two people described one thing differently; neither could see what the other wrote."""

import json
from collections.abc import Iterable

from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import OneAndSame
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation
from putback.logbook.open_items.wording import listed
from putback.logbook.told_twice import Contest, Telling


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find descriptions with fields that several people gave otherwise."""
    for subject, contests in situation.state.contested.items():
        table, _, identity = subject.removeprefix("about ").partition(":")
        name = situation.name(f"{_ONE_OF.get(table, table)}:{identity}")
        told = "; ".join(_told(situation, each) for each in contests)
        yield OpenItem(
            Danger.LATER,
            subject,
            f"{name} is described twice: {told}",
            entries_of(*(one.said for each in contests for one in each.tellings)),
            "say which is right; until then the last one counts",
            (OneAndSame, Struck),
        )


def _told(situation: Situation, contest: Contest) -> str:
    values = (f"{_value(contest, each)} by {_who(situation, each)}" for each in contest.tellings)
    return f"{_named(contest)[0]} {listed(values)}"


def words_of(contest: Contest, telling: Telling) -> str:
    """Say a field and the value that somebody gave it, as a person reads it."""
    return f"{_named(contest)[0]} {_value(contest, telling)}"


def _named(contest: Contest) -> tuple[str, str]:
    """Part the field's name into words and its unit, which ends it where it has one."""
    name, _, last = contest.field.rpartition("_")
    unit = _UNITS.get(last, "")
    return (name if unit and name else contest.field).replace("_", " "), unit


def _value(contest: Contest, telling: Telling) -> str:
    value = json.loads(telling.value)
    if isinstance(value, float | int) and not isinstance(value, bool):
        return f"{value:g} {_named(contest)[1]}".strip()
    return value if isinstance(value, str) else "nothing" if value is None else telling.value


_UNITS = {"kg": "kg", "m": "m", "nm": "Nm", "m3": "m³", "minutes": "min"}


def _who(situation: Situation, telling: Telling) -> str:
    return situation.name(f"person:{telling.said.who}")


_ONE_OF = {
    "parts": "part",
    "joints": "joint",
    "jobs": "job",
    "openings": "opening",
    "standings": "standing",
    "assemblies": "assembly",
    "fluids": "fluid",
    "goals": "goal",
    "zones": "zone",
}
"""What one record of a table is called as a subject."""
