"""The chapters of a history file that are told in rows: what was found, measured, made, spent."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal

from putback.logbook.common import Common, Finding, Reading, Said
from putback.logbook.entries.base import Entry, EntryId, Subject
from putback.logbook.entries.bookkeeping import MoneySpent, Sealed, TimeSpent
from putback.logbook.entries.judging import Decided
from putback.logbook.moments import day_words
from putback.logbook.state import Check, JointState, PartState, State
from putback.paper.history import Block, Chapter, Row
from putback.paper.history_words import HistoryWords
from putback.paper.words import Own
from putback.vehicle.ids import joint_ref, part_ref
from putback.vehicle.joint import Joint
from putback.workshop.logbooks.sayers import Sayers
from putback.workshop.printing.sheets import upper_first
from putback.workshop.printing.units import torque_in
from putback.workshop.printing.wanted import Wanted


@dataclass(frozen=True, slots=True)
class Told:
    """What every chapter is told from."""

    wanted: Wanted
    words: HistoryWords
    state: State
    entries: Mapping[EntryId, Entry]
    """Those that stand, in the order of the logbook."""
    sayers: Sayers

    def name(self, subject: str) -> str:
        """Say what a subject is, beginning with a capital."""
        return upper_first(Own(self.state.name_of(subject)))

    def day(self, entry: Entry) -> str:
        """Say on which day it happened, or that nobody knows."""
        return day_words(entry.happened_at) or self.words.unknown

    def who(self, entry: Entry) -> str:
        """Say who wrote it, as far as it is known."""
        return self.sayers.words(entry.id, entry.who) or self.words.unknown

    def by(self, said: Said | None) -> str:
        """Say who and when of what an entry says."""
        entry = self.entries.get(said.entry) if said else None
        return self.by_entry(entry) if entry else self.words.not_said

    def by_entry(self, entry: Entry) -> str:
        """Say who wrote an entry, and when it happened."""
        return f"{self.who(entry)} · {self.day(entry)}"

    def commons(self) -> Iterator[tuple[Subject, Common]]:
        """Give what is carried by every subject of which anything was said."""
        state = self.state
        for kind, table in (
            ("part", state.parts), ("joint", state.joints), ("opening", state.openings),
            ("tag", state.containers), ("fluid", state.fluids), ("job", state.jobs),
        ):  # fmt: skip
            for identity, record in table.items():
                yield Subject(f"{kind}:{identity}"), record.common
        yield from state.others.items()


def chapter(words: HistoryWords, title: str, notes: Iterable[str], *blocks: Block) -> Chapter:
    """Make a chapter; where it has no rows, it says that the logbook has nothing."""
    filled = tuple(each for each in blocks if each.rows or each.photos)
    said = tuple(filter(None, notes)) if filled else (words.nothing,)
    return Chapter(title, said, filled)


def found_and_repaired(told: Told) -> Chapter:
    """Each fault or surprise with what was decided, and what was done to the thing outside."""
    words = told.words
    found: list[tuple[Finding, Subject, Common]] = [
        (each, subject, common) for subject, common in told.commons() for each in common.findings
    ]
    found.sort(key=lambda each: each[0].said.key)
    rows = tuple(
        Row(
            (told.by(each.said), told.name(subject), each.what,
             _decision(told, each.settled), _done(told, common)),
            (told.name(subject),),
        )
        for each, subject, common in found
    )  # fmt: skip
    heads = (words.when, words.where, words.was_found, words.decided, words.done)
    return chapter(words, words.found, (), Block("", heads, (3, 3, 4, 3, 3), rows))


def _decision(told: Told, settled: EntryId | None) -> str:
    entry = told.entries.get(settled) if settled else None
    if entry is None or not isinstance(entry.body, Decided):
        return told.words.undecided
    body = entry.body
    choice = str(body.choice)
    return f"{choice}{f': {body.why}' if body.why else ''} · {told.by_entry(entry)}"


def _done(told: Told, common: Common) -> str:
    work = [": ".join(filter(None, (each.whither, each.what))) for each in common.returned]
    work += [
        str(getattr(entry.body, "how", "")) or str(entry.kind)
        for said in common.prepared
        if (entry := told.entries.get(said.entry))
    ]
    return "; ".join(filter(None, work)) or told.words.not_said


def measurements(told: Told) -> Chapter:
    """Each reading with its limits, as far as anybody gave them."""
    words = told.words
    found: list[tuple[Reading, Subject]] = [
        (each, subject) for subject, common in told.commons() for each in common.readings
    ]
    found.sort(key=lambda each: each[0].said.key)
    rows = tuple(
        Row(
            (told.by(each.said), told.name(subject), upper_first(each.what),
             f"{each.value:g} {each.unit}", _limits(words, each), _verdict(told, each)),
            (told.name(subject),),
        )
        for each, subject in found
    )  # fmt: skip
    heads = (words.when, words.where, words.what, words.measured, words.limits, words.verdict)
    return chapter(words, words.measurements, (), Block("", heads, (3, 3, 3, 2, 2, 3), rows))


def _limits(words: HistoryWords, each: Reading) -> str:
    if each.low is None and each.high is None:
        return words.no_limits
    if each.low is None:
        return f"≤ {each.high:g} {each.unit}"
    if each.high is None:
        return f"≥ {each.low:g} {each.unit}"
    return f"{each.low:g} – {each.high:g} {each.unit}"


def _verdict(told: Told, each: Reading) -> str:
    words = told.words
    if each.low is None and each.high is None:
        return words.unknown
    if not each.outside:
        return words.inside
    return f"{words.outside}; {_decision(told, each.settled)}"


def originality(told: Told) -> Chapter:
    """What each part was found as, what is correct, and whether it is still its own."""
    words, state = told.words, told.state
    rows, silent = [], 0
    parts = sorted(state.vehicle.parts.values(), key=lambda each: each.name.casefold())
    for part in parts:
        seen = state.parts.get(part.id)
        numbers = "; ".join(f"{each.kind} {each.value}" for each in part.numbers)
        if not (part.as_found or part.correct or numbers or (seen and _moved(seen))):
            silent += 1
            continue
        name = told.name(part_ref(part.id))
        rows.append(
            Row(
                (name, part.as_found or words.not_said, part.correct or words.not_said,
                 numbers or words.not_said, _now(told, seen)),
                (name,),
            )
        )  # fmt: skip
    note = words.originality_note.format(n=silent) if silent else ""
    heads = (words.where, words.as_found, words.correct, words.numbers, words.now)
    return chapter(
        words, words.originality, (note,), Block("", heads, (5, 3, 3, 3, 5), tuple(rows))
    )


def _moved(seen: PartState) -> bool:
    return bool(seen.off or seen.on or seen.gone or seen.renewed)


def _now(told: Told, seen: PartState | None) -> str:
    words = told.words
    if seen is None or not _moved(seen):
        return words.untouched
    if seen.gone and not seen.renewed:
        return f"{seen.gone}; {told.by(seen.gone_by)}"
    if seen.off:
        return f"{words.off}; {told.by(seen.off)}"
    return f"{words.renewed if seen.renewed else words.its_own}; {told.by(seen.on)}"


def torque_and_checks(told: Told) -> Chapter:
    """Each joint with a figure or marked critical: what was applied, by whom, who checked."""
    words, state = told.words, told.state
    joints = [
        each
        for each in state.vehicle.joints.values()
        if each.critical
        or each.tightening.torque_nm is not None
        or each.tightening.stages
        or ((seen := state.joints.get(each.id)) and seen.torque_nm is not None)
    ]
    joints.sort(key=lambda each: (not each.critical, each.name.casefold()))
    rows = tuple(_joint_row(told, each, state.joints.get(each.id)) for each in joints)
    heads = (words.joint, words.wanted, words.applied, words.made_by, words.checked)
    return chapter(
        words, words.torque, (words.torque_note,), Block("", heads, (5, 5, 3, 3, 3), rows)
    )


def _joint_row(told: Told, joint: Joint, seen: JointState | None) -> Row:
    words, wanted = told.words, told.wanted
    name = told.name(joint_ref(joint.id))
    is_made = seen is not None and seen.made is not None
    stage = str(seen.stage) if seen else ""
    applied = (
        wanted.units.torque(seen.torque_nm)
        if seen and is_made and seen.torque_nm is not None
        else words.not_said
    )
    checks = "; ".join(_check(told, each) for each in seen.checks) if seen and is_made else ""
    return Row(
        (
            f"{words.critical} {name}" if joint.critical else name,
            torque_in(wanted.words, wanted.units, joint) or words.not_said,
            f"{applied}; {stage}" if stage else applied,
            told.by(seen.made) if seen and is_made else words.not_said,
            checks or words.not_said,
        ),
        (name,),
    )


def _check(told: Told, check: Check) -> str:
    words = told.words
    weight = words.second if check.second_person else words.same_person
    wrong = "" if check.right else words.not_right
    return ", ".join(filter(None, (told.by(check.said), weight, wrong, check.note)))


def effort(told: Told) -> Chapter:
    """Hours by what they went into; money line by line where it is wanted."""
    words = told.words
    minutes: dict[str, float] = {}
    paid: list[Row] = []
    sums: dict[str, Decimal] = {}
    for entry in told.entries.values():
        match body := entry.body:
            case TimeSpent():
                of = told.name(body.of) if body.of else ""
                minutes[of] = minutes.get(of, 0.0) + body.minutes * body.people
            case MoneySpent() if told.wanted.with_money:
                what = body.what or (told.name(body.of) if body.of else words.not_said)
                sums[body.currency] = sums.get(body.currency, Decimal(0)) + body.amount
                paid.append(Row((told.day(entry), what, f"{body.amount} {body.currency}")))
    paid += [Row(("", "=", f"{total} {currency}")) for currency, total in sums.items()]
    hours = tuple(
        Row((of or words.not_said, f"{spent / 60:.1f}"), (of,) if of else ())
        for of, spent in sorted(minutes.items())
    )
    total = words.hours_of.format(hours=f"{sum(minutes.values()) / 60:.1f}") if hours else ""
    left = "" if told.wanted.with_money else words.money_left_out
    made = chapter(
        words, words.effort, (total, left),
        Block(words.hours, (words.where, words.hours), (3, 1), hours),
        Block(words.money, (words.when, words.what, words.money), (1, 3, 1), tuple(paid)),
    )  # fmt: skip
    if made.blocks or not left:
        return made
    return Chapter(made.title, (*made.notes, left))


def seal(told: Told) -> Chapter:
    """The digest of the set of entries, and the seals that somebody logged."""
    words = told.words
    facts = told.wanted.workshop.facts(told.wanted.logbook)
    rows = [
        Row((words.entries, str(facts.entries))),
        Row((words.digest, facts.digest)),
    ]
    rows += [
        Row((words.sealed, f"{told.by_entry(entry)}: {entry.body.entries}, {entry.body.digest}"))
        for entry in told.entries.values()
        if isinstance(entry.body, Sealed)
    ]
    return chapter(words, words.seal, (words.seal_note,),
                   Block("", (words.what, ""), (1, 4), tuple(rows)))  # fmt: skip
