"""What changed from one plan to the next, and why: the entry or fact behind it, in words."""

from bisect import bisect_left
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import groupby
from operator import itemgetter

from putback.logbook.entries.base import EntryId
from putback.logbook.open_items.wording import count, listed
from putback.logbook.state import State
from putback.planning.again.since import Said, Since
from putback.planning.plan import Action, Because, Plan, Reason, Step
from putback.vehicle.ids import (
    AssemblyId,
    JobId,
    JointId,
    PartId,
    Ref,
    joint_ref,
    part_ref,
    split_ref,
)

_NOTICED = 0.5
"""A step that takes so much longer or less is told of [minutes]."""
_NAMED = 3
"""Things that are named before the rest is counted."""

_Key = tuple[Action, Ref]


class Sort(StrEnum):
    """What sort of change it is."""

    FEWER = "fewer"
    MORE = "more"
    EARLIER = "earlier"
    LATER = "later"
    MINUTES = "minutes"
    NEW_ORDER = "new order"


@dataclass(frozen=True, slots=True)
class Change:
    """One thing that is different from the last plan.

    ``why`` names the entry or fact behind it, ``entry`` is that entry where there is one.
    """

    sort: Sort
    what: tuple[Ref, ...]
    words: str
    why: str = ""
    entry: EntryId | None = None

    def __str__(self) -> str:
        """Say it in one line."""
        return f"{self.words}: {self.why}" if self.why else self.words


def planned_anew(saved: float, of: float, since: Since) -> Change:
    """Say that what is left was planned anew, and what that saves [minutes]."""
    share = f" of {of:.0f}" if of else ""
    why, entry = _told(since.latest())
    words = f"the rest is in another order now, which saves {saved:.0f}{share} minutes"
    return Change(Sort.NEW_ORDER, (), words, why, entry)


def changes_between(
    last: Plan,
    plan: Plan,
    state: State,
    since: Since,
    *,
    anew: Change | None = None,
) -> tuple[Change, ...]:
    """Compare what is left of the last plan with a plan from the present state.

    What was done is no change. ``anew`` is told first where all was planned anew; then what comes
    earlier or later is not told one by one.
    """
    return Telling(last, plan, state, since).all_of_it(anew)


