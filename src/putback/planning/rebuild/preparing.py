"""What has to be made ready before it goes back, from what the logbook says it went through.

Rule 15 of the rebuild in ``docs/planning-rules.md``. Outside work calls for what the table in
``data/preparing.csv`` says; what stood open is looked into; a thread of which something was cut or
sheared is cleared; what did not fit, what was found and what was decided is dealt with first.
Whoever logs *prepared*, or declares a job that does the same, hears no more of it. What a part
went through that is replaced does not fall on the new one.
"""

import csv
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cache, cached_property
from importlib.resources import files
from typing import NamedTuple

from putback.logbook.common import Away, Common
from putback.logbook.entries.judging import Choice
from putback.logbook.order import Key
from putback.logbook.state import PartState, State
from putback.vehicle.circuit import bled_fluids
from putback.vehicle.facts import Phase
from putback.vehicle.fastener import FastenerKind
from putback.vehicle.ids import JobId, JointId, OpeningId, PartId, Ref, joint_ref, part_ref
from putback.vehicle.job import Job, JobKind
from putback.vehicle.joint import Joint
from putback.vehicle.opening import Opening
from putback.vehicle.part import Part, PartKind
from putback.vehicle.vehicle import Vehicle

_DOES_THE_SAME = frozenset({JobKind.PREPARE, JobKind.REPAIR, JobKind.PROVE})
_SEATED = frozenset(
    {
        FastenerKind.TAPER,
        FastenerKind.SPLINE,
        FastenerKind.KEY,
        FastenerKind.PRESS_FIT,
        FastenerKind.OLIVE,
        FastenerKind.GASKET,
        FastenerKind.COPPER_WASHER,
        FastenerKind.FIBRE_WASHER,
        FastenerKind.O_RING,
        FastenerKind.SEALING_RING,
        FastenerKind.OIL_SEAL,
    }
)
"""What bears on a face that must be clean."""
_TOLD = 3
"""Joints told by name in one line; of more, their number."""


class Row(NamedTuple):
    """One row of the table; the words are regular expressions, empty where none is said."""

    after: str
    on: str
    line: str
    caution: str
    covered_by: str


@dataclass(frozen=True, slots=True)
class Call:
    """What one part or joint calls for before it goes back."""

    of: Ref
    lines: tuple[str, ...]
    cautions: tuple[str, ...] = ()


@cache
def table() -> tuple[Row, ...]:
    """Read what outside work calls for."""
    path = files("putback.planning.rebuild") / "data" / "preparing.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    rows = csv.DictReader(line for line in lines if not line.startswith("#"))
    return tuple(
        Row(
            _begins(row["after"]),
            row["on"],
            row["line"],
            row["caution"],
            _begins(row["covered_by"]),
        )
        for row in rows
    )


def find_calls(
    vehicle: Vehicle,
    state: State,
    parts: Mapping[PartId, Part],
    joints: Mapping[JointId, Joint],
    back: Iterable[PartId],
    make: frozenset[JointId],
    jobs: Iterable[JobId],
) -> dict[Ref, Call]:
    """Find what has to be made ready.

    Parameters
    ----------
    vehicle, state : Vehicle, State
        What there is, and what the logbook says of it.
    parts, joints : mapping of PartId to Part, of JointId to Joint
        All of them, those that only the logbook knows too.
    back : iterable of PartId
        Parts that go back on.
    make : frozenset of JointId
        Joints to be made.
    jobs : iterable of JobId
        Declared jobs that are planned.
    """
    reading = _Reading(vehicle, state, make, frozenset(jobs))
    goes_back = frozenset(back)
    found = []
    for part in parts.values():
        its_joints = [each for each in vehicle.joints_of.get(part.id, ()) if each in make]
        if part.id in goes_back or its_joints:
            found.append(reading.of_part(part, its_joints))
    found += [reading.of_joint(joint) for joint in joints.values() if joint.id in make]
    return {call.of: call for call in found if call.lines}


