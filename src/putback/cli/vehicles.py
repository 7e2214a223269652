"""Vehicles: begin one, describe it, bring its description in and out."""

import json
import re
from collections import Counter
from collections.abc import Iterable
from contextlib import suppress
from difflib import get_close_matches
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from putback.cli.complete import complete_anything, complete_table, complete_template
from putback.cli.context import AsJson, Session, session
from putback.cli.output import check_target, count, emit
from putback.errors import BadInput

if TYPE_CHECKING:
    from rich.console import Console

    from putback.logbook.entries.describing import Described
    from putback.vehicle.table_import import Imported

MOST_FAULTS = 3
"""Contradictions that are told at once; the rest by ``check-vehicle``."""


def register(app: typer.Typer) -> None:
    """Add the commands."""
    app.command(
        "new",
        help="Begin a vehicle: blank, from a file, from templates, or the demo.",
        short_help="Begin a vehicle, of which nothing need be known.",
    )(new)
    app.command("vehicles", help="List the vehicles.")(vehicles)
    app.command(
        "describe",
        help="Describe something: describe parts radiator name=Radiator zone=FE mass_kg=8.4. "
        "Values are written as in a vehicle file.",
        short_help="Describe a part, a joint, or anything else.",
    )(describe)
    app.command(
        "add",
        help='Add a sub-assembly in one step: add "drum brake, rear, left".',
        short_help="Add a sub-assembly in one step.",
    )(add)
    app.command("templates", help="List the sub-assemblies that can be added.")(templates)
    app.command("import-parts", help="Import a list of parts from a CSV or XLSX file.")(
        import_parts
    )
    app.command(
        "learned",
        help="What the logbook teaches about the description; --accept takes one up.",
        short_help="What the logbook teaches about the description.",
    )(learned)
    app.command("describe-from", help="Take over the descriptions of a vehicle file.")(
        describe_from
    )
    app.command("write-vehicle", help="Write the description as a vehicle file.")(write_vehicle)
    app.command("check-vehicle", help="Check a vehicle file, or the description of a vehicle.")(
        check_vehicle
    )


def new(
    context: typer.Context,
    name: Annotated[str, typer.Argument(help="What you call it in the garage.")] = "",
    from_file: Annotated[
        Path | None, typer.Option("--from", help="A vehicle file to begin from.")
    ] = None,
    template: Annotated[
        list[str] | None,
        typer.Option(
            help='A sub-assembly: "drum brake, rear, left".', autocompletion=complete_template
        ),
    ] = None,
    demo: Annotated[bool, typer.Option("--demo", help="The invented demo vehicle.")] = False,
    as_json: AsJson = False,
) -> None:
    """Begin a vehicle."""
    from dataclasses import replace

    from putback.vehicle import templates as known
    from putback.vehicle.demo import demo_vehicle
    from putback.vehicle.file import read
    from putback.vehicle.ids import VehicleId
    from putback.vehicle.vehicle import About, Vehicle

    run = session(context)
    if demo and from_file:
        raise BadInput("a vehicle begins from one thing", mend="leave --demo or --from away")
    if demo:
        vehicle = demo_vehicle()
    elif from_file:
        vehicle = read(from_file)
    else:
        vehicle = Vehicle(About(VehicleId("new"), name))
    if name.strip():
        vehicle = replace(vehicle, about=replace(vehicle.about, name=name.strip()))
    same = [each.id for each in run.workshop.logbooks() if each.name == vehicle.about.name]
    for wanted in template or ():
        asked = known.find(wanted)
        vehicle = known.with_additions(
            vehicle, known.add(vehicle, asked.template, side=asked.side, place=asked.place)
        )
    logbook = run.workshop.new_vehicle(vehicle, who=run.person, device=run.device)

    def say(out: "Console") -> None:
        out.print(f"Began {vehicle.about.name!r} ({logbook}).", markup=False)
        if vehicle.parts:
            parts = count(len(vehicle.parts), "part")
            out.print(f"{parts} and {count(len(vehicle.joints), 'joint')} are described.")
        if same:
            out.print(f"There is another of this name: {', '.join(same)}.", markup=False)
        if vehicle.about.notice:
            out.print(vehicle.about.notice, style="dim", markup=False)
        if not vehicle.parts:
            out.print(
                'Nothing is described yet, and need not be: putback log off "radiator" --new',
                markup=False,
            )

    counts = {"parts": len(vehicle.parts), "joints": len(vehicle.joints)}
    document = {"logbook": logbook, "name": vehicle.about.name, **counts}
    emit("new", document, say, as_json=as_json)


