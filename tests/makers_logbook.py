"""Short ways to say a logbook.

::

    story = Story(vehicle("lid - frame: 4 bolt 5/16-24 UNF x 1 in"))
    undone = story("A day 5: undone lid-frame 3 of 4, stuck 1, tag 3CAH")
    story("B: off lid, tag 3CAH", "A day 6: made lid-frame final, torque 25, renewed")
    story.says("A", StandingChanged(standing=StandingId("stands")))
    story.state.joints["lid-frame"].out

Each line is one entry, a minute after the one before; ``day`` moves on to eight in the morning of
that day. What is not in the grammar of `_READERS` is said by its body.
"""

import re
from collections.abc import Callable, Mapping
from datetime import UTC, datetime, timedelta
from typing import Any

from putback.logbook.entries.base import (
    ActId,
    Body,
    DeviceId,
    Entry,
    EntryId,
    LogbookId,
    PersonId,
    Subject,
)
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import Described
from putback.logbook.entries.keeping import Bought, Counted, HardwareMoved, Moved, Pieces
from putback.logbook.entries.rebuilding import Checked, JointMade, PartOn, Tightness
from putback.logbook.entries.registry import encode
from putback.logbook.entries.working import (
    JointCracked,
    JointUndone,
    PartOff,
    Went,
    Whither,
)
from putback.logbook.fold import Fold
from putback.logbook.index import LogFacts
from putback.logbook.open_items import OpenItem, Settings, Situation, open_items
from putback.logbook.state import State
from putback.vehicle.codec import TABLES, key_field, to_plain
from putback.vehicle.vehicle import Vehicle
from tests.makers import vehicle

LOGBOOK = LogbookId("v")
FIRST_DAY = datetime(2031, 5, 1, tzinfo=UTC)


class Story:
    """A logbook told entry by entry, with its fold kept up to date."""

    def __init__(self, about: Vehicle | None = None) -> None:
        """Describe the vehicle, record by record."""
        self.about = about or vehicle()
        self.entries: list[Entry] = []
        self.now = FIRST_DAY + timedelta(hours=8)
        self.fold = Fold(LOGBOOK)
        for table in TABLES:
            records = [] if table == "about" else getattr(self.about, table).values()
            for record in records:
                self.describe(table, record)

    def __repr__(self) -> str:
        """Tell it, so that a failing example can be read; described records are left out."""
        told = [entry for entry in self.entries if not isinstance(entry.body, Described)]
        lines = [f"{each.id[:8]} {each.happened_at} {each.who}: {each.body!r}" for each in told]
        return "\n".join(["Story", *lines])

    def copy(self) -> "Story":
        """Give the same story to be told on in another way."""
        twin = Story()
        twin.about, twin.entries, twin.now = self.about, list(self.entries), self.now
        twin.fold.add(self.entries)
        return twin

    def describe(self, table: str, record: Any) -> EntryId:
        """Describe one record as it is, as a person does who mends the description."""
        plain = to_plain(table, record)
        identity = plain.pop(key_field(table))
        return self.says("describer", Described(table=table, id=identity, fields=plain))

    def __call__(self, *lines: str) -> EntryId:
        """Log lines, one entry each; give the identity of the last."""
        for line in lines:
            found = re.fullmatch(r"(?P<who>\S+?)(?: day (?P<day>\d+))?: (?P<said>.+)", line)
            assert found, f"cannot read {line!r}"
            if found["day"]:
                self.now = FIRST_DAY + timedelta(days=int(found["day"]) - 1, hours=8)
            said = self.says(found["who"], _body(found["said"]))
        return said

    def says(self, who: str, body: Body, **envelope: Any) -> EntryId:
        """Log one body; the envelope may differ in what is given."""
        self.now += timedelta(minutes=1)
        number = len(self.entries) + 1
        logged = envelope.pop("logged_at", self.now)
        given: dict[str, Any] = {
            "id": EntryId(f"{number:08x}-0000-7000-8000-000000000000"),
            "act": ActId(f"{number:08x}-0000-7000-8000-aaaaaaaaaaaa"),
            "logbook": LOGBOOK,
            "happened_at": logged.isoformat(),
            "logged_at": logged.isoformat(),
            "clock": (round(logged.timestamp() * 1000), 0),
            "device": DeviceId(f"phone of {who}"),
            "who": PersonId(who),
        }
        entry = encode(body=body, **(given | envelope))
        self.entries.append(entry)
        self.fold.add([entry])
        return entry.id

    def strike(self, entry: EntryId) -> EntryId:
        """Strike an entry out."""
        return self.says("A", Struck(entry=entry))

    @property
    def state(self) -> State:
        """The state after all that was said."""
        return self.fold.state()

    @property
    def log(self) -> LogFacts:
        """The facts about the logbook."""
        return self.fold.log()

    def situation(self, **settings: Any) -> Situation:
        """What the rules look at, a minute after the last entry; backed up just now."""
        settings.setdefault("backed_up_at", self.now)
        at = settings.pop("at", self.now)
        return Situation(self.state, self.log, at, Settings(**settings))

    def open(self, rule: str = "", **settings: Any) -> list[OpenItem]:
        """List what is open, of one rule or of all."""
        items = open_items(self.situation(**settings))
        return [item for item in items if rule in ("", item.rule)]

    def balances(self, owner: str = "") -> dict[str, int]:
        """Pieces by ``account: spec``, of one owner or of all; sources left out."""
        total: dict[str, int] = {}
        for (account, whose, spec), count in sorted(self.state.balances.items()):
            if count > 0 and owner in ("", whose, whose.removeprefix("joint:")):
                total[f"{account}: {spec}"] = total.get(f"{account}: {spec}", 0) + count
        return total


