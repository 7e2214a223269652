"""Three stores and three processes on each: however entries travel, all come to one state."""

from collections.abc import Sequence
from itertools import count
from pathlib import Path
from random import Random

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    Bundle,
    RuleBasedStateMachine,
    initialize,
    invariant,
    multiple,
    rule,
    run_state_machine_as_test,
)

from putback.logbook.accounts import trial_balance
from putback.logbook.entries.base import Body, DeviceId, Entry, LogbookId
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import Described, SameAs
from putback.logbook.entries.keeping import PutIn
from putback.logbook.entries.working import JointUndone, NoteMade, PartOff
from putback.logbook.fold import Fold
from putback.workshop.exchange.exchange import export_bundle, take_in
from putback.workshop.logbooks import look
from putback.workshop.logbooks.identity import Identities
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.ports import EntryStore
from putback.workshop.logbooks.workshop import Workshop
from tests.stores import ANN, BEN, Phone

pytestmark = [pytest.mark.slow, pytest.mark.postgres]

PARTS = st.sampled_from(["wing", "door", "hood"])
JOINTS = st.sampled_from(["bolts", "hinge"])
TAGS = st.sampled_from(["3CAH", "K7F4"])
BODIES = st.one_of(
    st.builds(PartOff, part=PARTS, tag=st.none() | TAGS),
    st.builds(JointUndone, joint=JOINTS, out=st.integers(0, 4), of=st.just(4), tag=TAGS),
    st.builds(PutIn, what=PARTS.map(lambda part: f"part:{part}"), tag=TAGS),
    st.builds(SameAs, part=PARTS, same_as=PARTS),
    st.builds(NoteMade, text=st.text(max_size=5).filter(str.isprintable)),
    st.builds(
        Described,
        table=st.just("joints"),
        id=JOINTS,
        fields=st.fixed_dictionaries({"name": st.sampled_from(["left", "right"])}),
    ),
)

_numbers = count(1)


