"""Looking ahead over a plan: what to do now for jobs that come later.

Oil wants a night, a parcel a week and six people a Saturday: what stalls a project is seldom the
job at hand. Each module finds one sort of thing; `look_ahead` gathers them. It reads the plan and
changes nothing, so it is as right as the plan is.
"""

from putback.planning.ahead.coming import Horizon
from putback.planning.ahead.gather import LookAhead, look_ahead
from putback.planning.ahead.line import Line, Sort

__all__ = ["Horizon", "Line", "LookAhead", "Sort", "look_ahead"]
