"""Two descriptions of one part, joined and parted again."""

import networkx
from hypothesis import given
from hypothesis import strategies as st

from putback.logbook.entries.bookkeeping import Struck
from putback.logbook.entries.describing import Described, SameAs
from putback.logbook.entries.keeping import Moved
from putback.logbook.entries.working import PartOff
from putback.logbook.fold import fold
from putback.logbook.same import Aliases
from tests.strategies.entries import Draft, id_of

PARTS = st.sampled_from("abcdef")


@given(st.lists(st.tuples(PARTS, PARTS)), st.randoms())
def test_groups_are_joined_in_whatever_order_they_are_told(pairs, random):
    """Who belongs together is connectivity; by which name, no order changes."""
    names = Aliases.from_pairs(pairs).names
    told_otherwise = list(pairs) * 2
    random.shuffle(told_otherwise)
    assert Aliases.from_pairs(told_otherwise).names == names
    for group in networkx.connected_components(networkx.Graph(pairs)):
        chiefs = {names.get(part, part) for part in group}
        assert len(chiefs) == 1
        never_another = group - {part for part, same_as in pairs if part != same_as}
        assert chiefs == {min(never_another or group)}


STORY = [
    Draft(PartOff(part="box-17", tag="3CAH"), act=1).entry(1),
    Draft(Described(table="parts", id="heater", fields={"name": "heater", "mass_kg": 4}), act=2),
    Draft(Moved(what="part:box-17", place="barn"), act=3, happened="2031-05-02T11:00:00Z"),
    Draft(Described(table="joints", id="j", fields={"parts": ["box-17", "frame"]}), act=4),
    Draft(SameAs(part="box-17", same_as="heater"), act=5),
]
STORY = [each.entry(n) if isinstance(each, Draft) else each for n, each in enumerate(STORY, 1)]


@given(st.permutations(STORY))
def test_what_was_said_of_either_holds_for_the_one(entries):
    """Whatever came first, there is one part, with the history of both, and joints name it."""
    state = fold(entries).state()
    assert set(state.parts) == {"heater"}
    heater = state.parts["heater"]
    assert heater.is_off
    assert heater.common.place == "barn"
    assert set(state.vehicle.parts) == {"heater"}
    assert state.vehicle.joints["j"].parts == ("heater", "frame")
    assert state.undescribed == frozenset()
    history = fold(entries).history("part:box-17")
    assert [entry.kind for entry in history] == ["part off", "moved"]
    assert history == fold(entries).history("part:heater")


@given(st.permutations([*STORY, Draft(Struck(entry=id_of(5)), act=6).entry(6)]))
def test_it_can_be_struck_out_again(entries):
    """They are two parts as before: nothing was merged for good."""
    assert fold(entries).state() == fold(STORY[:4]).state()
    assert fold(entries).state().undescribed == {"part:box-17"}
