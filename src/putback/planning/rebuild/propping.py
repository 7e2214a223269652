"""What to hold up, and until when, where an order leaves something in the air (rule 19).

`propping` goes once along an order and says of each step what it needs.
"""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, field

from putback.planning.held.lifting import MOST_BY_HAND, Lifting
from putback.planning.held.telling import stays
from putback.planning.plan import Action
from putback.planning.rebuild.aloft import Aloft
from putback.planning.rebuild.fastening import Fastenings
from putback.planning.rebuild.placed import Order
from putback.planning.rebuild.work import Node
from putback.vehicle.ids import JointId, PartId, joint_ref, part_ref

_DONE = {Action.MAKE: "made", Action.TIGHTEN: "tightened", Action.PUT_ON: "on"}


@dataclass(slots=True)
class Prop:
    """What one step needs besides the work, each in words."""

    prop_first: list[str] = field(default_factory=list)
    people: int = 1
    add_support: list[str] = field(default_factory=list)
    cautions: list[str] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class _Waiting:
    """Parts in the air since a step, and how to say what is done about it."""

    at: int
    parts: frozenset[PartId]
    words: str
    why: str
    beside: frozenset[PartId] = frozenset()
    """What was in the air before it, and is held up already: in one piece with that it is, too."""
    own: frozenset[str] | None = None
    """The joints of what is put on, or was left so, by which it is held."""
    was_left: bool = False
    """Before the first step; else nothing is said where only its own joints are worked on."""


def propping(fastenings: Fastenings, order: Order, lifting: Lifting) -> tuple[Prop, ...]:
    """Say what each step of an order needs."""
    return _Propping(fastenings, order, lifting).found()


