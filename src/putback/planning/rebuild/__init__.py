"""The rebuild: in which order everything goes back, and where that differs from the strip.

Beside the plan: what to have new, what nobody has seen since it was put away, and which joints
wait for their final tightening.
"""

from putback.planning.rebuild.difference import Difference, differences_from_reversed_strip
from putback.planning.rebuild.finals import OpenFinal, open_finals
from putback.planning.rebuild.held_up import HeldUp, held_up
from putback.planning.rebuild.planner import plan_rebuild
from putback.planning.rebuild.to_have import ToHave, UsedUp, to_have, used_up
from putback.planning.rebuild.unseen import Unseen, unseen

__all__ = [
    "Difference",
    "HeldUp",
    "OpenFinal",
    "ToHave",
    "Unseen",
    "UsedUp",
    "differences_from_reversed_strip",
    "held_up",
    "open_finals",
    "plan_rebuild",
    "to_have",
    "unseen",
    "used_up",
]
