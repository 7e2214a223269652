"""One logbook on three phones: whatever reaches whom when, what each shows is what it knows."""

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from putback.logbook.accounts import trial_balance
from putback.logbook.entries.base import Entry
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.fold import Fold, fold
from tests.logbook import oracle
from tests.strategies.entries import LOGBOOK, MOST, Draft, bodies, drafts

PHONES = st.integers(0, 2)


class Logbooks(RuleBasedStateMachine):
    """Three folds of one logbook, each with the entries that reached it."""

    def __init__(self) -> None:
        super().__init__()
        self.entries: list[Entry] = []
        self.reached: list[dict[str, Entry]] = [{}, {}, {}]
        """By phone: what has reached it, by digest; once, lest each merging doubles it."""
        self.folds = [Fold(LOGBOOK) for _ in range(3)]

    def _reach(self, phone: int, entries: list[Entry]) -> None:
        self.reached[phone] |= {entry.digest: entry for entry in entries}
        self.folds[phone].add(entries)

    @rule(phone=PHONES, draft=drafts(bodies()))
    def log(self, phone: int, draft: Draft) -> None:
        """Somebody logs something; another body of an identity that is there is a conflict."""
        entry = draft.entry(len(self.entries) % (MOST + 2))
        self.entries.append(entry)
        self._reach(phone, [entry])

    @precondition(lambda self: self.entries)
    @rule(phone=PHONES, what=st.integers(0, 10**6), whole_act=st.booleans())
    def strike(self, phone: int, what: int, whole_act: bool) -> None:
        """Somebody strikes out an entry, a strike included, or all of its act."""
        target = self.entries[what % len(self.entries)]
        body = Struck(act=target.act) if whole_act else Struck(entry=target.id)
        entry = Draft(body, act=MOST + len(self.entries), number=100 + len(self.entries)).entry(0)
        self.entries.append(entry)
        self._reach(phone, [entry])

    @precondition(lambda self: self.entries)
    @rule(phone=PHONES, portion=st.lists(st.integers(0, 10**6), max_size=6))
    def hear(self, phone: int, portion: list[int]) -> None:
        """Any entries reach a phone, in any order, known ones too."""
        self._reach(phone, [self.entries[each % len(self.entries)] for each in portion])

    @rule(phone=PHONES, other=PHONES)
    def merge(self, phone: int, other: int) -> None:
        """A phone hears all that another knows, and they show the same from then on."""
        self._reach(phone, [*self.reached[other].values()][::-1])
        self._reach(other, [*self.reached[phone].values()])
        assert self.folds[phone].state() == self.folds[other].state()
        assert self.folds[phone].log() == self.folds[other].log()

    @rule(phone=PHONES)
    def restart(self, phone: int) -> None:
        """The program ends and begins again from its snapshot."""
        reached = self.reached[phone].values()

        def load(ids):
            wanted = set(ids)
            return [entry for entry in reached if entry.id in wanted]

        self.folds[phone] = Fold.from_snapshot(self.folds[phone].snapshot(), load)

    @invariant()
    def shows_what_it_knows(self) -> None:
        """Each phone's state is that of a full fold of what reached it, and its books balance."""
        for kept, reached in zip(self.folds, self.reached, strict=True):
            state = kept.state()
            full = fold(reached.values(), LOGBOOK)
            assert state == full.state()
            assert kept.log() == full.log()
            assert sum(trial_balance(state.all_movements()).values()) == 0
            assert kept.log().struck == oracle.struck(reached.values())

    def teardown(self) -> None:
        """In the end everything reaches everybody: one state, in the order of the definition."""
        for phone in range(3):
            self._reach(phone, self.entries[phone:] + self.entries[:phone])
        full = fold(self.entries, LOGBOOK)
        for kept in self.folds:
            assert kept.state() == full.state()
            assert kept.log() == full.log()
            assert [e.id for e in kept.standing_entries()] == oracle.standing(self.entries)


TestLogbooks = Logbooks.TestCase
# Every step folds three logbooks whole: a fifth of the profile's examples keeps the time limit,
# which would else fall into the middle of an addition and look like a fault.
TestLogbooks.settings = settings(max_examples=settings().max_examples // 5)
TestLogbooks.__doc__ = "Any interleaving, repetition and portions of a logbook give one state."
