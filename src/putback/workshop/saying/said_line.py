"""What a person says in a line, understood: the entries it would log, or what is wrong with it.

`Understands` is the seam: the short forms understand today, and whatever understands more can be
given in their place without a page or an address knowing.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

from putback.errors import BadInput, InputError
from putback.logbook.entries.base import Body, LogbookId
from putback.logbook.entries.describing import Described
from putback.logbook.state import State
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.saying.forms import ELSEWHERE, SHARED, form_of, parted
from putback.workshop.saying.moments import moment, parted_moment
from putback.workshop.saying.short_forms import NotDescribed, read_line, rests_on_its_moment
from putback.workshop.saying.spoken import in_short_form


class Understands(Protocol):
    """Reads a line as the entries of one act."""

    def __call__(self, text: str, state: State, *, new: bool) -> tuple[Body, ...]:
        """Read a line without its moment; ``new`` allows things that nobody described yet.

        Raises
        ------
        InputError
            If it cannot be meant: what is wrong, where, and how to mend it.
        """


@dataclass(frozen=True, slots=True)
class Understood:
    """A line as it was understood."""

    text: str
    bodies: tuple[Body, ...] = ()
    sentences: tuple[str, ...] = ()
    """What it would log."""
    happened_at: str | None = None
    """When it was, where the line says so (``@yesterday``); ``None`` is now, empty is unknown."""
    book: LogbookId | None = None
    """The logbook it goes into: a vehicle's, or the garage's for what vehicles share."""
    fault: str = ""
    remedy: str = ""
    may_be_new: bool = False
    """Whether it can be logged of something that nobody described yet."""

    @property
    def told(self) -> str:
        """All that it would log, and of when, in one text; empty where it would log nothing."""
        when = "" if self.happened_at is None else f"@{self.happened_at}"
        return " · ".join(filter(None, (*self.sentences, when)))


def by_short_forms(text: str, state: State, *, new: bool) -> tuple[Body, ...]:
    """Read a line as the command line does."""
    words = in_short_form(parted(text))
    if words and words[0].strip() and form_of(words[0]).kind in ELSEWHERE:
        raise BadInput(f"{words[0]!r} has a page of its own", mend="open that page")
    return read_line(words, state, new=new)


def understand(
    workshop: Workshop,
    logbook: LogbookId,
    text: str,
    *,
    new: bool = False,
    read: Understands = by_short_forms,
) -> Understood:
    """Say what a line would log; nothing is logged."""
    try:
        state = in_its_garage(workshop, logbook)
        words, day = parted_moment(text.split())
        line = " ".join(words) if day is not None else text
        happened_at = moment(day, workshop.now_there())
        then = state
        if happened_at is not None and rests_on_its_moment(in_short_form(parted(line))):
            then = workshop.state_then(logbook, happened_at)
        bodies = read(line, then, new=new)
    except NotDescribed as error:
        remedy = "; ".join(filter(None, (_near(error.nearest), "or log it as a new one")))
        return Understood(text, fault=error.fault(), remedy=remedy, may_be_new=True)
    except InputError as error:
        return Understood(text, fault=error.fault(), remedy=error.remedy())
    named = {f"{b.table[:-1]}:{b.id}": str(b.fields.get("name", b.id)) for b in _described(bodies)}

    def name(subject: str) -> str:
        return named.get(subject) or state.name_of(subject)

    sentences = tuple(body.sentence(name) for body in bodies)
    book = GARAGE if all(body.KIND in SHARED for body in bodies) else logbook
    return Understood(text, bodies, sentences, happened_at, book)


def _described(bodies: Sequence[Body]) -> list[Described]:
    return [body for body in bodies if isinstance(body, Described)]


def _near(names: Sequence[str]) -> str:
    return f"did you mean {' or '.join(names)}?" if names else ""
