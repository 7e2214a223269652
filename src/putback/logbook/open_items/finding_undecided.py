"""A fault or a surprise was found, and nobody decided what to do about it."""

from collections.abc import Iterable

from putback.logbook.entries.judging import Decided
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find findings without a decision."""
    for subject, common in situation.commons:
        for finding in common.findings:
            if finding.settled is None:
                yield OpenItem(
                    Danger.LATER,
                    subject,
                    f"found on {situation.name(subject)}: {finding.what}",
                    entries_of(finding.said),
                    "decide what becomes of it",
                    (Decided,),
                )
