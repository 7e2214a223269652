"""The stretch for the time at hand, told: what to do in turn, what it takes, how sure that is."""

from collections.abc import Iterator
from dataclasses import replace

from putback.logbook.open_items.wording import count
from putback.logbook.state import State
from putback.planning.stretch import Stretch
from putback.units.show import duration_text
from putback.workshop.plans.job_card import JobCard, job_card, standing_card


def stretch_cards(stretch: Stretch, state: State) -> Iterator[JobCard]:
    """Give a card of each step, and of each change of standing that comes before one."""
    here = state.standing.standing
    for number, step in enumerate(stretch.steps):
        if step.standing is not None and step.standing != here:
            card = standing_card(step.standing, state)
            # What a later change takes hangs on how it stands then, which the card does not know.
            yield card if not number else replace(card, minutes=0.0)
            here = step.standing
        yield job_card(step, state)


def cost_words(stretch: Stretch) -> tuple[str, ...]:
    """Say what a stretch takes, how sure that is, and who is wanted."""
    words = [count(len(stretch.steps), "step")]
    if not stretch.not_estimated:
        words.append(f"likely {duration_text(stretch.minutes)}")
        if stretch.worst_minutes is not None:
            words.append(f"at worst {duration_text(stretch.worst_minutes)}")
        if stretch.chance is not None:
            words.append(f"done in time {chance_text(stretch.chance)}")
    elif stretch.work_minutes:
        without = count(stretch.not_estimated, "step")
        words.append(f"{duration_text(stretch.minutes)}, and {without} without minutes on record")
    else:
        words.append("no minutes on record")
    if stretch.people > 1:
        words.append(f"{stretch.people} people")
    return tuple(words)


def chance_text(chance: float) -> str:
    """Say a chance as a person would: estimates are not worth more figures.

    Examples
    --------
    >>> chance_text(0.31), chance_text(0.004), chance_text(0.99)
    ('about 3 times in 10', 'hardly ever', 'nearly always')
    """
    tenths = round(chance * 10)
    if tenths in (0, 10):
        return "nearly always" if tenths else "hardly ever"
    return f"about {tenths} times in 10" if tenths > 1 else "about once in 10 times"
