"""Two clean vehicles, and ways to plant faults in them."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

from putback.vehicle.assembly import Assembly
from putback.vehicle.codec import TABLES, key_field
from putback.vehicle.facts import Before, Obstruction, Phase
from putback.vehicle.generate import generate
from putback.vehicle.goal import Goal
from putback.vehicle.ids import joint_ref, part_ref
from putback.vehicle.job import Job, JobKind
from putback.vehicle.opening import Fluid, Opening
from putback.vehicle.part import Part, PartKind, Side
from putback.vehicle.run import Run, RunEnd
from putback.vehicle.standing import TemporarySupport
from putback.vehicle.vehicle import Vehicle
from tests.makers import standing, vehicle


def by_hand() -> Vehicle:
    """A small vehicle with one of everything and no fault."""
    return vehicle(
        "pump - frame: 4 bolt 5/16-24 UNF x 1 in + captive nut 5/16-24 UNF; critical; in stands",
        "lid - pump: 2 nut M8; 5 min",
        "hose - pump: 1 hose clip",
        "hose - frame: 1 hose clip",
        "wheel - frame: 4 wheel nut 1/2-20 UNF; in stands; crack in wheels",
        "lid blocks hose - pump",
        "drain before pump: it would run out",
        "lid - pump harder after wheel x 2",
        Part("hose", "hose", "here", kind=PartKind.HOSE),
        Run("hose", (RunEnd("hose-pump"), RunEnd("hose-frame"))),
        Opening("q", "pump inlet", "pump", ("hose-pump",), fluid="oil"),
        Fluid("oil", "oil", "pump", drained_by="drain", leaks_if_off=("pump",)),
        Job("drain", "drain it", JobKind.DRAIN, fluid="oil"),
        Job("fill", "fill it", JobKind.FILL, Phase.REBUILD, fluid="oil"),
        standing("wheels", "wheel", "frame", stands=30.0),
        standing("stands", "frame", wheels=30.0),
        TemporarySupport(
            "t", "hoist", "pump", "joint:pump-frame", "part:pump", rating_kg=500, load_kg=90
        ),
        Assembly("unit", "pump with lid", ("pump", "lid")),
        datum="frame",
    )


def generated() -> Vehicle:
    """A vehicle of sixty parts with some of everything and no fault."""
    return generate(60, 3)


def change(one: Vehicle, table: str, identity: str, **fields: Any) -> Vehicle:
    """The vehicle with some fields of one record changed."""
    records = getattr(one, table)
    return one.with_records(**{table: {**records, identity: replace(records[identity], **fields)}})


def add(one: Vehicle, *records: Any) -> Vehicle:
    """The vehicle with records more."""
    table_of = {record: table for table, record in TABLES.items()}
    for record in records:
        table = table_of[type(record)]
        more = {**getattr(one, table), getattr(record, key_field(table)): record}
        one = one.with_records(**{table: more})
    return one


def some(one: Vehicle, table: str, wanted: Callable[[Any], bool] = bool) -> Any:
    """The first record of a table that is as wanted."""
    return next(each for each in getattr(one, table).values() if wanted(each))


def joined(one: Vehicle) -> Any:
    """A joint of two parts, its first no run."""
    return some(one, "joints", lambda joint: not one.parts[joint.parts[0]].is_run)


Plant = Callable[[Vehicle], Vehicle]


def first(table: str, **fields: Any) -> Plant:
    """Plant by changing fields of the first record; a function is given the record."""

    def planted(one: Vehicle) -> Vehicle:
        record = next(iter(getattr(one, table).values()))
        said = {name: each(record) if callable(each) else each for name, each in fields.items()}
        return change(one, table, getattr(record, key_field(table)), **said)

    return planted


def in_joint(**fields: Any) -> Plant:
    """Plant by changing fields of a joint that is no end of a run."""
    return lambda one: change(one, "joints", joined(one).id, **fields)


def in_fixing(**fields: Any) -> Plant:
    """Plant by changing fields of the first fixing of that joint."""

    def planted(one: Vehicle) -> Vehicle:
        joint = joined(one)
        fixings = (replace(joint.fixings[0], **fields), *joint.fixings[1:])
        return change(one, "joints", joint.id, fixings=fixings)

    return planted


def with_part(**fields: Any) -> Plant:
    """Plant by adding a part that nothing holds."""

    def planted(one: Vehicle) -> Vehicle:
        said = {"id": "odd", "name": "odd", "zone": next(iter(one.zones))} | fields
        return add(one, Part(**said))

    return planted


def island(one: Vehicle) -> Vehicle:
    """Plant two parts joined to each other and to nothing else."""
    zone = next(iter(one.zones))
    apart = (Part("odd", "odd", zone), Part("end", "end", zone))
    return add(one, *apart, replace(joined(one), id="j", parts=("odd", "end")))


def namesake(one: Vehicle) -> Vehicle:
    """Plant a part called as another is."""
    part = next(iter(one.parts.values()))
    return with_part(name=part.name.upper(), side=part.side)(one)


def one_sided(one: Vehicle) -> Vehicle:
    """Plant a joint that speaks of the left and joins parts of the right."""
    joint = joined(one)
    for part in joint.parts:
        one = change(one, "parts", part, side=Side.RIGHT)
    return change(one, "joints", joint.id, name="bracket, left")


def of_another(one: Vehicle) -> Vehicle:
    """Plant an end of a run that holds other parts."""
    run = some(one, "runs")
    return change(one, "runs", run.part, clips=(joined(one).id,))


def pathless(one: Vehicle) -> Vehicle:
    """Plant a hose whose path nobody described."""
    run = some(one, "runs")
    runs = {part: each for part, each in one.runs.items() if part != run.part}
    return one.with_records(runs=runs)


def elsewhere(one: Vehicle) -> Vehicle:
    """Plant an opening in a part that the joint opening it does not hold."""
    opening = some(one, "openings", lambda each: each.joints)
    parts = one.joints[opening.joints[0]].parts
    return change(one, "openings", opening.id, part=next(p for p in one.parts if p not in parts))


def drained_by(**fields: Any) -> Plant:
    """Plant by changing the job that drains the first fluid."""
    return lambda one: change(one, "jobs", some(one, "fluids").drained_by, **fields)


def hidden_everywhere(one: Vehicle) -> Vehicle:
    """Plant a joint that a support hides however the vehicle stands."""
    hidden = joined(one).parts[0]
    for identity, each in one.standings.items():
        supports = (replace(each.supports[0], hides=(hidden,)), *each.supports[1:])
        one = change(one, "standings", identity, supports=supports)
    return one


def only_as_a_warning(table: str, field: str) -> Plant:
    """Plant work that can be done only in a standing kept as a warning."""

    def planted(one: Vehicle) -> Vehicle:
        one = add(one, standing("bad", next(iter(one.parts)), wrong=True))
        named = "bad" if field == "crack_in" else ("bad",)
        identity = joined(one).id if table == "joints" else next(iter(one.jobs))
        return change(one, table, identity, **{field: named})

    return planted


def blocked_by(*parts: str) -> Plant:
    """Plant an obstruction; ``own`` is a part of the joint, ``kept`` the datum."""

    def planted(one: Vehicle) -> Vehicle:
        datum = some(one, "goals").datum
        joint = some(one, "joints", lambda each: datum in each.parts and not each.crack_in)
        meant = {"own": joint.parts[0], "kept": datum, "other": stranger(one, joint)}
        return add(
            one, Obstruction("ob", tuple(meant[each] for each in parts), joint_ref(joint.id))
        )

    return planted


def stranger(one: Vehicle, joint: Any) -> str:
    """A part that has no joint with those of another joint."""
    near = {p for j in one.joints.values() if {*j.parts} & {*joint.parts} for p in j.parts}
    return next((part for part in one.parts if part not in near), next(iter(one.parts)))


def goal_of(**fields: Any) -> Plant:
    """Plant a goal of its own; a function is given the vehicle."""

    def planted(one: Vehicle) -> Vehicle:
        said = {"id": "g", "name": "odd goal", "datum": some(one, "goals").datum} | fields
        return add(one, Goal(**{k: v(one) if callable(v) else v for k, v in said.items()}))

    return planted


def ring(one: Vehicle) -> Vehicle:
    """Plant two joints, each behind a part that the other holds."""
    zone = next(iter(one.zones))
    datum = some(one, "goals").datum
    plain = replace(joined(one), standings=(), crack_in=None)
    return add(
        one,
        Part("x", "box", zone),
        Part("y", "cover", zone),
        replace(plain, id="jx", name="box bolts", parts=("x", datum)),
        replace(plain, id="jy", name="cover bolts", parts=("y", datum)),
        Obstruction("ox", ("x",), joint_ref("jy")),
        Obstruction("oy", ("y",), joint_ref("jx")),
    )


def ring_of_befores(phase: Phase) -> Plant:
    """Plant two facts that put two parts before each other."""

    def planted(one: Vehicle) -> Vehicle:
        two = [part_ref(part) for part in list(one.parts)[:2]]
        return add(
            one, Before("x", *two, "said so", phase), Before("y", *two[::-1], "said so", phase)
        )

    return planted
