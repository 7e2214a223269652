"""Something is on order or out for work, and past the day it was promised for."""

from collections.abc import Iterable

from putback.logbook.common import Away
from putback.logbook.entries.judging import Arrived, CameBack
from putback.logbook.moments import moment_at
from putback.logbook.open_items.item import Danger, OpenItem, entries_of
from putback.logbook.open_items.situation import Situation
from putback.logbook.open_items.wording import count


def rule(situation: Situation) -> Iterable[OpenItem]:
    """Find what is away past its day; without a promised day there is nothing to be late for."""
    for subject, common in situation.commons:
        for order in common.ordered:
            if days := _days_late(situation, order):
                what = order.what or situation.name(subject)
                at = f" from {order.whither}" if order.whither else ""
                yield OpenItem(
                    Danger.NOW,
                    subject,
                    f"{what}{at} is {count(days, 'day')} late (promised for {order.due})",
                    entries_of(order.said),
                    "ask after it; log it when it arrives",
                    (Arrived,),
                )
        if common.sent_out and (days := _days_late(situation, common.sent_out)):
            yield OpenItem(
                Danger.NOW,
                subject,
                f"{situation.name(subject)} is {count(days, 'day')} late at"
                f" {common.sent_out.whither} (promised for {common.sent_out.due})",
                entries_of(common.sent_out.said),
                "ask after it; log it when it comes back",
                (CameBack,),
            )


def _days_late(situation: Situation, away: Away) -> int:
    due = moment_at(away.due)
    return max(0, (situation.now.date() - due.date()).days) if due is not None else 0
