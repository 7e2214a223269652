"""The workshop's calculators: ``putback bench``."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from putback.cli.complete import complete_step
from putback.cli.context import AsJson, session
from putback.cli.output import check_target, emit
from putback.cli.output import say as say_line
from putback.errors import BadInput, UnreadableFile

if TYPE_CHECKING:
    from rich.console import Console

    from putback.bench.calculator import Answer, Asked, Calculator, Table
    from putback.paper.page import Page
    from putback.paper.words import Words

_MOST_READ = 100_000  # characters of a file of lines
_MOST_WORDS = 3  # other names of an input that are shown


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(
        "bench",
        help="Work something out: bench adaptor torque='50 Nm' wrench='400 mm' adaptor='50 mm'. "
        "A value is typed with its unit; name=@FILE reads several lines from a file. `putback "
        "bench` lists the calculators, `putback bench NAME --inputs` what one asks for; "
        "-o FILE.pdf prints the answer.",
        short_help="Work something out at the bench: torque, threads, bends, loads.",
    )(bench)


def _complete(incomplete: str) -> list[str]:
    from putback.workshop.benching.every import EVERY

    return [name for name in EVERY if name.startswith(incomplete)]


def _complete_input(context: typer.Context, incomplete: str) -> list[str]:
    """Offer what the calculator asks for, and behind an input's name its choices."""
    from putback.workshop.benching.every import EVERY

    found = EVERY.get(context.params.get("name") or "")
    words = [
        f"{each.name}={choice}"
        for each in (found.asked if found else ())
        for choice in _ends(each)
    ]
    return [word for word in words if word.startswith(incomplete)]


def _ends(asked: "Asked") -> tuple[str, ...]:
    return asked.choices or ("",)


def bench(
    context: typer.Context,
    name: Annotated[
        str | None,
        typer.Argument(help="Which calculator; none lists them.", autocompletion=_complete),
    ] = None,
    typed: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[INPUT=VALUE]...",
            help="What it asks for.",
            autocompletion=_complete_input,
        ),
    ] = None,
    show_list: Annotated[bool, typer.Option("--list", help="List the calculators.")] = False,
    inputs: Annotated[bool, typer.Option("--inputs", help="List what it asks for.")] = False,
    on: Annotated[
        str | None,
        typer.Option(
            "--on",
            help="Log the answer as a note on this part, joint or assembly.",
            autocompletion=complete_step,
        ),
    ] = None,
    reading: Annotated[
        str | None,
        typer.Option("--reading", help="With --on: log this result as a measured reading too."),
    ] = None,
    called: Annotated[
        str,
        typer.Option(
            "--called", help="With --reading: what the measurement is called there: thickness."
        ),
    ] = "",
    out: Annotated[
        Path | None,
        typer.Option("--out", "-o", help="Write the answer as a PDF to print into this file."),
    ] = None,
    force: Annotated[
        bool, typer.Option("--force", help="Write over a file that is there.")
    ] = False,
    paper: Annotated[str, typer.Option(help="Of the PDF: a4 or letter.")] = "a4",
    large: Annotated[
        bool, typer.Option("--large-print", "--large", help="Large letters, for bad light.")
    ] = False,
    language: Annotated[str, typer.Option(help="Of the PDF: en or de.", metavar="CODE")] = "en",
    terms: Annotated[
        str, typer.Option(help="Whose words of the trade, in English: british or american.")
    ] = "british",
    as_json: AsJson = False,
) -> None:
    """Work something out, list what can be, or say what is asked for."""
    from putback.workshop.benching.every import calculator

    if name is None or show_list:
        _list(as_json)
        return
    found = calculator(name)
    if inputs:
        _inputs(found, as_json)
        return
    from putback.paper.language import words_in
    from putback.paper.page import page_called

    sheet = _Sheet(out, page_called(paper, is_large=large), words_in(language, terms))
    if out is not None:
        check_target(out, force)
    if not on and (reading or called):
        option = "--reading" if reading else "--called"
        raise BadInput(f"{option} needs --on", mend="say which part or joint it is a reading of")
    if called and not reading:
        raise BadInput("--called needs --reading", mend="say which result is the measurement")
    keep = _Keep(on, reading or "", called) if on is not None else None
    _work(context, found, _parted(typed or ()), keep, sheet, as_json)


@dataclass(frozen=True, slots=True)
class _Keep:
    """On what an answer is kept, and which result as a reading; empty for none."""

    on: str
    reading: str
    called: str


@dataclass(frozen=True, slots=True)
class _Sheet:
    """Into which file it is printed, if any, and how."""

    out: Path | None
    page: "Page"
    words: "Words"


# -- what there is --------------------------------------------------------------------------------


def _list(as_json: bool) -> None:
    from putback.workshop.benching.every import EVERY

    def say(out: "Console") -> None:
        for each in EVERY.values():
            say_line(out, each.words, lead=f"{each.name:<10}", lead_style="bold")

    document = {
        "calculators": [
            {"name": each.name, "title": each.title, "words": each.words}
            for each in EVERY.values()
        ]
    }
    emit("bench", document, say, as_json=as_json)


def _inputs(found: "Calculator", as_json: bool) -> None:
    from putback.workshop.benching.document import calculator_document
    from putback.workshop.benching.keeping import command_line
    from putback.workshop.benching.wording import choice_words, input_words

    def say(out: "Console") -> None:
        out.print(found.title, style="bold", markup=False)
        out.print(found.words, markup=False)
        width = max(len(each.name) for each in found.asked) + 2
        for each in found.asked:
            has_words = bool(choice_words(found.name, each.name))
            notes = _asked(each, input_words(found.name, each.name), has_words)
            say_line(out, notes, lead=f"  {each.name:<{width}}", lead_style="bold")
        out.print(f"Like: {command_line(found, found.example)}", markup=False)

    emit("bench", {"asks": calculator_document(found)}, say, as_json=as_json)


