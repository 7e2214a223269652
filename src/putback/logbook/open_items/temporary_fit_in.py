"""Something that must not stay is still fitted: a dolly, brace, plug, slave wheels."""

from collections.abc import Iterable

from putback.logbook.entries.base import Subject
from putback.logbook.entries.working import TemporaryFitOff
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation
from putback.logbook.state import FitState
from putback.vehicle.ids import JointId, PartId


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find temporary fits that are in; pressing once what they stand in for is back."""
    for _, fit in sorted(situation.state.fits.items()):
        if fit.fitted is None or fit.off is not None:
            continue
        on = f" on {situation.name(fit.on)}" if fit.on else ""
        due = _is_due(situation, fit)
        yield OpenItem(
            Danger.NOW if due else Danger.LATER,
            Subject(f"fit:{fit.fit}"),
            f"{fit.what or fit.fit}{on} is fitted for now"
            + (" and has to come out" if due else ""),
            entries_of(fit.fitted),
            "take it out",
            (TemporaryFitOff,),
        )


def _is_due(situation: Situation, fit: FitState) -> bool:
    """Whether what it is fitted on is back on or made again, or nothing is off any more."""
    kind, _, identity = (fit.on or "").partition(":")
    if situation.rebuild_begun and not situation.off_parts:
        return True
    if kind == "joint":
        joint = situation.joint(JointId(identity))
        return joint.made is not None and joint.out == 0
    return kind == "part" and situation.is_back_on(PartId(identity))
