"""What to have new before the rebuild: one list by specification, over the whole plan."""

from collections import Counter
from dataclasses import dataclass

from putback.logbook.accounts import STOCK
from putback.logbook.hardware_check import Line, hardware_check, joint_of
from putback.logbook.state import State
from putback.planning.plan import Action, Plan
from putback.vehicle.ids import JointId, split_ref


@dataclass(frozen=True, slots=True)
class ToHave:
    """One specification: how many pieces, in which joints, and how many are there already."""

    spec: str
    wanted: int
    joints: tuple[JointId, ...]
    here: int = 0
    """New pieces in stock: bought for these joints, or for anything."""
    single_use: bool = True
    """Used once; else what is lost, scrap or kept as a pattern."""

    @property
    def to_buy(self) -> int:
        """How many to order."""
        return max(0, self.wanted - self.here)


@dataclass(frozen=True, slots=True)
class UsedUp:
    """Something used up in making joints, and how many of them want it."""

    what: str
    joints: tuple[JointId, ...]


def to_have(plan: Plan, state: State) -> tuple[ToHave, ...]:
    """Gather what the joints of a plan want new; what is still to buy comes first."""
    made = _made(plan)
    check = hardware_check(state)
    by_joint = {joint_of(each.owner): each.lines for each in check.joints}
    spare = {line.spec: line.held.get(STOCK, 0) for line in _lines_of(by_joint, None)}
    wanted: Counter[tuple[str, bool]] = Counter()
    bought: Counter[tuple[str, bool]] = Counter()
    joints: dict[tuple[str, bool], list[JointId]] = {}
    for joint in made:
        lines = {line.spec: line for line in _lines_of(by_joint, joint)}
        once = _single_use(state, joint)
        for spec in (*once, *(spec for spec in lines if spec not in once)):
            line = lines.get(spec)
            new = line.new if line else 0
            count = once.get(spec, 0) or (_gone(line) if line else 0)
            if count:
                key = spec, spec in once
                wanted[key] += count
                bought[key] += min(new, count)
                joints.setdefault(key, []).append(joint)
    found = []
    for (spec, is_once), count in wanted.items():
        here = bought[spec, is_once]
        take = min(spare.get(spec, 0), count - here)
        spare[spec] = spare.get(spec, 0) - take
        found.append(
            ToHave(spec, count, tuple(joints[spec, is_once]), here + take, single_use=is_once)
        )
    return tuple(sorted(found, key=lambda each: (not each.to_buy, each.spec)))


def used_up(plan: Plan, state: State) -> tuple[UsedUp, ...]:
    """Gather grease, sealant, threadlock and the like that the joints of a plan take."""
    joints: dict[str, list[JointId]] = {}
    for joint in _made(plan):
        described = state.vehicle.joints.get(joint)
        for each in described.used_up if described else ():
            joints.setdefault(each.what, []).append(joint)
    return tuple(UsedUp(what, tuple(these)) for what, these in sorted(joints.items()))


def _made(plan: Plan) -> tuple[JointId, ...]:
    steps = (step for step in plan.steps if step.action is Action.MAKE)
    return tuple(JointId(split_ref(step.what)[1]) for step in steps)


def _lines_of(
    by_joint: dict[JointId | None, tuple[Line, ...]], joint: JointId | None
) -> tuple[Line, ...]:
    return by_joint.get(joint, ())


def _gone(line: Line) -> int:
    """Pieces that are gone for good, as far as the joint wants them."""
    left = line.wanted - line.on - sum(line.laid_up.values())
    return max(0, min(sum(line.gone.values()), left))


def _single_use(state: State, joint: JointId) -> Counter[str]:
    """The pieces of a joint that are used once."""
    count: Counter[str] = Counter()
    described = state.vehicle.joints.get(joint)
    for fixing in described.fixings if described else ():
        for piece in fixing.stack:
            if piece.single_use:
                count[piece.spec.text] += fixing.count * piece.per_fixing
    return count