def vehicles(context: typer.Context, as_json: AsJson = False) -> None:
    """List the vehicles."""
    shelved = session(context).workshop.logbooks()

    def say(out: "Console") -> None:
        for each in shelved:
            entries = count(each.position, "entry", "entries")
            out.print(f"{each.name}  ({each.id}, {entries})", markup=False)
        if not shelved:
            out.print('There is none yet. Begin with: putback new "My old car"', markup=False)

    emit("vehicles", {"vehicles": shelved}, say, as_json=as_json)


def describe(
    context: typer.Context,
    table: Annotated[
        str,
        typer.Argument(help="parts, joints, zones, befores ...", autocompletion=complete_table),
    ],
    identity: Annotated[
        str,
        typer.Argument(
            metavar="record",
            help="What it is called, or its identity; of a new one the identity it gets.",
            autocompletion=complete_anything,
        ),
    ],
    fields: Annotated[
        list[str],
        typer.Argument(
            help="name=value, as in a vehicle file; other things by their names, if you like."
        ),
    ],
    as_json: AsJson = False,
) -> None:
    """Describe some fields of one record."""
    from putback.workshop.describing.by_name import fields_by_name, identity_of

    given: dict[str, Any] = {}
    for each in fields:
        name, equals, text = each.partition("=")
        if not equals or not name:
            raise BadInput(f"{each!r} is no field", mend="write name=value, such as mass_kg=8.4")
        given[name] = _value(text)
    _known_table(table)
    run = session(context)
    _body(table, identity, given)  # a field that cannot be read is told before a name unknown
    record = identity_of(run.state, table, identity, given)
    given = fields_by_name(run.state, table, given)
    _described(run, "describe", [(table, record, given)], as_json)


def _known_table(table: str) -> None:
    """Refuse a table that there is not.

    Raises
    ------
    NotFound
        With the nearest.
    """
    from putback.errors import NotFound
    from putback.vehicle.codec import TABLES

    if table not in TABLES:
        near = tuple(get_close_matches(table, TABLES, n=3))
        raise NotFound("table of a vehicle's description", table, near or tuple(TABLES))


def _value(text: str) -> Any:
    """Read a value as a vehicle file would, or as JSON; what is neither is plain text.

    A day is text, as in every field that takes one.
    """
    if text == "":
        return None
    if not re.match(r"^(-?\d|true$|false$|[\[{\"'])", text):
        return text
    for read in (json.loads, _toml_value):
        with suppress(ValueError, RecursionError):
            return read(text)
    return text


def _toml_value(text: str) -> Any:
    """Read one value of a vehicle file.

    Raises
    ------
    ValueError
        If it is none, or a day.
    """
    import tomllib

    found = tomllib.loads(f"value = {text}")
    if found.keys() != {"value"}:
        raise ValueError("more than one value")
    try:
        json.dumps(found["value"])
    except TypeError as error:
        raise ValueError("a day") from error
    return found["value"]


def _records(bodies: "Iterable[Described]") -> list[tuple[str, str, dict[str, Any]]]:
    return [(body.table, body.id, dict(body.fields)) for body in bodies]