class _Reading:
    """Reads the logbook for one rebuild."""

    def __init__(
        self,
        vehicle: Vehicle,
        state: State,
        make: frozenset[JointId],
        jobs: frozenset[JobId],
    ) -> None:
        self.vehicle = vehicle
        self.state = state
        self.make = make
        self.jobs = jobs
        self.told: set[str] = set()
        """Loads of which it was told what did not come back."""

    # -- parts --------------------------------------------------------------------------------

    def of_part(self, part: Part, joints: list[JointId]) -> Call:
        """Give what a part calls for before it goes on, or before its open joints are made."""
        ref = part_ref(part.id)
        seen = self.state.parts.get(part.id) or PartState(part.id)
        old = _replaced_at(seen)
        common = seen.common if old is None else _since(seen.common, old)
        lines: list[str] = []
        cautions: list[str] = []
        for work in (*common.returned, *filter(None, (common.sent_out,))):
            for row in self._rows(part, work):
                said = self._line(row, part, joints, work.said.key)
                if said:
                    lines.append(said)
                    cautions += [row.caution] if row.caution else []
        lines += self._missing(common)
        lines += self._to_recondition(part, common)
        lines += _not_fitting(common)
        lines += _undecided(common)
        lines += self._stood_open(part.id, common, old)
        return Call(ref, tuple(dict.fromkeys(lines)), tuple(dict.fromkeys(cautions)))

    def _missing(self, common: Common) -> Iterator[str]:
        """Say once what did not come back with a load."""
        load = common.came_back
        if load is None or not common.missing or _after(common, load.key):
            return
        if load.entry not in self.told:
            self.told.add(load.entry)
            yield f"of what came back with it was missing: {common.missing}"

    def _rows(self, part: Part, work: Away) -> list[Row]:
        """The rows that speak of this work; where none does, those for any other."""
        words = f"{work.what} {work.whither}".lower()
        known = [row for row in table() if row.after and re.search(row.after, words)]
        rows = known or [row for row in table() if not row.after]
        return [row for row in rows if self._is_meant(row.on, part)]

    def _is_meant(self, sort: str, part: Part) -> bool:
        match sort:
            case "machine":
                return part.kind is PartKind.MACHINE
            case "brake":
                return "brake" in part.system.lower() or part.id in self.hydraulic
            case _:
                return True

    @cached_property
    def hydraulic(self) -> frozenset[PartId]:
        """Parts that hold a fluid which is bled, or are opened where it runs."""
        bled = bled_fluids(self.vehicle)
        held = {each.part for each in self.vehicle.fluids.values() if each.id in bled}
        opened = {each.part for each in self.vehicle.openings.values() if each.fluid in bled}
        return frozenset(held | opened)

    def _line(self, row: Row, part: Part, joints: list[JointId], since: Key) -> str:
        """Write a row out for the joints it speaks of; nothing if it is dealt with."""
        common = self.state.parts[part.id].common
        if _after(common, since) or self._is_covered(row.covered_by, part_ref(part.id), since):
            return ""
        if row.on in ("any", "machine", "brake"):
            return row.line
        left = [
            self.vehicle.joints[each].name
            for each in joints
            if _is_of_sort(row.on, self.vehicle, self.vehicle.joints[each])
            and not self._is_ready(each, since)
            and not self._is_covered(row.covered_by, joint_ref(each), since)
        ]
        return row.line.format(joints=_told(left)) if left else ""

    def _is_ready(self, joint: JointId, since: Key) -> bool:
        seen = self.state.joints.get(joint)
        return seen is not None and _after(seen.common, since)

    def _to_recondition(self, part: Part, common: Common) -> Iterator[str]:
        if common.choice is not Choice.RECONDITION or common.chosen is None or common.sent_out:
            return
        since = common.chosen.key
        done = _after(common, since) or any(each.said.key > since for each in common.returned)
        if not done and not self._is_covered("", part_ref(part.id), since, JobKind.REPAIR):
            yield "it was to be reconditioned: do that, or log it prepared"

    def _stood_open(self, part: PartId, common: Common, old: Key | None) -> Iterator[str]:
        for opening in self.openings.get(part, ()):
            undone = [
                seen.undone.key
                for each in opening.joints
                if each in self.make and (seen := self.state.joints.get(each)) and seen.undone
            ]
            if not undone or opening.id in self.state.openings:
                continue
            if old is not None and min(undone) < old:
                continue
            if not _after(common, min(undone)) and not all(
                self._is_ready(each, min(undone)) for each in opening.joints
            ):
                yield f"{opening.name} stood open, as far as anybody said: look in, blow it out"

    @cached_property
    def openings(self) -> Mapping[PartId, list[Opening]]:
        """The openings of each part that need closing."""
        found: dict[PartId, list[Opening]] = {}
        for opening in self.vehicle.openings.values():
            if opening.needs_closing:
                found.setdefault(opening.part, []).append(opening)
        return found

    # -- joints -------------------------------------------------------------------------------

    def of_joint(self, joint: Joint) -> Call:
        """Give what a joint calls for before it is made."""
        seen = self.state.joints.get(joint.id)
        lines: list[str] = []
        if seen is not None:
            broken = seen.destroyed and seen.counted and not _after(seen.common, seen.counted.key)
            kinds = _kinds(joint)
            if broken and (not kinds or any(kind.is_threaded for kind in kinds)):
                lines.append(
                    f"{seen.destroyed} of its fixings did not come out whole: "
                    "get out what is left, chase or mend the thread"
                )
            lines += _not_fitting(seen.common)
            lines += _undecided(seen.common)
        return Call(joint_ref(joint.id), tuple(lines))

    # -- declared jobs ------------------------------------------------------------------------

    def _is_covered(self, words: str, ref: Ref, since: Key, *kinds: JobKind) -> bool:
        """Whether a declared job does the same: planned, or done since."""
        for job in self.declared.get(ref, ()):
            done = self.state.jobs[job.id].done if job.id in self.state.jobs else None
            if job.id not in self.jobs and not (done and done.key > since):
                continue
            said = f"{job.name} {job.target}".lower()
            if job.kind in kinds or (words and re.search(words, said)):
                return True
        return False

    @cached_property
    def declared(self) -> Mapping[Ref, list[Job]]:
        """The jobs of the rebuild that make ready what they name."""
        found: dict[Ref, list[Job]] = {}
        for job in self.vehicle.jobs.values():
            if job.kind in _DOES_THE_SAME and job.phase is not Phase.STRIP:
                for ref in self._named(job):
                    found.setdefault(ref, []).append(job)
        return found

    def _named(self, job: Job) -> Iterator[Ref]:
        yield from map(part_ref, job.parts)
        yield from map(joint_ref, job.joints)
        for each in job.openings:
            if (opening := self.vehicle.openings.get(OpeningId(each))) is not None:
                yield part_ref(opening.part)


