"""The short words by which a person says what happened, one example each.

Any kind of entry can also be said by its own name, its words joined by hyphens.
"""

import shlex
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from typing import Any

from putback.errors import BadInput, NotFound
from putback.logbook.entries.base import LogbookId
from putback.logbook.entries.registry import KINDS
from putback.workshop.logbooks.ports import GARAGE


@dataclass(frozen=True, slots=True)
class Form:
    """How one kind of entry is said: what its bare words stand for, and an example."""

    kind: str
    bare: tuple[str, ...] = ()
    example: str = ""
    fixed: Mapping[str, Any] = field(default_factory=dict)


FORMS: Mapping[str, Form] = {
    "hand": Form("taken in hand", ("what",), 'hand "radiator"'),
    "cracked": Form("joint cracked", ("joint",), 'cracked "rear hub on half shaft, left"'),
    "undone": Form(
        "joint undone", ("joint",), 'undone "radiator to support panel" 3/4 stuck=1 tag=3CAH'
    ),
    "free": Form(
        "seen free",
        ("joint", "before"),
        'free "earth strap, body to chassis: chassis earth stud" "body shell"',
    ),
    "off": Form("part off", ("part",), 'off "radiator" tag=3CAH'),
    "aside": Form("hung aside", ("part",), 'aside "brake caliper, left" on="the upper wishbone"'),
    "mark": Form("mark made", ("part",), 'mark "propeller shaft" how=punch where="both flanges"'),
    "closed": Form(
        "opening closed", ("opening", "ends"), 'closed "master cylinder outlet" 1 closed_with=cap'
    ),
    "opened": Form("opening opened", ("opening",), 'opened "master cylinder outlet"'),
    "note": Form("note", ("text", "of"), 'note "two washers here, not one" "radiator"'),
    "found": Form("found", ("what", "of"), 'found "cracked at the eye" "rear leaf spring, left"'),
    "measured": Form(
        "measured as found",
        ("of", "what", "value", "unit"),
        'measured "front hub and brake disc, left" thickness 8.7 mm low=9.0',
    ),
    "fit": Form("temporary fit on", ("what", "on"), 'fit "slave wheels" "chassis frame"'),
    "unfit": Form("temporary fit off", ("fit",), 'unfit "door braces"'),
    "standing": Form(
        "standing changed",
        ("standing",),
        'standing "front on ramps, wheels carrying" rock_tested=yes looked=Ann',
    ),
    "hold": Form("hold set", ("words",), 'hold "no brakes: do not roll"'),
    "lift-hold": Form(
        "hold lifted", ("hold", "why"), 'lift-hold "no brakes" "new hoses are on, pedal is hard"'
    ),
    "weighed": Form(
        "weighed", (), "weighed front-axle=512 rear-axle=498 standing=WHEELS uncertainty=2"
    ),
    "drained": Form("drained", ("fluid",), 'drained "engine oil" volume=4l'),
    "done": Form("job done", ("job",), 'done "drain engine oil"'),
    "bag": Form("container made", ("tag", "name"), 'bag 3CAH "bumper bolts" zone="Front end"'),
    "box": Form("container made", ("tag", "name"), "box 3HNA", {"container": "box"}),
    "crate": Form("container made", ("tag", "name"), "crate 3HNA", {"container": "crate"}),
    "put": Form("put in", ("what", "tag"), 'put "radiator" 3HNA'),
    "shift": Form(
        "hardware moved",
        ("joint", "pieces"),
        'shift "radiator to support panel" "1 x bolt 5/16-24 UNF x 3/4 in" source=3CAH to=scrap',
    ),
    "moved": Form("moved", ("what", "place"), 'moved "radiator" "rented dry store"'),
    "counted": Form("counted", ("tag", "pieces"), 'counted 3CAH "3 x bolt 5/16-24 UNF x 3/4 in"'),
    "seen": Form("hands laid on", ("what", "place"), 'seen "radiator" "home garage"'),
    "scrapped": Form("scrapped", ("part",), 'scrapped "fuel hose, pump to carburettor"'),
    "pattern": Form(
        "kept as pattern",
        ("part",),
        'pattern "clutch pipe, master to hose bracket" why=seized',
    ),
    "lost": Form("lost", ("part",), 'lost "choke cable"'),
    "bought": Form("bought", ("pieces",), 'bought "4 x split pin 2.4 mm x 25 mm"'),
    "decided": Form(
        "decided", ("of", "choice"), 'decided "rear leaf spring, left" replace why="cracked"'
    ),
    "not-now": Form(
        "put off", ("what", "why"), 'not-now "radiator" no-helper until=2031-06-01 note="by two"'
    ),
    "goal": Form("way chosen", ("goal",), 'goal "bare rolling chassis"', {"way": "strip"}),
    "rebuild": Form("way chosen", (), "rebuild", {"way": "rebuild"}),
    "sent": Form("sent out", ("what", "firm"), 'sent "grille" Polisher due=2031-06-01'),
    "back": Form("came back", ("what",), 'back "grille"'),
    "ordered": Form("ordered", ("what", "item"), 'ordered "radiator" "new core" due=2031-06-01'),
    "arrived": Form("arrived", ("what",), 'arrived "radiator"'),
    "prepared": Form("prepared", ("what", "how"), 'prepared "body earth point" "bared bright"'),
    "offered": Form(
        "offered up", ("what",), 'offered "rear leaf spring, left" fits=no misfit=3mm'
    ),
    "on": Form("part on", ("part",), 'on "radiator" renewed=yes'),
    "made": Form(
        "joint made",
        ("joint", "tightness"),
        'made "radiator to support panel" final torque="18 N·m" locked=yes renewed=yes',
    ),
    "checked": Form("checked", ("joint",), 'checked "radiator to support panel" right=yes'),
    "filled": Form("filled", ("fluid",), 'filled "engine oil" volume="7 imp pint"'),
    "bled": Form("bled", ("fluid",), 'bled "brake and clutch fluid"'),
    "time": Form("time", ("minutes", "of"), 'time "1 h 30" "radiator" people=2'),
    "money": Form("money", ("amount", "currency", "what"), 'money 12.50 GBP "split pins"'),
    "same": Form("same as", ("part", "same_as"), 'same "choke cable" "throttle rod and cable"'),
    "settled": Form(
        "one and the same", ("subject", "settled"), 'settled "radiator to support panel" 4'
    ),
    "place": Form("place described", ("name",), 'place "Dry store" kind=store fits=crates'),
    "person": Form("person named", ("person", "name"), 'person ann "Ann Smith"'),
}
"""The short words, in the order of the work."""

