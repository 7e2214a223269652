"""Settling what two people logged otherwise: each way out of it is one tap."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from hashlib import sha256
from typing import cast

from putback.errors import BadInput
from putback.logbook.entries.base import ActId, Body, DeviceId, Entry, EntryId, LogbookId, PersonId
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import Described, OneAndSame
from putback.logbook.entries.keeping import ContainerMade
from putback.logbook.entries.working import JointUndone, NoteMade, PartOff, StandingChanged
from putback.logbook.open_items import OpenItem
from putback.logbook.open_items.described_twice import words_of
from putback.logbook.open_items.item import entries_of
from putback.logbook.state import State
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.look import read_entry
from putback.workshop.logbooks.open_now import open_now
from putback.workshop.logbooks.sayers import sayers_of
from putback.workshop.logbooks.workshop import Act, Workshop

BOTH = "both"
"""The key of the way by which all of them are right."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way to settle it: what the button says, whose word it is, and what it logs."""

    key: str
    words: str
    who: str
    happened_at: str
    bodies: tuple[Body, ...]


@dataclass(frozen=True, slots=True)
class Double:
    """Something that was told twice, and the ways to settle it."""

    item: OpenItem
    ways: tuple[Way, ...]

    @property
    def key(self) -> str:
        """By which a form names it."""
        return _key_of(self.item)


def doubles(
    workshop: Workshop,
    logbook: LogbookId,
    items: Iterable[OpenItem],
    names: Mapping[PersonId, str] | None = None,
) -> tuple[Double, ...]:
    """Give those of the open items that one tap settles, in their order.

    ``names`` says how people are called, where the logbook does not say it well enough.
    """
    chosen = [each for each in items if each.rule in _WAYS]
    if not chosen:
        return ()
    state, sayers = in_its_garage(workshop, logbook), sayers_of(workshop, logbook, names)
    found = []
    for item in chosen:
        entries = _entries(workshop, logbook, item.causes)
        who = {_keeping(each): sayers.words(each.id, each.who) for each in entries}
        ways = _WAYS[item.rule](state, item, entries)
        found.append(
            Double(item, tuple(replace(each, who=who.get(each.key, "")) for each in ways))
        )
    return tuple(each for each in found if each.ways)


def without(items: Iterable[OpenItem], told: Iterable[Double]) -> tuple[OpenItem, ...]:
    """Give the open items that are not told with their ways out already."""
    shown = {each.item for each in told}
    return tuple(each for each in items if each not in shown)


def settle(
    workshop: Workshop,
    logbook: LogbookId,
    double: str,
    way: str,
    *,
    who: PersonId,
    device: DeviceId,
    as_act: ActId | None = None,
) -> Act:
    """Log one way out of a double.

    Raises
    ------
    BadInput
        If it is not open any more: somebody else settled it.
    """
    for each in doubles(workshop, logbook, open_now(workshop, logbook)):
        for one in each.ways:
            if (each.key, one.key) == (double, way):
                return workshop.log(logbook, one.bodies, who=who, device=device, as_act=as_act)
    raise BadInput("this is settled already", mend="look at the page again; nothing was changed")


def _key_of(item: OpenItem) -> str:
    return sha256(" ".join((item.rule, item.subject, *item.causes)).encode()).hexdigest()[:16]


def _entries(workshop: Workshop, logbook: LogbookId, ids: Sequence[EntryId]) -> list[Entry]:
    """Give the entries of these identities, in the order in which they are named."""
    found = {row.entry: read_entry(row) for row in workshop.store.load(logbook, ids)}
    return [found[each] for each in ids if each in found]


# -- the ways -----------------------------------------------------------------------------------

_Ways = Callable[[State, OpenItem, list[Entry]], tuple[Way, ...]]


def _keeping(entry: Entry) -> str:
    return f"keep {entry.id}"


def _way(entry: Entry, words: str, *bodies: Body) -> Way:
    return Way(_keeping(entry), words, "", entry.happened_at, bodies)


def _both(item: OpenItem, entries: Sequence[Entry], words: str) -> tuple[Way, ...]:
    if len(entries) < 2:
        return ()
    named = tuple(each.id for each in entries)
    return (Way(BOTH, words, "", "", (OneAndSame(entries=named, subject=item.subject),)),)


def _strike_others(kept: Entry, entries: Iterable[Entry], why: str) -> tuple[Body, ...]:
    return tuple(Struck(entry=each.id, why=why) for each in entries if each.id != kept.id)


