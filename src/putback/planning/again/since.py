"""What was logged since the last plan, what it speaks of, and how that is said.

A strike speaks of what the struck entry spoke of: the plan changes where that had changed it.
What has been turned round again is no reason for anything: a late note that the gearbox came off
changes nothing where it is on again.
"""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from putback.logbook.entries.base import Entry, EntryId
from putback.logbook.entries.bookkeeping import STRUCK_ACT
from putback.logbook.entries.rebuilding import JointMade, PartOn
from putback.logbook.entries.working import JointUndone, PartOff
from putback.logbook.state import State


@dataclass(frozen=True, slots=True)
class Said:
    """One thing that an entry says, or takes back: about what, in words, and by which entry."""

    subjects: frozenset[str]
    words: str
    entry: EntryId


class Since:
    """All that was logged since the last plan; ``struck`` are entries that strikes in it name."""

    def __init__(self, entries: Sequence[Entry], struck: Collection[Entry], state: State) -> None:
        self.entries = entries
        self._named: dict[str, list[Entry]] = {}
        known: Mapping[str, Entry] = {each.id: each for each in (*struck, *entries)}
        for each in known.values():
            self._named.setdefault(each.id, []).append(each)
            self._named.setdefault(f"{STRUCK_ACT}{each.act}", []).append(each)
        self._state = state
        standing = [entry for entry in entries if not _is_overtaken(entry, state)]
        self.said = [said for entry in standing for said in self._said(entry)]

    def of(self, things: Collection[str]) -> Said | None:
        """The latest that speaks of one of these."""
        return next((s for s in reversed(self.said) if not s.subjects.isdisjoint(things)), None)

    def latest(self) -> Said | None:
        """What was said last of all."""
        return self.said[-1] if self.said else None

    def struck_out(self) -> Iterator[Entry]:
        """What is taken back among all that was logged before, in the order of its striking."""
        for entry in self.entries:
            strikes = entry.body.strikes()
            yield from (
                e for e in self._named.get(strikes, ()) if strikes and not e.body.strikes()
            )

    def _said(self, entry: Entry) -> Iterator[Said]:
        strikes = entry.body.strikes()
        if not strikes:
            yield Said(_subjects(entry), f"logged: {self._sentence(entry)}", entry.id)
            return
        named = self._named.get(strikes, [])
        for each in named:
            yield self._taken_back(each, entry)
        if not named:
            yield Said(frozenset(), f"logged: {self._sentence(entry)}", entry.id)

    def _taken_back(self, struck: Entry, by: Entry) -> Said:
        """What a strike takes back; where a strike is struck, what it took back stands again."""
        verb = "struck out"
        while deeper := self._named.get(struck.body.strikes(), []):
            verb = "let stand again" if verb == "struck out" else "struck out"
            struck = deeper[0]
        return Said(_subjects(struck), f"{verb}: {self._sentence(struck)}", by.id)

    def _sentence(self, entry: Entry) -> str:
        return entry.body.sentence(self._state.name_of)


def _is_overtaken(entry: Entry, state: State) -> bool:
    """Whether what it says of a part or joint is no longer so, whatever came in last."""
    match entry.body:
        case PartOff(part=part) | PartOn(part=part):
            seen = state.parts.get(part)
            return seen is not None and seen.is_off != isinstance(entry.body, PartOff)
        case JointUndone(joint=joint):
            return joint in state.joints and not state.joints[joint].out
        case JointMade(joint=joint):
            return joint in state.joints and state.joints[joint].is_undone
        case _:
            return False


def _subjects(entry: Entry) -> frozenset[str]:
    return frozenset(map(str, entry.body.subjects()))
