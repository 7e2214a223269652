"""What has to be made ready before it goes back, and whether a plan says so in time (15).

The table of what outside work calls for is data, read here anew; all else is worked out from the
words of the rule.
"""

import csv
from collections.abc import Iterator, Mapping
from functools import cache, cached_property
from importlib.resources import files
from typing import NamedTuple

from putback.logbook.common import Common
from putback.logbook.entries.judging import Choice
from putback.logbook.order import Key
from putback.logbook.state import PartState
from putback.planning.check.due import Due
from putback.planning.check.fault import Fault, RebuildRule
from putback.planning.check.when import When
from putback.planning.plan import Action
from putback.vehicle.facts import Phase
from putback.vehicle.ids import JointId, PartId, Ref, joint_ref, part_ref
from putback.vehicle.job import Job, JobKind
from putback.vehicle.opening import Opening
from putback.vehicle.part import PartKind

_FACES = (
    "taper",
    "spline",
    "key",
    "press fit",
    "olive",
    "gasket",
    "copper washer",
    "fibre washer",
    "O-ring",
    "sealing ring",
    "oil seal",
)
"""Kinds of piece that bear on a face."""
_EARTHS = ("earth", "ground strap", "ground lead", "ground cable")


class Wanted(NamedTuple):
    """Words that a step on something has to say."""

    ref: Ref
    words: str


def wanted(due: Due) -> dict[Ref, list[str]]:
    """Give what has to be made ready, each with how the lines begin that say so."""
    found: dict[Ref, list[str]] = {}
    for each in _Wants(due).all():
        found.setdefault(each.ref, []).append(each.words)
    return found


def ready_faults(due: Due, when: When) -> Iterator[Fault]:
    """Say what is not made ready, not in time, or not in full."""
    for ref, words in wanted(due).items():
        name = due.state.name_of(ref)
        at = when.at.get((Action.PREPARE, ref))
        if at is None:
            yield Fault(RebuildRule.PREPARE, None, ref, f"{name} is not made ready: {words[0]}")
            continue
        notes = when.plan.steps[int(at)].notes
        for line in words:
            if not any(note.startswith(line) for note in notes):
                yield Fault(RebuildRule.PREPARE, int(at), ref, f"{name}: does not say “{line}”")
        for begun in _begun(due, when, ref):
            if begun <= at:
                yield Fault(RebuildRule.PREPARE, int(at), ref, f"{name} is made ready too late")
                break


def _begun(due: Due, when: When, ref: Ref) -> Iterator[float]:
    """When a part goes on and its joints are begun, or a joint is."""
    kind, _, identity = ref.partition(":")
    if kind == "joint":
        yield when.make(JointId(identity))
        return
    if identity in due.back:
        yield when.on(PartId(identity))
    for joint in due.vehicle.joints_of.get(PartId(identity), ()):
        if joint in due.make:
            yield when.make(joint)


@cache
def _rows() -> tuple[Mapping[str, str], ...]:
    text = (files("putback.planning.rebuild") / "data" / "preparing.csv").read_text("utf-8")
    return tuple(csv.DictReader(line for line in text.splitlines() if line[:1] != "#"))


def _says(stems: str, text: str) -> bool:
    """Whether a word of the text begins like one of these."""
    tokens = "".join(c if c.isalnum() or c == "-" else " " for c in text.lower()).split()
    pieces = [*tokens, *(piece for token in tokens for piece in token.split("-"))]
    return any(piece.startswith(stem) for piece in pieces for stem in stems.split())


