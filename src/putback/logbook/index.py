"""The index of a logbook: which entries there are, which stand, in which order, on what.

Entries may come in any order, in any portions and any number of times. The index says after each
portion which subjects have to be folded again; whatever came, the answers to its questions depend
on nothing but the set of entries.
"""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from operator import itemgetter

from putback.logbook.cells.common import Placed
from putback.logbook.clusters import Clusters
from putback.logbook.entries.base import (
    ActId,
    Brief,
    Entry,
    EntryId,
    Flag,
    Subject,
    digest_of_set,
)
from putback.logbook.entries.bookkeeping import STRUCK_ACT
from putback.logbook.order import Key, keys_for
from putback.logbook.rings import components
from putback.logbook.same import Aliases
from putback.logbook.snapshot import Columns

Load = Callable[[Sequence[EntryId]], Iterable[Entry]]
"""Gives entries by their identities, from wherever they are kept."""


@dataclass(frozen=True, slots=True)
class Added:
    """What became of entries given to the fold."""

    new: tuple[EntryId, ...]
    known: int
    conflicts: tuple[EntryId, ...]


@dataclass(frozen=True, slots=True)
class LogFacts:
    """What can be said of the logbook itself, apart from what its entries say.

    ``digest`` is of the set of entries: equal for equal sets, in whatever order they came.
    """

    entries: int
    digest: str
    conflicts: Mapping[EntryId, tuple[str, ...]]
    """Identities that came with several bodies, and the digests of all of them."""
    unread: tuple[EntryId, ...]
    skewed: tuple[EntryId, ...]
    struck: frozenset[EntryId]
    rest_on_struck: tuple[EntryId, ...]
    """Entries that stand, but come after or judge one that is struck out."""


