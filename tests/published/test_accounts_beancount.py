"""The hardware accounts, checked by a ledger program: beancount (https://beancount.github.io).

The movements of generated stories are written as a plain-text journal of double entry, which
beancount reads, checks and adds up by itself; all balances must be those of the state.
"""

from collections import defaultdict

from beancount import loader
from beancount.core import realization
from hypothesis import given, settings

from putback.logbook.accounts import Movement
from tests.makers import vehicle
from tests.makers_logbook import Story
from tests.strategies.stories import hardware_bodies, stories


def journal(movements):
    """Write movements as a beancount journal; give it with its names of accounts and units."""
    accounts, units = {}, {}
    lines = ['option "title" "hardware"']
    days = list(movements)
    for each in days:
        for account in (each.source, each.to):
            accounts.setdefault((account, each.owner), f"Assets:A{len(accounts)}")
        units.setdefault(each.spec, f"U{len(units)}X")
    lines += [f"2031-01-01 open {name}" for name in accounts.values()]
    for each in days:
        unit = units[each.spec]
        lines += [
            f'2031-01-02 * "{each.entry or "as built"}"',
            f"  {accounts[each.source, each.owner]}  -{each.count} {unit}",
            f"  {accounts[each.to, each.owner]}  {each.count} {unit}",
        ]
    return "\n".join(lines) + "\n", accounts, units


def balances(movements):
    """Let beancount read the journal and add up every account."""
    text, accounts, units = journal(movements)
    entries, errors, _ = loader.load_string(text)
    assert errors == []
    real = realization.realize(entries)
    found = defaultdict(int)
    for (account, owner), name in accounts.items():
        held = realization.get(real, name)
        for position in held.balance if held is not None else ():
            spec = next(spec for spec, unit in units.items() if unit == position.units.currency)
            found[account, owner, spec] += int(position.units.number)
    return {key: count for key, count in found.items() if count}


def test_beancount_adds_up_a_story_told_by_hand():
    """Four out, one lost in a count, one found again, one renewed, all back on."""
    story = Story(vehicle("lid - frame: 4 bolt M8x20 + split pin 3 mm!"))
    story("A: undone lid-frame 3 of 4, sheared 1, tag 3CAH", "A: undone lid-frame 4 of 4")
    story("A: counted 3CAH 1 bolt M8x20, 2 split pin 3 mm", "A: bought 2 bolt M8x20 for lid-frame")
    story("A: made lid-frame final, renewed, new 2 bolt M8x20")
    assert balances(story.state.all_movements()) == dict(story.state.balances)
    assert story.state.balances["back on", "joint:lid-frame", "bolt M8x1.25 x 20 mm"] == 4


def test_beancount_would_notice_a_piece_that_vanishes():
    """A journal with one end of a movement changed does not come out the same."""
    story = Story(vehicle("lid - frame: 4 bolt M8x20"))
    story("A: undone lid-frame 4 of 4, tag 3CAH")
    *most, last = story.state.all_movements()
    short = Movement(last.entry, last.owner, last.spec, last.count - 1, last.source, last.to)
    assert balances([*most, short]) != dict(story.state.balances)


@settings(max_examples=40)
@given(stories(hardware_bodies()))
def test_beancount_finds_every_balance(story):
    """Whatever was logged, an independent ledger comes to the same figures."""
    assert balances(story.state.all_movements()) == dict(story.state.balances)
