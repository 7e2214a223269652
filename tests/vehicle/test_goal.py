"""Goals: what is to be off, and which are reached before."""

from putback.vehicle.goal import Goal, on_the_way

PARTS = ("frame", "body", "axle", "tank")


def test_what_is_wanted_off_is_named_or_is_the_rest():
    """Named parts first, each once; the datum and what stays on are never of the rest."""
    assert Goal("g", "g", "frame", off=("tank", "body")).wanted_off(PARTS) == ("tank", "body")
    rest = Goal("g", "g", "frame", off=("tank",), on=("axle",), off_rest=True)
    assert rest.wanted_off(PARTS) == ("tank", "body")


def test_goals_on_the_way_come_first():
    """Up to one that is not described; goals that name each other are told once."""
    one = Goal("one", "one", "frame", after="gone")
    two = Goal("two", "two", "frame", after="one")
    three = Goal("three", "three", "frame", after="two")
    goals = {each.id: each for each in (three, one, two)}
    assert on_the_way(goals, three) == (one, two, three)
    assert on_the_way(goals, one) == (one,)
    ring = Goal("one", "one", "frame", after="three")
    assert on_the_way(goals | {"one": ring}, three) == (ring, two, three)
