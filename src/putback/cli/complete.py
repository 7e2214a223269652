"""Completion of names in the shell: what a person may mean, from the vehicle at hand."""

from collections.abc import Iterable

import typer

from putback.cli.context import Session, session
from putback.errors import PutbackError


def _named(context: typer.Context, kinds: Iterable[str], incomplete: str) -> list[str]:
    from putback.workshop.names import names_of

    try:
        run = session(context)
        root = context.find_root()
        if root.params and context.find_object(Session) is None:
            run = Session(root.params.get("home"), root.params.get("vehicle"))
        state = run.state
    except PutbackError:
        return []  # a shell that completes nothing is better than one that complains
    wanted = incomplete.casefold()
    offered = {
        name or identity
        for kind in kinds
        for identity, names in names_of(state, kind).items()
        for name in (names or (identity,))
    }
    return sorted(each for each in offered if each.casefold().startswith(wanted))


def complete_anything(context: typer.Context, incomplete: str) -> list[str]:
    """Offer parts, joints, tags, openings and jobs."""
    return _named(context, ("part", "joint", "tag", "opening", "job"), incomplete)


def complete_goal(context: typer.Context, incomplete: str) -> list[str]:
    """Offer goals."""
    return _named(context, ("goal",), incomplete)