SHARED = frozenset({"place described", "person named"})
"""Kinds that belong in the garage's logbook: what vehicles share."""

ELSEWHERE: Mapping[str, str] = {
    "described": "putback describe",
    "photo": 'putback photo FILE "what it shows"',
    "sound": 'putback photo FILE "what it shows"',
    "location left out": "putback export FILE",
    "struck": "putback strike ENTRY",
}
"""Kinds that have a command of their own."""


def is_form(word: str) -> bool:
    """Whether a word is one of a form, or the name of a kind of entry."""
    said = word.casefold()
    return said in FORMS or said.replace("-", " ") in KINDS


def form_of(word: str) -> Form:
    """Give the form that a first word asks for.

    Raises
    ------
    NotFound
        If there is no such kind of entry; with the nearest words.
    """
    said = word.casefold()
    if said in FORMS:
        return FORMS[said]
    kind = said.replace("-", " ")
    if kind in KINDS:
        required = [name for name, info in KINDS[kind].model_fields.items() if info.is_required()]
        return Form(kind, tuple(required))
    known = [*FORMS, *(kind.replace(" ", "-") for kind in KINDS)]
    raise NotFound("kind of entry", word, tuple(get_close_matches(said, known, n=3, cutoff=0.4)))


def parted(line: str) -> list[str]:
    """Part a line into words, as a shell does.

    Raises
    ------
    BadInput
        If a quote does not end.
    """
    try:
        return shlex.split(line)
    except ValueError as error:
        raise BadInput(f"{line!r} has a quote that does not end", mend="close it") from error


def book_for(words: Sequence[str], logbook: LogbookId) -> LogbookId:
    """Say into which logbook a line goes: a vehicle's, or the garage's if vehicles share it.

    Raises
    ------
    NotFound
        If there is no such kind of entry.
    """
    is_said = bool(words) and bool(words[0].strip())
    return GARAGE if is_said and form_of(words[0]).kind in SHARED else logbook


def usage(word: str, form: Form) -> str:
    """Say how a form is used."""
    if form.example:
        return f"for example: {form.example}"
    return f"say: {word} {' '.join(name.upper() for name in form.bare)} [detail=value ...]"
