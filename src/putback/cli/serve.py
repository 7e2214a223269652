"""The web pages, served from this machine."""

import json
import os
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from putback.cli.address import (
    everywhere,
    in_brackets,
    is_address,
    is_listened_to,
    lan_addresses,
    machine_name,
    machine_names,
    see_that_free,
    with_scheme,
)
from putback.cli.context import AsJson, Session, session
from putback.cli.output import emit
from putback.cli.planner import beside as planner_beside
from putback.cli.running import Program, run_together
from putback.errors import BadInput

if TYPE_CHECKING:
    from rich.console import Console

SITE = "PUTBACK_SITE"
SERVED_BY = "PUTBACK_SERVED_BY"


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command(
        "serve",
        help="Serve the web pages, until Ctrl-C. At the first start it shows a link that works "
        "once, by which the owner sets name and password.",
        short_help="The web pages, for the phone in the garage.",
    )(serve)


@dataclass(frozen=True, slots=True)
class Served:
    """How the pages are reached."""

    port: int
    here: str
    """By a browser of this machine."""
    lan: tuple[str, ...]
    """By phones of this network; the likeliest first."""
    hosts: tuple[str, ...]
    """Every name that a browser may call it by."""
    certificate: Path | None = None
    key: Path | None = None
    authority: Path | None = None
    """The certificate of this machine's own authority, which phones are asked to trust."""
    trust_port: int = 0
    trust: str = ""
    """Where a phone gets that certificate, by plain http."""

    @property
    def best(self) -> str:
        """The address to give to a phone, or to this machine's own browser."""
        return (*self.lan, self.here)[0]

    def site(self) -> dict[str, Any]:
        """Say to the server's own process what it needs to know."""
        return {
            "hosts": [in_brackets(each) for each in self.hosts],
            "https": self.certificate is not None,
            "hsts": self.certificate is not None and self.authority is None,
            "reached": {
                "address": self.best,
                "port": self.port,
                "authority": str(self.authority or ""),
            },
        }


def serve(
    context: typer.Context,
    port: Annotated[int, typer.Option(help="The port of the pages.", min=1, max=65535)] = 8000,
    lan: Annotated[
        bool, typer.Option("--lan", help="Let phones of this network in, not this machine alone.")
    ] = False,
    host: Annotated[
        list[str] | None,
        typer.Option(help="A further name by which browsers call it; may be given several times."),
    ] = None,
    https: Annotated[
        bool,
        typer.Option(
            "--https",
            help="By https, with a certificate of this machine's own authority: phones ask for it "
            "before they let pages use the camera.",
        ),
    ] = False,
    trust_port: Annotated[
        int | None,
        typer.Option(
            help="Where phones get that authority's certificate, by plain http; else the next "
            "port.",
            min=1,
            max=65535,
        ),
    ] = None,
    tls_cert: Annotated[
        Path | None,
        typer.Option(help="By https, with this certificate (PEM).", exists=True, dir_okay=False),
    ] = None,
    tls_key: Annotated[
        Path | None, typer.Option(help="Its key (PEM, PKCS#8).", exists=True, dir_okay=False)
    ] = None,
    workers: Annotated[
        int, typer.Option(help="How many processes answer browsers.", min=1, max=64)
    ] = 2,
    as_json: AsJson = False,
) -> None:
    """Serve."""
    run = session(context)
    if run.supposed:
        raise BadInput("what is supposed is not served", mend="leave --suppose away")
    if (tls_cert is None) != (tls_key is None):
        raise BadInput("a certificate needs its key", mend="give --tls-cert and --tls-key")
    if https and tls_cert is not None:
        raise BadInput(
            "--https makes a certificate, and --tls-cert brings one", mend="give one of the two"
        )
    home = run.store.home  # opened first: a store that cannot be used is told before all else
    served = _reached(port, lan=lan, more=tuple(host or ()))
    if tls_cert is not None and tls_key is not None:
        served = _with_own(served, tls_cert, tls_key)
    elif https:
        served = _with_authority(served, home, trust_port or port % 65535 + 1)
    address = everywhere() if lan else "127.0.0.1"
    ports = tuple(filter(None, (served.port, served.trust_port)))
    for each in ports:
        see_that_free(address, each)
    first = _first_start(run)
    run.store.close()
    environment = {
        **os.environ,
        "PUTBACK_HOME": str(home),
        SITE: json.dumps(served.site()),
        SERVED_BY: str(os.getpid()),
    }
    # Processes of their own: Django can be configured only once in one, and here it was.
    pages = Program("the server", _server(served, address, workers), environment)
    programs = [pages]
    if served.trust:
        programs.append(Program("the page of trust", _trust_server(served, address), environment))
    with planner_beside(home):
        run_together(
            programs,
            are_up=lambda: all(map(is_listened_to, ports)),
            tell=lambda: _tell(served, first, as_json=as_json),
        )


