"""The planner: a process beside the web pages that answers what takes planning.

Another one of its kind makes the papers that take long, so that no plan waits for one.
"""

import os
import signal
import subprocess
import sys
import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from threading import Event, Thread
from typing import Annotated

import typer

from putback.cli.context import AsJson, session
from putback.cli.output import count, emit
from putback.errors import BadInput

_NICE = 5
"""Pages come first: a planner yields to whoever answers them [steps of nice(1)]."""
_GOES_HOME_S = 10.0
"""How long a planner may take to end [s]."""
_AGAIN_S = 2.0
"""How long after a planner died another is started [s]."""


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(
        "planner",
        help="Answer what the pages ask of planning, until Ctrl-C. `putback serve` runs one, and "
        "one for papers; on another machine over the same PostgreSQL database more may run.",
        short_help="Answers what the pages ask of planning.",
    )(planner)


def planner(
    context: typer.Context,
    once: Annotated[bool, typer.Option("--once", help="Answer what waits now, and end.")] = False,
    papers: Annotated[
        bool,
        typer.Option(
            "--papers",
            help="Make the papers that take long instead, where the photos are: the history file.",
        ),
    ] = False,
    with_parent: Annotated[bool, typer.Option("--with-parent", hidden=True)] = False,
    as_json: AsJson = False,
) -> None:
    """Answer questions."""
    run = session(context)
    if run.supposed:
        raise BadInput("what is supposed is not planned for others", mend="leave --suppose away")
    from putback.workshop.desk.planner import Planner
    from putback.workshop.printing.kept_papers import KeptPapers

    name = f"{os.uname().nodename} {os.getpid()} {uuid.uuid4().hex[:8]}"
    desk = run.store.desk
    kept = KeptPapers(run.store.papers) if papers else None
    works = Planner(run.workshop, desk, name, desk.close, kept)
    if once:
        answered = 0
        while works.answer_one():
            answered += 1
        emit(
            "planner",
            {"answered": answered},
            lambda out: out.print(f"{count(answered, 'question')} answered."),
            as_json=as_json,
        )
        return
    signal.signal(signal.SIGTERM, lambda *_: works.ended.set())
    os.nice(_NICE)
    if with_parent:
        Thread(target=_end_with, args=(os.getppid(), works.ended), daemon=True).start()
    else:
        what = "making what is asked for as paper" if papers else "planning what is asked"
        typer.echo(f"{what} (Ctrl-C ends it)", err=as_json)
    works.run()


def _end_with(parent: int, ended: Event) -> None:
    """Go home when whoever started this is gone."""
    while not ended.wait(1.0):
        if os.getppid() != parent:
            ended.set()


@contextmanager
def beside(home: Path) -> Iterator[None]:
    """Run a planner over the store in a folder and a maker of papers; others if they die."""
    over = Event()
    keepers = (
        Thread(target=_keep, args=(home, over, "the planner", ())),
        Thread(target=_keep, args=(home, over, "the maker of papers", ("--papers",))),
    )
    for each in keepers:
        each.start()
    try:
        yield
    finally:
        over.set()
        for each in keepers:
            each.join()


def _keep(home: Path, over: Event, called: str, options: tuple[str, ...]) -> None:
    command = [sys.executable, "-c", "from putback.cli.main import main; main()"]
    while not over.is_set():
        process = subprocess.Popen(
            [*command, "--home", str(home), "planner", "--with-parent", *options],
            stdin=subprocess.DEVNULL,
            start_new_session=True,  # Ctrl-C is for the server, which then ends it in order
        )
        while process.poll() is None and not over.wait(0.2):
            pass
        if process.poll() is not None and not over.is_set():
            again = "another is started; nothing logged is touched"
            typer.echo(f"{called} ended by itself ({process.poll()}): {again}", err=True)
        if process.poll() is None:
            process.terminate()
            try:
                process.wait(_GOES_HOME_S)
            except subprocess.TimeoutExpired:  # deep in a solver: another takes its question anew
                process.kill()
                process.wait()
        over.wait(_AGAIN_S)
