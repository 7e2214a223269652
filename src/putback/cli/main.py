"""The command ``putback``.

Exit codes: 0 done; 1 something is wrong (a check failed, the store cannot work); 2 a person's
mistake, told in one sentence. Nothing heavy is loaded until a command needs it.
"""

import os
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated, Any

import typer
from typer.core import TyperGroup

from putback.cli import (
    ahead,
    balance,
    bench,
    calendar,
    demo,
    drops,
    keep,
    log,
    look,
    packup,
    partners,
    people,
    plan,
    planner,
    printing,
    rebuild,
    serve,
    strip,
    ties,
    vehicles,
    why,
)
from putback.cli.complete import answering_the_shell, complete_vehicle
from putback.cli.context import VEHICLE, Session, session
from putback.cli.garbage import collect_seldom
from putback.cli.output import mark_as_supposed, tell
from putback.cli.wire import WHO
from putback.errors import BadInput, PutbackError, StoreError
from putback.version import __version__

TRACEBACK = "PUTBACK_TRACEBACK"
WRITING = frozenset(
    {
        *("new", "describe", "add", "import-parts", "describe-from", "write-vehicle", "log"),
        *("not-now", "strike", "undo", "photo", "export", "import", "merge", "backup"),
        *("restore", "demo", "check", "verify", "doctor", "serve", "planner", "people"),
        *("partners", "push", "pull"),
    }
)
"""Commands that write, or that ask about the store itself: nothing can be supposed with them."""

AS_JSON = "putback.as_json"
STOPPED = 130  # what shells give a program that Ctrl-C stopped


@dataclass(eq=False)
class ProgramFault(PutbackError):
    """Something went wrong that nobody foresaw."""

    error: Exception

    def fault(self) -> str:
        """What is wrong."""
        return f"a fault of Putback, not yours: {type(self.error).__name__}: {self.error}"

    def remedy(self) -> str:
        """How to mend it."""
        return (
            "what was acknowledged before is saved; please report it with what "
            f"{TRACEBACK}=1 putback ... says"
        )


class Commands(TyperGroup):
    """Tells in one sentence whatever stops a command; nobody in a garage reads a traceback."""

    def invoke(self, ctx: Any) -> Any:
        """Run the command that was named."""
        ctx.meta[AS_JSON] = "--json" in ctx.args  # before the command itself is read
        try:
            return super().invoke(ctx)
        except PutbackError as error:
            stopped_by: PutbackError = error
        except BrokenPipeError:
            _nobody_listens()
            raise typer.Exit(0) from None
        except KeyboardInterrupt:
            sys.stderr.write("\nstopped; what was acknowledged before is saved\n")
            raise typer.Exit(STOPPED) from None
        except OSError as error:
            stopped_by = StoreError(str(error.filename or "this machine"), _of_system(error))
        except (typer.Exit, typer.Abort, typer.TyperException):
            raise  # Typer's own
        except Exception as error:
            strange = [ascii(each) for each in sys.argv if not _is_text(each)]
            if os.environ.get(TRACEBACK) and not strange:
                raise
            stopped_by = (
                BadInput(f"{strange[0]} holds characters that are no text", mend="type it anew")
                if strange
                else ProgramFault(error)
            )
        tell(stopped_by, as_json=session(ctx).as_json)
        raise typer.Exit(stopped_by.exit_code)


def _is_text(word: str) -> bool:
    return not any("\ud800" <= each <= "\udfff" for each in word)


def _of_system(error: OSError) -> str:
    return f"the system refuses: {error.strerror or error}"


def _nobody_listens() -> None:
    """Say nothing more: somebody piped into ``head``, and there is nobody left to tell."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


app = typer.Typer(
    name="putback",
    cls=Commands,
    help="Log the strip of an old vehicle as you go, and the rebuild is planned for you.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)
for module in (
    vehicles,
    log,
    look,
    plan,
    strip,
    rebuild,
    why,
    ties,
    drops,
    ahead,
    calendar,
    packup,
    balance,
    printing,
    bench,
    keep,
    partners,
    demo,
    serve,
    planner,
    people,
):
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
            "--vehicle",
            "-v",
            help="Which vehicle, by name or identity; 'garage' for what they share.",
            envvar=VEHICLE,
            autocompletion=complete_vehicle,
        ),
    ] = None,
    who: Annotated[str | None, typer.Option(help="Who logs.", envvar=WHO)] = None,
    supposed: Annotated[
        list[str] | None,
        typer.Option(
            "--suppose",
            metavar="LINE",
            help="Answer as if this had been logged, as in: --suppose 'off radiator'. "
            "May be given several times; nothing is written.",
        ),
    ] = None,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say the version.")
    ] = False,
) -> None:
    lines = tuple(supposed or ())
    context.obj = Session(home, vehicle, who, supposed=lines)
    mark_as_supposed(lines)
    if lines and context.invoked_subcommand in WRITING:
        context.obj.as_json = context.meta[AS_JSON]
        raise BadInput(
            f"nothing can be supposed with putback {context.invoked_subcommand}: "
            "it writes, or asks about the store",
            mend="leave --suppose away",
        )


def main() -> None:
    """Run the command line."""
    collect_seldom()
    for stream in (sys.stdout, sys.stderr):
        stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    try:
        answering_the_shell(app)
    finally:
        try:
            sys.stdout.flush()
        except BrokenPipeError:
            _nobody_listens()
