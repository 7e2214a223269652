"""How far a joint that was made again has got."""

from putback.logbook.entries.rebuilding import Tightness
from putback.logbook.state import JointState
from putback.vehicle.joint import FinalWhen, Joint

TIGHT = frozenset({Tightness.TIGHTENED, Tightness.SET, Tightness.FINAL})
"""Torque is on; what comes after is only the final tightening of joints that wait."""


def is_tight(state: JointState) -> bool:
    """Whether torque is on all of its fixings."""
    return state.out == 0 and state.tightness in TIGHT


def is_final(joint: Joint, state: JointState) -> bool:
    """Whether nothing more is to be done with a spanner."""
    waits = joint.final_when is not FinalWhen.AS_FITTED
    return is_tight(state) and (state.tightness is Tightness.FINAL or not waits)
