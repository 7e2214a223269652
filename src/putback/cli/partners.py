"""Exchange with another workshop: partners, pushing to them, pulling from them."""

import os
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from putback.cli.context import AsJson, Session, session
from putback.cli.output import count as number_of
from putback.cli.output import emit
from putback.cli.plan import working
from putback.errors import UnreadableFile

if TYPE_CHECKING:
    from rich.console import Console

    from putback.workshop.exchange.course import Exchange, Step
    from putback.workshop.exchange.partners import Partner, Partners

FROM_ENVIRONMENT = "PUTBACK_PARTNER_TOKEN"
"""Where `partners add` looks for the token before it asks for it."""


def register(app: typer.Typer) -> None:
    """Add the commands."""
    partners = typer.Typer(
        help="Partners: other workshops with which vehicles are exchanged.",
        no_args_is_help=True,
        rich_markup_mode=None,
    )
    partners.command("list", help="List the partners, and when each vehicle was last exchanged.")(
        list_partners
    )
    partners.command(
        "add",
        help="Keep another workshop as a partner. Its token is asked for, or read from "
        f"{FROM_ENVIRONMENT}; it is made there, on the page of one's devices and password, and "
        "never shown again.",
        short_help="Keep another workshop as a partner.",
    )(add)
    partners.command("forget", help="Forget a partner and its token; what came from it stays.")(
        forget
    )
    app.add_typer(partners, name="partners")
    app.command(
        "push",
        help="Send a partner what the copy here has and theirs has not, photos included. "
        "Stopped or cut off, it goes on the next time.",
        short_help="Send a partner what it has not got yet.",
    )(push)
    app.command(
        "pull",
        help="Fetch what a partner's copy has and the one here has not, photos included. A "
        "vehicle that is not here yet is taken over; you own it here.",
        short_help="Fetch what a partner has and we have not.",
    )(pull)


Name = Annotated[str, typer.Argument(metavar="PARTNER", help="What you call the partner.")]


def _partners(run: Session) -> "Partners":
    from putback.workshop.exchange.partners import Partners

    return Partners(run.store.home)


def list_partners(context: typer.Context, as_json: AsJson = False) -> None:
    """List partners."""
    run = session(context)
    kept = _partners(run)
    vehicles = {each.id: each.name for each in run.workshop.logbooks()}
    rows: list[dict[str, Any]] = [
        {
            "name": partner.name,
            "address": partner.address,
            "person": partner.person,
            "vehicles": [
                {
                    "logbook": logbook,
                    "name": name,
                    "pushed_at": course.pushed_at,
                    "pulled_at": course.pulled_at,
                    "filed_at": filed.at,
                }
                for logbook, name in vehicles.items()
                for course in [kept.course(partner.name, logbook)]
                for filed in [kept.filed(partner.name, logbook)]
                if course.pushed_at or course.pulled_at or filed.at
            ],
        }
        for partner in kept.all()
    ]

    def say(out: "Console") -> None:
        if not rows:
            out.print("There is no partner yet: putback partners add NAME ADDRESS", markup=False)
        for row in rows:
            out.print(f"{row['name']}: {row['address'] or 'by file'}", markup=False)
            for each in row["vehicles"]:
                done = [
                    f"{words} {each[when][:10]}"
                    for when, words in (
                        ("pushed_at", "pushed"),
                        ("pulled_at", "pulled"),
                        ("filed_at", "written to a file"),
                    )
                    if each[when]
                ]
                out.print(f"  {each['name']}: {', '.join(done)}", markup=False)

    emit("partners list", {"partners": rows}, say, as_json=as_json)


