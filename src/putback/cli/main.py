"""The command ``putback``.

Exit codes: 0 done; 1 something is wrong (a check failed, the store cannot work); 2 a person's
mistake, told in one sentence. Nothing heavy is loaded until a command needs it.
"""

import os
import sys
from pathlib import Path
from typing import Annotated

import typer

from putback import __version__
from putback.cli import demo, keep, log, look, plan, vehicles
from putback.cli.context import VEHICLE, Session
from putback.cli.wire import WHO
from putback.errors import PutbackError

app = typer.Typer(
    name="putback",
    help="Log the strip of an old vehicle as you go, and the rebuild is planned for you.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)
for module in (vehicles, log, look, plan, keep, demo):
    module.register(app)


def _version(wanted: bool) -> None:
    if wanted:
        typer.echo(f"putback {__version__}")
        raise typer.Exit


@app.callback()
def _session(
    context: typer.Context,
    home: Annotated[
        Path | None, typer.Option(help="Folder of the store.", envvar="PUTBACK_HOME")
    ] = None,
    vehicle: Annotated[
        str | None,
        typer.Option(
            "--vehicle", "-v", help="Which vehicle, by name or identity.", envvar=VEHICLE
        ),
    ] = None,
    who: Annotated[str | None, typer.Option(help="Who logs.", envvar=WHO)] = None,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say the version.")
    ] = False,
) -> None:
    context.obj = Session(home, vehicle, who)


def main() -> None:
    """Run the command line."""
    try:
        app()
    except PutbackError as error:
        sys.stderr.write(f"{error}\n")
        sys.exit(error.exit_code)
    except KeyboardInterrupt:
        sys.stderr.write("\nstopped; what was acknowledged before is saved\n")
        sys.exit(130)
    except BrokenPipeError:
        # Somebody piped into head: there is nobody left to tell.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        sys.exit(0)
