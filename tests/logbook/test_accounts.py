"""Hardware accounts by double entry: whatever is logged, every piece stays somewhere."""

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from putback.logbook.accounts import (
    AS_BUILT,
    AT_REST,
    BACK_ON,
    BOUGHT,
    FOUND,
    ON_VEHICLE,
    Movement,
    in_tag,
    trial_balance,
)
from putback.logbook.fold import Fold, fold
from tests.makers_logbook import LOGBOOK
from tests.strategies.entries import LOGBOOK as WILD
from tests.strategies.entries import logbooks
from tests.strategies.stories import VEHICLE, hardware_bodies, stories

SOURCES = {AS_BUILT, BOUGHT, FOUND}


def moved(count, source, to, spec="bolt M8", owner="joint:J", entry="e"):
    """One movement."""
    return Movement(entry, owner, spec, count, source, to)


def test_a_movement_leaves_one_account_and_enters_another():
    """Four were there as built, three go into a bag."""
    movements = [moved(4, AS_BUILT, ON_VEHICLE), moved(3, ON_VEHICLE, in_tag("3CAH"))]
    assert trial_balance(movements) == {AS_BUILT: -4, ON_VEHICLE: 1, in_tag("3CAH"): 3}
    assert sum(trial_balance(movements).values()) == 0


def test_what_waits_to_go_back_is_not_at_rest():
    """A bag must be empty at the end; the vehicle must not."""
    assert BACK_ON in AT_REST
    assert in_tag("3CAH") not in AT_REST


@given(stories(hardware_bodies()))
def test_the_trial_balance_is_nothing_after_every_entry(story):
    """The books balance after every prefix, and only the sources ever go below nothing."""
    fold = Fold(LOGBOOK)
    for entry in story.entries:
        fold.add([entry])
        state = fold.state()
        assert sum(trial_balance(state.all_movements()).values()) == 0
        below = {account for (account, _, _), count in state.balances.items() if count < 0}
        assert below <= SOURCES


@given(logbooks())
def test_the_books_balance_whatever_a_phone_sends(entries):
    """With strikes, rings, conflicts and late entries too."""
    state = fold(entries, WILD).state()
    assert sum(trial_balance(state.all_movements()).values()) == 0
    assert {key[0] for key, count in state.balances.items() if count < 0} <= SOURCES


@given(stories(hardware_bodies()))
def test_balances_are_the_sums_of_the_movements(story):
    """By account, owner and specification, added up by other means."""
    total: Counter[tuple[str, str, str]] = Counter()
    for each in story.state.all_movements():
        assert each.count > 0
        assert each.source != each.to
        total[each.source, each.owner, each.spec] -= each.count
        total[each.to, each.owner, each.spec] += each.count
    assert dict(story.state.balances) == {key: count for key, count in total.items() if count}


@given(stories(hardware_bodies()))
def test_no_piece_is_forgotten_or_made_up(story):
    """Of each joint, what is anywhere is what was built, bought or found."""
    for joint in VEHICLE.joints:
        owner = f"joint:{joint}"
        own = {key: count for key, count in story.state.balances.items() if key[1] == owner}
        here = sum(count for count in own.values() if count > 0)
        came = -sum(count for count in own.values() if count < 0)
        assert here == came


@given(stories(hardware_bodies()), st.data())
def test_a_movement_names_the_entry_that_caused_it(story, data):
    """Strike the entry, and its movements are gone from the journal."""
    told = sorted({each.entry for each in story.state.all_movements() if each.entry})
    if told:
        entry = data.draw(st.sampled_from(told))
        story.strike(entry)
        assert entry not in {each.entry for each in story.state.all_movements()}