def _replaced_at(seen: PartState) -> Key | None:
    """When it was last said that a new one is to go on: decided, or the old one gone."""
    is_new = seen.common.choice in (Choice.REPLACE, Choice.MAKE)
    said = (seen.common.chosen if is_new else None, seen.gone_by)
    return max((each.key for each in said if each is not None), default=None)


def _since(common: Common, old: Key) -> Common:
    """Leave out what was said of the old one: what was sent out before is that one."""

    def is_new(trip: Away) -> bool:
        return (trip.left or trip.said).key > old

    returned = tuple(filter(is_new, common.returned))
    is_old = {each.said.entry for each in common.returned} - {each.said.entry for each in returned}
    back, chosen, out = common.came_back, common.chosen, common.sent_out
    return replace(
        common,
        returned=returned,
        sent_out=out if out is not None and is_new(out) else None,
        came_back=back
        if back is not None and back.key > old and back.entry not in is_old
        else None,
        choice=common.choice if chosen is not None and chosen.key > old else None,
        offers=tuple(each for each in common.offers if each.said.key > old),
        findings=tuple(each for each in common.findings if each.said.key > old),
    )


def _begins(stems: str) -> str:
    """Give the expression for words that begin like any of these."""
    return rf"\b(?:{'|'.join(map(re.escape, stems.split()))})" if stems else ""


def _after(common: Common, since: Key) -> bool:
    """Whether somebody logged it prepared since."""
    return any(each.key > since for each in common.prepared)


def _not_fitting(common: Common) -> Iterator[str]:
    """Say by how much it did not fit, if that is the last word."""
    if common.offers and not common.offers[-1].fits:
        last = common.offers[-1]
        if not _after(common, last.said.key):
            by = f" by {last.misfit_m * 1000:g} mm" if last.misfit_m is not None else ""
            note = f" ({last.note})" if last.note else ""
            yield f"offered up, it did not fit{by}{note}: put it right and offer it up again"


def _undecided(common: Common) -> Iterator[str]:
    """Say what was found and never decided on."""
    for finding in common.findings:
        if finding.settled is None and not _after(common, finding.said.key):
            yield f"found: {finding.what}. Decide on it before it goes back"


def _kinds(joint: Joint) -> set[FastenerKind]:
    """What holds, locks and seals a joint."""
    return {piece.spec.kind for fixing in joint.fixings for piece in fixing.stack}


def _is_of_sort(sort: str, vehicle: Vehicle, joint: Joint) -> bool:
    """Whether a joint has threads, earths, seats, or clamps what must not give way."""
    match sort:
        case "threads":
            return any(kind.is_threaded for kind in _kinds(joint))
        case "earths":
            return is_earth(vehicle, joint)
        case "seats":
            return not _SEATED.isdisjoint(_kinds(joint))
        case _:
            return joint.critical


def is_earth(vehicle: Vehicle, joint: Joint) -> bool:
    """Whether current goes to earth through a joint: its name, or that of a part, says so."""
    names = [joint.name, *(vehicle.parts[p].name for p in joint.parts if p in vehicle.parts)]
    return any(re.search(r"\bearth|\bground (?:strap|lead|cable)", name.lower()) for name in names)


def _told(names: list[str]) -> str:
    """Name a few; of many, say how many more."""
    first = ", ".join(names[:_TOLD])
    return first if len(names) <= _TOLD else f"{first} and {len(names) - _TOLD} more"
