"""Open items: what is forgotten, contradictory or dangerous, with its cause and what clears it.

Each rule is a pure function in a module of its own that looks at a `Situation` and gives
`OpenItem`s; `registry` has them all. Nothing here refuses anything: it points.
"""

from putback.logbook.open_items.item import USUAL, Danger, OpenItem, Settings
from putback.logbook.open_items.registry import (
    RULES,
    STANDING_RULES,
    before_standing,
    open_items,
)
from putback.logbook.open_items.situation import Situation

__all__ = [
    "RULES",
    "STANDING_RULES",
    "USUAL",
    "Danger",
    "OpenItem",
    "Settings",
    "Situation",
    "before_standing",
    "open_items",
]
