"""Whether a vehicle's description makes sense: every fault in it at once, as data.

Each rule is a small pure function in the module of what it looks at. To add one, write it there
and name it in `RULES`.
"""

from collections.abc import Mapping
from dataclasses import replace

from putback.vehicle.check import (
    facts,
    goals,
    joints,
    parts,
    references,
    rings,
    runs,
    standings,
)
from putback.vehicle.check.fault import Fault, Rule, Severity
from putback.vehicle.check.gather import gathered
from putback.vehicle.vehicle import Vehicle

__all__ = ["RULES", "Fault", "Severity", "check", "gathered"]

RULES: Mapping[str, Rule] = {
    rule.__name__: rule
    for rule in (
        references.nothing_by_that_name,
        parts.impossible_number,
        parts.no_joint,
        parts.away_from_every_datum,
        parts.same_name_and_side,
        parts.other_side,
        joints.joins_too_few,
        joints.same_part_twice,
        joints.impossible_count,
        joints.captive_in_the_hand,
        joints.impossible_torque,
        joints.torque_not_recorded,
        joints.shims,
        joints.danger_without_a_word,
        joints.by_position_of_nothing,
        runs.no_ends,
        runs.end_of_another,
        runs.no_way_out,
        runs.path_not_described,
        runs.opened_by_another,
        runs.drained_otherwise,
        standings.carried_by_nothing,
        standings.impossible_support,
        standings.impossible_change,
        standings.no_way_into,
        standings.out_of_reach,
        standings.nothing_left_to_stand_on,
        standings.never_lifted,
        facts.in_its_own_way,
        facts.before_itself,
        facts.impossible_factor,
        facts.job_on_nothing,
        facts.no_assembly,
        goals.off_and_on,
        goals.asks_for_nothing,
        goals.kept_in_the_way,
        goals.kept_in_the_air,
        goals.after_itself,
        goals.job_of_the_rebuild,
        rings.ring_in_the_strip,
        rings.ring_in_the_rebuild,
    )
}
"""Every rule by its name, in the order in which their faults are told."""


def check(vehicle: Vehicle) -> tuple[Fault, ...]:
    """Name every fault in a vehicle's description, errors before doubts."""
    found = (replace(fault, rule=name) for name, rule in RULES.items() for fault in rule(vehicle))
    return tuple(sorted(found, key=lambda fault: not fault.is_error))
