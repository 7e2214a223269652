"""Whether a step has new what is used once only (rule 13 of the rebuild)."""

from collections.abc import Iterator

from putback.planning.plan import Step
from putback.vehicle.joint import Joint


def not_renewed(joint: Joint, step: Step) -> Iterator[str]:
    """Give the single-use pieces of a joint that a step which makes it does not list."""
    wanted: dict[str, int] = {}
    for fixing in joint.fixings:
        for piece in fixing.stack:
            if piece.single_use:
                text = piece.spec.text
                wanted[text] = wanted.get(text, 0) + piece.per_fixing * fixing.count
    for text, count in wanted.items():
        if f"{count} × {text}" not in step.renew:
            yield f"does not renew {count} × {text}"
