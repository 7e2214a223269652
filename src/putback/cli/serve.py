"""The web pages, which are not there yet."""

import typer

from putback.cli.context import AsJson
from putback.errors import PutbackError


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("serve", help="The web pages (there are none yet).")(serve)


def serve(as_json: AsJson = False) -> None:
    """Say that there is nothing to serve."""
    del as_json
    raise NoPagesYet


class NoPagesYet(PutbackError):
    """There is nothing to serve."""

    def fault(self) -> str:
        """What is wrong."""
        return "there are no web pages yet"

    def remedy(self) -> str:
        """How to mend it."""
        return "the command line does all there is: putback resume says what is next"
