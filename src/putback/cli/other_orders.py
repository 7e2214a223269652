"""Other orders to choose from: how they are asked for, shown and chosen, of strip and rebuild."""

from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.output import say
from putback.errors import BadInput

if TYPE_CHECKING:
    from rich.console import Console

    from putback.planning.alternatives import Alternative

Alternatives = Annotated[
    bool, typer.Option("--alternatives", help="Other plans, and in what they differ.")
]
Choose = Annotated[
    int | None,
    typer.Option(help="Follow this one of the alternatives from now on; nothing is logged."),
]
Afresh = Annotated[bool, typer.Option("--afresh", help="Forget the order followed until now.")]


def numbered(others: "Sequence[Alternative]", number: int, command: str) -> "Alternative":
    """Give the alternative of a number, as it is shown.

    Raises
    ------
    BadInput
        If there is none of that number.
    """
    if not 1 <= number <= len(others):
        there = f"there are {len(others)}" if len(others) > 1 else "there is only 1"
        raise BadInput(
            f"no alternative {number}: {there if others else 'there is none'}",
            mend=f"see them with: putback {command} --alternatives",
        )
    return others[number - 1]


def say_alternatives(out: "Console", others: "Sequence[Alternative]", command: str) -> None:
    """List them by number, and say how one is followed."""
    if not others:
        out.print("No other plan differs in anything that matters.")
        return
    for number, each in enumerate(others, start=1):
        say(out, each.words, lead=f"  {number}  ")
    out.print(f"Follow one: putback {command} --choose N; nothing is logged by it.", style="dim")


def say_chosen(out: "Console", chosen: "Alternative") -> None:
    """Say which order is followed from now on."""
    say(out, f"You follow this order from now on: {chosen.words}")


def say_pinned(out: "Console") -> None:
    """Say that the order is one that a person chose."""
    out.print("You chose this order; --afresh leaves it.", style="dim")
