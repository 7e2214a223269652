"""Printing: a document as a PDF file."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.complete import complete_vehicle
from putback.cli.context import AsJson, session
from putback.cli.output import check_target, emit
from putback.cli.output import say as say_line
from putback.errors import BadInput

if TYPE_CHECKING:
    from rich.console import Console

    from putback.paper.stock import Calibration


def _complete_document(incomplete: str) -> list[str]:
    """Offer the documents there are."""
    from putback.workshop.printing.documents import DOCUMENTS

    return [each.name for each in DOCUMENTS if each.name.startswith(incomplete)]


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(
        "print",
        help="Make a document as a PDF to print: tags, blank ones for a ring, red tie-ons ... "
        "`putback print --list` names all of them, and what labels can be printed on.",
        short_help="Tags and papers as PDF, to print.",
    )(print_document)


def print_document(
    context: typer.Context,
    document: Annotated[
        str | None, typer.Argument(help="Which one.", autocompletion=_complete_document)
    ] = None,
    vehicle: Annotated[
        str | None,
        typer.Argument(
            help="Of which vehicle; else the one that --vehicle names, or the only one.",
            autocompletion=complete_vehicle,
        ),
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", "-o", help="The file; else DOCUMENT.pdf, here.")
    ] = None,
    force: Annotated[
        bool, typer.Option("--force", help="Write over a file that is there.")
    ] = False,
    listing: Annotated[
        bool, typer.Option("--list", help="Name the documents and the kinds of labels.")
    ] = False,
    stock: Annotated[
        str | None,
        typer.Option(help="What labels are printed on, as --list names it.", metavar="NAME"),
    ] = None,
    used: Annotated[
        int, typer.Option(help="So many labels of the first sheet are gone already.")
    ] = 0,
    shift: Annotated[
        str | None,
        typer.Option(
            metavar="RIGHT,DOWN",
            help="Move everything so many millimetres, as your printer needs it: 1.5,-0.5",
        ),
    ] = None,
    blank: Annotated[
        int, typer.Option(help="So many blank ones; codes of tags are reserved by it.")
    ] = 0,
    tag: Annotated[
        list[str] | None,
        typer.Option("--tag", metavar="TAG", help="Only this tag. May be given several times."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Print a document."""
    from putback.paper.stock import stock_called
    from putback.workshop.printing.documents import Option, document_called
    from putback.workshop.printing.wanted import Wanted

    if listing:
        _list(as_json)
        return
    if document is None:
        raise BadInput("no document is named", mend="putback print --list names them")
    run = session(context)
    run.vehicle = vehicle or run.vehicle
    wanted = document_called(document)
    if blank and run.supposed and Option.RESERVES in wanted.options:
        raise BadInput(
            "blank tags take codes, and nothing can be taken that is only supposed",
            mend="leave --suppose or --blank away",
        )
    target = out or Path(f"{wanted.name}.pdf")
    check_target(target, force)
    paper = wanted.make(
        Wanted(
            run.workshop,
            run.logbook,
            run.device,
            stock=stock_called(stock) if stock else None,
            at=_calibration(shift, used),
            tags=tuple(tag or ()),
            blank=blank,
        )
    )
    target.write_bytes(paper)

    def say(console: "Console") -> None:
        console.print(f"{wanted.title}: {target}", markup=False)

    told = {"document": wanted.name, "file": target, "bytes": len(paper)}
    emit("print", told, say, as_json=as_json)


def _calibration(shift: str | None, used: int) -> "Calibration":
    from putback.paper.stock import Calibration

    if not shift:
        return Calibration(used=used)
    try:
        right, down = (float(each) for each in shift.split(","))
    except ValueError as error:
        raise BadInput(f"{shift!r} is no shift", mend="write millimetres as 1.5,-0.5") from error
    return Calibration(right, down, used)


def _list(as_json: bool) -> None:
    from putback.paper.stock import STOCKS
    from putback.workshop.printing.documents import DOCUMENTS

    def say(console: "Console") -> None:
        console.print("Documents", style="bold")
        for each in DOCUMENTS:
            say_line(console, each.words, lead=f"  {each.name:<18}")
        console.print("Labels, for --stock", style="bold")
        for stock in STOCKS:
            say_line(console, stock.words, lead=f"  {stock.name:<18}")

    told = {
        "documents": [
            {"name": each.name, "title": each.title, "words": each.words} for each in DOCUMENTS
        ],
        "stocks": [
            {"name": each.name, "words": each.words, "per_page": each.per_page} for each in STOCKS
        ],
    }
    emit("print", told, say, as_json=as_json)
