"""Entries and logbooks of all sorts, for Hypothesis.

`bodies` are of every kind there is, over a small generated vehicle; `logbooks` put them into
envelopes with everything that goes wrong in a garage: phones whose clocks disagree, entries made
days late or only "in May", notes that come *after* another (or after each other, in a ring),
strikes of entries, of acts and of strikes, the same identity with another body, kinds that nobody
knows, and references to entries that are not there.
"""

import builtins
import json
import types
import typing
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from functools import cache
from typing import Any, get_args, get_origin, get_type_hints

from annotated_types import Ge, MinLen
from hypothesis import strategies as st
from pydantic.fields import FieldInfo

from putback.logbook.entries.base import (
    ActId,
    Body,
    Detail,
    DeviceId,
    Entry,
    EntryId,
    LogbookId,
    PersonId,
    PlaceId,
    Subject,
    TagCode,
    canonical,
)
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import Described, SameAs
from putback.logbook.entries.keeping import HardwareMoved, Pieces
from putback.logbook.entries.registry import KINDS, decode, encode
from putback.logbook.entries.working import JointUndone, Went, Whither
from putback.vehicle.codec import TABLES, key_field, to_plain
from putback.vehicle.generate import generate
from putback.vehicle.ids import (
    AssemblyId,
    FluidId,
    GoalId,
    JobId,
    JointId,
    OpeningId,
    PartId,
    Ref,
    StandingId,
    ZoneId,
)
from tests.strategies.vehicles import records

LOGBOOK = LogbookId("v")
VEHICLE = generate(parts=6, seed=3)
MOST = 16
"""Entries in a logbook; references reach a little further, to what is not there."""

PARTS = tuple(VEHICLE.parts)[:4]
JOINTS = tuple(VEHICLE.joints)[:4]
TAGS = (TagCode("3CAH"), TagCode("K7F4"))
SUBJECTS = tuple(
    Subject(each)
    for each in (
        *(f"part:{part}" for part in PARTS[:2]),
        *(f"joint:{joint}" for joint in JOINTS[:2]),
        *("tag:3CAH", "tag:K7F4", "opening:inlet", "fluid:oil", "fit:dolly", "job:survey"),
        *("hold:brakes", "way"),
        *("place:barn", "person:ann", "zone:bay", "standing", "stock", "same as", "the engine"),
        *("weighing", f"assembly:{next(iter(VEHICLE.assemblies))}"),
    )
)


def id_of(number: int) -> EntryId:
    """The identity of an entry; identities do not sort as their numbers do."""
    return EntryId(f"{number * 37 % 101:08x}-0000-7000-8000-{number:012x}")


def act_of(number: int) -> ActId:
    """The identity of an act; the first of them is also that of an entry."""
    return ActId(id_of(number) if number == 0 else f"ac{number:06x}-0000-7000-8000-000000000000")


# -- bodies -------------------------------------------------------------------------------------

