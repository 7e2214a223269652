"""The joints whose final tightening waits: a list that may stay open for years.

A car may stand nipped and not final for as long as it is not on its wheels, or has not run. What
waits is told with its figure, why it waits, what finishes it, and the other way where the maker
allows one.
"""

from collections.abc import Mapping
from dataclasses import dataclass

from putback.logbook.common import Said
from putback.logbook.state import JointState, State
from putback.planning.rebuild.never_run import NOTE, last_of_all
from putback.planning.rebuild.reading import read_work
from putback.planning.rebuild.torque import torque_words
from putback.planning.rebuild.work import AFTER_RUN, CARRIED, Node, Work, carrying
from putback.vehicle.ids import JobId, JointId
from putback.vehicle.joint import FinalWhen, Joint
from putback.vehicle.vehicle import Vehicle

WHY_LATER: Mapping[FinalWhen, str] = {
    FinalWhen.LADEN: "rubber tightened out of its place is twisted for the rest of its life",
    FinalWhen.ON_WHEELS: "the tyres hold what would turn",
    FinalWhen.GAPS_SET: "a panel tightened before the gaps are right has to be slackened again",
    FinalWhen.RENIPPED_HOT: "it finds its place when it gets hot",
    FinalWhen.AFTER_FIRST_RUN: "it settles when it has run",
}
"""Why a final tightening waits; common practice."""

BY_POSITION = (
    "or by position, as its maker allows: the arm propped at its laden angle while it is tightened"
)


@dataclass(frozen=True, slots=True)
class OpenFinal:
    """One joint that is not tightened for good yet."""

    joint: JointId
    when: FinalWhen
    why: str
    nipped: Said | None
    """Who nipped it, and when; ``None`` while it is apart."""
    torque: str = ""
    """The figure to tighten to in the end, in words; empty where none is known."""
    by: JobId | None = None
    """The declared job that finishes it."""
    or_else: str = ""
    """The other way to close it, where there is one."""
    now: bool = False
    """Whether it can be finished as the vehicle stands now: told of laden joints and wheels."""
    note: str = ""
    """What it waits for that nobody described; empty where a plan knows."""


def open_finals(vehicle: Vehicle, state: State) -> tuple[OpenFinal, ...]:
    """Give what still waits for its final tightening: what is nipped first, then what is apart."""
    work = read_work(vehicle, state)
    waiting = [each for each in work.joints if each in work.finish or each in work.finished_by]
    last = last_of_all(work)
    found = [_open_final(work, work.joints[each], last) for each in waiting]
    order = list(FinalWhen)
    return tuple(sorted(found, key=lambda each: (each.nipped is None, order.index(each.when))))


def _open_final(work: Work, joint: Joint, last: frozenset[Node]) -> OpenFinal:
    seen = work.state.joints.get(joint.id, JointState(joint.id))
    is_made = joint.id not in work.make
    return OpenFinal(
        joint=joint.id,
        when=joint.final_when,
        why=WHY_LATER.get(joint.final_when, ""),
        nipped=seen.made if is_made else None,
        torque=torque_words(joint),
        by=work.finished_by.get(joint.id),
        or_else=BY_POSITION if joint.by_position else "",
        now=is_made and joint.final_when in CARRIED and _is_carried(work),
        note=NOTE if joint.final_when in AFTER_RUN and work.finished(joint.id) in last else "",
    )


def _is_carried(work: Work) -> bool:
    """Whether it stands on its wheels now, and on nothing else."""
    return work.state.standing.standing in carrying(work.vehicle)
