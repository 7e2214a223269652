"""From what a person calls a thing to the thing."""

import os
import subprocess
import sys

import pytest

from putback.errors import BadInput, NotFound
from putback.vehicle.goal import Goal
from putback.vehicle.ids import FluidId, GoalId, JointId, PartId
from putback.vehicle.joint import Joint
from putback.vehicle.nearest import SeveralMeant
from putback.vehicle.opening import Fluid
from putback.vehicle.part import Part, Side
from putback.workshop.saying.names import KINDS, find, find_identity, find_subject, names_of
from tests.makers import ZONE, vehicle
from tests.workshop.lines import Lines


def part(identity: str, name: str, **more) -> Part:
    """A part that is called something."""
    return Part(PartId(identity), name, ZONE, **more)


@pytest.fixture
def lines():
    """Two wings, a shell, two joints of one name, an oil."""
    return Lines(
        vehicle(
            part("BS1", "Body shell, four-door, bare"),
            part("FL", "Front wing, left"),
            part("FR", "Front wing, right"),
            part("LAMP", "Lamp", side=Side.LEFT, name_us="Light"),
            part("LAMP2", "Lamp", side=Side.RIGHT),
            part("STAY", "Stay"),
            part("STAY2", "Stay"),
            part("L1", "Radiator hose"),
            Joint(JointId("C1"), "P-clip", (PartId("L1"), PartId("BS1"))),
            Joint(JointId("C2"), "P-clip", (PartId("L1"), PartId("FL"))),
            Fluid(FluidId("oil"), "Engine oil: mineral, 20W-50", PartId("BS1")),
        )
    )


@pytest.mark.parametrize(
    ("kind", "typed", "meant"),
    [
        ("part", "BS1", "BS1"),
        ("part", "body shell, four-door, bare", "BS1"),
        ("part", "Body Shell", "BS1"),  # the head of a name that is alone
        ("part", "shell body", "BS1"),
        ("part", "lamp left", "LAMP"),
        ("part", "light", "LAMP"),
        ("fluid", "engine oil", "oil"),
    ],
)
def test_names_are_found(lines, kind, typed, meant):
    """By identity, full name, head of the name, with the side, in American."""
    assert find(lines.state, kind, typed) == meant


def test_several_of_a_name_are_told_apart(lines):
    """By their full names; joints of one name by what they hold."""
    with pytest.raises(SeveralMeant) as caught:
        find(lines.state, "part", "front wing")
    assert str(caught.value) == (
        "2 parts are called 'front wing'; say which: 'Front wing, left', 'Front wing, right'"
    )
    with pytest.raises(SeveralMeant) as caught:
        find(lines.state, "joint", "p-clip")
    assert caught.value.remedy() == (
        "say which: C1 (Radiator hose to Body shell, four-door, bare), "
        "C2 (Radiator hose to Front wing, left)"
    )
    with pytest.raises(SeveralMeant) as caught:
        find(lines.state, "part", "lamp")
    assert caught.value.remedy() == "say which: 'Lamp, left', 'Lamp, right'"
    with pytest.raises(SeveralMeant) as caught:
        find(lines.state, "part", "stay")
    assert caught.value.remedy() == "say which: STAY, STAY2"


def test_what_is_not_there_is_answered_with_names(lines):
    """Those that hold all the words first, then the likely ones; names, never identities."""
    with pytest.raises(NotFound) as caught:
        find(lines.state, "part", "hose")
    assert caught.value.nearest == ("Radiator hose",)
    with pytest.raises(NotFound) as caught:
        find(lines.state, "part", "front wign left")
    assert caught.value.nearest[0] == "Front wing, left"
    with pytest.raises(NotFound, match=r"no temporary fit 'brace'$"):
        find(lines.state, "fit", "brace")
    with pytest.raises(BadInput, match="the name of the part is empty"):
        find(lines.state, "part", "  ")
    with pytest.raises(BadInput, match="there is no kind of thing called 'gadget'"):
        names_of(lines.state, "gadget")


def test_of_goals_some_are_offered_where_none_is_near():
    """A vehicle has few, and nobody knows their names by heart."""
    shell = part("BS1", "Body shell")
    known = vehicle(shell, Goal(GoalId("bare"), "bare shell", shell.id, off_rest=True))
    with pytest.raises(NotFound, match=r"^no goal 'heeter'; did you mean 'bare shell'\?$"):
        find(Lines(known).state, "goal", "heeter")