def add(
    context: typer.Context,
    name: Name,
    address: Annotated[
        str, typer.Argument(help="As in https://workshop.local:8443; leave it away for files.")
    ] = "",
    authority: Annotated[
        Path | None,
        typer.Option(
            help="Its own authority's certificate as PEM, where no public one vouches for it."
        ),
    ] = None,
    instead: Annotated[
        bool, typer.Option("--instead", help="In the place of the partner of this name.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Add a partner."""
    from putback.workshop.exchange.over_https import site_of
    from putback.workshop.exchange.partners import Partner

    run = session(context)
    token = ""
    if address:
        site_of(address)  # a wrong address is told before a token is asked for
        token = os.environ.get(FROM_ENVIRONMENT, "") or _ask_for_token(name)
    partner = _partners(run).add(
        Partner(name, address, token, _pem(authority), run.person), instead=instead
    )
    emit(
        "partners add",
        {"name": partner.name, "address": partner.address},
        lambda out: out.print(
            f"{partner.name} is a partner, reached {_way(partner)}.", markup=False
        ),
        as_json=as_json,
    )


def _ask_for_token(name: str) -> str:
    if not sys.stdin.isatty():
        return sys.stdin.readline().strip()
    return str(typer.prompt(f"Token of {name}", hide_input=True, err=True)).strip()


def _pem(authority: Path | None) -> str:
    if authority is None:
        return ""
    try:
        text = authority.read_text("ascii")
    except (OSError, ValueError) as error:
        raise UnreadableFile(
            authority, None, "it is no certificate in PEM", "see the path"
        ) from error
    if "PRIVATE KEY" in text or "BEGIN CERTIFICATE" not in text:
        raise UnreadableFile(authority, None, "it is no certificate in PEM", "see the path")
    return text


def _way(partner: "Partner") -> str:
    return f"at {partner.address}" if partner.address else "by file"


def forget(context: typer.Context, name: Name, as_json: AsJson = False) -> None:
    """Forget a partner."""
    gone = _partners(session(context)).forget(name)
    emit(
        "partners forget",
        {"name": gone.name},
        lambda out: out.print(
            f"{gone.name} is forgotten here; end its token on the other side as well.",
            markup=False,
        ),
        as_json=as_json,
    )


# -- over the network ---------------------------------------------------------------------------


def push(context: typer.Context, name: Name, as_json: AsJson = False) -> None:
    """Push a vehicle."""
    from putback.workshop.exchange.with_partner import exchange_with, reached

    run = session(context)
    kept = _partners(run)
    partner = kept.called(name)
    with reached(partner) as far:
        exchange = exchange_with(run.workshop, kept, partner, far, run.logbook, run.person)
        _go(exchange.push())
        _say(run, "push", partner, exchange, as_json)


def pull(
    context: typer.Context,
    name: Name,
    what: Annotated[
        str,
        typer.Argument(
            metavar="[VEHICLE]",
            help="A vehicle there, by name or identity; else the one you are in.",
        ),
    ] = "",
    as_json: AsJson = False,
) -> None:
    """Pull a vehicle."""
    from putback.workshop.exchange.with_partner import exchange_with, reached, vehicle_there

    run = session(context)
    kept = _partners(run)
    partner = kept.called(name)
    with reached(partner) as far:
        is_ours = not what and (run.vehicle or run.workshop.logbooks())
        logbook = run.logbook if is_ours else vehicle_there(far, what)
        exchange = exchange_with(run.workshop, kept, partner, far, logbook, run.person)
        _go(exchange.pull())
        _say(run, "pull", partner, exchange, as_json)


def _go(steps: "Iterator[Step]") -> None:
    """Go to the end; Ctrl-C stops between two steps, and the next time goes on from there."""
    with working() as progress:
        for step in steps:
            progress.step(step.done, step.total, step.words)


def _say(
    run: Session, command: str, partner: "Partner", exchange: "Exchange", as_json: bool
) -> None:
    done = exchange.done
    names = {each.id: each.name for each in run.workshop.logbooks()}
    name = names.get(exchange.logbook, exchange.logbook)
    there = exchange.far.stands(exchange.logbook)
    here = run.workshop.facts(exchange.logbook)
    same = there is not None and there.digest == here.digest

    def say(out: "Console") -> None:
        entries = number_of(done.entries, "new entry", "new entries")
        photos = number_of(done.photos, "new photo")
        where = "to" if command == "push" else "from"
        verb = "Pushed" if command == "push" else "Pulled"
        out.print(f"{verb} {name!r} {where} {partner.name}: {entries}, {photos}.", markup=False)
        if done.left_out:
            out.print(f"{number_of(len(done.left_out), 'photo')} could not be had on either side.")
        if same:
            out.print(f"Both copies hold the same {number_of(here.entries, 'entry', 'entries')}.")
        else:
            other = "pull" if command == "push" else "push"
            out.print(f"The copies still differ: putback {other} {partner.name}", markup=False)

    document = {
        "partner": partner.name,
        "logbook": exchange.logbook,
        "name": name,
        "entries": done.entries,
        "garage_entries": done.garage,
        "photos": done.photos,
        "photos_left_out": done.left_out,
        "same": same,
    }
    emit(command, document, say, as_json=as_json)