class Telling:
    """Two plans of a strip, and what is known to explain their difference."""

    def __init__(self, last: Plan, plan: Plan, state: State, since: Since) -> None:
        self.state = state
        self.since = since
        self.before = {_key(step): step for step in last.steps}
        self.now = {_key(step): step for step in plan.steps}
        self.needed_by: dict[Ref, list[tuple[Step, Reason]]] = {}
        for step in plan.steps:
            for reason in step.reasons:
                self.needed_by.setdefault(reason.first, []).append((step, reason))

    def _grouped(
        self, sort: Sort, word: str, causes: Iterable[tuple[Ref, str, EntryId | None]]
    ) -> Iterator[Change]:
        """Tell at once what has one cause; of several entries that say the same, the first."""
        grouped: dict[str, list[tuple[Ref, EntryId | None]]] = {}
        for what, why, entry in causes:
            grouped.setdefault(why, []).append((what, entry))
        for why, told in grouped.items():
            things = [what for what, _ in told]
            yield Change(sort, tuple(things), self._words(things, word), why, told[0][1])

    def _words(self, things: Sequence[Ref], word: str) -> str:
        return f"{count(len(things), 'job')} {word}: {self._names(list(dict.fromkeys(things)))}"

    def all_of_it(self, anew: Change | None) -> tuple[Change, ...]:
        """Tell every change; ``anew`` instead of what comes earlier or later."""
        moved = (anew,) if anew is not None else tuple(self.moved())
        return (*moved, *self.fewer(), *self._all_more(), *self.minutes())

    # -- jobs less ----------------------------------------------------------------------------

    def fewer(self) -> Iterator[Change]:
        """What was planned, is not done, and is not planned any more."""
        causes: list[tuple[Ref, str, EntryId | None]] = []
        for key, step in self.before.items():
            if key not in self.now and step.action is not Action.CRACK:
                cause = self.why_not(step)
                if cause is not None:
                    causes.append((step.what, *cause))
        yield from self._grouped(Sort.FEWER, "less", causes)

    def why_not(self, step: Step) -> tuple[str, EntryId | None] | None:
        """Say why a step is not wanted any more; ``None`` if it was done itself."""
        what = step.what
        kind, identity = split_ref(what)
        gone_with = self._gone_with(what)
        if gone_with is not None:
            return gone_with
        match kind:
            case "part":
                done = identity in self.state.parts_off
            case "assembly":
                parts = self.state.vehicle.assemblies[AssemblyId(identity)].parts
                done = all(part in self.state.parts_off for part in parts)
            case "joint":
                done = self.state.joints.get(JointId(identity)) is not None and (
                    self.state.joints[JointId(identity)].is_undone
                )
            case _:
                done = identity in self.state.jobs_done
        if done:
            return None
        others = self.instead(what, Action.TAKE_OFF)
        if others:
            return f"it comes with {others} now", self.about(what)[1]
        return self.not_needed(what)

    def not_needed(self, what: Ref) -> tuple[str, EntryId | None]:
        """The entry by which nothing needs a thing any more."""
        why, entry = self.about(what)
        return why or "nothing that is asked for needs it any more", entry

    def _gone_with(self, what: Ref) -> tuple[str, EntryId] | None:
        """Whether a part, or all that a joint holds, came off with a whole not planned so."""
        kind, identity = split_ref(what)
        joint = self.state.vehicle.joints.get(JointId(identity)) if kind == "joint" else None
        seen = self.state.joints.get(JointId(identity)) if joint else None
        if kind == "part":
            parts: tuple[PartId, ...] = (PartId(identity),)
        elif joint is not None and not (seen is not None and seen.is_undone):
            parts = joint.parts
        else:
            return None
        for part in parts:
            each = self.state.parts.get(part)
            if each is not None and each.off is not None and each.whole is not None:
                return f"went with {self.name(Ref(f'assembly:{each.whole}'))}", each.off.entry
        off = [self.state.parts[part].off for part in parts if part in self.state.parts_off]
        if kind == "joint" and off and off[0] is not None:
            gone = [part_ref(part) for part in parts if part in self.state.parts_off]
            return f"logged as off: {self._names(gone)}", off[0].entry
        return None

    def instead(self, what: Ref, done: Action) -> str:
        """The whole with which a thing is planned to come off, or go on, now."""
        kind, identity = split_ref(what)
        for action, unit in self.now:
            if action is done and split_ref(unit)[0] == "assembly":
                whole = self.state.vehicle.assemblies[AssemblyId(split_ref(unit)[1])]
                if kind == "part" and identity in whole.parts:
                    return self.name(unit)
        return ""

    # -- jobs more ----------------------------------------------------------------------------

    def _all_more(self) -> tuple[Change, ...]:
        """What is planned and was not; in one sentence, where nothing was and much is now."""
        found = tuple(self.more())
        if self.before or len(found) <= _NAMED:
            return found
        things = [what for each in found for what in each.what]
        words = self._words(things, "more")
        return (Change(Sort.MORE, tuple(things), words, "nothing was planned before"),)

    def more(self) -> Iterator[Change]:
        """What is planned and was not."""
        causes = [
            (step.what, *self._why_now(step))
            for key, step in self.now.items()
            if key not in self.before and step.action is not Action.CRACK
        ]
        yield from self._grouped(Sort.MORE, "more", causes)

    def _why_now(self, step: Step) -> tuple[str, EntryId | None]:
        """Say what asks for a step: the entry that speaks of it, else the fact that needs it."""
        why, entry = self.about(step.what)
        if why:
            return why, entry
        for other, reason in self.needed_by.get(step.what, ()):
            why, entry = self._of_fact(reason)
            return why or f"{self.name(other.what)} needs it: {reason.words}", entry
        for reason in step.reasons:
            if reason.because is Because.GOAL:
                return reason.words, None
        return "", None

    # -- earlier and later --------------------------------------------------------------------

    def moved(self) -> Iterator[Change]:
        """What comes at another place among the rest, as few things as will do."""
        order = [key for key in self.now if key in self.before]
        place = {key: at for at, key in enumerate(self.before)}
        still = [order[at] for at in _longest_rising([place[key] for key in order])]
        stays, places = set(still), [place[key] for key in still]
        moving: list[tuple[_Key, tuple[int, bool]]] = []
        passed = 0
        for key in order:
            if key in stays:
                passed += 1
            else:
                moving.append((key, (passed, bisect_left(places, place[key]) > passed)))
        for (passed, is_earlier), block in groupby(moving, key=itemgetter(1)):
            beside = still[passed] if is_earlier else still[passed - 1]
            yield self._move([key for key, _ in block], beside[1], is_earlier=is_earlier)

    def _move(self, block: list[_Key], other: Ref, *, is_earlier: bool) -> Change:
        """Say where a block comes now: before or after what stays where it is."""
        things = list(dict.fromkeys(what for _, what in block))
        verb = "comes" if len(things) == 1 else "come"
        word = "before" if is_earlier else "after"
        words = f"{self._names(things)} {verb} {word} {self.name(other)} now"
        late = [other] if is_earlier else things
        why, entry = self._why_late(things, late) or self._why_moved(block, other)
        return Change(Sort.EARLIER if is_earlier else Sort.LATER, tuple(things), words, why, entry)

    def _why_late(
        self, things: Sequence[Ref], late: Sequence[Ref]
    ) -> tuple[str, EntryId | None] | None:
        """Say what was put off, so that some come late: it, or what waits for it or is for it."""
        for what, each in ((Ref(what), each) for what, each in self.state.put_off.items()):
            is_for_it = any(self._waits_for([what], one) for one in late)
            if what in late or self._waits_for(late, what) or is_for_it:
                note = f": {each.note}" if each.note else ""
                own = "it is" if list(things) == [what] else f"{self.name(what)} is"
                return f"{own} put off, {each.why}{note}", each.said.entry
        return None

    def _why_moved(self, block: list[_Key], other: Ref) -> tuple[str, EntryId | None]:
        """Say what put a block where it is: a new fact, what was logged, how it stands."""
        things = {what for _, what in block}
        beside = [key for key in self.now if key[1] == other and key in self.before]
        for key in (*block, *beside):
            new = set(self.now[key].reasons) - set(self.before[key].reasons)
            for reason in sorted(new, key=str):
                if reason.first in things | {other} or reason.because is not Because.HOLDS:
                    why, entry = self._of_fact(reason)
                    return why or reason.words, entry
        kin = {each for what in things for each in self._kin(what)}
        why, entry = self._related({*things, *kin})
        if why:
            return why, entry
        said = self.state.standing.said
        if said is not None and any(each.id == said.entry for each in self.since.entries):
            return f"it stands {self.name(Ref(f'standing:{self.state.standing.standing}'))}", (
                said.entry
            )
        return _told(self.since.latest())

    def _waits_for(self, things: Collection[Ref], what: Ref) -> bool:
        """Whether one of these comes after a thing by the reasons of the plan."""
        seen: set[Ref] = set()
        todo = [what]
        while todo:
            first = todo.pop()
            for step, _ in self.needed_by.get(first, ()):
                if step.what in things:
                    return True
                if step.what not in seen:
                    seen.add(step.what)
                    todo.append(step.what)
        return False

    # -- minutes ------------------------------------------------------------------------------

    def minutes(self) -> Iterator[Change]:
        """What takes longer now, or less long."""
        for key, step in self.now.items():
            before = self.before.get(key)
            if before is None or abs(step.minutes - before.minutes) < _NOTICED:
                continue
            words = (
                f"{self.name(step.what)} takes {step.minutes:.0f} minutes, "
                f"not {before.minutes:.0f}"
            )
            why, entry = self._why_minutes(step)
            yield Change(Sort.MINUTES, (step.what,), words, why, entry)

    def _why_minutes(self, step: Step) -> tuple[str, EntryId | None]:
        for fact in self.state.vehicle.harder_afters.values():
            if fact.job == step.what:
                why, entry = self.about(Ref(fact.after))
                if why:
                    return f"{why}{f' ({fact.why})' if fact.why else ''}", entry
        return self.about(step.what)

    # -- entries and names --------------------------------------------------------------------

    def _of_fact(self, reason: Reason) -> tuple[str, EntryId | None]:
        """The entry that described a fact since the last plan."""
        if reason.fact:
            for said in reversed(self.since.said):
                if any(each.partition(":")[2] == reason.fact for each in said.subjects):
                    return f"{reason.words} (described since)", said.entry
        return "", None

    def about(self, what: Ref) -> tuple[str, EntryId | None]:
        """The latest entry that speaks of a thing, else of its kin."""
        why, entry = self._related({what})
        return (why, entry) if why else self._related({*self._kin(what)})

    def _related(self, things: Collection[str]) -> tuple[str, EntryId | None]:
        """The latest entry since the last plan that speaks of one of these."""
        return _told(self.since.of(things))

    def _kin(self, what: Ref) -> Iterator[Ref]:
        """A joint's parts, a part's joints, a whole's parts."""
        kind, identity = split_ref(what)
        vehicle = self.state.vehicle
        if kind == "joint" and identity in vehicle.joints:
            yield from map(part_ref, vehicle.joints[JointId(identity)].parts)
        if kind == "part":
            yield from map(joint_ref, vehicle.joints_of.get(PartId(identity), ()))
        if kind == "assembly" and identity in vehicle.assemblies:
            yield from map(part_ref, vehicle.assemblies[AssemblyId(identity)].parts)
        if kind == "job" and identity in vehicle.jobs:
            yield from map(joint_ref, vehicle.jobs[JobId(identity)].joints)

    def name(self, what: Ref) -> str:
        """Call a thing by its name."""
        return self.state.name_of(what)

    def _names(self, things: Sequence[Ref]) -> str:
        """Name the first few, and count the rest."""
        return listed(map(self.name, things), _NAMED)


def _key(step: Step) -> _Key:
    return step.action, step.what


def _told(said: Said | None) -> tuple[str, EntryId | None]:
    return (said.words, said.entry) if said is not None else ("", None)


def _longest_rising(numbers: Sequence[int]) -> list[int]:
    """Give the places of a longest run of numbers that rise, others left out between them."""
    ends: list[int] = []
    places: list[int] = []
    before: list[int] = []
    for at, number in enumerate(numbers):
        length = bisect_left(ends, number)
        before.append(places[length - 1] if length else -1)
        ends[length : length + 1] = [number]
        places[length : length + 1] = [at]
    found: list[int] = []
    at = places[-1] if places else -1
    while at >= 0:
        found.append(at)
        at = before[at]
    return found[::-1]
