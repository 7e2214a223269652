"""Short ways to say a vehicle.

::

    vehicle(
        "lid - frame: 4 bolt 5/16-24 UNF x 1 in + spring washer 5/16!; 10 min; in stands",
        "pump - frame: 2 nut M8; critical",
        "hose - pump - frame",
        "lid blocks pump - frame",                  # in the way of a joint
        "lid or hose blocks pump",                  # one of them is enough; the way of a part
        "lid before hose: it drips (rebuild)",
        "pump harder after lid x 2",
        "pump never after hose",
        Job(JobId("drain"), "drain it", JobKind.DRAIN),
        datum="frame",
    )

A joint is named by its parts (``"lid-frame"``), or by what stands before ``=``. Parts and zones
need no description; a record given as well replaces the one made up. ``!`` is used once, ``+`` the
next piece of the stack, ``&`` the next fixing.
"""

import re
from collections.abc import Mapping
from dataclasses import fields
from typing import Any

from putback.vehicle.codec import TABLES, key_field
from putback.vehicle.facts import Before, HarderAfter, Obstruction, Phase
from putback.vehicle.fastener import is_piece, parse
from putback.vehicle.goal import Goal
from putback.vehicle.ids import (
    FactId,
    GoalId,
    JointId,
    PartId,
    Ref,
    StandingId,
    SupportId,
    VehicleId,
    ZoneId,
    job_ref,
    joint_ref,
    part_ref,
)
from putback.vehicle.joint import Fixing, Joint, Piece, Tightening, TorqueOrigin
from putback.vehicle.minutes import Minutes
from putback.vehicle.part import Part
from putback.vehicle.standing import Standing, Support, Zone
from putback.vehicle.vehicle import About, Vehicle

ZONE = ZoneId("here")

_TABLE_OF = {record: table for table, record in TABLES.items()}
_JOINT = re.compile(r"(?:(?P<id>[^=]+?) = )?(?P<parts>[^:;]+? - [^:;]+?)(?:: (?P<fixings>[^;]+))?")
_BLOCKS = re.compile(r"(?P<any_of>.+?) blocks (?P<of>.+?)(?:: (?P<why>.+))?")
_BEFORE = re.compile(
    r"(?P<first>.+?) before (?P<then>.+?)(?:: (?P<why>.+?))?(?: \((?P<phase>rebuild|both)\))?"
)
_HARDER = re.compile(
    r"(?P<job>.+?) (?:harder after (?P<after>.+?) x (?P<factor>[\d.]+)|never after (?P<never>.+))"
)


def vehicle(*said: str | Any, datum: str = "", about: About | None = None) -> Vehicle:
    """Make a vehicle of what is said; with a ``datum``, the goal is all the rest off."""
    records: dict[str, dict[Any, Any]] = {table: {} for table in TABLES if table != "about"}
    for record in (each for each in said if not isinstance(each, str)):
        table = _TABLE_OF[type(record)]
        records[table][getattr(record, key_field(table))] = record
    facts = []
    for line in (each for each in said if isinstance(each, str)):
        if re.search(r" (blocks|before|harder after|never after) ", line):
            facts.append(line)
        else:
            made = joint(line)
            if made.id in records["joints"]:
                made = joint(f"{made.id}/{len(records['joints'])} = {line}")
            records["joints"].setdefault(made.id, made)
            for part in made.parts:
                records["parts"].setdefault(part, Part(part, part, ZONE))
    for line in facts:
        _add_fact(line, records)
    if any(part.zone == ZONE for part in records["parts"].values()):
        records["zones"].setdefault(ZONE, Zone(ZONE, "here"))
    if datum:
        on = (PartId(datum),)
        goal = Goal(GoalId("bare"), f"bare {datum}", on[0], on=on, off_rest=True)
        records["goals"].setdefault(goal.id, goal)
    return Vehicle(about or About(VehicleId("v"), "Test vehicle"), **records)


