"""Ask people: jobs that want more than one person, gathered into as few moments as may be."""

from collections.abc import Iterator

from putback.logbook.open_items.item import USUAL
from putback.planning.ahead.coming import Coming, View
from putback.planning.ahead.line import Line, Sort
from putback.planning.plan import Action
from putback.vehicle.ids import JobId, split_ref
from putback.vehicle.job import JobKind

GAP_MINUTES = 30.0
"""So long helpers wait for the next job that wants them rather than come again; a convention."""

_LIFTING = frozenset({Action.TAKE_OFF, Action.PUT_ON})


def ask(view: View) -> Iterator[Line]:
    """Gather steps for several people into moments, the soonest first."""
    moment: list[Coming] = []
    for coming in view.near(Sort.ASK):
        if people_for(view, coming) > 1:
            if moment and not _waits(moment[-1], coming):
                yield _line(view, moment)
                moment = []
            moment.append(coming)
    if moment:
        yield _line(view, moment)


def people_for(view: View, coming: Coming) -> int:
    """How many people a step wants: its crew, two for a heavy lift or a second person's check."""
    step = coming.step
    kind, identity = split_ref(step.what)
    job = view.vehicle.jobs.get(JobId(identity)) if kind == "job" else None
    second = step.action is Action.CHECK or (job and job.kind is JobKind.SECOND_CHECK)
    if step.crew > 1 or second:
        return max(step.crew, 2)
    parts = [view.vehicle.parts[each] for each in view.parts_moved(step) if kind == "part"]
    heavy = any(
        part.mass_kg is not None
        and part.mass_kg / max(part.quantity, 1) > USUAL.one_person_kg
        and not part.hoist
        for part in parts
    )
    return 2 if heavy and step.action in _LIFTING else 1


def _waits(last: Coming, then: Coming) -> bool:
    """Whether who helped with one step stays for the other: no change of standing, no long gap."""
    gap = then.minutes - last.minutes - last.step.minutes - last.step.setup_minutes
    return last.step.standing == then.step.standing and gap <= GAP_MINUTES


def _line(view: View, moment: list[Coming]) -> Line:
    people = max(people_for(view, each) for each in moment)
    names = list(dict.fromkeys(view.name(each.step.what) for each in moment))
    more = f" and {len(names) - 3} more" if len(names) > 3 else ""
    first, last = moment[0], moment[-1]
    minutes = last.minutes + last.step.setup_minutes + last.step.minutes - first.minutes
    lasts = f", about {round(minutes)} min" if minutes else ""
    jobs = f"{len(moment)} jobs in one moment" if len(moment) > 1 else "one job"
    heaviest = max(moment, key=lambda each: people_for(view, each))
    what = f"{people} people"
    why = f"for {jobs}{lasts}: {', '.join(names[:3])}{more}"
    if len(moment) > 1 and people > 2:
        why += f"; all {people} for {view.name(heaviest.step.what)}"
    return view.line(Sort.ASK, what, why, moment, people=people)
