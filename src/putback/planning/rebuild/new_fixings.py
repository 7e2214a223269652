"""Fixings to be had new in a joint of which nobody described what they are.

The card of such a joint says it; where somebody did describe them, it names the pieces.
"""

from putback.logbook.hardware_check import missing_fixings
from putback.planning.rebuild.work import Work
from putback.vehicle.ids import JointId


def new_fixings(work: Work, joint: JointId) -> tuple[str, ...]:
    """Say how many went missing or were destroyed as it was undone."""
    match missing_fixings(work.state, joint):
        case 0:
            return ()
        case 1:
            return ("1 of its fixings is lost or destroyed: have a new one",)
        case several:
            return (f"{several} of its fixings are lost or destroyed: have new ones",)
