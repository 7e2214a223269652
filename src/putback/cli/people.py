"""People with an account on the web pages: who there is, new passwords, lost phones, roles."""

from typing import TYPE_CHECKING, Annotated, Any

import typer

from putback.cli.context import AsJson, Session, session
from putback.cli.output import count, emit
from putback.errors import BadInput

if TYPE_CHECKING:
    from rich.console import Console

    from putback.workshop.people.people import People, Person


def register(app: typer.Typer) -> None:
    """Add the commands."""
    people = typer.Typer(
        help="People with an account on the web pages: list them, help one who forgot the "
        "password or lost a phone, give roles.",
        short_help="Who may come in to the web pages.",
        no_args_is_help=True,
        rich_markup_mode=None,
    )
    people.command("list", help="List people, their devices and their vehicles.")(list_people)
    people.command(
        "reset-password",
        help="Give somebody a new password; it is asked for. All their devices are signed out, "
        "and wrong passwords are forgotten.",
    )(reset_password)
    people.command(
        "rename",
        help="Give a person another name: they sign in by it, and what they logged is "
        "told under it.",
    )(rename)
    people.command(
        "end-devices", help="Sign a person out everywhere: a phone is lost, or lent for good."
    )(end_devices)
    people.command(
        "role",
        help="Give a person a role in a vehicle: owner, worker, viewer, or none.",
    )(role)
    app.add_typer(people, name="people")


def _people(run: Session) -> "People":
    from putback.workshop.people.people import People

    return People(run.store.people, run.workshop.clock)


def list_people(context: typer.Context, as_json: AsJson = False) -> None:
    """List people."""
    run = session(context)
    people = _people(run)
    vehicles = {each.id: each.name for each in run.workshop.logbooks()}
    roles = {each: run.workshop.store.roles(each) for each in vehicles}
    rows: list[dict[str, Any]] = [
        {
            "id": person.id,
            "name": person.name,
            "devices": [
                {"label": each.label, "kind": each.kind, "seen_at": each.seen_at}
                for each in people.store.devices(person.id)
                if not each.ended_at
            ],
            "roles": {
                name: roles[each][person.id]
                for each, name in vehicles.items()
                if person.id in roles[each]
            },
        }
        for person in people.store.people()
    ]

    def say(out: "Console") -> None:
        if not rows:
            out.print("Nobody has an account yet: putback serve shows a link for the first.")
        for row in rows:
            out.print(f"{row['name']} ({row['id']})", style="bold", markup=False)
            for vehicle, given in row["roles"].items():
                out.print(f"  {given} of {vehicle}", markup=False)
            for each in row["devices"]:
                out.print(f"  {each['label']}, last seen {each['seen_at'][:10]}", markup=False)

    emit("people list", {"people": rows}, say, as_json=as_json)


def reset_password(
    context: typer.Context,
    who: Annotated[str, typer.Argument(help="Name or identity.")],
    as_json: AsJson = False,
) -> None:
    """Give a new password."""
    run = session(context)
    people = _people(run)
    person = people.find(who)
    password = typer.prompt(
        f"A new password for {person.name}", hide_input=True, confirmation_prompt=True, err=True
    )
    people.change_password(person.id, password)
    _sign_out(people, person, "reset-password", f"{person.name} has a new password;", as_json)


def rename(
    context: typer.Context,
    who: Annotated[str, typer.Argument(help="Name or identity.")],
    name: Annotated[str, typer.Argument(metavar="NAME", help="The new name.")],
    as_json: AsJson = False,
) -> None:
    """Give somebody another name."""
    from putback.workshop.people.letting_in import call_otherwise

    run = session(context)
    people = _people(run)
    was = people.find(who)
    person = call_otherwise(run.workshop, people, was.id, name, by=run.person, device=run.device)
    emit(
        "people rename",
        {"person": person.id, "name": person.name, "was": was.name},
        lambda out: out.print(f"{was.name} is {person.name} now.", markup=False),
        as_json=as_json,
    )


def end_devices(
    context: typer.Context,
    who: Annotated[str, typer.Argument(help="Name or identity.")],
    as_json: AsJson = False,
) -> None:
    """Sign somebody out everywhere."""
    run = session(context)
    people = _people(run)
    person = people.find(who)
    _sign_out(people, person, "end-devices", f"{person.name}:", as_json)


def _sign_out(people: "People", person: "Person", command: str, lead: str, as_json: bool) -> None:
    """End all devices of somebody, and say how many there were."""
    ended = people.end_all(person.id)
    emit(
        f"people {command}",
        {"person": person.id, "ended": ended},
        lambda out: out.print(f"{lead} {count(ended, 'device')} signed out.", markup=False),
        as_json=as_json,
    )


def role(
    context: typer.Context,
    who: Annotated[str, typer.Argument(help="Name or identity.")],
    given: Annotated[
        str, typer.Argument(metavar="ROLE", help="owner, worker, viewer, or none: out.")
    ],
    as_json: AsJson = False,
) -> None:
    """Give a role."""
    from putback.workshop.logbooks.ports import Role

    run = session(context)
    if given not in {*Role, "none"}:
        raise BadInput(f"there is no role {given!r}", mend=f"say {', '.join(Role)} or none")
    person, logbook = _people(run).find(who), run.logbook
    if given == "none":
        run.workshop.store.revoke(logbook, person.id)
    else:
        run.workshop.store.grant(logbook, person.id, Role(given))
    name = run.state.vehicle.about.name
    emit(
        "people role",
        {"person": person.id, "vehicle": logbook, "role": given},
        lambda out: out.print(f"{person.name}: {given} of {name}.", markup=False),
        as_json=as_json,
    )