_ids = st.integers(0, MOST + 1).map(id_of)
_acts = st.integers(0, MOST // 2).map(act_of)
_texts = st.sampled_from(["", "left", "12 mm short", 'a "rounded" nut, ½ turn\nand more'])
_specs = st.sampled_from(["bolt M8x1.25x30", "plain washer M8", "nut 3/8-24 UNF"])
_plain: Mapping[Any, st.SearchStrategy[Any]] = {
    PartId: st.sampled_from(PARTS),
    JointId: st.sampled_from(JOINTS),
    TagCode: st.sampled_from(TAGS),
    PlaceId: st.sampled_from(["barn", "shed"]).map(PlaceId),
    PersonId: st.sampled_from(["ann", "ben"]).map(PersonId),
    Subject: st.sampled_from(SUBJECTS),
    Ref: st.sampled_from(
        [each for each in SUBJECTS if each.startswith(("part", "joint", "job", "ass"))]
    ),
    EntryId: _ids,
    ActId: _acts,
    OpeningId: st.sampled_from(["inlet", "outlet"]),
    FluidId: st.sampled_from(["oil", "coolant"]),
    JobId: st.sampled_from(tuple(VEHICLE.jobs)),
    StandingId: st.sampled_from(tuple(VEHICLE.standings)),
    AssemblyId: st.sampled_from(tuple(VEHICLE.assemblies)),
    ZoneId: st.sampled_from(tuple(VEHICLE.zones)),
    GoalId: st.sampled_from(tuple(VEHICLE.goals)),
    LogbookId: st.sampled_from(["v", "other"]),
    str: _texts,
    bool: st.booleans(),
    float: st.floats(0, 1e6).map(lambda value: round(value, 3)),
    Decimal: st.decimals(-1000, 1000, places=2),
    type(None): st.none(),
}
_by_name: Mapping[tuple[str, str], st.SearchStrategy[Any]] = {
    ("photo", "photo"): st.sampled_from(["0" * 64, "ab" * 32]),
    ("photo", "drawn_on"): st.sampled_from(["", "0" * 64]),
    ("location left out", "photo"): st.sampled_from(["0" * 64, "ab" * 32]),
    ("location left out", "copied_as"): st.sampled_from(["2" * 64, "3" * 64]),
    ("sound", "sound"): st.sampled_from(["1" * 64, "ab" * 32]),
    ("sealed", "digest"): st.just("cd" * 32),
    ("money", "currency"): st.sampled_from(["GBP", "EUR"]),
    ("temporary fit on", "fit"): st.sampled_from(["dolly", "brace"]),
    ("temporary fit off", "fit"): st.sampled_from(["dolly", "brace"]),
    ("joint undone", "fixing"): st.sampled_from(["", "a", "b"]),
    ("weighed", "loads_kg"): st.dictionaries(
        st.sampled_from(["front axle", "rear axle", "stand 1"]), st.floats(0, 2e3), min_size=1
    ),
    ("put off", "until"): st.sampled_from(["", "2031-05-03"]),
    ("hold set", "hold"): st.sampled_from(["brakes", "ropes"]),
    ("hold set", "words"): st.sampled_from(["no brakes: do not roll", "nobody under it"]),
    ("hold lifted", "hold"): st.sampled_from(["brakes", "ropes"]),
    ("hold lifted", "why"): st.just("they are on"),
}
"""Fields with a rule that their type does not tell, by kind and name."""


def _values(hint: Any, info: FieldInfo) -> st.SearchStrategy[Any]:
    """Whatever a field of this type may hold."""
    if hint in _plain:
        return _plain[hint]
    least = next((each.ge for each in info.metadata if isinstance(each, Ge)), 0)
    shortest = next((each.min_length for each in info.metadata if isinstance(each, MinLen)), 0)
    match get_origin(hint), get_args(hint):
        case _ if hint is int:
            return st.integers(least, least + 4)
        case ((types.UnionType | typing.Union), each):
            return st.one_of(*(_values(one, info) for one in each))
        case builtins.tuple, (one, *_):
            many = st.lists(_values(one, info), min_size=shortest, max_size=shortest + 2)
            return many.map(tuple)
    if issubclass(hint, StrEnum):
        return st.sampled_from(hint)
    assert issubclass(hint, Detail), f"no strategy for {hint}"
    return _details(hint)


@cache
def _details(detail: type[Detail]) -> st.SearchStrategy[Detail]:
    if detail is Went:
        return st.one_of(
            st.builds(
                Went, to=st.just(Whither.TAG), fixings=st.integers(0, 3), tag=_plain[TagCode]
            ),
            st.builds(
                Went,
                to=st.sampled_from([each for each in Whither if each is not Whither.TAG]),
                fixings=st.integers(0, 3),
            ),
        )
    assert detail is Pieces, f"no strategy for {detail}"
    return st.builds(Pieces, spec=_specs, count=st.integers(0, 5))


@st.composite
def _undone(draw: st.DrawFn) -> JointUndone:
    counted = draw(st.booleans())
    of = draw(st.integers(1, 4))
    out = draw(st.integers(0, of))
    broken = draw(st.integers(0, out))
    return JointUndone(
        joint=draw(_plain[JointId]),
        out=out if counted else None,
        of=of if counted else None,
        fixing=draw(_by_name["joint undone", "fixing"]),
        stuck=draw(st.integers(0, min(1, of - out) if counted else 1)),
        **{draw(st.sampled_from(["cut", "sheared", "rounded"])): broken if counted else 0},
        went=tuple(draw(st.lists(_details(Went), max_size=2))),
        tag=draw(st.none() | _plain[TagCode]),
    )


@st.composite
def _hardware_moved(draw: st.DrawFn) -> HardwareMoved:
    ends = st.sampled_from([(each, None) for each in Whither if each is not Whither.TAG]) | (
        st.tuples(st.just(Whither.TAG), _plain[TagCode])
    )
    (source, source_tag), (to, to_tag) = draw(ends), draw(ends)
    return HardwareMoved(
        joint=draw(st.none() | _plain[JointId]),
        pieces=tuple(draw(st.lists(_details(Pieces), min_size=1, max_size=2))),
        source=source,
        source_tag=source_tag,
        to=to,
        to_tag=to_tag,
    )


_DESCRIBED = [
    (table, plain.pop(key_field(table)), plain)
    for table in TABLES
    for record in ([VEHICLE.about] if table == "about" else getattr(VEHICLE, table).values())
    for plain in [to_plain(table, record)]
    if table not in {"parts", "joints"} or plain[key_field(table)] in {*PARTS, *JOINTS}
]


@st.composite
def descriptions(draw: st.DrawFn) -> Described:
    """Some fields of a record of the small vehicle, now and then one taken back or swapped."""
    table, identity, plain = draw(st.sampled_from(_DESCRIBED))
    others = [name for other, name, _ in _DESCRIBED if other == table] + ["another"]
    names = draw(st.lists(st.sampled_from(sorted(plain)), unique=True)) if plain else []
    fields = {name: draw(st.just(plain[name]) | st.none()) for name in names}
    if draw(st.booleans()) and table not in {"runs"}:
        fields |= {} if table in {"befores", "obstructions"} else _named(draw(_texts), table)
    return Described(table=table, id=draw(st.sampled_from([identity, *others])), fields=fields)


def _named(name: str, table: str) -> Mapping[str, Any]:
    """A change of name, for tables whose records have one."""
    return {"name": name} if "name" in get_type_hints(TABLES[table]) else {}


@st.composite
def wild_descriptions(draw: st.DrawFn) -> Described:
    """A whole record with anything in its fields."""
    table = draw(st.sampled_from(tuple(TABLES)))
    plain = to_plain(table, draw(records(table)))
    return Described(table=table, id=plain.pop(key_field(table)), fields=plain)


@cache
def bodies_of(kind: str) -> st.SearchStrategy[Body]:
    """Bodies of one kind."""
    match body := KINDS[kind]:
        case _ if body is JointUndone:
            return _undone()
        case _ if body is HardwareMoved:
            return _hardware_moved()
        case _ if body is Described:
            return descriptions()
        case _ if body is Struck:
            return st.builds(Struck, entry=_ids, why=_texts) | st.builds(Struck, act=_acts)
    hints = get_type_hints(body)
    return st.builds(
        body,
        **{
            name: _by_name[kind, name] if (kind, name) in _by_name else _values(hints[name], info)
            for name, info in body.model_fields.items()
        },
    )


def bodies() -> st.SearchStrategy[Body]:
    """Bodies of every kind, each as likely as any other."""
    return st.sampled_from(sorted(KINDS)).flatmap(bodies_of)


# -- logbooks -----------------------------------------------------------------------------------

HAPPENED = (
    "2031-05-02T08:30:00Z",
    "2031-05-02T09:00:00+01:00",
    "2031-05-02T10:00:00.25+02:00",
    "2031-05-01",
    "2031-05-02",
    "2031-05",
    "",
    "1999-12-31T23:59:59Z",
)
LOGGED = ("2031-05-02T08:30:00Z", "2031-05-02T20:00:00+02:00", "2031-05-04T07:15:00Z")
CLOCKS = ((0, 0), (1_935_477_000_000, 0), (1_935_477_000_000, 1), (1_935_600_000_000, 0))


@dataclass(frozen=True)
class Draft:
    """An entry before it has its number, which is its place in the list unless ``number`` says."""

    body: Body
    act: int
    happened: str = HAPPENED[0]
    after: int | None = None
    logged: str = LOGGED[0]
    clock: tuple[int, int] = CLOCKS[1]
    who: str = "ann"
    number: int | None = None
    unread: str = ""

    def entry(self, place: int) -> Entry:
        """Write it."""
        written = encode(
            id=id_of(place if self.number is None else self.number),
            act=act_of(self.act),
            logbook=LOGBOOK,
            happened_at=self.happened,
            after=None if self.after is None else id_of(self.after),
            logged_at=self.logged,
            clock=self.clock,
            device=DeviceId(f"phone of {self.who}"),
            who=PersonId(self.who),
            body=self.body,
        )
        if not self.unread:
            return written
        document = json.loads(written.raw)
        return decode(canonical(document | json.loads(self.unread)))


_UNREAD = (
    '{"kind": "dreamt"}',
    '{"version": 99}',
    '{"version": 0}',
    '{"body": {"no such field": 1}}',
)


def drafts(body: st.SearchStrategy[Body], *, conflicts: bool = True) -> st.SearchStrategy[Draft]:
    """Entries that have no number yet."""
    numbers = st.integers(0, MOST + 1)
    return st.builds(
        Draft,
        body=body,
        act=st.integers(0, MOST // 2),
        happened=st.sampled_from(HAPPENED),
        after=st.none() | numbers,
        logged=st.sampled_from(LOGGED),
        clock=st.sampled_from(CLOCKS),
        who=st.sampled_from(["ann", "ben"]),
        number=(st.none() | st.none() | st.none() | numbers) if conflicts else st.none(),
        unread=st.sampled_from([""] * 12 + list(_UNREAD)),
    )


def written(drafted: list[Draft]) -> list[Entry]:
    """Give each its number, and write it."""
    return [draft.entry(place) for place, draft in enumerate(drafted)]


_struck = bodies_of(Struck.KIND)
_told = st.one_of(
    bodies(), bodies(), descriptions(), _undone(), _hardware_moved(), bodies_of(SameAs.KIND)
)


_anything = st.one_of(_told, _told, _struck)


def logbooks(
    body: st.SearchStrategy[Body] = _anything, *, least: int = 0, conflicts: bool = True
) -> st.SearchStrategy[list[Entry]]:
    """Whole logbooks, in the order in which somebody might have received them."""
    return st.lists(drafts(body, conflicts=conflicts), min_size=least, max_size=MOST).map(written)
