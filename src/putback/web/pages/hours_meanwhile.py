"""Who works when, kept by two from one page: what one kept is shown before another takes it back.

The form is kept as a whole. It carries a stamp of what was kept when it was shown.
"""

from collections.abc import Iterator
from hashlib import sha256

from putback.web.pages.hours_form import HoursForm
from putback.workshop.plans.wishes import Wishes, as_json

Line = tuple[str, str]
"""What is asked, and what stands there."""


def stamp_of(wishes: Wishes) -> str:
    """Give what tells wishes from any others."""
    return sha256(repr(sorted(as_json(wishes).items())).encode()).hexdigest()[:16]


def only_in(kept: HoursForm, typed: HoursForm) -> tuple[Line, ...]:
    """Say what is kept and not typed: keeping the one would take back the other."""
    said = set(_lines(typed))
    return tuple(line for line in _lines(kept) if line not in said)


def _lines(form: HoursForm) -> Iterator[Line]:
    for each in form.persons:
        name = each.name.value
        if name:
            yield "Who works when", f"{name}: {each.hours.value}" if each.hours.value else name
        if each.skills:
            yield "What only they do", f"{name}: {', '.join(each.skills)}"
        for days in each.away:
            if days.words:
                yield "Times away", f"{name}: {days.words}"
    for label, rows in (
        ("When nobody works", form.shut),
        ("When a hoist is lent", form.lent),
    ):
        yield from ((label, days.words) for days in rows if days.words)
    for label, field in (
        ("Hoists", form.hoists),
        ("Benches", form.benches),
        ("Days to come", form.lead_days),
        ("First day of work", form.begin),
        ("Due", form.due),
    ):
        if field.value:
            yield label, field.value
