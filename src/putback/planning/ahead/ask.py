"""Ask people: jobs that want more than one person, gathered into as few moments as may be."""

from collections.abc import Iterator

from putback.planning.ahead.coming import Coming, View
from putback.planning.ahead.line import Line, Sort
from putback.planning.crew import people_for

GAP_MINUTES = 30.0
"""So long helpers wait for the next job that wants them rather than come again; a convention."""


def ask(view: View) -> Iterator[Line]:
    """Gather steps for several people into moments, the soonest first."""
    moment: list[Coming] = []
    for coming in view.near(Sort.ASK):
        if _people(view, coming) > 1:
            if moment and not _waits(moment[-1], coming):
                yield _line(view, moment)
                moment = []
            moment.append(coming)
    if moment:
        yield _line(view, moment)


def _people(view: View, coming: Coming) -> int:
    return people_for(view.vehicle, coming.step)


def _waits(last: Coming, then: Coming) -> bool:
    """Whether who helped with one step stays for the other: no change of standing, no long gap."""
    gap = then.minutes - last.minutes - last.step.minutes - last.step.setup_minutes
    return last.step.standing == then.step.standing and gap <= GAP_MINUTES


def _line(view: View, moment: list[Coming]) -> Line:
    people = max(_people(view, each) for each in moment)
    names = list(dict.fromkeys(view.name(each.step.what) for each in moment))
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    first, last = moment[0], moment[-1]
    minutes = last.minutes + last.step.setup_minutes + last.step.minutes - first.minutes
    is_timed = any(each.step.minutes for each in moment)  # set-up alone is no time
    lasts = f", about {round(minutes)} min" if is_timed else ""
    jobs = f"{len(moment)} jobs in one moment" if len(moment) > 1 else "one job"
    heaviest = max(moment, key=lambda each: _people(view, each))
    what = f"{people} people"
    why = f"for {jobs}{lasts}: {', '.join(names[:3])}{more}"
    if len(moment) > 1 and people > 2:
        why += f"; all {people} for {view.name(heaviest.step.what)}"
    return view.line(Sort.ASK, what, why, moment, people=people)
