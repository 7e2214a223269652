"""What carries nothing: runs, and joints that are nothing but the end of one."""

import pytest

from putback.vehicle.part import Part, PartKind
from putback.vehicle.standing import TemporarySupport
from tests.makers import standing, vehicle

CLIPS = "2 hose clip 35-50 mm"


def loose(*said):
    """What of a vehicle carries nothing, as plain sets."""
    found = vehicle(*said).loose
    return set(found.runs), set(found.joints)


def test_a_joint_of_a_run_is_loose_whatever_holds_it():
    """A brake pipe is bolted with a banjo and carries nothing all the same."""
    pipe = Part("pipe", "pipe", "here", kind=PartKind.PIPE)
    assert loose("pipe - cylinder: 1 banjo bolt M10x1", "cylinder - plate: 2 nut M8", pipe) == (
        {"pipe"},
        {"pipe-cylinder"},
    )


@pytest.mark.parametrize(
    ("ends", "is_loose"),
    [
        (CLIPS, True),
        ("1 push-on connector", True),
        ("2 hose clip 35-50 mm + push-on connector", True),
        ("1 belt 10 x 965 mm", True),
        ("1 bullet connector", True),
        ("1 hose clip 35-50 mm & 2 bolt M8x1.25x20", False),
        ("1 ring terminal + nut M6", False),
        ("2 spring clip", False),
        ("2 bolt M8x1.25x20 + O-ring 20 mm", False),
        ("1 O-ring 20 mm", False),
    ],
)
def test_ends_alone_carry_nothing(ends, is_loose):
    """A bolt beside the clip does; a clip, a plug or a belt by itself does not."""
    runs, joints = loose(f"radiator - engine: {ends}", "radiator - frame", "engine - frame")
    assert (runs, joints) == (set(), {"radiator-engine"} if is_loose else set())


def test_what_only_ends_join_lies_along_like_a_hose():
    """A set of hoses, described as a part, is no part that something could rest on."""
    said = (f"hoses - engine: {CLIPS}", f"hoses - radiator: {CLIPS}", "radiator - frame")
    assert loose(*said, "engine - frame") == ({"hoses"}, {"hoses-engine", "hoses-radiator"})
    assert loose(*said, "engine - frame", "hoses - frame: 1 P-clip")[0] == set()


def test_what_is_stood_on_lies_along_nowhere():
    """An engine of which only the hoses are described is still no hose."""
    said = (f"engine - radiator: {CLIPS}", "radiator - frame")
    assert loose(*said)[0] == {"engine"}
    assert loose(*said, standing("engine stand", "engine"))[0] == set()
    hoist = TemporarySupport("hoist", "hoist", "engine", "part:engine", "part:radiator")
    assert loose(*said, hoist)[0] == set()