class _Wants:
    def __init__(self, due: Due) -> None:
        self.due = due
        self.vehicle, self.state = due.vehicle, due.state
        self.loads: set[str] = set()

    def all(self) -> Iterator[Wanted]:
        """Go through all parts that go back or are worked on, and all open joints."""
        named = {*self.vehicle.parts, *self.due.off}
        for part in [*self.vehicle.parts, *sorted(named - self.vehicle.parts.keys())]:
            joints = [j for j in self.vehicle.joints_of.get(part, ()) if j in self.due.make]
            if part in self.due.back or joints:
                yield from (Wanted(part_ref(part), words) for words in self._part(part, joints))
        for joint in sorted(self.due.make):
            yield from (Wanted(joint_ref(joint), words) for words in self._joint(joint))

    # -- a part -----------------------------------------------------------------------------

    def _part(self, part: PartId, joints: list[JointId]) -> Iterator[str]:
        seen = self.state.parts.get(part)
        common = seen.common if seen else Common()
        old = _old_until(seen) if seen else None
        trips = [*common.returned]
        if common.sent_out:
            trips.append(common.sent_out)
        went = {trip.said.entry: (trip.left or trip.said).key for trip in trips}
        for trip in trips:
            if old and went[trip.said.entry] <= old:
                continue
            said = f"{trip.what} {trip.whither}"
            rows = [row for row in _rows() if row["after"] and _says(row["after"], said)]
            for row in rows or [row for row in _rows() if not row["after"]]:
                if not _ready(common, trip.said.key):
                    yield from self._row(row, part, joints, trip.said.key)
        back = common.came_back
        is_short = back is not None and common.missing and not _ready(common, back.key)
        if back and old and went.get(back.entry, back.key) <= old:
            is_short = False
        if back is not None and is_short and back.entry not in self.loads:
            self.loads.add(back.entry)
            yield "of what came back with it was missing"
        chosen = common.chosen
        if chosen and old and chosen.key <= old:
            chosen = None
        if common.choice is Choice.RECONDITION and chosen and not common.sent_out:
            since = chosen.key
            away = any(trip.said.key > since for trip in common.returned)
            repaired = any(job.kind is JobKind.REPAIR for job in self._jobs(part_ref(part), since))
            if not (away or repaired or _ready(common, since)):
                yield "it was to be reconditioned"
        yield from self._said_of(common, old)
        for opening in self.vehicle.openings.values():
            if (
                opening.part == part
                and opening.needs_closing
                and self._stood_open(opening, common, old)
            ):
                yield f"{opening.name} stood open"

    def _stood_open(self, opening: Opening, common: Common, old: Key | None) -> bool:
        """Whether nobody ever spoke of an opening that the strip opened, or cleaned it since."""
        states = [self.state.joints.get(each) for each in opening.joints]
        undone = [
            each.undone.key
            for each in states
            if each and each.undone and each.joint in self.due.make
        ]
        if not undone or opening.id in self.state.openings:
            return False
        since = min(undone)
        if old and since < old:
            return False
        is_clean = all(each is not None and _ready(each.common, since) for each in states)
        return not is_clean and not _ready(common, since)

    def _row(
        self, row: Mapping[str, str], part: PartId, joints: list[JointId], since: Key
    ) -> Iterator[str]:
        def is_declared(ref: Ref) -> bool:
            return any(
                _says(row["covered_by"], f"{job.name} {job.target}")
                for job in self._jobs(ref, since)
            )

        record = self.due.part(part)
        sort = row["on"]
        if is_declared(part_ref(part)):
            return
        if sort == "any":
            yield row["line"]
        elif sort == "machine":
            if record.kind is PartKind.MACHINE:
                yield row["line"]
        elif sort == "brake":
            if "brake" in record.system.lower() or part in self._hydraulic:
                yield row["line"]
        else:
            for joint in joints:
                seen = self.state.joints.get(joint)
                done = seen is not None and _ready(seen.common, since)
                if self._is(sort, joint) and not done and not is_declared(joint_ref(joint)):
                    yield row["line"].partition("{joints}")[0]
                    return

    def _is(self, sort: str, joint: JointId) -> bool:
        record = self.due.joints[joint]
        pieces = [piece for fixing in record.fixings for piece in fixing.stack]
        if sort == "threads":
            return any(piece.spec.kind.is_threaded for piece in pieces)
        if sort == "seats":
            return any(piece.spec.kind.value in _FACES for piece in pieces)
        if sort == "earths":
            names = [record.name, *(self.due.part(part).name for part in record.parts)]
            return any(word in name.lower() for name in names for word in _EARTHS)
        return record.critical

    @cached_property
    def _hydraulic(self) -> set[PartId]:
        bled = {job.fluid for job in self.vehicle.jobs.values() if job.kind is JobKind.BLEED}
        opened = {o.part for o in self.vehicle.openings.values() if o.fluid and o.fluid in bled}
        return opened | {f.part for f in self.vehicle.fluids.values() if f.id in bled}

    # -- a joint ----------------------------------------------------------------------------

    def _joint(self, joint: JointId) -> Iterator[str]:
        seen = self.state.joints.get(joint)
        if seen is None:
            return
        broken = seen.counted is not None and not _ready(seen.common, seen.counted.key)
        unknown = not self.due.joints[joint].fixings
        if seen.destroyed and broken and (unknown or self._is("threads", joint)):
            yield f"{seen.destroyed} of its fixings did not come out whole"
        yield from self._said_of(seen.common)

    def _said_of(self, common: Common, old: Key | None = None) -> Iterator[str]:
        """What did not fit, and what nobody decided on."""
        last = common.offers[-1] if common.offers else None
        if last and old and last.said.key <= old:
            last = None
        if last and not last.fits and not _ready(common, last.said.key):
            yield "offered up, it did not fit"
        for finding in common.findings:
            if old and finding.said.key <= old:
                continue
            if finding.settled is None and not _ready(common, finding.said.key):
                yield f"found: {finding.what}"

    # -- who does it anyway -----------------------------------------------------------------

    def _jobs(self, ref: Ref, since: Key) -> Iterator[Job]:
        """Give the declared jobs that make it ready: planned, or done since."""
        kind, _, identity = ref.partition(":")
        for job in self.vehicle.jobs.values():
            if job.kind not in (JobKind.PREPARE, JobKind.REPAIR, JobKind.PROVE):
                continue
            opened = {self.vehicle.openings[each].part for each in job.openings}
            named = {*job.joints} if kind == "joint" else {*job.parts, *opened}
            seen = self.state.jobs.get(job.id)
            done = bool(seen and seen.done and seen.done.key > since)
            counts = done or job.id in self.due.jobs
            if counts and job.phase is not Phase.STRIP and identity in named:
                yield job


def _old_until(seen: PartState) -> Key | None:
    """Until when what was said is said of a part that does not go back: it is replaced."""
    keys = [seen.gone_by.key] if seen.gone_by else []
    if seen.common.chosen and seen.common.choice in (Choice.REPLACE, Choice.MAKE):
        keys.append(seen.common.chosen.key)
    return max(keys) if keys else None


def _ready(common: Common, since: Key) -> bool:
    """Whether it was logged prepared since."""
    return any(each.key > since for each in common.prepared)
