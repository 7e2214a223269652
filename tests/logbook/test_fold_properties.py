"""The fold under everything that can happen to a logbook, held to an oracle and to itself."""

from random import Random

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from putback.logbook.entries.base import EntryId
from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.fold import Fold, fold
from putback.logbook.snapshot import SnapshotUnreadable
from tests.logbook import oracle
from tests.strategies.entries import (
    LOGBOOK,
    MOST,
    SUBJECTS,
    Draft,
    act_of,
    id_of,
    logbooks,
)

seeds = st.integers(0, 2**32)


def everything(folded: Fold) -> object:
    """All that can be asked of a fold."""
    return (
        folded.state(),
        folded.log(),
        folded.standing_entries(),
        [folded.history(subject) for subject in SUBJECTS],
        [folded.act(act_of(number)) for number in range(MOST)],
    )


@given(logbooks(least=3), seeds)
def test_order_repetition_and_portions_do_not_matter(entries, seed):
    """However entries travel, one set of them gives one state and one digest."""
    random = Random(seed)
    travelled = entries + random.choices(entries, k=random.randint(0, 5))
    random.shuffle(travelled)
    there = Fold(LOGBOOK)
    while travelled:
        portion = random.randint(0, len(travelled))
        there.add(travelled[:portion])
        del travelled[:portion]
    assert everything(there) == everything(fold(entries, LOGBOOK))


@given(logbooks())
def test_after_every_step_the_state_is_that_of_a_full_fold(entries):
    """What is kept up to date entry by entry never differs from what is folded afresh."""
    kept = Fold(LOGBOOK)
    for count, entry in enumerate(entries, start=1):
        kept.add([entry])
        assert everything(kept) == everything(fold(entries[:count], LOGBOOK))


@given(logbooks(least=2))
def test_the_order_and_the_strikes_are_those_of_the_definition(entries):
    """Which entries stand, and in which order, is what a slow reading of the rules says."""
    folded = fold(entries, LOGBOOK)
    assert folded.log().struck == oracle.struck(entries)
    assert [entry.id for entry in folded.standing_entries()] == oracle.standing(entries)


@given(logbooks(least=2))
def test_several_bodies_are_kept_and_the_smaller_digest_is_folded(entries):
    """Whichever came first, every copy folds the same body and names the conflict."""
    folded = fold(entries, LOGBOOK)
    bodies: dict[EntryId, set[str]] = {}
    for entry in entries:
        bodies.setdefault(entry.id, set()).add(entry.digest)
    assert folded.log().conflicts == {
        each: tuple(sorted(found)) for each, found in bodies.items() if len(found) > 1
    }
    for entry in folded.standing_entries():
        assert entry.digest == min(bodies[entry.id])


@given(logbooks(least=1), st.integers(0, MOST))
def test_a_struck_entry_is_as_if_it_had_never_been_made(entries, place):
    """fold(L + strike e) = fold(L without e), whatever e is: a strike of a strike too."""
    victim = entries[place % len(entries)].id
    strike = Draft(Struck(entry=victim), act=MOST + 1, number=MOST + 2).entry(0)
    with_strike = fold([*entries, strike], LOGBOOK)
    without = fold([each for each in entries if each.id != victim], LOGBOOK)
    assert with_strike.state() == without.state()


@given(logbooks(least=1), st.integers(0, MOST))
def test_a_struck_strike_is_as_if_it_had_never_been_made(entries, place):
    """Striking a strike out brings back what it struck, and only that."""
    strikes = [each for each in entries if isinstance(each.body, Struck)]
    assume(strikes)
    victim = strikes[place % len(strikes)].id
    strike = Draft(Struck(entry=victim), act=MOST + 1, number=MOST + 2).entry(0)
    with_strike = fold([*entries, strike], LOGBOOK)
    without = fold([each for each in entries if each.id != victim], LOGBOOK)
    assert with_strike.state() == without.state()


@given(logbooks(least=1), st.integers(0, MOST))
def test_a_struck_act_is_as_if_it_had_never_been_made(entries, place):
    """fold(L + strike of an act) = fold(L without all entries of the act)."""
    act = entries[place % len(entries)].act
    strike = Draft(Struck(act=act), act=MOST + 1, number=MOST + 2).entry(0)
    kept = oracle.kept(entries).values()
    gone = {each.id for each in kept if each.act == act}
    with_strike = fold([*entries, strike], LOGBOOK)
    without = fold([each for each in entries if each.id not in gone], LOGBOOK)
    assert with_strike.state() == without.state()


@given(logbooks(least=3), st.integers(0, MOST), st.integers(0, MOST))
def test_a_fold_begun_from_a_snapshot_goes_on_like_any_other(entries, first, second):
    """A snapshot, and whatever arrives later, late ones and strikes too: one state."""
    stored = {}

    def load(ids):
        asked.extend(ids)
        return [entry for each in ids for entry in stored[each].values()]

    asked: list[EntryId] = []
    first, second = sorted((first % len(entries), second % len(entries)))
    folded = Fold(LOGBOOK)
    for portion in (entries[:first], entries[first:second], entries[second:]):
        for entry in portion:
            stored.setdefault(entry.id, {})[entry.digest] = entry
        folded.add(portion)
        before = folded.state()
        folded = Fold.from_snapshot(folded.snapshot(), load)
        asked.clear()
        assert folded.state() == before
        assert not asked, "a state that was written down was folded again"
    assert everything(folded) == everything(fold(entries, LOGBOOK))


@given(logbooks(least=1), st.data())
def test_a_torn_snapshot_is_recognised(entries, data):
    """A snapshot that is cut off, changed, or of another version is refused, never half used."""
    blob = fold(entries, LOGBOOK).snapshot()
    place = data.draw(st.integers(0, len(blob) - 1))
    other = bytes([blob[place] ^ data.draw(st.integers(1, 255))])
    for torn in (blob[:place], blob[:place] + other + blob[place + 1 :]):
        with pytest.raises(SnapshotUnreadable, match="made again from the entries"):
            Fold.from_snapshot(torn, lambda _: [])


def test_ids_of_the_strategies_are_distinct():
    """The numbers that the strategies give out name that many entries."""
    assert len({id_of(number) for number in range(MOST + 3)}) == MOST + 3
