"""What a scanned tag stands for, on a story of three containers."""

from putback.logbook.entries.base import PersonId, PlaceId, Subject, TagCode
from putback.logbook.entries.describing import PlaceDescribed
from putback.logbook.entries.keeping import ContainerMade, Moved, PutIn
from putback.logbook.entries.working import PartOff
from putback.vehicle.ids import PartId
from putback.workshop.things.tags_told import tell_tags
from tests.makers import vehicle
from tests.makers_logbook import Story

BAG, BOX, SHELF = TagCode("K7F4"), TagCode("3CAH"), TagCode("H3AD")


def test_a_tag_tells_what_it_is_what_is_in_it_and_where():
    """A bag in a box on a shelf in the shed, with a lid in it."""
    story = Story(vehicle("lid - frame: 4 bolt M8x1.25x20"))
    for body in (
        PlaceDescribed(place=PlaceId("shed"), name="Shed"),
        ContainerMade(tag=BAG, name="Lid and screws"),
        ContainerMade(tag=BOX, container="box"),
        ContainerMade(tag=SHELF, container="shelf"),
        PartOff(part=PartId("lid"), tag=BAG),
        PutIn(what=Subject("tag:K7F4"), tag=BOX),
        PutIn(what=Subject("tag:3CAH"), tag=SHELF),
        Moved(what=Subject("tag:H3AD"), place=PlaceId("shed")),
    ):
        story.says(PersonId("ann"), body)
    told = {each.tag: each for each in tell_tags(story.state)}
    assert list(told) == sorted([BAG, BOX, SHELF])
    bag = told[BAG]
    assert (bag.name, bag.inside, bag.holds_bags) == ("Lid and screws", (BOX, SHELF), False)
    assert bag.where == "3CAH, in H3AD, in Shed"
    assert [name for _, name in bag.parts] == ["lid"]
    assert bag.lines == ("lid",)
    assert told[BOX].holds_bags
    assert told[SHELF].holds_bags
    assert told[SHELF].where == "Shed"