def _asked(asked: "Asked", also: Sequence[str], has_words: bool) -> str:
    from putback.workshop.benching.showing import label

    notes = [label(asked.words)]
    if asked.choices:
        others = ", or another word for one" if has_words else ""
        notes.append(f"one of {', '.join(asked.choices)}{others}")
    elif asked.hint:
        notes.append(asked.hint)
    if asked.bare:
        notes.append(f"in {asked.bare} if no unit is typed")
    if asked.default:
        notes.append(f"else {asked.default}")
    elif asked.is_optional:
        notes.append("may be left out")
    if also:
        notes.append(f"also called {', '.join(also[:_MOST_WORDS])}")
    return "; ".join(notes)


# -- working it out -------------------------------------------------------------------------------


def _parted(words: Sequence[str]) -> dict[str, str]:
    """Part ``name=value``; ``name=@FILE`` is what stands in the file."""
    typed: dict[str, str] = {}
    for word in words:
        name, equals, value = word.partition("=")
        name = name.strip()
        if not equals or not name:
            raise BadInput(f"{word!r} is no input", mend="write it like torque='50 Nm'")
        if name in typed:
            raise BadInput(f"{name} is given twice", mend="give it once")
        typed[name] = _file(Path(value[1:])) if value.startswith("@") else value
    return typed


def _file(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8")[:_MOST_READ]
    except OSError as error:
        raise UnreadableFile(path, None, f"cannot be read: {error.strerror}") from error
    except UnicodeDecodeError as error:
        raise UnreadableFile(path, None, "is no text", "save it as plain text") from error


def _work(
    context: typer.Context,
    found: "Calculator",
    typed: dict[str, str],
    keep: _Keep | None,
    sheet: _Sheet,
    as_json: bool,
) -> None:
    from putback.workshop.benching.document import answer_document
    from putback.workshop.benching.reading import work_out

    answer = work_out(found, typed)
    document: dict[str, Any] = answer_document(answer)
    done: list[str] = []
    if keep is not None:
        said, document["logged"] = _keep(context, found, typed, answer, keep)
        done.append(said)
    if sheet.out is not None:
        _print(found, typed, answer, sheet)
        document["file"] = sheet.out
        done.append(f"{found.title}: {sheet.out}")

    def say(out: "Console") -> None:
        _say(out, found, answer)
        for line in done:
            out.print(line, markup=False)

    emit("bench", document, say, as_json=as_json)


def _print(found: "Calculator", typed: dict[str, str], answer: "Answer", sheet: _Sheet) -> None:
    from putback.workshop.logbooks.ports import SystemClock
    from putback.workshop.printing.answers import answer_on_paper

    today = SystemClock().now().date()
    pdf = answer_on_paper(found, typed, answer, today, sheet.page, sheet.words)
    if sheet.out is not None:
        sheet.out.write_bytes(pdf)


def _keep(
    context: typer.Context,
    found: "Calculator",
    typed: dict[str, str],
    answer: "Answer",
    keep: _Keep,
) -> tuple[str, dict[str, Any]]:
    from putback.workshop.benching.keeping import KEPT_ON, AsReading, kept
    from putback.workshop.saying.names import find_subject

    run = session(context)
    if run.supposed:
        raise BadInput("nothing can be supposed with --on: it writes", mend="leave one away")
    subject = find_subject(run.state, keep.on, KEPT_ON)
    reading = AsReading(keep.reading, keep.called) if keep.reading else None
    bodies = kept(found, typed, answer, subject, reading)
    act = run.workshop.log(run.logbook, bodies, who=run.person, device=run.device)
    name = run.state.name_of(subject)
    return f"Logged on {name}.", {"act": act.id, "of": subject}


# -- saying it ------------------------------------------------------------------------------------


def _say(out: "Console", found: "Calculator", answer: "Answer") -> None:
    from putback.workshop.benching.showing import figure_text, label, put_in

    out.print(found.title, style="bold", markup=False)
    out.print(answer.verdict, markup=False)
    for each in answer.results:
        say_line(out, figure_text(each), lead=f"  {label(each.words)}: ")
    for table in answer.tables:
        _say_table(out, table)
    if answer.steps:
        out.print("How", style="bold")
    for step in answer.steps:
        say_line(out, put_in(step), lead="  ")
    _section(out, "Cautions", answer.cautions)
    _section(out, "Limits", answer.limits)
    _section(out, "Sources", answer.sources)


def _section(out: "Console", title: str, lines: Iterable[str]) -> None:
    from putback.workshop.benching.showing import label

    lines = tuple(lines)
    if lines:
        out.print(title, style="bold")
    for line in lines:
        say_line(out, label(line), lead="  ")


def _say_table(out: "Console", table: "Table") -> None:
    """Print a table in columns as wide as their longest cell, never broken or cut."""
    from putback.workshop.benching.showing import cell_text, label

    rows = [tuple(map(label, table.head)), *(tuple(map(cell_text, row)) for row in table.rows)]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    out.print(table.title, style="bold", markup=False)
    for row in rows:
        cells = (cell.ljust(width) for cell, width in zip(row, widths, strict=True))
        out.print(f"  {'  '.join(cells)}".rstrip(), markup=False, no_wrap=True, crop=False)
