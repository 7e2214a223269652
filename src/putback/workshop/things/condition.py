"""What has become of a part, in one word that a drawing can show as well as say."""

from enum import StrEnum

from putback.logbook.entries.judging import Choice
from putback.logbook.state import State
from putback.vehicle.ids import PartId


class Condition(StrEnum):
    """Each is told twice: by its words, and by a fill or a line."""

    ON = "on the vehicle"
    HUNG = "hung aside"
    OFF = "off"
    AWAY = "out for work"
    REPLACE = "to be replaced"
    GONE = "will not go back"
    BACK = "back on"


_RENEWED = frozenset({Choice.REPLACE, Choice.MAKE})


def condition_of(state: State, part: PartId) -> Condition:
    """Say what has become of a part."""
    now = state.parts.get(part)
    if now is None:
        return Condition.ON
    if now.gone is not None:
        return Condition.GONE
    if now.common.sent_out is not None:
        return Condition.AWAY
    if now.on is not None:
        return Condition.BACK
    if now.off is not None:
        return Condition.REPLACE if now.common.choice in _RENEWED else Condition.OFF
    return Condition.HUNG if now.hung is not None else Condition.ON
