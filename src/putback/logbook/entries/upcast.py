"""Old versions of bodies, brought up to date one step at a time, for ever.

No body has a second version yet. When a kind changes its shape, its ``VERSION`` goes up by one, a
step from the old version is added here, and a file of the old shape to ``tests/old_entries``.
"""

from collections.abc import Callable, Mapping
from typing import Any

Step = Callable[[Mapping[str, Any]], Mapping[str, Any]]

STEPS: Mapping[tuple[str, int], Step] = {}
"""From (kind, version) to the body as version + 1 writes it."""


def upcast(kind: str, version: int, newest: int, body: Mapping[str, Any]) -> Mapping[str, Any]:
    """Bring a body from ``version`` to ``newest``."""
    for each in range(version, newest):
        body = STEPS[kind, each](body)
    return body