class _Propping:
    def __init__(self, fastenings: Fastenings, order: Order, lifting: Lifting) -> None:
        self.fastenings = fastenings
        self.work = fastenings.work
        self.nodes = [placed.node for placed in order.placed]
        self.standings = [placed.standing for placed in order.placed]
        self.lifting = lifting
        self.aloft = Aloft(fastenings, order.start)
        self.props = tuple(Prop() for _ in self.nodes)
        self.waiting: list[_Waiting] = []

    def found(self) -> tuple[Prop, ...]:
        """Go along the order."""
        aloft = self.aloft
        if aloft.in_air and self.nodes:
            self._as_left()
        for at, node in enumerate(self.nodes):
            beside = frozenset(aloft.in_air)
            if self.standings[at] != aloft.standing:
                self._change(at)
            hung = aloft.hanging(aloft.in_air) if aloft.in_air else {}
            aloft.do(self.fastenings.index[node], node)
            if node.action is Action.PUT_ON:
                self._put_on(at, node, beside)
            elif node.action is Action.MAKE and aloft.in_air:
                self._hung_up(at, hung.keys())
            self._settle(at)
        for each in self.waiting:
            self._say(each, len(self.nodes))
        return self.props

    def _settle(self, at: int) -> None:
        """Say until when it had to be held of all that is held from a step on."""
        for each in [w for w in self.waiting if w.at < at or w.was_left]:
            if self._is_held_up(each):
                self.waiting.remove(each)
                self._say(each, at)

    def _is_held_up(self, each: _Waiting) -> bool:
        """Whether all of it is held, or is in one piece with what is held up already."""
        aloft = self.aloft
        lumps = {aloft.held_by.of(part) for part in aloft.in_air & each.beside}
        return lumps.issuperset(aloft.held_by.of(part) for part in aloft.in_air & each.parts)

    def _say(self, each: _Waiting, until: int) -> None:
        is_next = until < len(self.nodes) and self._is_next(each, until)
        if is_next and not each.was_left:
            return
        down = ", or take it down again" if each.was_left and not is_next else ""
        if until == len(self.nodes):
            words = f"{each.words}{down}: what holds it has to wait"
        else:
            node = self.nodes[until]
            done = _DONE.get(node.action, "done")
            words = f"{each.words} until the {self.work.name(node.what)} is {done}"
            words = f"{words}{down}: {each.why}"
        self.props[each.at].prop_first.append(words)

    def _is_next(self, each: _Waiting, until: int) -> bool:
        """Whether only its own joints are worked on until it is held, as it stands now."""
        first = each.at if each.was_left else each.at + 1
        joints = (Action.MAKE, Action.TIGHTEN)
        own = each.own or ()
        return len(set(self.standings[each.at : until + 1])) == 1 and all(
            n.action in joints and n.what in own for n in self.nodes[first : until + 1]
        )

    # -- what is left in the air --------------------------------------------------------------

    def _as_left(self) -> None:
        for lump in self.aloft.lumps(self.aloft.in_air):
            if not self.lifting.is_light(lump) and not self._all_stay(lump):
                words = self.lifting.held(lump, "hold up")
                why = "nothing holds it as it is now"
                own = self._own(lump)
                self.waiting.append(
                    _Waiting(0, frozenset(lump), words, why, own=own, was_left=True)
                )
                people = min(self.lifting.people(lump), MOST_BY_HAND)
                self.props[0].people = max(self.props[0].people, people)

    def _put_on(self, at: int, node: Node, beside: frozenset[PartId]) -> None:
        unit = self.work.unit_parts(node.what)
        left = self.aloft.in_air.intersection(unit)
        solid = [part for part in unit if part not in self.fastenings.runs]
        if left and not self._all_stay(solid):
            words = f"keep {self._names(solid)} propped"
            why = "nothing else holds it"
            own = self._own(solid)
            self.waiting.append(_Waiting(at, frozenset(left), words, why, beside, own))

    def _own(self, parts: Iterable[PartId]) -> frozenset[str]:
        return frozenset(
            joint_ref(joint)
            for part in parts
            for table in (self.fastenings.joints_of, self.fastenings.loose_joints_of)
            for joint in table.get(part, ())
        )

    def _hung_up(self, at: int, before: Collection[PartId]) -> None:
        hung = self.aloft.hanging(self.aloft.in_air)
        fresh = frozenset(hung.keys() - before)
        if fresh:
            ties = dict.fromkeys(tie for part in sorted(fresh) for tie in hung[part])
            runs = " and ".join(f"the {self.work.name(tie)}" for tie in ties)
            words = f"keep {self._names(self.lifting.heaviest_first(fresh))} propped"
            why = f"it hangs on {runs} otherwise, which must not carry it"
            self.waiting.append(_Waiting(at, fresh, words, why))

    def _all_stay(self, parts: Collection[PartId]) -> bool:
        """Whether all joints that are still to hold parts stay undone, as described."""
        joints = {
            joint
            for part in parts
            for joint in self.fastenings.joints_of.get(part, ())
            if not self.aloft.holds(joint)
            and not set(parts).issuperset(self.fastenings.parts_of[joint])
        }
        return bool(joints) and all(stays(self.work.joints[joint]) for joint in joints)

    # -- over a change of standing ------------------------------------------------------------

    def _change(self, at: int) -> None:
        aloft, prop = self.aloft, self.props[at]
        dropped = set(aloft.in_air)
        prop.cautions += self._slack()
        aloft.stand(self.standings[at])
        dropped |= aloft.in_air
        if dropped:
            names = self._names(self.lifting.heaviest_first(dropped))
            words = f"hold up {names} while the standing changes: nothing else holds it"
            prop.add_support.append(words)

    def _slack(self) -> Iterator[str]:
        """Say what to nip before the vehicle is moved."""
        for lump in self.aloft.slack():
            joints = list(dict.fromkeys(self._leads_out(lump)))
            if joints and not self.lifting.is_light(lump):
                names = " and ".join(f"the {self.work.name(joint_ref(each))}" for each in joints)
                named = self.lifting.named(lump)
                yield f"nip {names} before the vehicle is moved: the {named} is on slack fixings"

    def _leads_out(self, lump: Iterable[PartId]) -> Iterator[JointId]:
        """The joints, not tightened yet, that hold a lump."""
        inside = set(lump)
        for joint in (j for part in lump for j in self.fastenings.joints_of[part]):
            others = [p for p in self.fastenings.parts_of[joint] if p in self.aloft.on]
            if self.aloft.holds(joint) and not inside.issuperset(others):
                yield joint

    def _names(self, parts: Iterable[PartId]) -> str:
        return " and ".join(f"the {self.work.name(part_ref(part))}" for part in parts)