def test_a_bare_name_is_tried_as_every_kind(lines):
    """In turn; a kind before a colon says it, and a tag needs no name."""
    state = lines.state
    assert find_subject(state, "engine oil") == "fluid:oil"
    assert find_subject(state, "joint:C1") == "joint:C1"
    assert find_subject(state, "tag:3cah") == "tag:3CAH"
    assert find_subject(state, "3cah") == "tag:3CAH"
    with pytest.raises(NotFound) as caught:
        find_subject(state, "engin oil")
    assert str(caught.value).startswith(
        "no part, joint, tag or job 'engin oil'; did you mean 'Engine oil: mineral, 20W-50'"
    )
    with pytest.raises(NotFound, match=r"^no joint or tag 'engine oil'"):
        find_subject(state, "engine oil", ("joint", "tag"))
    with pytest.raises(NotFound, match=r"^no joint 'engine oil'"):
        find_subject(state, "engine oil", ("joint",))


def test_all_kinds_have_names(lines):
    """Described or only spoken of."""
    lines("bag 3CAH 'wing bolts'")
    lines("off 'Horn'", new=True)
    for kind in (*KINDS, "goal", "zone"):
        assert isinstance(names_of(lines.state, kind), dict)
    assert find(lines.state, "tag", "wing bolts") == "3CAH"
    assert find(lines.state, "part", "horn") == "horn"


def test_entries_go_by_the_end_of_their_identity():
    """Whole or the last few characters; several or none are refused."""
    ids = ["0190-aaaa1111", "0190-bbbb1111", "0190-bbbb2222"]
    assert find_identity(ids, "bbbb2222") == "0190-bbbb2222"
    assert find_identity(ids, "0190-AAAA1111") == "0190-aaaa1111"
    with pytest.raises(BadInput, match="2 entries end in '1111'; give more of its identity"):
        find_identity(ids, "1111")
    for text in ("", "  ", "zz"):
        with pytest.raises(NotFound, match="no entry or act"):
            find_identity(ids, text)


_EQUALLY_LIKE = """
from putback.workshop.saying.names import best
print(best([f"lamp {each}" for each in "abcdefgh"], "lamp x"))
"""


def test_the_thing_itself_is_offered_before_what_belongs_to_it():
    """However much longer its name is than theirs."""
    names = (
        "Box crossmember",
        "Box mounting",
        "Box with bellhousing, four-speed, late",
        "Box oil",
    )
    parts = [part(f"P{at}", name) for at, name in enumerate(names)]
    with pytest.raises(NotFound) as caught:
        find_subject(Lines(vehicle(*parts)).state, "box")
    assert caught.value.nearest[0] == names[2]


def test_the_thing_itself_is_offered_though_it_is_mistyped():
    """First, however much longer its name is; with the side where left and right share a name."""
    parts = [
        part("P1", "Gearbox crossmember"),
        part("P2", "Gearbox with bellhousing, four-speed"),
        part("P3", "Front wing", side=Side.LEFT),
        part("P4", "Front wing", side=Side.RIGHT),
    ]
    state = Lines(vehicle(*parts)).state
    for typed, first in (("gearbx", "Gearbox with bellhousing, four-speed"), ("wing left", "")):
        with pytest.raises(NotFound) as caught:
            find_subject(state, typed)
        assert caught.value.nearest[0] == (first or "Front wing, left")


def test_names_that_are_equally_like_are_offered_in_one_order():
    """By the alphabet, whatever the order in which a set holds them this time."""
    told = [
        subprocess.run(
            [sys.executable, "-c", _EQUALLY_LIKE],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2", "3")
    ]
    assert told == [f"{('lamp a', 'lamp b', 'lamp c')!r}\n"] * 3


def test_where_no_standing_is_described_it_is_said_how_one_is():
    """None can be meant then, and none is near; what is typed next is told."""
    state = Lines(vehicle("lid - frame")).state
    with pytest.raises(NotFound) as caught:
        find(state, "standing", "on four stands")
    assert str(caught.value) == (
        "no standing 'on four stands'; no standing is described yet; describe it first: "
        "putback describe standings stands name='on four stands'"
    )
