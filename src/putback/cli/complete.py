"""Completion of names in the shell: what a person may mean, from the vehicle at hand."""

import io
import os
import re
import sys
from collections.abc import Callable, Iterable
from contextlib import redirect_stdout
from typing import TYPE_CHECKING

import typer

from putback.cli.context import Session
from putback.errors import PutbackError

if TYPE_CHECKING:
    from putback.logbook.state import State

BASH = ("_PUTBACK_COMPLETE", "complete_bash")
_SPECIAL = re.compile(r"([^\w@%+=:,./-])")


def complete_anything(context: typer.Context, incomplete: str) -> list[str]:
    """Offer parts, joints, tags, openings and jobs."""
    from putback.workshop.saying.completion import ANYTHING

    return _named(context, ANYTHING, incomplete)


def complete_step(context: typer.Context, incomplete: str) -> list[str]:
    """Offer what a plan has steps for: parts, joints, jobs and assemblies."""
    return _named(context, ("part", "joint", "job", "assembly"), incomplete)


def complete_lift(context: typer.Context, incomplete: str) -> list[str]:
    """Offer what can be lifted: parts and assemblies."""
    return _named(context, ("part", "assembly"), incomplete)


def complete_end(context: typer.Context, incomplete: str) -> list[str]:
    """Offer how far a rebuild can be looked at: stages, assemblies and parts."""
    from putback.planning.plan import Stage

    stages = _matching(map(str, Stage), incomplete)
    return [*stages, *_named(context, ("part", "assembly"), incomplete)]


def complete_part(context: typer.Context, incomplete: str) -> list[str]:
    """Offer parts."""
    return _named(context, ("part",), incomplete)


def complete_joint(context: typer.Context, incomplete: str) -> list[str]:
    """Offer joints."""
    return _named(context, ("joint",), incomplete)


def complete_goal(context: typer.Context, incomplete: str) -> list[str]:
    """Offer goals."""
    return _named(context, ("goal",), incomplete)


def complete_standing(context: typer.Context, incomplete: str) -> list[str]:
    """Offer standings."""
    return _named(context, ("standing",), incomplete)


def complete_vehicle(context: typer.Context, incomplete: str) -> list[str]:
    """Offer the vehicles."""
    try:
        shelved = _session(context).workshop.logbooks()
    except (PutbackError, OSError):
        return []
    return _matching((each.name for each in shelved), incomplete)


def complete_template(incomplete: str) -> list[str]:
    """Offer the sub-assemblies that can be added."""
    from putback.vehicle.templates import list_templates

    return _matching((each.name for each in list_templates()), incomplete)


def complete_log(context: typer.Context, incomplete: str) -> list[str]:
    """Offer the kinds of entry; after one, names of what it is about."""
    from putback.workshop.saying.completion import kinds_offered
    from putback.workshop.saying.forms import FORMS

    words = context.params.get("words") or ()
    if not words:
        return _matching(FORMS, incomplete)
    return _named(context, kinds_offered(words), incomplete)


def complete_table(incomplete: str) -> list[str]:
    """Offer the tables of a vehicle's description."""
    from putback.vehicle.codec import TABLES

    return _matching(TABLES, incomplete)


def _session(context: typer.Context) -> Session:
    """Give the session as the options so far would make it: no command runs in a completion."""
    given = context.find_root().params
    return Session(given.get("home"), given.get("vehicle"))


def _named(context: typer.Context, kinds: Iterable[str], incomplete: str) -> list[str]:
    from putback.workshop.saying.completion import offered

    try:
        state: State = _session(context).state
    except (PutbackError, OSError):
        return []  # a shell that completes nothing is better than one that complains
    return _matching(offered(state, kinds), incomplete)


def _matching(names: Iterable[str], incomplete: str) -> list[str]:
    """Give the names that go on from what was typed, which keeps the capitals it was typed in."""
    typed = incomplete.casefold()
    return sorted(
        {
            incomplete + each[len(incomplete) :]
            for each in names
            if each.casefold().startswith(typed)
        }
    )


def answering_the_shell(run: Callable[[], None]) -> None:
    """Run the command line; if it completes a word for bash, with blanks as bash wants them.

    Bash puts what it is given into the line as it stands: unless the person has opened a quote,
    every blank in a name needs a stroke before it.
    """
    asked, shell = BASH
    if os.environ.get(asked) != shell:
        run()
        return
    words = os.environ.get("COMP_WORDS", "").split("\n")
    at = int(os.environ.get("COMP_CWORD") or 0)
    quoted = words[at : at + 1] and words[at].startswith(("'", '"'))
    answer = io.StringIO()
    try:
        with redirect_stdout(answer):
            run()
    finally:
        text = answer.getvalue().lstrip("\n")
        sys.stdout.write(text if quoted else _with_strokes(text))


def _with_strokes(text: str) -> str:
    return "\n".join(_SPECIAL.sub(r"\\\1", line) for line in text.split("\n"))
