"""Whether a tiny rebuild can be done at all, by trying everything: written from the rules alone.

What can be undone and taken off is put back in steps of its own: a unit put on, a joint made and
tightened at once (to wait with the tightening never helps). What can be done depends on what is
done, not on how one got there, so each set of things done is looked at once.
"""

from putback.logbook.state import State
from putback.vehicle.facts import Phase
from putback.vehicle.vehicle import Vehicle


class Brute:
    """A rebuild without standings and jobs, under rules 2, 4 and 5."""

    def __init__(self, vehicle: Vehicle, state: State) -> None:
        self.vehicle = vehicle
        self.off = set(state.parts_off)
        wholes: dict[str, set[str]] = {}
        for part in self.off:
            if state.parts[part].whole:
                wholes.setdefault(state.parts[part].whole, set()).add(part)
        self.wholes = {f"assembly:{w}": parts for w, parts in wholes.items() if len(parts) > 1}
        inside = set().union(*self.wholes.values())
        self.units = self.wholes | {f"part:{part}": {part} for part in self.off - inside}
        self.joints = {joint for joint, each in state.joints.items() if each.out} | {
            joint.id for joint in vehicle.joints.values() if not self._together(joint.parts, state)
        }

    def _together(self, parts, state: State) -> bool:
        groups = {state.parts[p].whole or p if p in self.off else "on" for p in parts}
        return len(groups) == 1

    def can_be_done(self) -> bool:
        """Whether any order puts everything back."""
        everything = frozenset(self.units) | {f"joint:{joint}" for joint in self.joints}
        seen, todo = {frozenset()}, [frozenset()]
        while todo:
            done = todo.pop()
            if done == everything:
                return True
            for what in everything - done:
                more = done | {what}
                if more not in seen and self._may(what, done):
                    seen.add(more)
                    todo.append(more)
        return False

    def _off(self, done: frozenset[str]) -> set[str]:
        return self.off - set().union(*(self.units[u] for u in done if u in self.units))

    def _may(self, what: str, done: frozenset[str]) -> bool:
        off = self._off(done)
        kind, _, name = what.partition(":")
        if kind != "joint":
            parts = self.units[what]
            return all(
                self._is_its_turn(f"part:{part}", done)
                and all(
                    parts & set(fact.any_of) or self._is_clear(fact.any_of, off)
                    for fact in self.vehicle.obstructions_of.get(f"part:{part}", ())
                )
                for part in parts
            )
        parts = set(self.vehicle.joints[name].parts)
        blocks = [fact.any_of for fact in self.vehicle.obstructions_of.get(what, ())]
        if not parts & off:
            free = all(self._is_clear(any_of, off) for any_of in blocks)
        else:
            whole = next((each for each in self.wholes.values() if parts <= each), None)
            if whole is None:
                return False
            free = all(self._is_clear_inside(any_of, whole, name, done) for any_of in blocks)
        return free and self._is_its_turn(what, done)

    def _is_clear(self, any_of, off: set[str]) -> bool:
        return not self.off & set(any_of) or bool(off & set(any_of))

    def _is_clear_inside(self, any_of, whole: set[str], joint: str, done: frozenset[str]) -> bool:
        def held(part: str, made) -> bool:
            return any(
                each != joint and whole.issuperset(self.vehicle.joints[each].parts) and made(each)
                for each in self.vehicle.joints_of[part]
            )

        if not whole.issuperset(any_of) or all(
            held(part, lambda each: each not in self.joints) for part in any_of
        ):
            return True
        now = {name.partition(":")[2] for name in done} | (
            self.vehicle.joints.keys() - self.joints
        )
        return not all(held(part, now.__contains__) for part in any_of)

    def _is_its_turn(self, ref: str, done: frozenset[str]) -> bool:
        """Whether all that facts put before it is done; parts of one whole come together."""
        for fact in self.vehicle.befores.values():
            if fact.then == ref and fact.phase is not Phase.STRIP:
                first = self._unit_of(fact.first)
                if first != self._unit_of(ref) and first not in done and self._is_open(first):
                    return False
        return True

    def _unit_of(self, ref: str) -> str:
        part = ref.removeprefix("part:")
        return next((whole for whole, parts in self.wholes.items() if part in parts), ref)

    def _is_open(self, ref: str) -> bool:
        return ref in self.units or ref.removeprefix("joint:") in self.joints