# -- lines --------------------------------------------------------------------------------------


def _body(said: str) -> Body:
    verb, _, rest = said.partition(" ")
    assert verb in _READERS, f"no verb {verb!r}; one of {', '.join(_READERS)}"
    return _READERS[verb](rest)


def _options(rest: str) -> tuple[str, list[str]]:
    first, *options = (each.strip() for each in rest.split(","))
    return first, options


def _undone(rest: str) -> Body:
    """``J 3 of 4, stuck 1, tag T, 1 own hole, 2 tag T``: what is not said goes to the tag."""
    first, options = _options(rest)
    found = re.fullmatch(r"(?P<joint>.+?)(?: (?P<out>\d+) of (?P<of>\d+))?", first)
    assert found
    given: dict[str, Any] = {}
    went = []
    for option in options:
        if ways := re.fullmatch(r"(\d+) (own hole|on part|scrap|pattern|lost|tag (\S+))", option):
            to = Whither.TAG if ways[3] else Whither(ways[2])
            went.append(Went(to=to, fixings=int(ways[1]), tag=ways[3]))
        else:
            word, _, value = option.partition(" ")
            given[word] = value if word in {"tag", "fixing", "note"} else int(value)
    count = {} if found["out"] is None else {"out": int(found["out"]), "of": int(found["of"])}
    return JointUndone(joint=found["joint"], went=tuple(went), **count, **given)


def _made(rest: str) -> Body:
    """``J final, made 2, torque 25, locked, renewed, new 1 bolt M8``."""
    first, options = _options(rest)
    tightness = next(each for each in Tightness if first.endswith(f" {each}"))
    given: dict[str, Any] = {"joint": first.removesuffix(f" {tightness}"), "tightness": tightness}
    flags = {
        "locked": {"locked": True},
        "not locked": {"locked": False},
        "renewed": {"renewed": True},
        "reused": {"renewed": False},
    }
    for option in options:
        word, _, value = option.partition(" ")
        if option in flags:
            given |= flags[option]
        elif word == "torque":
            given["torque_nm"] = float(value)
        elif word == "made":
            given["made"] = int(value)
        elif word == "new":
            given["new"] = (*given.get("new", ()), _piece(value))
        else:
            assert option.startswith("curing until "), f"cannot read {option!r}"
            given["curing_until"] = option.removeprefix("curing until ")
    return JointMade(**given)


def _piece(said: str) -> Pieces:
    count, _, spec = said.partition(" ")
    return Pieces(spec=spec, count=int(count))


def _checked(rest: str) -> Body:
    joint, _, verdict = rest.rpartition(" ")
    return Checked(joint=joint, right={"right": True, "wrong": False}[verdict])


def _off(rest: str) -> Body:
    part, options = _options(rest)
    return PartOff(part=part, **dict(option.split(" ", 1) for option in options))


def _on(rest: str) -> Body:
    part, options = _options(rest)
    return PartOn(part=part, renewed=options == ["new"])


def _counted(rest: str) -> Body:
    tag, _, pieces = rest.partition(" ")
    listed = [] if pieces in ("", "empty") else pieces.split(", ")
    return Counted(tag=tag, pieces=tuple(map(_piece, listed)))


def _bought(rest: str) -> Body:
    what, _, joint = rest.partition(" for ")
    return Bought(pieces=tuple(map(_piece, what.split(", "))), joint=joint or None)


def _pieces(rest: str) -> Body:
    """``J: 2 bolt M8 from tag T to own hole``; without a joint: ``-: ...``."""
    found = re.fullmatch(r"(?P<joint>.+?): (?P<what>.+) from (?P<source>.+?) to (?P<to>.+)", rest)
    assert found, f"cannot read {rest!r}"
    source, source_tag = _end(found["source"])
    to, to_tag = _end(found["to"])
    return HardwareMoved(
        joint=None if found["joint"] == "-" else found["joint"],
        pieces=tuple(map(_piece, found["what"].split(", "))),
        source=source,
        source_tag=source_tag,
        to=to,
        to_tag=to_tag,
    )


def _end(said: str) -> tuple[Whither, str | None]:
    if said.startswith("tag "):
        return Whither.TAG, said.removeprefix("tag ")
    return Whither(said), None


def _moved(rest: str) -> Body:
    what, _, place = rest.rpartition(" to ")
    return Moved(what=Subject(what), place=place)


_READERS: Mapping[str, Callable[[str], Body]] = {
    "undone": _undone,
    "made": _made,
    "checked": _checked,
    "cracked": lambda rest: JointCracked(joint=rest),
    "off": _off,
    "on": _on,
    "counted": _counted,
    "bought": _bought,
    "pieces": _pieces,
    "moved": _moved,
}
"""The short forms, by the verb each begins with."""