class Index:
    """The entries of one logbook; those it was not given itself it asks ``load`` for."""

    def __init__(self, load: Load | None = None) -> None:
        self._load = load
        self._entries: dict[EntryId, Entry] = {}
        self._briefs: dict[EntryId, Brief] = {}
        self._conflicts: dict[EntryId, set[str]] = {}
        self._acts: dict[ActId, list[EntryId]] = {}
        self._speaking: dict[Subject, dict[EntryId, None]] = {}
        self._followers: dict[EntryId, list[EntryId]] = {}
        self._strikes: dict[str, list[EntryId]] = {}
        self._out: set[EntryId] = set()
        self._keys: dict[EntryId, Key] = {}
        self.clusters = Clusters()
        self.aliases = Aliases()

    # -- taking in --------------------------------------------------------------------------

    def add(self, entries: Iterable[Entry]) -> tuple[Added, set[Subject]]:
        """Take in entries, in any order and any number of times.

        Returns
        -------
        Added
            Which were new, how many were known already, and which came with another body.
        set of Subject
            What has to be folded again.
        """
        new: list[EntryId] = []
        known = 0
        conflicts: list[EntryId] = []
        spared: list[EntryId] = []
        dirty: set[Subject] = set()
        for entry in entries:
            brief = self._briefs.get(entry.id)
            if brief is None:
                new.append(entry.id)
            elif brief.digest == entry.digest or entry.digest in self._conflicts.get(entry.id, ()):
                known += 1
                continue
            else:
                conflicts.append(entry.id)
                self._conflicts.setdefault(entry.id, {brief.digest}).add(entry.digest)
                if brief.digest < entry.digest:
                    continue
                self._withdraw(entry.id, brief)
                dirty.update(brief.subjects)
                spared += self._targets(brief)
            self._entries[entry.id] = entry
            self._enter(entry.id, entry.brief)
            dirty.update(entry.brief.subjects)
        arrived = [*new, *conflicts]
        dirty |= self._restrike([*arrived, *spared])
        dirty |= self._replace_keys(arrived)
        return Added(tuple(new), known, tuple(conflicts)), dirty

    def _enter(self, identity: EntryId, brief: Brief) -> None:
        self._briefs[identity] = brief
        self._acts.setdefault(brief.act, []).append(identity)
        for each in brief.follows:
            self._followers.setdefault(each, []).append(identity)
        if brief.strikes:
            self._strikes.setdefault(brief.strikes, []).append(identity)
        for subject in brief.subjects:
            self._speaking.setdefault(self.aliases.of(subject), {})[identity] = None
        if brief.links:
            self.clusters.join(brief.subjects)

    def _withdraw(self, identity: EntryId, brief: Brief) -> None:
        """Take out an entry whose other body is the one to fold."""
        self._acts[brief.act].remove(identity)
        for each in brief.follows:
            self._followers[each].remove(identity)
        if brief.strikes:
            self._strikes[brief.strikes].remove(identity)
        for subject in brief.subjects:
            self._speaking[self.aliases.of(subject)].pop(identity, None)

    # -- striking out -----------------------------------------------------------------------

    def _targets(self, brief: Brief) -> list[EntryId]:
        if brief.strikes.startswith(STRUCK_ACT):
            return list(self._acts.get(ActId(brief.strikes.removeprefix(STRUCK_ACT)), ()))
        return [EntryId(brief.strikes)] if brief.strikes in self._briefs else []

    def _strikers(self, identity: EntryId) -> list[EntryId]:
        of_act = self._strikes.get(f"{STRUCK_ACT}{self._briefs[identity].act}", ())
        return [*self._strikes.get(identity, ()), *of_act]

    def _restrike(self, changed: Iterable[EntryId]) -> set[Subject]:
        """Work out anew who is struck out, from the entries that may have changed that."""
        affected: dict[EntryId, None] = {}
        queue = list(changed) if self._strikes else []
        while queue:
            identity = queue.pop()
            if identity not in affected:
                affected[identity] = None
                queue.extend(self._targets(self._briefs[identity]))
        verdicts: dict[EntryId, bool | None] = {}
        for ring in components(filter(self._strikers, affected), self._strikers):
            self._judge(ring, verdicts)
        dirty: set[Subject] = set()
        for identity in affected:
            dirty |= self._set_out(identity, out=verdicts.get(identity, False) is True)
        return dirty

    def _judge(self, ring: Collection[EntryId], verdicts: dict[EntryId, bool | None]) -> None:
        """Say who of a ring is struck out; ``None`` where a ring of strikes leaves it in doubt.

        What stands for certain strikes, what is in doubt does not: the grounded extension of
        Dung (Artificial Intelligence 77, 1995), with strikes as attacks. So whatever is struck
        out for certain is as if it had never been made, also inside a ring.
        """
        verdicts.update(dict.fromkeys(ring))
        settled = True
        while settled:
            settled = False
            for identity in ring:
                strikers = [verdicts[each] for each in self._strikers(identity)]
                if verdicts[identity] is not None:
                    continue
                if any(out is False for out in strikers):
                    verdicts[identity] = settled = True
                elif all(strikers):
                    verdicts[identity], settled = False, True

    def _set_out(self, identity: EntryId, *, out: bool) -> set[Subject]:
        if out == (identity in self._out):
            return set()
        (self._out.add if out else self._out.discard)(identity)
        return set(self._briefs[identity].subjects) | self._replace_keys([identity])

    # -- order ------------------------------------------------------------------------------

    def _replace_keys(self, identities: Iterable[EntryId]) -> set[Subject]:
        """Forget the keys of entries and of all that come after them."""
        dirty: set[Subject] = set()
        queue = list(identities)
        seen: set[EntryId] = set()
        while queue:
            identity = queue.pop()
            if identity in seen:
                continue
            seen.add(identity)
            self._keys.pop(identity, None)
            for follower in self._followers.get(identity, ()):
                dirty.update(self._briefs[follower].subjects)
                queue.append(follower)
        return dirty

    def _standing_entry(self, identity: EntryId) -> Entry | None:
        if identity in self._out or identity not in self._briefs:
            return None
        return self._get([identity])[0]

    def _get(self, identities: Sequence[EntryId]) -> list[Entry]:
        missing = [each for each in identities if each not in self._entries]
        if missing:
            if self._load is None:
                raise LookupError(f"{len(missing)} entries are not at hand and cannot be loaded")
            for entry in self._load(missing):
                if entry.digest == self._briefs[entry.id].digest:
                    self._entries[entry.id] = entry
        return [self._entries[each] for each in identities]

    def fetch(self, subjects: Iterable[Subject]) -> None:
        """Have the entries on some subjects at hand: asked for at once, not one by one."""
        if self._load is not None:
            self._get(self._standing_on(subjects))

    def _standing_on(self, subjects: Iterable[Subject]) -> list[EntryId]:
        speaking = {
            identity
            for subject in subjects
            for identity in self._speaking.get(subject, ())
            if identity not in self._out
        }
        return list(speaking)

    def in_order(self, subjects: Iterable[Subject]) -> list[Placed]:
        """Give the standing entries on some subjects, each once, in their order."""
        entries = self._get(self._standing_on(subjects))
        keys_for(entries, self._standing_entry, self._keys)
        return sorted(((self._keys[entry.id], entry) for entry in entries), key=itemgetter(0))

    # -- asking -----------------------------------------------------------------------------

    def subjects(self) -> set[Subject]:
        """Give everything that any entry speaks of."""
        return set(self._speaking)

    def rename(self, aliases: Aliases) -> None:
        """Let parts go by other names from now on."""
        self.aliases = aliases
        self._speaking = {}
        for identity, brief in self._briefs.items():
            for subject in brief.subjects:
                self._speaking.setdefault(aliases.of(subject), {})[identity] = None

    def standing_entries(self) -> tuple[Entry, ...]:
        """Give every entry that is not struck out, in the order of the logbook."""
        entries = self._get([each for each in self._briefs if each not in self._out])
        keys_for(entries, self._standing_entry, self._keys)
        return tuple(sorted(entries, key=lambda entry: self._keys[entry.id]))

    def act(self, act: ActId) -> tuple[EntryId, ...]:
        """Give the entries of one act."""
        return tuple(sorted(self._acts.get(act, ())))

    def facts(self) -> LogFacts:
        """Give the facts about the logbook itself."""
        digests = (
            digest
            for identity, brief in self._briefs.items()
            for digest in self._conflicts.get(identity, {brief.digest})
        )
        flagged = {
            flag: tuple(sorted(each for each, brief in self._briefs.items() if brief.flag is flag))
            for flag in (Flag.UNREAD, Flag.SKEWED)
        }
        return LogFacts(
            entries=len(self._briefs),
            digest=digest_of_set(digests),
            conflicts={each: tuple(sorted(found)) for each, found in self._conflicts.items()},
            unread=flagged[Flag.UNREAD],
            skewed=flagged[Flag.SKEWED],
            struck=frozenset(self._out),
            rest_on_struck=tuple(
                sorted(
                    {
                        follower
                        for struck in self._out
                        for follower in self._followers.get(struck, ())
                        if follower not in self._out and not self._briefs[follower].strikes
                    }
                )
            ),
        )

    # -- snapshots --------------------------------------------------------------------------

    def columns(self) -> Columns:
        """Give what is known of each entry, without the entries."""
        briefs = self._briefs
        return Columns(
            ids=list(briefs),
            digests=[brief.digest for brief in briefs.values()],
            acts=[brief.act for brief in briefs.values()],
            subjects=[brief.subjects for brief in briefs.values()],
            follows={each: brief.follows for each, brief in briefs.items() if brief.follows},
            strikes={each: brief.strikes for each, brief in briefs.items() if brief.strikes},
            links=[each for each, brief in briefs.items() if brief.links],
            flags={each: brief.flag for each, brief in briefs.items() if brief.flag},
            conflicts={each: sorted(found) for each, found in self._conflicts.items()},
            struck=sorted(self._out),
        )

    def restore(self, columns: Columns) -> None:
        """Begin from what `columns` once gave."""
        links = set(columns.links)
        for identity, digest, act, subjects in zip(
            columns.ids, columns.digests, columns.acts, columns.subjects, strict=True
        ):
            self._enter(
                identity,
                Brief(
                    digest,
                    act,
                    subjects,
                    columns.follows.get(identity, ()),
                    columns.strikes.get(identity, ""),
                    identity in links,
                    columns.flags.get(identity, Flag.NONE),
                ),
            )
        self._conflicts = {each: set(found) for each, found in columns.conflicts.items()}
        self._out = set(columns.struck)
