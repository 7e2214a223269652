"""The web pages, served from this machine."""

import json
import os
import signal
import subprocess
import sys
from typing import Annotated

import typer

from putback.cli.context import session
from putback.cli.planner import beside as planner_beside
from putback.errors import BadInput, StoreError

SITE = "PUTBACK_SITE"


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(
        "serve",
        help="Serve the web pages, until Ctrl-C.",
        short_help="The web pages, for the phone in the garage.",
    )(serve)


def serve(
    context: typer.Context,
    port: Annotated[int, typer.Option(help="Where they are reached.", min=1, max=65535)] = 8000,
    lan: Annotated[
        bool, typer.Option("--lan", help="Let phones of this network in, not this machine alone.")
    ] = False,
    workers: Annotated[int, typer.Option(help="Processes that answer.", min=1, max=64)] = 2,
) -> None:
    """Serve."""
    run = session(context)
    if run.supposed:
        raise BadInput("what is supposed is not served", mend="leave --suppose away")
    home = run.store.home
    run.store.close()
    typer.echo(f"http://localhost:{port}/ (Ctrl-C ends it)")
    site = {"hosts": ["*"] if lan else [], "https": False}
    environment = {**os.environ, "PUTBACK_HOME": str(home), SITE: json.dumps(site)}
    # A process of its own: Django can be configured only once in one, and here it was.
    signal.signal(signal.SIGTERM, signal.default_int_handler)  # ends as Ctrl-C does, in order
    server = subprocess.Popen(_server(port, workers, lan=lan), env=environment)
    try:
        with planner_beside(home):
            code = server.wait()
    except KeyboardInterrupt:
        code = 0
    finally:
        server.terminate()
        server.wait()
    if code:
        raise StoreError("the server", f"ended with {code}", f"see that port {port} is free")


def _server(port: int, workers: int, *, lan: bool) -> list[str]:
    address = "0.0.0.0" if lan else "127.0.0.1"  # noqa: S104 - asked for by --lan
    return [
        *(sys.executable, "-m", "granian", "putback.web.wsgi:make_application", "--factory"),
        *("--interface", "wsgi", "--host", address, "--port", str(port)),
        *("--workers", str(workers), "--blocking-threads", "4", "--no-ws"),
        *("--log-level", "warning"),
    ]