def joint(said: str) -> Joint:
    """Make a joint: ``"lid - frame: 4 bolt M8x1.25x20 + plain washer M8; 10 min; critical"``."""
    said, *options = (each.strip() for each in said.split(";"))
    found = _JOINT.fullmatch(said)
    assert found, f"cannot read {said!r} as a joint"
    parts = tuple(PartId(each.strip()) for each in found["parts"].split(" - "))
    identity = found["id"] or "-".join(parts)
    fixings = (found["fixings"] or "1 clip").split(" & ")
    made: dict[str, Any] = {
        "id": JointId(identity),
        "name": identity,
        "parts": parts,
        "fixings": tuple(_fixing(chr(ord("a") + n), each) for n, each in enumerate(fixings)),
        "minutes": Minutes(5, 10, 20),
    }
    for option in options:
        made |= _option(option)
    return Joint(**made)


def _fixing(identity: str, said: str) -> Fixing:
    count, _, pieces = said.strip().partition(" ")
    return Fixing(identity, int(count), tuple(map(piece, pieces.split(" + "))))


def piece(said: str) -> Piece:
    """Make a piece: ``"split pin 3 mm!"`` is used once; what never leaves its part stays."""
    spec = parse(said.removesuffix("!"))
    return Piece(spec, single_use=said.endswith("!"), stays=not is_piece(spec.kind))


def _option(said: str) -> Mapping[str, Any]:
    word, _, rest = said.partition(" ")
    match word, rest:
        case "critical", "":
            torque = Tightening(25.0, TorqueOrigin.INVENTED, "dry")
            return {"critical": True, "tightening": torque}
        case "crack", _:
            return {"crack_in": StandingId(rest.removeprefix("in "))}
        case "in", _:
            return {"standings": tuple(StandingId(each.strip()) for each in rest.split(","))}
        case "zone", _:
            return {"zone": ZoneId(rest)}
        case "tool", _:
            return {"tool": rest}
        case _, "min":
            likely = float(word)
            return {"minutes": Minutes(likely / 2, likely, likely * 2)}
    raise AssertionError(f"cannot read {said!r} as something about a joint")


def _add_fact(line: str, records: dict[str, dict[Any, Any]]) -> None:
    ref = _Refs(records)
    if found := _HARDER.fullmatch(line):
        after = ref(found["after"] or found["never"])
        identity = FactId(f"h{len(records['harder_afters']) + 1}")
        factor = float(found["factor"]) if found["factor"] else None
        made: Any = HarderAfter(identity, ref(found["job"]), after, factor)
        records["harder_afters"][identity] = made
    elif found := _BLOCKS.fullmatch(line):
        any_of = tuple(PartId(each.strip()) for each in found["any_of"].split(" or "))
        identity = FactId(f"o{len(records['obstructions']) + 1}")
        made = Obstruction(identity, any_of, ref(found["of"]), found["why"] or "")
        records["obstructions"][identity] = made
    else:
        found = _BEFORE.fullmatch(line)
        assert found, f"cannot read {line!r} as a fact"
        identity = FactId(f"b{len(records['befores']) + 1}")
        phase = Phase(found["phase"] or "strip")
        why = found["why"] or "said so"
        made = Before(identity, ref(found["first"]), ref(found["then"]), why, phase)
        records["befores"][identity] = made


class _Refs:
    """Finds what a name means: a job, a joint by name or by its parts, else a part."""

    def __init__(self, records: dict[str, dict[Any, Any]]) -> None:
        self.records = records

    def __call__(self, said: str) -> Ref:
        said = said.strip()
        if said in self.records["jobs"]:
            return job_ref(said)
        for name in (said, said.replace(" - ", "-")):
            if name in self.records["joints"]:
                return joint_ref(name)
        assert said in self.records["parts"], f"{said!r} is no part, joint or job"
        return part_ref(said)


def standing(identity: str, *bears_on: str, **more: Any) -> Standing:
    """Make a standing whose supports bear on these parts; changes to others are given by name.

    ``standing("stands", "frame", wheels=30.0)`` takes 30 minutes to change into ``wheels``.
    """
    own = {each.name for each in fields(Standing)}
    changes = {StandingId(name): value for name, value in more.items() if name not in own}
    return Standing(
        StandingId(identity),
        identity,
        tuple(
            Support(SupportId(f"{identity}-{n}"), "stand", PartId(part), (float(n), 0.0))
            for n, part in enumerate(bears_on, 1)
        ),
        changes,
        **{name: value for name, value in more.items() if name in own},
    )
