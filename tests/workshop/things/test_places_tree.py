"""Where everything is, as a tree."""

from collections.abc import Iterator

import pytest
from hypothesis import given

from putback.errors import BadInput
from putback.workshop.logbooks.ports import GARAGE
from putback.workshop.things.places_tree import Kept, new_place, places_tree
from tests.makers import vehicle
from tests.stores import ANN, PHONE
from tests.strategies.stories import stories
from tests.workshop.lines import Lines

ABOUT = vehicle("lid - frame: 4 bolt M8 x 20", "pump - frame: 2 bolt M6 x 16", "arm - frame")


def all_of(kept: tuple[Kept, ...]) -> Iterator[str]:
    """Every thing in a tree."""
    for each in kept:
        yield each.subject
        yield from all_of(each.inside)


def test_a_bag_in_a_box_on_a_shelf_is_found_by_going_down():
    """Place, box, bag, part; how many fasteners lie right in the bag."""
    lines = Lines(ABOUT)
    lines.workshop.log(GARAGE, lines.read("place Shelf"), who=ANN, device=PHONE)
    (shelf,) = lines.state.places
    for line in (
        "box 3HNA",
        "undone lid-frame 4/4 tag=3CAH",
        'bag 3CAH "lid bolts"',
        "put tag:3CAH 3HNA",
        f"moved tag:3HNA {shelf}",
        "off lid tag=3HNA",
    ):
        lines(line)
    (place,) = places_tree(lines.state)
    assert (place.name, place.things) == ("Shelf", 3)
    (box,) = place.kept
    assert [each.kind for each in box.inside] == ["bag", "part"]
    assert (box.inside[0].name, box.inside[0].pieces) == ("lid bolts", 4)


def test_what_is_off_and_nowhere_stands_last():
    """A part that is off and in no bag is told apart, since somebody has to look for it."""
    lines = Lines(ABOUT)
    lines("off pump")
    assert [(each.name, each.things) for each in places_tree(lines.state)] == [
        ("Nobody said where", 1)
    ]


def test_what_was_sent_out_is_at_its_firm():
    """By the firm's name, whether the garage describes it or not."""
    lines = Lines(ABOUT)
    lines.workshop.log(
        GARAGE, lines.read('place Plater kind="outside work"'), who=ANN, device=PHONE
    )
    lines("off lid")
    lines("sent lid Plater")
    lines("off pump")
    lines("sent pump Grinder")
    assert [(each.name, each.things) for each in places_tree(lines.state)] == [
        ("Plater", 1),
        ("Grinder", 1),
    ]


def test_a_new_place_has_an_identity_of_its_own():
    """Two sheds that are written alike are two places; one name stands for one place."""
    lines = Lines(ABOUT)
    said = {"kind": "store", "fits": "", "floor": " slab "}
    body = new_place(lines.state, name="Top shelf!", **said)
    lines.workshop.log(GARAGE, [body], who=ANN, device=PHONE)
    other = new_place(lines.state, name="top-shelf", **said)
    assert (body.place, other.place) == ("top-shelf", "top-shelf-2")
    assert body.floor == "slab"
    with pytest.raises(BadInput, match="there is a place called 'Top Shelf!'"):
        new_place(lines.state, name="Top Shelf!", **said)
    with pytest.raises(BadInput, match="a place needs a name"):
        new_place(lines.state, name=" ", **said)


@given(stories())
def test_nothing_that_is_off_or_tagged_is_missing(story):
    """Whatever happened: every container and every part off is there, exactly once."""
    state = story.state
    found = [each for place in places_tree(state) for each in all_of(place.kept)]
    wanted = {f"tag:{tag}" for tag in state.containers} | {
        f"part:{part}" for part in state.parts_off
    }
    loops = {each for each in wanted if each.startswith("tag:")} - set(found)
    assert len(found) == len(set(found))
    assert wanted - set(found) <= loops | _inside_loops(state, loops)


def _inside_loops(state, loops):
    """What is in bags that are said to be in each other."""
    inside = set(loops)
    while True:
        more = {
            subject
            for subject in (
                *(f"tag:{tag}" for tag in state.containers),
                *(f"part:{part}" for part in state.parts),
            )
            if (common := state.common_of(subject)) and f"tag:{common.tag}" in inside
        }
        if more <= inside:
            return inside
        inside |= more