def _described(
    run: Session,
    command: str,
    records: list[tuple[str, str, dict[str, Any]]],
    as_json: bool,
    *,
    imported: "Imported | None" = None,
) -> None:
    """Log descriptions as one act, and say whether the whole contradicts itself now.

    ``imported`` is the list that they are from, if they are from one: it may say nothing new.
    """
    from putback.cli.from_list import list_told
    from putback.vehicle.check import Severity, check

    bodies, act = [_body(*each) for each in records], None
    if bodies:
        act = run.workshop.log(run.logbook, bodies, who=run.person, device=run.device).id
    state = run.state
    doubtful = [each for each in check(state.vehicle) if each.severity is Severity.ERROR]

    def say(out: "Console") -> None:
        tables = Counter(each.table for each in bodies)
        told = ", ".join(f"{number} in {table}" for table, number in tables.items())
        said = f"Described {count(len(bodies), 'record')} ({told})."
        out.print(said if bodies else "All of it is described so already.", markup=False)
        for line in list_told(imported, state) if imported else ():
            out.print(line, markup=False)
        for each in doubtful[:MOST_FAULTS]:
            out.print(f"  {each}", style="red", markup=False)
        if doubtful:
            faults = count(len(doubtful), "contradiction")
            out.print(f"{faults} in the description: putback check-vehicle")

    named = [{"table": each.table, "id": each.id} for each in bodies]
    document: dict[str, Any] = {"act": act, "records": named, "contradictions": len(doubtful)}
    if imported is not None:
        document["ignored_columns"] = imported.ignored_columns
        document |= {"known": imported.known, "changed": imported.changed}
        document["not_listed"] = imported.not_listed
    emit(command, document, say, as_json=as_json)


def _body(table: str, identity: str, given: dict[str, Any]) -> "Described":
    """Make the entry that describes some fields of a record.

    Raises
    ------
    BadInput
        If one of them cannot be read, or the identity is none.
    """
    from pydantic import ValidationError

    from putback.logbook.entries.describing import Described

    if not identity.strip():
        raise BadInput("the identity is empty", table, "give it one, such as radiator")
    try:
        return Described(table=table, id=identity, fields=given)
    except ValidationError as error:
        what = error.errors(include_url=False)[0]["msg"].removeprefix("Value error, ")
        raise BadInput(what, f"{table} {identity}", "nothing was saved") from error


def add(
    context: typer.Context,
    what: Annotated[
        str,
        typer.Argument(
            help='For example "drum brake, rear, left".', autocompletion=complete_template
        ),
    ],
    part: Annotated[
        list[str] | None, typer.Option(help="A part that is there already: hub='rear hub'.")
    ] = None,
    zone: Annotated[str | None, typer.Option(help="The zone it goes into.")] = None,
    as_json: AsJson = False,
) -> None:
    """Add a sub-assembly."""
    from putback.vehicle import templates as known
    from putback.vehicle.codec import key_field, to_plain
    from putback.vehicle.ids import PartId, ZoneId
    from putback.workshop.saying.names import find

    run = session(context)
    state = run.state
    had = {}
    for each in part or ():
        key, equals, named = each.partition("=")
        if not equals:
            raise BadInput(f"{each!r} is no part", "--part", "write hub='rear hub'")
        had[key] = PartId(find(state, "part", named))
    asked = known.find(what)
    additions = known.add(
        state.vehicle,
        asked.template,
        side=asked.side,
        place=asked.place,
        zone=ZoneId(find(state, "zone", zone)) if zone else None,
        parts=had,
    )
    records = []
    for table, record in additions:
        plain = to_plain(table, record)
        records.append((table, plain.pop(key_field(table)), plain))
    _described(run, "add", records, as_json)


def templates(as_json: AsJson = False) -> None:
    """List the templates."""
    from putback.vehicle.templates import list_templates

    known = list_templates()

    def say(out: "Console") -> None:
        for each in known:
            side = ", left or right" if each.sided else ""
            out.print(f"{each.name}{side}", markup=False)

    rows = [{"id": each.id, "name": each.name, "sided": each.sided} for each in known]
    emit("templates", {"templates": rows}, say, as_json=as_json)


