"""What we learned: where the logbook shows that the description is wrong, and what would mend it.

A proposal is never more than that: it names what is described and what was logged, and carries
the entries that would change the description. Once they are logged it is gone.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from putback.logbook.entries.base import Body, Entry, EntryId, Precision, Subject
from putback.logbook.entries.bookkeeping import Struck, TimeSpent
from putback.logbook.entries.describing import Described, described_subject
from putback.logbook.entries.working import JointUndone
from putback.logbook.open_items.wording import listed
from putback.logbook.state import State
from putback.units.show import duration_text
from putback.vehicle.codec import to_plain
from putback.vehicle.facts import Phase
from putback.vehicle.ids import JointId, PartId, Ref, part_ref
from putback.vehicle.minutes import NO_TIME, TIMED, Minutes
from putback.workshop.saying.whereabouts import cautions_of


@dataclass(frozen=True, slots=True)
class Proposal:
    """One thing that could be described better."""

    key: str
    """Says which it is; the same for as long as the same is proposed."""
    subject: Subject
    name: str
    described: str
    logged: str
    change: str
    """What accepting it does, in the imperative."""
    bodies: tuple[Body, ...]


def learned(state: State, standing: Sequence[Entry]) -> tuple[Proposal, ...]:
    """Propose what the logbook teaches about the description: counts, times, then order.

    Parameters
    ----------
    standing
        The entries that are not struck out, in the order of the logbook.
    """
    return (
        *_counts(state, standing),
        *_times(state, standing),
        *_orders(state, standing),
    )


# -- counts -------------------------------------------------------------------------------------


def _counts(state: State, standing: Sequence[Entry]) -> Iterator[Proposal]:
    """Propose the number of fixings that whoever undid a joint last counted there."""
    counted: dict[tuple[JointId, str], int] = {}
    for entry in standing:
        if isinstance(entry.body, JointUndone) and entry.body.of is not None:
            counted[entry.body.joint, entry.body.fixing] = entry.body.of
    for (joint, fixing), count in counted.items():
        about = state.vehicle.joints.get(joint)
        if about is None:
            continue
        at = [place for place, each in enumerate(about.fixings) if fixing in {"", each.id}]
        if len(at) != 1:  # which of several was counted, or where it would go, nobody said
            continue
        known = about.fixings[at[0]]
        if known.count == count:
            continue
        plain = to_plain("joints", about)["fixings"]
        plain[at[0]] = {**plain[at[0]], "count": count}
        yield Proposal(
            key=f"count:{joint}:{known.id}:{count}",
            subject=Subject(f"joint:{joint}"),
            name=about.name,
            described=f"{known.count} fixings",
            logged=f"{count} were counted when it was undone",
            change=f"describe {count}",
            bodies=(Described(table="joints", id=joint, fields={"fixings": plain}),),
        )


# -- times --------------------------------------------------------------------------------------


def _times(state: State, standing: Sequence[Entry]) -> Iterator[Proposal]:
    """Propose the time that work took, where it was outside what was thought possible."""
    spent: dict[Subject, float] = defaultdict(float)
    for entry in standing:
        if isinstance(entry.body, TimeSpent) and entry.body.of is not None:
            spent[entry.body.of] += entry.body.minutes
    for subject, minutes in spent.items():
        kind, _, identity = subject.partition(":")
        table = TIMED.get(kind, "")
        record = getattr(state.vehicle, table).get(identity) if table else None
        if record is None or not minutes or not _is_done(state, kind, identity):
            continue
        known: Minutes = record.minutes
        if known.best <= minutes <= known.worst:
            continue
        is_known = known != NO_TIME
        learnt = {
            "best": min(known.best, minutes) if is_known else minutes,
            "likely": minutes,
            "worst": max(known.worst, minutes),
        }
        thought = f"{duration_text(known.best)} to {duration_text(known.worst)}"
        yield Proposal(
            key=f"time:{subject}:{minutes:g}",
            subject=subject,
            name=record.name,
            described=thought if is_known else "no time",
            logged=f"it took {duration_text(minutes)}",
            change=f"describe {duration_text(minutes)} as likely",
            bodies=(Described(table=table, id=identity, fields={"minutes": learnt}),),
        )


def _is_done(state: State, kind: str, identity: str) -> bool:
    """Whether the work that time was spent on is over: else more may come."""
    done: Mapping[str, Iterable[str]] = {
        "joint": state.undone_joints,
        "part": state.parts_off,
        "job": state.jobs_done,
    }
    if kind == "assembly":
        return any(each.whole == identity and each.is_off for each in state.parts.values())
    return identity in done[kind]


# -- order --------------------------------------------------------------------------------------


def _orders(state: State, standing: Sequence[Entry]) -> Iterator[Proposal]:
    """Propose to strike out facts of the strip that the work itself has shown to be none."""
    by_id = {each.id: each for each in standing}
    when = _when_off(state)
    describing: dict[Subject, list[EntryId]] = defaultdict(list)
    for entry in standing:
        if isinstance(entry.body, Described):
            describing[described_subject(entry.body.table, entry.body.id)].append(entry.id)
    for fact in state.vehicle.obstructions.values():
        moved = when.get(fact.of)
        others = [when.get(part_ref(part)) for part in fact.any_of]
        hung = any((now := state.parts.get(part)) and now.hung for part in fact.any_of)
        if moved is None or hung or not fact.any_of or _went_back(state, fact.any_of):
            continue
        if all(_is_before(by_id, moved, other) for other in others):
            parts = listed(state.name_of(f"part:{part}") for part in fact.any_of)
            yield _untrue(
                state,
                "obstructions",
                fact.id,
                Subject(fact.of),
                f"{parts} in the way of it",
                "it was done with that still on",
                describing,
            )
    for before in state.vehicle.befores.values():
        then, first = when.get(before.then), when.get(before.first)
        if before.phase is Phase.REBUILD or then is None or first is None:
            continue
        if not (_is_harmless(state, before.first) and _is_harmless(state, before.then)):
            continue
        if _is_before(by_id, then, first):
            yield _untrue(
                state,
                "befores",
                before.id,
                Subject(before.then),
                f"{state.name_of(before.first)} first: {before.why}",
                "it was done before that",
                describing,
            )


def _is_harmless(state: State, ref: Ref) -> bool:
    """Whether no danger is told of it, and it is no job such as draining or isolating.

    That something was once done in the wrong order and nobody was hurt teaches nothing: such an
    order is never put up to be struck out.
    """
    return not ref.startswith("job:") and not cautions_of(state.vehicle, ref)


def _untrue(
    state: State,
    table: str,
    fact: str,
    subject: Subject,
    described: str,
    logged: str,
    describing: Mapping[Subject, Sequence[EntryId]],
) -> Proposal:
    entries = describing[described_subject(table, fact)]
    return Proposal(
        key=f"order:{table}:{fact}",
        subject=subject,
        name=state.name_of(subject),
        described=described,
        logged=logged,
        change="strike that fact out; it can be brought back",
        bodies=tuple(Struck(entry=each, why="the work showed it") for each in entries),
    )


def _when_off(state: State) -> Mapping[Ref, EntryId]:
    """Name the entry by which each joint was undone, part came off, job was done."""
    found: dict[Ref, EntryId] = {}
    for joint, undone in state.joints.items():
        if undone.undone is not None and undone.out and not undone.times_made:
            found[Ref(f"joint:{joint}")] = undone.undone.entry
    for part, now in state.parts.items():
        if now.off is not None:
            found[part_ref(part)] = now.off.entry
    for job, done in state.jobs.items():
        if done.done is not None:
            found[Ref(f"job:{job}")] = done.done.entry
    return found


def _went_back(state: State, parts: Iterable[PartId]) -> bool:
    """Whether one of the parts is back on: when it was off the first time is not kept."""
    return any((now := state.parts.get(part)) and now.on for part in parts)


def _is_before(by_id: Mapping[EntryId, Entry], this: EntryId, other: EntryId | None) -> bool:
    """Whether this surely happened before the other; ``None`` has not happened at all.

    Two days, or two instants, tell it; what was logged vaguely tells nothing.
    """
    here = by_id.get(this)
    if here is None or here.precision in {Precision.MONTH, Precision.UNKNOWN}:
        return False
    if other is None:
        return True
    there = by_id.get(other)
    if there is None or there.precision in {Precision.MONTH, Precision.UNKNOWN}:
        return False
    if Precision.DAY in {here.precision, there.precision}:
        return here.happened_at[:10] < there.happened_at[:10]
    return here.happened_ms < there.happened_ms
