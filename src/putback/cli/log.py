"""Logging: what happened, in one line."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from putback.cli.complete import complete_anything, complete_log
from putback.cli.context import AsJson, Session, session
from putback.cli.output import count, emit, sentence
from putback.errors import BadInput, UnreadableFile

if TYPE_CHECKING:
    from rich.console import Console

    from putback.logbook.entries.base import Entry, EntryId, LogbookId
    from putback.logbook.state import State
    from putback.workshop.logbooks.workshop import Act

SHOWN_OF_AN_ID = 8
MOST_OPEN = 3


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command(
        "log",
        help='Log what happened: log undone "front bumper irons to chassis horns" 3/4 stuck=1 '
        "tag=3CAH. `putback kinds` lists every kind of entry and an example.",
        short_help="Log what happened, in one line.",
    )(log)
    app.command("kinds", help="List what can be logged, each with an example.")(kinds)
    app.command(
        "strike",
        help="Strike out an entry or an act; striking a strike brings it back.",
        short_help="Strike out an entry or an act.",
    )(strike)
    app.command("undo", help="Strike out the last thing you logged here.")(undo)
    app.command("photo", help="Store a photo or a spoken note, and say of what.")(photo)


When = Annotated[
    str | None,
    typer.Option(
        help="now, today, yesterday, a weekday, a day, a month, an instant, unknown; "
        "or @yesterday at the end of the line."
    ),
]
After = Annotated[
    str | None,
    typer.Option(help="The entry that this late note comes after: the end of its identity."),
]


def log(
    context: typer.Context,
    words: Annotated[
        list[str],
        typer.Argument(help="The kind, what it is about, details.", autocompletion=complete_log),
    ],
    when: When = None,
    after: After = None,
    new: Annotated[
        bool,
        typer.Option(
            "--new", help="A part, joint or fluid nobody described yet: take its name from here."
        ),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Log one act."""
    from putback.workshop.logbooks.ports import GARAGE
    from putback.workshop.saying.forms import ELSEWHERE, book_for, form_of
    from putback.workshop.saying.moments import moment, parted_moment
    from putback.workshop.saying.short_forms import read_line, rests_on_its_moment
    from putback.workshop.saying.spoken import in_short_form

    run = session(context)
    words, day = parted_moment(words)
    if day is not None and when is not None:
        raise BadInput(f"when is said twice, @{day} and --when {when}", mend="say it once")
    words = in_short_form(words)
    form = form_of(words[0]) if words[0].strip() else None
    if form and form.kind in ELSEWHERE:
        raise BadInput(f"{words[0]!r} has a command of its own", mend=ELSEWHERE[form.kind])
    logbook = book_for(words, run.logbook)
    state = run.workshop.state(logbook) if logbook == GARAGE else run.state
    happened_at = moment(when if day is None else day, run.workshop.clock.now().astimezone())
    behind = _entry(run, logbook, after) if after is not None else None
    is_late = happened_at is not None or behind is not None
    then = state
    if is_late and rests_on_its_moment(words):
        then = run.workshop.state_then(logbook, happened_at, behind)
    act = run.workshop.log(
        logbook,
        read_line(words, then, new=new),
        who=run.person,
        device=run.device,
        happened_at=happened_at,
        after=behind,
    )
    _said(run, "log", logbook, state, act, as_json)


def _said(
    run: Session,
    command: str,
    logbook: "LogbookId",
    before: "State",
    act: "Act",
    as_json: bool,
) -> None:
    """Say what was logged, and what is open by it.

    Names are those of the moment before.
    """
    from putback.workshop.logbooks.ports import GARAGE
    from putback.workshop.saying.logged import left_open, tell_of

    told = tell_of(run.workshop, logbook, before, act)
    open_by_it = left_open(run.workshop, logbook, act)
    shared = logbook == GARAGE

    def say(out: "Console") -> None:
        from putback.cli.look import say_open

        for each in told.sentences:
            out.print(sentence(each), markup=False)
        for caution in told.cautions:
            out.print(f"caution: {caution}", style="red", markup=False)
        if told.cautions:
            out.print("The maker's data win over what is described here.", style="dim")
        say_open(out, open_by_it[:MOST_OPEN])
        undo_it = "putback -v garage undo" if shared else "putback undo"
        out.print(f"({_short(act.id)}; `{undo_it}` strikes it out)", style="dim", markup=False)

    entries = [
        {"id": entry.id, "kind": entry.kind, "sentence": each}
        for entry, each in zip(act.entries, told.sentences, strict=True)
    ]
    document = {
        "logbook": logbook,
        "act": act.id,
        "entries": entries,
        "cautions": told.cautions,
        "open": open_by_it,
    }
    emit(command, document, say, as_json=as_json)


def _short(identity: str) -> str:
    return identity[-SHOWN_OF_AN_ID:]


def _entry(run: Session, logbook: "LogbookId", text: str) -> "EntryId":
    from putback.logbook.entries.base import EntryId
    from putback.workshop.saying.names import find_identity

    ids = (stored.entry for stored in run.workshop.since(logbook))
    return EntryId(find_identity(ids, text))


