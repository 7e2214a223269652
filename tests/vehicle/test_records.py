"""The records of a vehicle, and what the vehicle answers about them."""

from dataclasses import FrozenInstanceError, fields, replace

import pytest

import putback.vehicle
from putback.vehicle.assembly import Assembly
from putback.vehicle.fastener import Role
from putback.vehicle.ids import PartId, Ref, ZoneId, job_ref, joint_ref, part_ref, split_ref
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Care, Shim, ShimPack
from putback.vehicle.minutes import Minutes
from putback.vehicle.opening import Opening
from putback.vehicle.part import RUN_KINDS, Part, PartKind, Side
from putback.vehicle.vehicle import About, Vehicle
from tests.makers import joint, piece, standing, vehicle


def test_references_come_apart_as_they_were_made() -> None:
    """A reference is kind and identity, and an identity may have a colon in it."""
    assert split_ref(part_ref("P:1")) == ("part", "P:1")
    assert split_ref(joint_ref("J")) == ("joint", "J")
    assert split_ref(job_ref("drain")) == ("job", "drain")
    assert split_ref("nonsense") == ("nonsense", "")


@pytest.mark.parametrize("points", [(3, 2, 9), (-1, 2, 3), (1, 9, 3)])
def test_minutes_are_in_order(points: tuple[float, float, float]) -> None:
    """An estimate whose points are out of order, or below nothing, cannot be made."""
    with pytest.raises(ValueError, match="are not in order: give best, likely and worst"):
        Minutes(*points)
    assert Minutes(2, 2, 2).likely == 2


def test_a_reference_to_nothing_is_said_as_it_stands() -> None:
    """A description may name what nobody described, or in a way that nothing goes by."""
    made = vehicle("lid - frame")
    said = {"part:lid": "lid", "part:door": "door", "joint:": "joint:", "nonsense": "nonsense"}
    assert {ref: made.name_of(Ref(ref)) for ref in said} == said


def test_parts_that_share_a_name_are_called_by_their_sides() -> None:
    """Left and right of one name cannot be told apart otherwise; nor is a side said twice."""
    zone = ZoneId("here")
    named = (("a", "Seat", Side.LEFT), ("b", "seat", Side.RIGHT), ("c", "Horn", Side.LEFT))
    said = (("d", "Tür links", Side.LEFT), ("e", "Tür links", Side.LEFT), ("f", "Horn", None))
    made = vehicle(*(Part(PartId(one), name, zone, side=side) for one, name, side in named + said))
    called = [made.name_of(part_ref(PartId(one))) for one in "abcdef"]
    assert called == ["Seat, left", "seat, right", "Horn, left", "Tür links", "Tür links", "Horn"]


def test_a_joint_counts_its_fixings() -> None:
    """All fixings are counted together; a joint of which nothing is counted has one."""
    both = joint("a - b: 4 bolt M8x1.25x20 & 2 stud nut M8")
    assert both.fixing_count == 6
    assert replace(both, fixings=()).fixing_count == 1


def test_holding_locking_and_sealing_are_three_questions() -> None:
    """Each piece answers one of them by its kind."""
    one = joint(
        "a - b: 4 bolt M8x1.25x20 + spring washer M8 + copper washer 8 mm & 1 clevis pin 6 x 20 mm"
    )
    assert one.holds() == {"bolt", "clevis pin"}
    assert one.locks() == {"spring washer"}
    assert one.seals() == {"copper washer"}
    assert piece("split pin 2 mm").role is Role.LOCK


def test_care_is_exact_where_it_matters() -> None:
    """What is said wins; else critical joints and shims are exact, the rest counted."""
    plain = joint("a - b: 2 nut M8")
    shims = (ShimPack("LH", (Shim(0.001),)),)
    assert plain.level_of_care is Care.COUNTED
    assert replace(plain, critical=True).level_of_care is Care.EXACT
    assert replace(plain, shims=shims).level_of_care is Care.EXACT
    assert replace(plain, shims=shims, care=Care.ALL_THERE).level_of_care is Care.ALL_THERE


@pytest.mark.parametrize("kind", PartKind)
def test_a_run_is_known_by_its_kind(kind: PartKind) -> None:
    """Pipes, hoses, cables and looms have a path; nothing else does."""
    assert Part("p", "p", "z", kind=kind).is_run == (kind in RUN_KINDS)


def test_a_vehicle_answers_from_its_records() -> None:
    """Joints, obstructions and assemblies of a part, and the name behind any reference."""
    one = vehicle(
        "lid - frame: 2 nut M8",
        "lid - hinge: 1 clip",
        "hinge blocks lid - frame",
        "frame or hinge blocks lid",
        Assembly("u", "lid with hinge", ("lid", "hinge")),
        Job("drain", "drain it", JobKind.DRAIN),
        Opening("q", "filler", "frame"),
        standing("stands", "frame"),
    )
    assert one.joints_of == {
        "lid": ("lid-frame", "lid-hinge"),
        "frame": ("lid-frame",),
        "hinge": ("lid-hinge",),
    }
    assert [each.any_of for each in one.obstructions_of["part:lid"]] == [("frame", "hinge")]
    assert one.assemblies_of == {"lid": ("u",), "hinge": ("u",)}
    said = [one.name_of(f"{ref}") for ref in ("part:lid", "job:drain", "opening:q", "part:ghost")]
    assert said == ["lid", "drain it", "filler", "ghost"]


def test_a_vehicle_cannot_be_changed() -> None:
    """Records and tables are closed; a change makes a new vehicle."""
    one = vehicle("lid - frame: 2 nut M8")
    with pytest.raises(TypeError):
        one.parts["x"] = one.parts["lid"]
    with pytest.raises(FrozenInstanceError):
        one.parts["lid"].name = "other"
    fewer = one.with_records(joints={})
    assert (len(one.joints), len(fewer.joints)) == (1, 0)
    assert fewer.joints_of == {"lid": (), "frame": ()}


def test_a_vehicle_of_which_nothing_is_known_is_empty() -> None:
    """A name is enough to begin with; every table is empty, none is missing."""
    one = Vehicle(About("v", "V"))
    assert all(not getattr(one, each.name) for each in fields(one) if each.name != "about")
    assert one.joints_of == {}


def test_the_records_are_public_by_name() -> None:
    """The package offers what it lists, and nothing else but its modules."""
    module = type(putback)
    offered = {
        name
        for name, value in vars(putback.vehicle).items()
        if not name.startswith("_") and not isinstance(value, module)
    }
    assert offered == set(putback.vehicle.__all__)
