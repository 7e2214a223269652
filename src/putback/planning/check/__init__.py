"""The one checker of plans: a sceptical foreman who replays them with the facts in his hand.

He reads only the vehicle, the state and the plan, goes through it step by step and says what is
wrong, in the trade's terms. The rules are those of ``docs/planning-rules.md``; the planners share
no code with him, so that a mistake of theirs cannot be his as well.
"""

from putback.planning.check.fault import Fault, RebuildRule, StripRule
from putback.planning.check.rebuild import check_rebuild
from putback.planning.check.strip import check_strip

__all__ = ["Fault", "RebuildRule", "StripRule", "check_rebuild", "check_strip"]