def kinds(as_json: AsJson = False) -> None:
    """List the kinds of entry."""
    from putback.logbook.entries.registry import KINDS
    from putback.workshop.saying.forms import ELSEWHERE, FORMS

    short: dict[str, list[str]] = {}
    for word, form in FORMS.items():
        short.setdefault(form.kind, []).append(word)
    rows = [
        {
            "kind": kind,
            "says": (body.__doc__ or "").strip().splitlines()[0],
            "words": short.get(kind, []),
            "examples": [FORMS[word].example for word in short.get(kind, [])],
            "command": ELSEWHERE.get(kind, ""),
            "fields": list(body.model_fields),
        }
        for kind, body in KINDS.items()
    ]

    def say(out: "Console") -> None:
        for kind, body in KINDS.items():
            says = (body.__doc__ or "").strip().splitlines()[0].replace("``", "")
            out.print(f"[bold]{kind}[/bold]  {says}")
            for word in short.get(kind, []):
                out.print(f"    putback log {FORMS[word].example}", markup=False)
            if kind in ELSEWHERE:
                out.print(f"    {ELSEWHERE[kind]}", markup=False)
            elif kind not in short:
                fields = " ".join(f"{name}=..." for name in body.model_fields)
                out.print(f"    putback log {kind.replace(' ', '-')} {fields}", markup=False)

    emit("kinds", {"kinds": rows}, say, as_json=as_json)


def strike(
    context: typer.Context,
    what: Annotated[
        str,
        typer.Argument(help="An entry or act, by its identity or the end of it (see history)."),
    ],
    why: Annotated[str, typer.Option(help="Why.")] = "",
    as_json: AsJson = False,
) -> None:
    """Strike out an entry or an act."""
    from putback.errors import NotFound

    run = session(context)
    try:
        meant = _entry(run, run.logbook, what)
    except NotFound:
        meant = _act(run, what)
    before = run.state
    act = run.workshop.strike(run.logbook, meant, who=run.person, device=run.device, why=why)
    _struck(run, before, act, as_json)


def _act(run: Session, text: str) -> "EntryId":
    from putback.logbook.entries.base import EntryId
    from putback.workshop.logbooks.look import read_entry
    from putback.workshop.saying.names import find_identity

    acts = (read_entry(stored).act for stored in run.workshop.since(run.logbook))
    return EntryId(find_identity(acts, text))


def undo(context: typer.Context, as_json: AsJson = False) -> None:
    """Strike out the last own act."""
    run = session(context)
    before = run.state
    act = run.workshop.undo(run.logbook, who=run.person, device=run.device)
    _struck(run, before, act, as_json)


def _struck(run: Session, before: "State", act: "Act", as_json: bool) -> None:
    """Say what was struck out, in the words of the moment before, and what rests on it."""
    from putback.workshop.logbooks.look import read_entry

    target = act.entries[0].body.strikes().removeprefix("act:")
    entries = [read_entry(stored) for stored in run.workshop.since(run.logbook)]
    struck = [each for each in entries if target in {each.id, each.act}]
    resting_ids = set(run.workshop.facts(run.logbook).rest_on_struck)
    resting = [each for each in entries if each.id in resting_ids]

    def line(entry: "Entry") -> str:
        return f"{entry.body.sentence(before.name_of)} ({_short(entry.id)})"

    def say(out: "Console") -> None:
        for each in struck:
            out.print(f"Struck out: {line(each)}.", markup=False)
        if resting:
            stays = "rests" if len(resting) == 1 else "rest"
            out.print(
                f"{count(len(resting), 'entry', 'entries')} {stays} on what is struck out, and "
                f"{'stays' if len(resting) == 1 else 'stay'}:"
            )
            for each in resting:
                out.print(f"  {line(each)}", markup=False)
        out.print(
            f"(putback strike {_short(act.entries[0].id)} brings it back)",
            style="dim",
            markup=False,
        )

    document = {
        "act": act.id,
        "struck": [each.id for each in struck],
        "rest_on_struck": [each.id for each in resting],
    }
    emit("strike", document, say, as_json=as_json)


def photo(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(help="The picture, or the sound.")],
    of: Annotated[
        list[str], typer.Argument(help="What it shows.", autocompletion=complete_anything)
    ],
    caption: Annotated[str, typer.Option(help="A line of text.")] = "",
    looking: Annotated[
        str, typer.Option(help="Which way: forward, rearward, up, down, left or right.")
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Store a photo, then log it."""
    from putback.workshop.pictures.keep_media import Sent, Shown, keep_all, looking_called
    from putback.workshop.saying.names import find_subject

    run = session(context)
    state = run.state
    subjects = tuple(find_subject(state, each) for each in of)
    content = _read(file)
    shown = Shown(subjects, looking_called(looking), caption)
    act, _ = keep_all(
        run.workshop,
        run.logbook,
        [Sent(file.name, content)],
        shown,
        who=run.person,
        device=run.device,
    )
    _said(run, "photo", run.logbook, state, act, as_json)


def _read(file: Path) -> bytes:
    try:
        return file.read_bytes()
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or "cannot be read"
        raise UnreadableFile(file, None, why[:1].lower() + why[1:]) from error
