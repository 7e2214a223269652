"""The main job on the demo vehicle: its strip is replayed, its rebuild planned and replayed.

What the phones sent is in a file; what comes of it is not. At the end nothing may be left over.
"""

import shutil
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.context import AsJson, session
from putback.cli.output import console, emit
from putback.errors import AlreadyExists, PutbackError
from putback.logbook.entries.base import PersonId

if TYPE_CHECKING:
    from putback.cli.replay import Replay


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(
        "demo",
        help="Replay the demo vehicle's story: strip, rebuild, hardware check.",
        short_help="Watch an invented vehicle come apart and go back.",
    )(demo)


def demo(
    context: typer.Context,
    keep: Annotated[
        Path | None,
        typer.Option(help="Keep the demo's copies in this folder; else they are thrown away."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Replay the story; exit with 1 if the hardware check does not close."""
    from putback.cli.replay import Replay
    from putback.workshop.exchange.story import demo_story

    if keep is not None and keep.exists() and (not keep.is_dir() or any(keep.iterdir())):
        raise AlreadyExists("file or folder", str(keep), "name a folder that is not there yet")
    folder = keep or Path(tempfile.mkdtemp(prefix="putback-demo-"))
    try:
        replay = Replay(folder, None if as_json else console())
        replay.run(demo_story())
        if keep is not None:
            _hand_over(replay, keep, session(context).person)
        emit("demo", replay.found, lambda _: None, as_json=as_json)
        if not replay.found["copies_agree"]:
            raise CopiesDiffer
        if not replay.found["closes"]:
            raise typer.Exit(1)
    finally:
        if keep is None:
            shutil.rmtree(folder, ignore_errors=True)


def _hand_over(replay: "Replay", keep: Path, owner: PersonId) -> None:
    """Let who replayed it own the copies, pages included, and say how to go on."""
    from putback.workshop.exchange.story import DEMO_VEHICLE
    from putback.workshop.logbooks.ports import Role

    replay.say("")
    for name, copy in replay.copies.items():
        copy.store.grant(DEMO_VEHICLE, owner, Role.OWNER)
        replay.say(f"Kept: putback --home {keep / name} resume")


class CopiesDiffer(PutbackError):
    """Two copies with the same entries show different states."""

    def fault(self) -> str:
        """What is wrong."""
        return "two copies hold the same entries and show different states"

    def remedy(self) -> str:
        """How to mend it."""
        return "this is a fault of Putback: please report it with the bundle"