def _counts(state: State, item: OpenItem, entries: list[Entry]) -> tuple[Way, ...]:
    """Two counts of one joint: one and the same, with the right one."""
    if len(entries) < 2:
        return ()
    named = tuple(each.id for each in entries)
    ways: dict[int, Way] = {}
    for entry in entries:
        if isinstance(body := entry.body, JointUndone):
            joint = state.joints.get(body.joint)
            of = body.of or (joint.of if joint else 1)
            out = of if body.out is None else body.out
            same = OneAndSame(entries=named, subject=item.subject, settled=out)
            ways.setdefault(out, _way(entry, f"{out} of {of} are out", same))
    return tuple(ways.values())


def _bags(state: State, item: OpenItem, entries: list[Entry]) -> tuple[Way, ...]:
    """One joint's hardware in two bags: the entry with the wrong one goes."""
    if len(entries) < 2:
        return ()  # the other one is settled: this one is looked at by itself
    ways = []
    for entry in entries:
        if isinstance(body := entry.body, JointUndone):
            tags = [body.tag, *(went.tag for went in body.went)]
            named = " and ".join(dict.fromkeys(tag for tag in tags if tag))
            if named:
                others = _strike_others(entry, entries, f"it is in {named}")
                ways.append(_way(entry, f"all of it is in {named}", *others))
    return (*ways, *_both(item, entries, "some of it is in each"))


def _places(state: State, item: OpenItem, entries: list[Entry]) -> tuple[Way, ...]:
    """One part off to two places."""
    if len(entries) < 2:
        return ()
    ways = []
    for entry in entries:
        if isinstance(body := entry.body, PartOff):
            where = body.tag or state.name_of(f"place:{body.place}")
            others = _strike_others(entry, entries, f"it is in {where}")
            ways.append(_way(entry, f"it is in {where}", *others))
    last = ways[-1].words.removeprefix("it is in ") if ways else ""
    return (*ways, *_both(item, entries, f"it was moved, and is in {last}"))


def _standings(state: State, item: OpenItem, entries: list[Entry]) -> tuple[Way, ...]:
    """Two words on how it stands."""
    ways = []
    for entry in entries:
        if isinstance(body := entry.body, StandingChanged):
            name = state.name_of(f"standing:{body.standing}")
            others = _strike_others(entry, entries, f"it stands {name}")
            ways.append(_way(entry, f"I looked: it stands {name}", *others))
    last = ways[-1].words.removeprefix("I looked: it stands ") if ways else ""
    return (*ways, *_both(item, entries, f"it was changed twice, and stands {last}"))


def _tags(state: State, item: OpenItem, entries: list[Entry]) -> tuple[Way, ...]:
    """One tag on two bags: only that it is one bag can be said by a tap."""
    made = [each for each in entries if isinstance(each.body, ContainerMade)]
    return _both(item, made, "there is only one bag")


def _descriptions(state: State, item: OpenItem, entries: list[Entry]) -> tuple[Way, ...]:
    """Fields of one record given otherwise: what one person said of them is said once more."""
    by_id = {each.id: each for each in entries}
    contests = state.contested.get(item.subject, ())
    ways = []
    for who in dict.fromkeys(one.said.who for each in contests for one in each.tellings):
        theirs = [(each, one) for each in contests for one in each.tellings if one.said.who == who]
        named = entries_of(*(one.said for each, _ in theirs for one in each.tellings))
        values = {
            each.field: _described(by_id[one.said.entry]).fields[each.field]
            for each, one in theirs
        }
        last = by_id[theirs[-1][1].said.entry]
        said = Described(table=_described(last).table, id=_described(last).id, fields=values)
        words = ", ".join(words_of(each, one) for each, one in theirs)
        same = OneAndSame(entries=named, subject=item.subject)
        ways.append(_way(last, words, same, said))
    return tuple(ways)


def _described(entry: Entry) -> Described:
    return cast("Described", entry.body)


def _forms(state: State, item: OpenItem, entries: list[Entry]) -> tuple[Way, ...]:
    """One identity with two bodies: the one that counts is right, or is struck out."""
    if not entries:
        return ()
    entry = entries[0]
    sentence = entry.body.sentence(state.name_of)
    right = NoteMade(text="looked at, and right", of=(item.subject,))
    gone = Struck(entry=entry.id, why="it came in two forms")
    return (
        _way(entry, f"it is right: {sentence}", right),
        Way("strike", "it is wrong: strike it out", "", "", (gone,)),
    )


_WAYS: Mapping[str, _Ways] = {
    "counts disagree": _counts,
    "hardware in two bags": _bags,
    "part in two places": _places,
    "standings disagree": _standings,
    "tag on two bags": _tags,
    "described twice": _descriptions,
    "same id two bodies": _forms,
}
"""How each kind of double is settled, by the rule that finds it."""
