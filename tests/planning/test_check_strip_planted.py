"""The checker of strips: each way to be wrong is told, and nothing else."""

from dataclasses import dataclass

import pytest

from putback.planning.check import StripRule
from tests.planning.checking_strip import told
from tests.planning.edits import Edit, all_of, at, changed, moved, with_more, without
from tests.planning.hand_made import GOOD_STRIP


@dataclass(frozen=True)
class Bad:
    """One way to be wrong: how the good plan is spoilt, and what must be said to it."""

    edit: Edit
    rule: StripRule
    words: str


BAD = {
    "a joint of nothing": Bad(
        with_more("undo joint:nosuch @ stands"),
        StripRule.ONCE,
        'the vehicle has no joint "nosuch"',
    ),
    "a part of nothing": Bad(
        with_more("take off part:nosuch @ stands"), StripRule.ONCE, 'no part "nosuch"'
    ),
    "an assembly of nothing": Bad(
        with_more("take off assembly:nosuch @ stands"), StripRule.ONCE, 'no assembly "nosuch"'
    ),
    "a job of nothing": Bad(
        with_more("do job:nosuch @ stands"), StripRule.ONCE, 'no job "nosuch"'
    ),
    "a joint undone twice": Bad(
        with_more("undo joint:strap @ stands"), StripRule.ONCE, "tank strap: it is done already"
    ),
    "a part taken off twice": Bad(
        with_more("take off part:wheel @ stands"), StripRule.ONCE, "wheel: it is done already"
    ),
    "a part of a whole taken off again": Bad(
        with_more("take off part:gearbox @ stands"), StripRule.ONCE, "gearbox: it is done already"
    ),
    "a whole taken off twice": Bad(
        with_more("take off assembly:unit @ stands"), StripRule.ONCE, "unit: it is done already"
    ),
    "a job done twice": Bad(
        with_more("do job:survey @ stands"), StripRule.ONCE, "survey: it is done already"
    ),
    "a joint cracked twice": Bad(
        with_more("crack joint:nuts @ wheels", "undo joint:lug"),
        StripRule.ONCE,
        "crack wheel nuts",
    ),
    "something done to the wrong sort of thing": Bad(
        with_more("take off joint:strap @ stands"), StripRule.ONCE, "not done to a joint"
    ),
    "an action of the rebuild": Bad(
        with_more("put on part:tank @ stands"), StripRule.ONCE, '"put on" is not done to a part'
    ),
    "a job of the rebuild": Bad(
        with_more("do job:fill @ stands"), StripRule.ONCE, "fill the tank belongs to the rebuild"
    ),
    "a joint undone where it cannot be reached": Bad(
        changed("undo joint:nuts @ stands", "undo joint:nuts @ beam"),
        StripRule.UNDO,
        "wheel nuts cannot be reached",
    ),
    "a job done where it cannot be": Bad(
        moved("do job:drain", "undo joint:lug"), StripRule.UNDO, "drain the tank cannot be reached"
    ),
    "a joint undone behind what is in its way": Bad(
        moved("take off part:hood", "take off assembly:unit"),
        StripRule.UNDO,
        "the hood is in the way: no room above",
    ),
    "neither of two ways clear": Bad(
        moved("undo joint:strap", "undo joint:lug"),
        StripRule.UNDO,
        "the hood or the hub cap is in the way",
    ),
    "in the way on the bench": Bad(
        moved("undo joint:plate", "undo joint:bell"),
        StripRule.UNDO,
        "the gearbox is in the way on the bench: covers it",
    ),
    "a joint that still holds": Bad(
        without("undo joint:strap"),
        StripRule.TAKE_OFF,
        "tank strap still holds the tank to the frame",
    ),
    "a joint undone too late": Bad(
        moved("take off part:tank", "undo joint:strap"),
        StripRule.TAKE_OFF,
        "tank strap still holds",
    ),
    "a part of the unit left behind": Bad(
        all_of(
            changed("take off assembly:unit @ stands", "take off part:engine @ stands"),
            with_more("take off part:gearbox @ stands", "undo joint:plate"),
            with_more("take off part:clutch @ stands", "undo joint:strap"),
        ),
        StripRule.TAKE_OFF,
        "bell housing still holds the engine to the gearbox",
    ),
    "a part off behind what is in its way": Bad(
        without("take off part:cap"),
        StripRule.TAKE_OFF,
        "the hub cap is in the way: catches the arch",
    ),
    "a part off where it cannot be": Bad(
        at("beam", "take off part:tank"),
        StripRule.TAKE_OFF,
        "tank cannot be reached in this standing",
    ),
    "a whole that is no longer whole": Bad(
        all_of(
            moved("undo joint:bell", "do job:drain"),
            with_more("take off part:gearbox @ wheels", "do job:drain"),
        ),
        StripRule.TAKE_OFF,
        "it is no longer whole: the gearbox came off",
    ),
    "what comes before left out": Bad(
        without("do job:drain"), StripRule.BEFORE, "drain the tank comes before tank: empty"
    ),
    "what comes before done after": Bad(
        moved("do job:survey", "take off part:hood"),
        StripRule.BEFORE,
        "survey comes before hood hinge: record first",
    ),
    "a hidden joint": Bad(
        all_of(
            without("take off part:pipe"),
            moved("undo joint:union", "undo joint:nuts"),
            with_more("take off part:pipe @ beam"),
        ),
        StripRule.UNDER,
        "a support hides the pipe",
    ),
    "a hidden part": Bad(
        moved("take off part:pipe", "undo joint:nuts"), StripRule.UNDER, "a support hides the pipe"
    ),
    "the part it stands on": Bad(
        at("wheels", "take off part:wheel"),
        StripRule.UNDER,
        "the vehicle stands on the wheel",
    ),
    "a standing without its wheel": Bad(
        at("wheels", "undo joint:strap"),
        StripRule.ENTERING,
        "the wheel that a wheel bears on is off",
    ),
    "a standing that needs something off": Bad(
        changed("undo joint:hinge @ wheels", "undo joint:hinge @ trolley"),
        StripRule.ENTERING,
        'cannot stand "hood on its trolley": the hood must be off first',
    ),
    "a wrong standing": Bad(
        changed("undo joint:hinge @ wheels", "undo joint:hinge @ lesson"),
        StripRule.ENTERING,
        "that is how not to stand it",
    ),
    "a standing that nobody described": Bad(
        changed("undo joint:hinge @ wheels", "undo joint:hinge @ moon"),
        StripRule.ENTERING,
        'cannot stand "moon": nobody described it',
    ),
    "a step that does not say how it stands": Bad(
        changed("undo joint:hinge @ wheels", "undo joint:hinge @ -"),
        StripRule.ENTERING,
        "does not say how the vehicle stands",
    ),
    "a joint not cracked first": Bad(
        without("crack joint:nuts"),
        StripRule.CRACK_FIRST,
        "wheel nuts was not cracked on its wheel",
    ),
    "a joint cracked in the wrong standing": Bad(
        moved("crack joint:nuts", "undo joint:nuts"),
        StripRule.CRACK_FIRST,
        "wheel nuts is not cracked in this standing",
    ),
    "a joint cracked for nothing": Bad(
        with_more("crack joint:lug @ wheels", "undo joint:lug"),
        StripRule.CRACK_FIRST,
        "cap lugs is not cracked in this standing",
    ),
    "a change while it hangs on the hoist": Bad(
        changed("take off assembly:unit @ stands", "take off assembly:unit @ beam"),
        StripRule.HANGING,
        "between engine mounting and engine, while a hoist bears",
    ),
    "a sitting broken by a change": Bad(
        moved("do job:listen", "undo joint:nuts"),
        StripRule.HANGING,
        "between sketch the bay and listen to it, while the two are done in one sitting",
    ),
    "too late for it": Bad(
        all_of(
            moved("undo joint:lug", "do job:drain"),
            moved("take off part:cap", "do job:drain"),
        ),
        StripRule.HARDER,
        "cap lugs cannot be done any more after hood: it jams",
    ),
    "a part still on": Bad(
        without("undo joint:union", "take off part:pipe"), StripRule.GOAL, "the pipe is still on"
    ),
}


@pytest.mark.parametrize("bad", BAD.values(), ids=BAD.keys())
def test_a_planted_fault_is_told_and_nothing_else(bad):
    """Exactly the rule that is broken complains, in words a person understands."""
    faults = told(bad.edit(list(GOOD_STRIP)))
    assert {fault.rule for fault in faults} == {bad.rule}, "\n".join(map(str, faults))
    assert bad.words in "; ".join(fault.words for fault in faults)