def import_parts(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(help="CSV or XLSX.")],
    column: Annotated[
        list[str] | None, typer.Option(help="Which column holds what: name=Bezeichnung.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Import a list of parts; all of it or nothing."""
    from putback.vehicle.table_import import TableFaults
    from putback.vehicle.table_import import import_parts as read_table
    from putback.workshop.describing.from_list import said_by

    run = session(context)
    chosen = {}
    for each in column or ():
        field, equals, heading = each.partition("=")
        if not equals:
            raise BadInput(f"{each!r} is no column", "--column", "write field=heading")
        chosen[field] = heading
    try:
        imported = read_table(file, run.state.vehicle, chosen)
    except TableFaults as error:
        if not error.unclear:
            raise
        options = " ".join(f"--column {field}=HEADING" for field in error.unclear)
        headings = ", ".join(error.headings)
        raise BadInput(
            error.fault(), error.place(), f"add {options}; there are {headings}"
        ) from None
    _described(run, "import-parts", _records(said_by(imported)), as_json, imported=imported)


def learned(
    context: typer.Context,
    accept: Annotated[str, typer.Option(help="The key of one to take up.")] = "",
    as_json: AsJson = False,
) -> None:
    """Show what the logbook teaches, or take one of it up."""
    from putback.errors import NotFound
    from putback.workshop.describing.learned import learned as propose

    run = session(context)
    if accept and run.supposed:
        raise BadInput("nothing can be taken up while something is supposed", "--accept")
    proposals = propose(run.state, run.workshop.standing(run.logbook))
    taken = next((each for each in proposals if each.key == accept), None)
    if accept and taken is None:
        raise NotFound("proposal", accept, tuple(each.key for each in proposals[:3]))
    if taken is not None:
        run.workshop.log(run.logbook, taken.bodies, who=run.person, device=run.device)

    def say(out: "Console") -> None:
        if taken is not None:
            out.print(f"Taken up: {taken.name}, {taken.change}.", markup=False)
            return
        for each in proposals:
            out.print(each.name, style="bold", markup=False)
            out.print(f"  described: {each.described}; logged: {each.logged}", markup=False)
            out.print(f"  {each.change}: putback learned --accept {each.key}", markup=False)
        if not proposals:
            out.print("Logbook and description agree.")

    said = ("key", "subject", "name", "described", "logged", "change")
    rows = [{name: getattr(each, name) for name in said} for each in proposals]
    emit("learned", {"proposals": rows, "accepted": accept}, say, as_json=as_json)


def describe_from(
    context: typer.Context,
    file: Annotated[Path, typer.Argument(help="A vehicle file.")],
    as_json: AsJson = False,
) -> None:
    """Describe all that a vehicle file describes, but for what the vehicle itself is called."""
    from putback.vehicle.file import read
    from putback.workshop.logbooks.describe import describe as described

    run = session(context)
    said = (body for body in described(read(file)) if body.table != "about")
    _described(run, "describe-from", _records(said), as_json)


def write_vehicle(
    context: typer.Context,
    target: Annotated[Path | None, typer.Argument(help="The file; else the terminal.")] = None,
    force: Annotated[bool, typer.Option("--force", help="Write over a file.")] = False,
    as_json: AsJson = False,
) -> None:
    """Write the description as a vehicle file."""
    from putback.vehicle.file import write

    vehicle = session(context).state.vehicle
    text = write(vehicle)
    if target is None and not as_json:
        typer.echo(text, nl=False)
        return
    if target is not None:
        from putback.workshop.logbooks.files import disk_trouble, write_whole

        check_target(target, force)
        with disk_trouble(target.parent):
            write_whole(target, text.encode())

    def say(out: "Console") -> None:
        out.print(f"Wrote {target}.", markup=False)

    document = {"file": target, "text": None if target else text}
    emit("write-vehicle", document, say, as_json=as_json)


def check_vehicle(
    context: typer.Context,
    file: Annotated[Path | None, typer.Argument(help="A vehicle file; else the vehicle.")] = None,
    as_json: AsJson = False,
) -> None:
    """Check a description; exit with 1 if it contradicts itself."""
    from putback.vehicle.check import Severity, check, gathered
    from putback.vehicle.file import read

    vehicle = read(file) if file else session(context).state.vehicle
    faults = check(vehicle)
    errors = [each for each in faults if each.severity is Severity.ERROR]

    def say(out: "Console") -> None:
        for line in gathered(faults, vehicle.name_of):
            out.print(line, markup=False)
        doubts = count(len(faults) - len(errors), "doubt")
        out.print(f"{count(len(errors), 'contradiction')}, {doubts}.", markup=False)

    rows = [{"severity": each.severity, "words": str(each)} for each in faults]
    document = {"sound": not errors, "faults": rows}
    emit("check-vehicle", document, say, as_json=as_json)
    if errors:
        raise typer.Exit(1)
