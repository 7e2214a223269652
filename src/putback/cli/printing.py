"""Printing: a document as a file, PDF or HTML."""

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.complete import complete_goal, complete_lift, complete_part, complete_vehicle
from putback.cli.context import AsJson, session
from putback.cli.output import check_target, emit
from putback.cli.output import say as say_line
from putback.cli.plan import working
from putback.errors import BadInput
from putback.vehicle.ids import PartId, Ref

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
        help="Make a document as a PDF to print: tags, blank ones for a ring, red tie-ons, work "
        "cards, walk-rounds, lists to tick and fill in; or the history file, as a PDF or one page "
        "of HTML. `putback print --list` names all of them, and what labels can be printed on.",
        short_help="Tags, papers and the history file, as PDF or HTML.",
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
        Path | None,
        typer.Option(
            "--out",
            "-o",
            help="The file; else DOCUMENT.pdf, here. The history file is HTML where this ends "
            "in .html.",
        ),
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
    paper: Annotated[
        str, typer.Option(help="What it is printed on, if no --stock is named: a4 or letter.")
    ] = "a4",
    large: Annotated[
        bool, typer.Option("--large-print", "--large", help="Large letters, for bad light.")
    ] = False,
    language: Annotated[
        str, typer.Option(help="In which language: en or de.", metavar="CODE")
    ] = "en",
    terms: Annotated[
        str, typer.Option(help="Whose words of the trade, in English: british or american.")
    ] = "british",
    units: Annotated[
        str, typer.Option(help="In which units: metric, imperial, or both.")
    ] = "both",
    goal: Annotated[
        str | None,
        typer.Option(
            help="Of cards: the strip to this goal; else the plan of the work in hand.",
            autocompletion=complete_goal,
        ),
    ] = None,
    rebuild: Annotated[
        bool, typer.Option("--rebuild", help="Of cards: the plan of the rebuild.")
    ] = False,
    sitting: Annotated[
        list[int] | None,
        typer.Option(
            "--sitting", metavar="N", help="Only this sitting. May be given several times."
        ),
    ] = None,
    lift: Annotated[
        list[str] | None,
        typer.Option(
            "--lift",
            metavar="PART",
            help="Of a walk-round: what is lifted. May be given several times.",
            autocompletion=complete_lift,
        ),
    ] = None,
    apart_from: Annotated[
        list[str] | None,
        typer.Option(
            "--from",
            metavar="PART",
            help="Of a walk-round: what it is lifted off.",
            autocompletion=complete_part,
        ),
    ] = None,
    only: Annotated[
        list[str] | None,
        typer.Option(
            "--run",
            metavar="PART",
            help="Only this cable, hose, pipe or loom. May be given several times.",
            autocompletion=complete_part,
        ),
    ] = None,
    money: Annotated[
        bool, typer.Option("--money", help="Of the history file: sums paid as well.")
    ] = False,
    tag: Annotated[
        list[str] | None,
        typer.Option("--tag", metavar="TAG", help="Only this tag. May be given several times."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Print a document."""
    from putback.paper.language import words_in
    from putback.paper.page import page_called
    from putback.paper.stock import stock_called
    from putback.workshop.plans.plans import goal_called
    from putback.workshop.printing.documents import Option, document_called
    from putback.workshop.printing.form import Form
    from putback.workshop.printing.plan_first import plan_first
    from putback.workshop.printing.units import units_called
    from putback.workshop.printing.wanted import Wanted
    from putback.workshop.saying.names import find, find_subject

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
    form = Form.HTML if target.suffix.casefold() in (".html", ".htm") else Form.PDF
    check_target(target, force)
    now = run.state
    asked = Wanted(
        run.workshop,
        run.logbook,
        run.device,
        stock=stock_called(stock) if stock else None,
        at=_calibration(shift, used),
        tags=tuple(tag or ()),
        blank=blank,
        words=words_in(language, terms),
        units=units_called(units),
        page=page_called(paper, is_large=large),
        is_rebuild=rebuild or Option.REBUILD in wanted.options,
        goal=goal_called(now, goal) if goal else None,
        sittings=tuple(sitting or ()),
        with_money=money,
        lift=tuple(Ref(find_subject(now, each, ("part", "assembly"))) for each in lift or ()),
        apart_from=tuple(PartId(find(now, "part", each)) for each in apart_from or ()),
        runs=tuple(PartId(find(now, "part", each)) for each in only or ()),
    )
    with working() as progress:
        plan_first(wanted, asked, progress)
        wanted.save_as(form, replace(asked, progress=progress), target)

    def say(console: "Console") -> None:
        console.print(f"{wanted.title}: {target}", markup=False)

    told = {"document": wanted.name, "file": target, "bytes": target.stat().st_size}
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