# -- how it is reached --------------------------------------------------------------------------


def _reached(port: int, *, lan: bool, more: tuple[str, ...]) -> Served:
    addresses = lan_addresses() if lan else ()
    names = machine_names() if lan else ()
    return Served(
        port=port,
        here=with_scheme(["localhost"], port, https=False)[0],
        lan=with_scheme([*more, *addresses, *names[1:2]], port, https=False),
        hosts=tuple(dict.fromkeys((*more, *addresses, *names))),
    )


def _with_own(served: Served, certificate: Path, key: Path) -> Served:
    """Serve by https with a certificate that somebody brought, under the names it is for."""
    from putback.workshop.people.authority import names_in

    given = names_in(certificate)
    names = tuple(each for each in given if not each.startswith("*"))
    return Served(
        port=served.port,
        here=with_scheme(["localhost"], served.port, https=True)[0],
        lan=with_scheme(names, served.port, https=True),
        hosts=tuple(dict.fromkeys((*(each.removeprefix("*") for each in given), *served.hosts))),
        certificate=certificate.absolute(),
        key=key.absolute(),
    )


def _with_authority(served: Served, home: Path, trust_port: int) -> Served:
    """Serve by https with a certificate of this machine's own authority."""
    from datetime import UTC, datetime

    from putback.workshop.people.authority import certified, names_in

    made = certified(home, served.hosts, machine_name(), datetime.now(UTC))
    vouched = set(names_in(made.certificate))
    hosts = [each for each in served.hosts if each in vouched]
    # The address first, as names of a home network are known to some routers only.
    first = sorted(
        hosts, key=lambda each: (not is_address(each), ":" in each, not each.endswith(".local"))
    )
    host = next(iter(first), "localhost")
    return Served(
        port=served.port,
        here=with_scheme(["localhost"], served.port, https=True)[0],
        lan=with_scheme(first, served.port, https=True),
        hosts=served.hosts,
        certificate=made.certificate,
        key=made.key,
        authority=made.authority,
        trust_port=trust_port,
        trust=f"{with_scheme([host], trust_port, https=False)[0]}/trust",
    )


# -- what is said -------------------------------------------------------------------------------


def _first_start(run: Session) -> str:
    """Make the token of the first start; empty once somebody has an account."""
    from putback.workshop.people.letting_in import LettingIn
    from putback.workshop.people.people import People

    people = People(run.store.people, run.workshop.clock)
    handed = LettingIn(run.workshop, people).first_start(run.person)
    return handed.token if handed else ""


def _tell(served: Served, first: str, *, as_json: bool) -> None:
    link = f"{served.best}/start/{first}" if first else ""
    document = {
        "address": served.here,
        "lan": served.lan,
        "trust": served.trust,
        "first_start": link,
    }

    def say(out: "Console") -> None:
        out.print(f"On this machine: {served.here}/", markup=False)
        for each in served.lan:
            out.print(f"On this network: {each}/", markup=False)
        if served.trust:
            out.print(f"A phone that does not trust it yet, first: {served.trust}", markup=False)
        if link:
            out.print("")
            out.print("Nobody has an account yet. Set your name and password here", style="bold")
            out.print("(the link works once, and for a day):", style="bold", markup=False)
            out.print(link, markup=False)
        target = served.trust or link or f"{served.best}/"
        out.print(f"\nFor the phone, {target}:", markup=False)
        _draw_qr(target)
        if not served.lan:
            out.print("Phones reach it only with: putback serve --lan", markup=False)
        out.print("Ctrl-C ends it.", markup=False)

    emit("serve", document, say, as_json=as_json)
    sys.stdout.flush()


def _draw_qr(target: str) -> None:
    import segno

    segno.make(target, error="m", micro=False).terminal(compact=True)


# -- the servers --------------------------------------------------------------------------------


def _server(served: Served, address: str, workers: int) -> list[str]:
    command = [
        *_granian("putback.web.wsgi:make_application", address, served.port),
        *("--workers", str(workers), "--respawn-failed-workers"),
    ]
    if served.certificate is not None:
        command += ["--ssl-certificate", str(served.certificate), "--ssl-keyfile", str(served.key)]
        command += ["--ssl-protocol-min", "tls1.2"]  # phones of ten years ago know no later one
    return command


def _trust_server(served: Served, address: str) -> list[str]:
    return _granian("putback.web.wsgi:make_trust_application", address, served.trust_port)


def _granian(application: str, address: str, port: int) -> list[str]:
    return [
        *(sys.executable, "-m", "granian", application, "--factory"),
        *("--interface", "wsgi", "--host", address, "--port", str(port)),
        *("--blocking-threads", "4", "--no-ws", "--log-level", "warning"),
    ]
