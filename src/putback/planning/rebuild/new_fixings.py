"""Fixings to be had new in a joint of which nobody described what they are.

Where somebody did, the accounts know each piece, and the list of what to have new has it.
"""

from putback.planning.rebuild.work import Work
from putback.vehicle.ids import JointId


def new_fixings(work: Work, joint: JointId) -> tuple[str, ...]:
    """Say how many went missing or were destroyed as it was undone."""
    seen = work.state.joints.get(joint)
    if seen is None or work.joints[joint].fixings:
        return ()
    match seen.destroyed + seen.lost:
        case 0:
            return ()
        case 1:
            return ("1 of its fixings is lost or destroyed: have a new one",)
        case several:
            return (f"{several} of its fixings are lost or destroyed: have new ones",)
