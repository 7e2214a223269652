"""The checker of rebuilds: each way to be wrong is told, and nothing else."""

from dataclasses import dataclass

import pytest

from putback.planning.check import RebuildRule
from tests.planning.checking_rebuild import only, told
from tests.planning.edits import Edit, all_of, at, changed, moved, with_more, without
from tests.planning.hand_made_rebuild import GOOD_REBUILD, WHEEL_ON


@dataclass(frozen=True)
class Bad:
    """One way to be wrong: how the good plan is spoilt, and what must be said to it."""

    edit: Edit
    rule: RebuildRule
    words: str
    leaves_in_air: bool = False
    """Whether something is in the air for it as well."""


BAD = {
    "a joint left open": Bad(
        without("make joint:screw", "tighten joint:screw"),
        RebuildRule.COMPLETE,
        "make lamp screw is missing; tighten lamp screw is missing",
        leaves_in_air=True,
    ),
    "a part left over": Bad(
        without("put on part:lamp", "make joint:screw", "tighten joint:screw"),
        RebuildRule.COMPLETE,
        "put on lamp is missing",
    ),
    "a job left out": Bad(
        without("do job:listen"), RebuildRule.COMPLETE, "do listen to it is missing"
    ),
    "a joint tightened twice": Bad(
        with_more("tighten joint:mount @ wheels"),
        RebuildRule.COMPLETE,
        "tighten body mounting: it is done already",
    ),
    "a part put on twice": Bad(
        with_more("put on part:lamp @ wheels"), RebuildRule.COMPLETE, "lamp: it is done already"
    ),
    "a part of nothing": Bad(
        with_more("put on part:nosuch @ wheels"), RebuildRule.COMPLETE, "put on nosuch"
    ),
    "a joint of nothing": Bad(
        with_more("make joint:nosuch @ wheels"), RebuildRule.COMPLETE, "make nosuch"
    ),
    "a job of the strip": Bad(
        with_more("do job:drain @ wheels"), RebuildRule.COMPLETE, "do drain the oil"
    ),
    "an action of the strip": Bad(
        with_more("undo joint:screw @ wheels"), RebuildRule.COMPLETE, "undo lamp screw"
    ),
    "a part that never came off": Bad(
        with_more("put on part:frame @ wheels"), RebuildRule.COMPLETE, "does not ask for it"
    ),
    "a part that is gone": Bad(
        with_more("put on part:badge @ wheels"),
        RebuildRule.COMPLETE,
        "badge: it has to wait",
        leaves_in_air=True,
    ),
    "a joint of a part that is gone": Bad(
        with_more("make joint:pin @ wheels"), RebuildRule.COMPLETE, "badge pin: it has to wait"
    ),
    "a part of a whole put on by itself": Bad(
        with_more("put on part:clutch @ wheels"), RebuildRule.COMPLETE, "put on clutch"
    ),
    "what a part waits for is not said": Bad(
        changed(
            WHEEL_ON,
            "put on part:wheel @ stands | out dolly, four wheels | prop hold it",
        ),
        RebuildRule.COMPLETE,
        "does not say what the wheel waits for",
    ),
    "finished by a step and by a job": Bad(
        with_more("finish joint:hinge1 @ wheels"),
        RebuildRule.COMPLETE,
        "upper hinge is finished by set the gaps",
    ),
    "finished though nothing waits": Bad(
        with_more("finish joint:mount @ wheels"), RebuildRule.COMPLETE, "finish body mounting"
    ),
    "filled though it is in": Bad(
        with_more("bleed fluid:oil @ stands", "do job:weigh"),
        RebuildRule.COMPLETE,
        "bleed oil: the state does not ask for it",
    ),
    "a joint made with a part absent": Bad(
        moved("make joint:screw", "put on part:lamp"), RebuildRule.MAKE, "the lamp is not on yet"
    ),
    "tightened before it is made": Bad(
        moved("tighten joint:screw", "make joint:screw"),
        RebuildRule.MAKE,
        "lamp screw is not made yet",
        leaves_in_air=True,
    ),
    "a part put on in the air": Bad(
        all_of(
            moved("put on part:master", "put on part:body"),
            moved("make joint:flange", "tighten joint:mount"),
        ),
        RebuildRule.PUT_ON,
        "master cylinder touches nothing that is on",
        leaves_in_air=True,
    ),
    "a joint made with its obstruction on": Bad(
        all_of(
            moved("make joint:em", "put on part:master"),
            moved("tighten joint:em", "put on part:master"),
        ),
        RebuildRule.IN_THE_WAY,
        "the body is in the way already: no room below it",
    ),
    "a joint tightened with its obstruction on": Bad(
        moved("tighten joint:em", "make joint:mount"),
        RebuildRule.IN_THE_WAY,
        "the body is in the way already: no room below it",
        leaves_in_air=True,
    ),
    "in the way on the bench": Bad(
        moved("make joint:bell", "tighten joint:plate"),
        RebuildRule.IN_THE_WAY,
        "the gearbox is in the way already: covers it",
    ),
    "a part put on past what is in its way": Bad(
        all_of(
            moved("put on part:pipe", "put on part:master"),
            moved("make joint:flare1", "tighten joint:flange"),
        ),
        RebuildRule.IN_THE_WAY,
        "the brake pipe is in the way already: past the pipe",
    ),
    "what comes before not done yet": Bad(
        moved("put on part:wheel", "tighten joint:bush2"),
        RebuildRule.BEFORE,
        "rear bush comes before wheel: steady first",
        leaves_in_air=True,
    ),
    "prepared too late": Bad(
        moved("do job:paint", "make joint:mount"),
        RebuildRule.BEFORE,
        "paint the body comes before body: prepare comes first",
        leaves_in_air=True,
    ),
    "tight before all are loose": Bad(
        moved("tighten joint:bush1", "make joint:bush2"),
        RebuildRule.LOOSE_FIRST,
        "rear bush could be made before it is tightened",
    ),
    "one end of a pipe tight before the other is started": Bad(
        moved("tighten joint:flare1", "make joint:flare2"),
        RebuildRule.LOOSE_FIRST,
        "lower flare could be made before it is tightened",
    ),
    "the end that turns fitted last": Bad(
        moved("make joint:push", "make joint:turn"),
        RebuildRule.LOOSE_FIRST,
        "hose to tank comes before hose to frame: the hose turns with that end",
    ),
    "laden joint finished on stands": Bad(
        at("stands", "finish joint:bush1"),
        RebuildRule.FINAL,
        "front bush: it does not stand on its wheels",
    ),
    "laden joint finished before it is weighed": Bad(
        moved("finish joint:bush1", "do job:weigh"),
        RebuildRule.FINAL,
        "front bush: it is not weighed yet",
    ),
    "final tightening left out": Bad(
        without("finish joint:nuts"), RebuildRule.FINAL, "wheel nuts is never finished"
    ),
    "gaps final before the rest is tight": Bad(
        all_of(
            moved("tighten joint:catch", "tighten joint:hinge2"),
            moved("finish joint:catch", "tighten joint:hinge2"),
        ),
        RebuildRule.FINAL,
        "door catch: lower hinge is not tightened yet",
    ),
    "finished before it is tight": Bad(
        moved("finish joint:catch", "tighten joint:catch"),
        RebuildRule.FINAL,
        "door catch: it is not tightened yet",
    ),
    "re-nipped before the first run": Bad(
        moved("finish joint:clamp", "do job:start"),
        RebuildRule.FINAL,
        "exhaust clamp: nothing has run yet",
    ),
    "gaps set before the joints are tight": Bad(
        moved("do job:gaps", "tighten joint:hinge2"),
        RebuildRule.FINAL,
        "lower hinge is not tightened yet",
    ),
    "critical joint unchecked": Bad(
        without("check joint:flare1"), RebuildRule.CHECK, "nobody checks upper flare"
    ),
    "checked before it is finished": Bad(
        moved("check joint:flare1", "tighten joint:flare1"),
        RebuildRule.CHECK,
        "upper flare is checked before it is finished",
    ),
    "second look before it is finished": Bad(
        moved("do job:look", "finish joint:bush1"),
        RebuildRule.CHECK,
        "front bush is checked before it is finished",
    ),
    "not filled": Bad(
        without("fill fluid:brake"), RebuildRule.FLUIDS, "brake fluid is never filled"
    ),
    "filled before its joint is tight": Bad(
        moved("fill fluid:brake", "tighten joint:flare2"),
        RebuildRule.FLUIDS,
        "brake fluid would run out again",
    ),
    "filled before the hose is on": Bad(
        moved("do job:oil", "put on part:hose"), RebuildRule.FLUIDS, "oil would run out again"
    ),
    "filled twice": Bad(
        with_more("fill fluid:oil @ stands", "do job:bleed"),
        RebuildRule.FLUIDS,
        "oil is filled twice",
    ),
    "bled before it is filled": Bad(
        moved("do job:bleed", "fill fluid:brake"),
        RebuildRule.FLUIDS,
        "brake fluid is bled too early",
    ),
    "run before it is bled": Bad(
        all_of(
            moved("do job:start", "do job:bleed"),
            moved("do job:listen", "do job:bleed"),
        ),
        RebuildRule.FLUIDS,
        "first start comes before do bleed it",
    ),
    "the only known order broken": Bad(
        moved("put on part:mystery", "put on part:hose"),
        RebuildRule.PROVEN_ORDER,
        "oil hose comes before strange bracket",
    ),
    "the box put on too late": Bad(
        moved("put on part:box", "put on part:lamp"), RebuildRule.PROVEN_ORDER, "box comes before"
    ),
    "a temporary fit left in": Bad(
        changed(
            WHEEL_ON,
            "put on part:wheel @ stands | waits the plater | prop hold it",
        ),
        RebuildRule.TEMPORARY,
        "dolly is never taken out",
    ),
    "a temporary fit taken out too late": Bad(
        all_of(
            changed(
                WHEEL_ON,
                "put on part:wheel @ stands | waits the plater | prop hold it",
            ),
            changed(
                "put on part:door @ stands | prop hold the door",
                "put on part:door @ stands | prop hold the door | out dolly",
            ),
        ),
        RebuildRule.TEMPORARY,
        "dolly is taken out too late",
    ),
    "a closure left in": Bad(
        changed("make joint:turn @ stands | out 1 × plug: tank port", "make joint:turn @ stands"),
        RebuildRule.TEMPORARY,
        "tank port is never taken out",
    ),
    "a joint made where it cannot be reached": Bad(
        at("wheels", "make joint:nuts"),
        RebuildRule.STANDINGS,
        "wheel nuts is not reached in this standing",
        leaves_in_air=True,
    ),
    "a job done where it cannot be": Bad(
        moved("do job:weigh", "do job:bleed"),
        RebuildRule.STANDINGS,
        "weigh it is not reached in this standing",
    ),
    "a standing without its wheel": Bad(
        at("wheels", "make joint:bush2"),
        RebuildRule.STANDINGS,
        "the wheel that a wheel bears on is off",
        leaves_in_air=True,
    ),
    "a hidden part put on": Bad(
        at("beam", "put on part:lamp"),
        RebuildRule.STANDINGS,
        "a support hides the lamp",
        leaves_in_air=True,
    ),
    "a hidden joint": Bad(
        at("beam", "make joint:screw"),
        RebuildRule.STANDINGS,
        "a support hides the lamp",
        leaves_in_air=True,
    ),
    "a change while it hangs on the hoist": Bad(
        at("beam", "make joint:em"),
        RebuildRule.STANDINGS,
        "between engine mounting and engine, while a hoist bears",
    ),
    "a sitting broken by a change": Bad(
        at("stands", "do job:listen"),
        RebuildRule.STANDINGS,
        "between listen to it and first start, while the two are done in one sitting",
    ),
    "single-use pieces not renewed": Bad(
        changed(
            "make joint:mount @ stands | renew 2 × split pin 2.4 mm",
            "make joint:mount @ stands | renew 1 × split pin 2.4 mm",
        ),
        RebuildRule.RENEW,
        "does not renew 2 × split pin 2.4 mm",
    ),
}


@pytest.mark.parametrize("bad", BAD.values(), ids=BAD.keys())
def test_a_planted_fault_is_told_and_nothing_else(bad):
    """Exactly the rule that is broken complains, in words a person understands."""
    faults = told(bad.edit(list(GOOD_REBUILD)))
    in_the_air = tuple(each for each in faults if each.rule is RebuildRule.IN_THE_AIR)
    assert bool(in_the_air) is bad.leaves_in_air
    others = tuple(each for each in faults if each not in in_the_air)
    assert bad.words in only(others, bad.rule)
