"""Every rule there is, and the list of open items they make together."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from types import ModuleType

from putback.logbook.open_items import (
    cannot_stand_so,
    check_not_right,
    clock_skewed,
    container_nowhere,
    counts_disagree,
    crack_first,
    curing,
    described_twice,
    did_not_come_back,
    does_not_fit,
    end_open,
    final_tightening_waits,
    finding_undecided,
    fluid_out,
    hangs_on_a_jack,
    hardware_in_two_bags,
    hardware_nowhere,
    hardware_short,
    joint_half_undone,
    joint_not_logged,
    joint_slack,
    joint_unlocked,
    laid_away_not_off,
    late,
    left_over,
    lift_too_heavy,
    made_without_part,
    mark_missing,
    measure_missing,
    no_backup,
    nobody_looked,
    not_bled,
    not_seen_free,
    out_of_order,
    out_of_reach_there,
    part_gone,
    part_in_two_places,
    part_nowhere,
    photo_missing,
    put_off_over,
    reading_outside,
    rests_on_struck,
    same_id_two_bodies,
    scales_disagree,
    second_check_missing,
    single_use_reused,
    standing_not_tested,
    standings_disagree,
    stands_too_near,
    support_in_the_air,
    tag_on_two_bags,
    temporary_fit_in,
    ties_left,
    torque_not_recorded,
    undescribed,
    unread_entries,
    will_drop,
    will_leak,
    would_stand_too_near,
)
from putback.logbook.open_items.item import OpenItem
from putback.logbook.open_items.situation import Situation
from putback.vehicle.ids import StandingId
from putback.vehicle.standing import Standing

Rule = Callable[[Situation], Iterable[OpenItem]]
StandingRule = Callable[[Situation, Standing], Iterable[OpenItem]]


def _named(*modules: ModuleType) -> dict[str, Callable[..., Iterable[OpenItem]]]:
    """Give each module's rule under the module's name, in words."""
    return {
        module.__name__.rpartition(".")[2].replace("_", " "): module.rule for module in modules
    }


RULES: Mapping[str, Rule] = _named(
    will_drop,
    stands_too_near,
    standings_disagree,
    standing_not_tested,
    support_in_the_air,
    lift_too_heavy,
    ties_left,
    not_seen_free,
    will_leak,
    check_not_right,
    joint_half_undone,
    hardware_short,
    single_use_reused,
    joint_unlocked,
    joint_slack,
    not_bled,
    nobody_looked,
    torque_not_recorded,
    curing,
    left_over,
    mark_missing,
    end_open,
    measure_missing,
    photo_missing,
    hardware_nowhere,
    counts_disagree,
    scales_disagree,
    hardware_in_two_bags,
    tag_on_two_bags,
    part_in_two_places,
    container_nowhere,
    part_nowhere,
    laid_away_not_off,
    does_not_fit,
    temporary_fit_in,
    final_tightening_waits,
    fluid_out,
    late,
    put_off_over,
    did_not_come_back,
    reading_outside,
    part_gone,
    second_check_missing,
    finding_undecided,
    out_of_order,
    joint_not_logged,
    made_without_part,
    described_twice,
    same_id_two_bodies,
    rests_on_struck,
    unread_entries,
    clock_skewed,
    undescribed,
    no_backup,
)
"""The rules over the state, by name; of two items as pressing the one of the earlier rule is
shown first."""

STANDING_RULES: Mapping[str, StandingRule] = _named(
    cannot_stand_so,
    would_stand_too_near,
    hangs_on_a_jack,
    crack_first,
    out_of_reach_there,
)
"""The rules to ask before the vehicle is made to stand otherwise, by name."""


def open_items(situation: Situation) -> tuple[OpenItem, ...]:
    """List what is open, dangers first; the same situation always gives the same list."""
    return _in_order(
        replace(item, rule=name) for name, rule in RULES.items() for item in rule(situation)
    )


def before_standing(situation: Situation, standing: StandingId) -> tuple[OpenItem, ...]:
    """List what gets harder, impossible or dangerous if the vehicle is made to stand so.

    Of a standing that nobody described nothing can be said.
    """
    described = situation.state.vehicle.standings.get(standing)
    if described is None:
        return ()
    return _in_order(
        replace(item, rule=name)
        for name, rule in STANDING_RULES.items()
        for item in rule(situation, described)
    )


def _in_order(items: Iterable[OpenItem]) -> tuple[OpenItem, ...]:
    return tuple(sorted(items, key=lambda item: item.danger.rank))