class StoresAgree(RuleBasedStateMachine):
    """People write on three phones; what they write reaches the stores in any portions."""

    written = Bundle("written")

    def __init__(self, stores: Sequence[EntryStore], folder: Path) -> None:
        super().__init__()
        self.stores = stores
        self.folder = folder
        self.logbook = LogbookId(f"vehicle-{next(_numbers)}")
        self.delivered: list[dict[tuple[str, str], Entry]] = [{} for _ in stores]
        self.all: dict[tuple[str, str], Entry] = {}
        self.processes: list[list[Workshop]] = []

    @initialize()
    def open(self) -> None:
        """One logbook in every store, which several processes have open."""
        for store in self.stores:
            store.create_logbook(self.logbook, self.logbook, ANN)
            self.processes.append([Workshop(store, MemoryPhotoStore()) for _ in range(3)])
        self.phones = [
            Phone(
                DeviceId(f"phone {number}"),
                who,
                self.logbook,
                identities=Identities(Random(number).getrandbits),  # so that a failure repeats
            )
            for number, who in enumerate((ANN, BEN, ANN))
        ]

    # -- writing ----------------------------------------------------------------------------

    @rule(target=written, phone=st.integers(0, 2), bodies=st.lists(BODIES, min_size=1, max_size=3))
    def act(self, phone: int, bodies: list[Body]):
        """One act of one to three entries."""
        first = self._written(phone, bodies[0])
        others = [self._written(phone, body, act=first.act) for body in bodies[1:]]
        return multiple(first, *others)

    @rule(target=written, phone=st.integers(0, 2), entry=written, whole=st.booleans())
    def strike(self, phone: int, entry: Entry, whole: bool) -> Entry:
        """An entry or its act is struck out: be it a strike itself, or not there yet."""
        body = Struck(act=entry.act) if whole else Struck(entry=entry.id)
        return self._written(phone, body)

    @rule(target=written, phone=st.integers(0, 2), entry=written, body=BODIES)
    def write_over(self, phone: int, entry: Entry, body: Body) -> Entry:
        """A broken phone gives an identity out twice."""
        return self._written(phone, body, id=entry.id)

    # -- travelling -------------------------------------------------------------------------

    @rule(to=st.integers(0, 2), entries=st.lists(written, min_size=1, max_size=6))
    def deliver(self, to: int, entries: list[Entry]) -> None:
        """Some entries reach a store, some of them twice, in some order."""
        there = self.delivered[to]
        new = {(entry.id, entry.digest): entry for entry in entries}
        appended = self.stores[to].append(self.logbook, entries, "a phone")
        assert len(appended.new) == len(new.keys() - there.keys())
        assert len(appended.new) + len(appended.known) == len(entries)
        there |= new
        assert appended.position == len(there)

    @rule(start=st.integers(0, 2), to=st.integers(0, 2), after=st.integers(0, 5))
    def carry_over(self, start: int, to: int, after: int) -> None:
        """What a store received after some position is carried to another one, as bytes."""
        source = self.processes[start][0]
        lines = [stored.raw for stored in source.since(self.logbook, after)]
        self.processes[to][1].receive(self.logbook, lines, received_from="a stick")
        self.delivered[to] |= {
            key: self.delivered[start][key]
            for stored in source.since(self.logbook, after)
            for key in [(stored.entry, stored.digest)]
        }

    @rule(start=st.integers(0, 2), to=st.integers(0, 2))
    def carry_over_by_bundle(self, start: int, to: int) -> None:
        """All that a store has is handed over in a bundle and merged there."""
        path = self.folder / "vehicle.zip"
        export_bundle(self.processes[start][2], self.logbook, path)
        taken = take_in(self.processes[to][0], path, who=BEN)
        assert taken.entries == len(self.delivered[start].keys() - self.delivered[to].keys())
        assert not taken.is_new
        self.delivered[to] |= self.delivered[start]

    # -- looking ----------------------------------------------------------------------------

    @rule(at=st.integers(0, 2), process=st.integers(0, 2))
    def look(self, at: int, process: int) -> None:
        """Whoever looks sees what all that arrived folds to, from zero."""
        self._compare(at, process)

    @rule(at=st.integers(0, 2), process=st.integers(0, 2))
    def start_anew(self, at: int, process: int) -> None:
        """A process ends; another one begins, from a snapshot or from zero."""
        self.processes[at][process] = Workshop(self.stores[at], MemoryPhotoStore())

    @invariant()
    def all_is_there_once(self) -> None:
        """Rows are what was delivered, numbered without gaps."""
        for store, there in zip(self.stores, self.delivered, strict=True):
            if self.processes:
                rows = list(store.read(self.logbook))
                assert [row.position for row in rows] == list(range(1, len(there) + 1))
                assert {(row.entry, row.digest): row.raw for row in rows} == {
                    key: entry.raw for key, entry in there.items()
                }

    def teardown(self) -> None:
        """In the end everything reaches everybody, and all agree."""
        if not self.processes:
            return
        for to, store in enumerate(self.stores):
            entries = list(self.all.values())
            store.append(self.logbook, entries[::-1] if to else entries, "the end")
            self.delivered[to] = dict(self.all)
        seen = [self._compare(at, process) for at in range(3) for process in range(3)]
        assert all(each == seen[0] for each in seen)

    # -- inside -----------------------------------------------------------------------------

    def _written(self, phone: int, body: Body, **envelope: str) -> Entry:
        entry = self.phones[phone].entry(body, **envelope)
        self.all[entry.id, entry.digest] = entry
        return entry

    def _compare(self, at: int, process: int):
        fold = Fold(self.logbook)
        fold.add(self.delivered[at].values())
        workshop = self.processes[at][process]
        state, facts = workshop.state(self.logbook), workshop.facts(self.logbook)
        assert state == fold.state()
        assert facts == fold.log()
        assert sum(trial_balance(state.all_movements()).values()) == 0
        return state, facts


def test_stores_and_processes_agree(opener, monkeypatch, tmp_path):
    """Memory, SQLite and PostgreSQL under any interleaving: one set of entries, one state."""
    monkeypatch.setattr(look, "SNAPSHOT_AFTER", 3)
    stores = [MemoryEntryStore(), opener.open("sqlite").entries, opener.open("postgresql").entries]
    run_state_machine_as_test(
        lambda: StoresAgree(stores, tmp_path), settings=settings(stateful_step_count=30)
    )
