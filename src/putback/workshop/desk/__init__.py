"""The planner's desk: questions that take long are put there, and a planner process answers them.

`plan_on_hand` gives what is known already, at once; `put` puts a question that takes planning.
"""

from putback.workshop.desk.on_hand import OnHand, plan_on_hand
from putback.workshop.desk.port import Desk, Question, Slip, Stage, Trouble
from putback.workshop.desk.put import put

__all__ = ["Desk", "OnHand", "Question", "Slip", "Stage", "Trouble", "plan_on_hand", "put"]
