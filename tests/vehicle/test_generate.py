"""Generated vehicles: of the size asked for, the same everywhere, and certain to come apart."""

import subprocess
import sys
from collections.abc import Iterator
from hashlib import sha256
from itertools import pairwise

import pytest

from putback.errors import BadInput
from putback.vehicle.facts import Phase
from putback.vehicle.file import write
from putback.vehicle.generate import (
    Act,
    Drawn,
    Step,
    draw,
    generate,
    setup_minutes,
    work_minutes,
)
from putback.vehicle.ids import JobId, JointId, PartId, Ref, joint_ref, part_ref, split_ref
from putback.vehicle.part import PartKind
from putback.vehicle.vehicle import Vehicle

SIZES = (3, 4, 5, 7, 11, 12, 13, 20, 30, 60, 97, 400)


class Replay:
    """Goes through an order step by step and gathers whatever facts it breaks."""

    def __init__(self, vehicle: Vehicle) -> None:
        self.vehicle = vehicle
        self.done: set[Ref] = set()
        self.cracked: set[Ref] = set()
        self.hanging: set[Ref] = set()
        self.standing = None

    def broken(self, steps: tuple[Step, ...]) -> Iterator[str]:
        """Every fact that the steps break, in words."""
        for step in steps:
            yield from (f"{step}: {why}" for why in self._step(step))
            if step.act is Act.CRACK:
                self.cracked.add(step.ref)
            else:
                self.done.add(step.ref)
            for support in self.vehicle.temporary_supports.values():
                if step.ref == support.first:
                    self.hanging.add(support.last)
            self.hanging.discard(step.ref)

    def is_off(self, part: PartId) -> bool:
        return part_ref(part) in self.done

    def _step(self, step: Step) -> Iterator[str]:
        yield from self._stand(step)
        yield from self._facts(step)
        identity = split_ref(step.ref)[1]
        match step.act:
            case Act.DO:
                job = self.vehicle.jobs[JobId(identity)]
                if job.standings and step.standing not in job.standings:
                    yield "not in this standing"
            case Act.CRACK:
                if step.standing != self.vehicle.joints[JointId(identity)].crack_in:
                    yield "cracked in another standing"
            case Act.UNDO:
                yield from self._undo(JointId(identity), step)
            case Act.OFF:
                yield from self._off(PartId(identity), step)

    def _stand(self, step: Step) -> Iterator[str]:
        if self.standing not in (None, step.standing):
            if step.standing not in self.vehicle.standings[self.standing].change_minutes:
                yield f"no way from {self.standing}"
            if self.hanging:
                yield "something hangs on the hoist"
        self.standing = step.standing
        if any(self.is_off(each.bears_on) for each in self._supports()):
            yield "stands on a part that is off"
        if not all(map(self.is_off, self.vehicle.standings[self.standing].needs_off)):
            yield "cannot stand so yet"

    def _supports(self):
        return self.vehicle.standings[self.standing].supports

    def _hidden(self) -> set[PartId]:
        return {part for support in self._supports() for part in support.hides}

    def _facts(self, step: Step) -> Iterator[str]:
        if step.ref in self.done:
            yield "done twice"
        if step.act is Act.CRACK:
            return
        for before in self.vehicle.befores.values():
            first, then = before.first, before.then
            if before.phase is Phase.REBUILD:  # to be gone through backwards
                first, then = then, first
            if then == step.ref and first not in self.done:
                yield f"{before.id} wants {first} first"
        for obstruction in self.vehicle.obstructions_of.get(step.ref, ()):
            if not any(map(self.is_off, obstruction.any_of)):
                yield f"{obstruction.id}: {obstruction.any_of} in the way"
        for harder in self.vehicle.harder_afters.values():
            if harder.job == step.ref and harder.factor is None and harder.after in self.done:
                yield f"{harder.id}: cannot be done any more"

    def _undo(self, identity: JointId, step: Step) -> Iterator[str]:
        joint = self.vehicle.joints[identity]
        if joint.standings and step.standing not in joint.standings:
            yield "not in this standing"
        if joint.crack_in and step.ref not in self.cracked:
            yield "not cracked"
        if self._hidden() & {*joint.parts}:
            yield "hidden by a stand"
        for opening in self.vehicle.openings.values():
            if identity in opening.joints and opening.fluid is not None:
                drain = self.vehicle.fluids[opening.fluid].drained_by
                if f"job:{drain}" not in self.done:
                    yield f"{opening.fluid} runs out"

    def _off(self, part: PartId, step: Step) -> Iterator[str]:
        if not all(joint_ref(joint) in self.done for joint in self.vehicle.joints_of[part]):
            yield "still joined"
        only = self.vehicle.parts[part].standings
        if only and step.standing not in only:
            yield "not lifted in this standing"
        if part in self._hidden() or part in {each.bears_on for each in self._supports()}:
            yield "a stand is in the way"
        for joint in self.vehicle.joints.values():
            if part in joint.through and joint_ref(joint.id) not in self.done:
                yield f"{joint.id} goes through it"
        for fluid in self.vehicle.fluids.values():
            if part in fluid.leaks_if_off and f"job:{fluid.drained_by}" not in self.done:
                yield f"{fluid.id} runs out"


def all_steps(drawn: Drawn) -> list[str]:
    return list(Replay(drawn.vehicle).broken(drawn.steps))


@pytest.mark.parametrize("parts", SIZES)
def test_the_hidden_order_breaks_no_fact(parts: int) -> None:
    """A generated vehicle comes apart along the order its facts were drawn from."""
    for seed in range(2 if parts >= 97 else 12):
        drawn = draw(parts, seed)
        assert all_steps(drawn) == [], (parts, seed)
        off = [PartId(split_ref(each.ref)[1]) for each in drawn.steps if each.act is Act.OFF]
        assert sorted(off) == sorted(set(drawn.vehicle.parts) - {"p1"}), (parts, seed)


@pytest.mark.parametrize("parts", SIZES)
def test_has_exactly_as_many_parts_as_asked_for(parts: int) -> None:
    """The number of parts is the number asked for, runs included."""
    assert [len(generate(parts, seed).parts) for seed in range(3)] == [parts] * 3


def test_the_replay_notices_steps_out_of_order() -> None:
    """The judge of the order is no rubber stamp: swapping far steps breaks facts."""
    drawn = draw(60, 3)
    backwards = Drawn(drawn.vehicle, drawn.steps[::-1])
    said = "\n".join(all_steps(backwards))
    for complaint in ("still joined", "in the way", "first", "stands on a part", "runs out"):
        assert complaint in said


@pytest.mark.parametrize("parts", [12, 30, 97, 400])
def test_the_kept_parts_come_off_last(parts: int) -> None:
    """Along the hidden order a rolling chassis is reached on the way to a bare frame."""
    for seed in range(4):
        vehicle, steps = (drawn := draw(parts, seed)).vehicle, drawn.steps
        kept = set(vehicle.goals["rolling"].on)
        off = [PartId(split_ref(each.ref)[1]) for each in steps if each.act is Act.OFF]
        are_kept = [part in kept for part in off]
        assert are_kept == sorted(are_kept)
        assert {part.kind.value for part in vehicle.parts.values() if part.id in kept} >= {"wheel"}


@pytest.mark.parametrize("parts", SIZES)
def test_set_up_is_worth_planning(parts: int) -> None:
    """Changes of standing, zone and tool along the hidden order are 30 % of the work or more."""
    for seed in range(4):
        vehicle, steps = (drawn := draw(parts, seed)).vehicle, drawn.steps
        assert setup_minutes(vehicle, steps) >= 0.3 * work_minutes(vehicle, steps), (parts, seed)


def test_set_up_is_counted_change_by_change() -> None:
    """Set-up is the sum of zone, tool and standing changes, counted here in another way."""
    vehicle, steps = (drawn := draw(60, 3)).vehicle, drawn.steps
    everything = {**vehicle.jobs, **vehicle.joints, **vehicle.parts}
    records = [everything[split_ref(each.ref)[1]] for each in steps]
    zones = [record.zone for record in records if record.zone]
    tools = [record.tool for record in records if getattr(record, "tool", "")]
    stood = [each.standing for each in steps]
    expected = (
        5.0 * sum(one != two for one, two in pairwise(zones))
        + 2.0 * sum(one != two for one, two in pairwise(tools))
        + sum(
            vehicle.standings[one].change_minutes[two]
            for one, two in pairwise(stood)
            if one != two
        )
    )
    assert setup_minutes(vehicle, steps) == pytest.approx(expected)
    assert work_minutes(vehicle, steps) == pytest.approx(
        sum(
            record.minutes.likely for record in (*vehicle.joints.values(), *vehicle.parts.values())
        )
        + sum(
            job.minutes.likely for job in vehicle.jobs.values() if job.phase is not Phase.REBUILD
        )
    )


def test_shaped_like_a_real_vehicle() -> None:
    """A vehicle of 400 parts has every feature that planning must cope with."""
    vehicle = generate(400, 7)
    joints, facts = vehicle.joints.values(), vehicle.obstructions.values()
    assert 50 <= len(vehicle.runs) <= 100
    assert all(run.ends for run in vehicle.runs.values())
    assert any(run.clips for run in vehicle.runs.values())
    assert len(vehicle.standings) == 5
    assert any(each.needs_off for each in vehicle.standings.values())
    assert any(support.beside for each in vehicle.standings.values() for support in each.supports)
    assert any(support.hides for each in vehicle.standings.values() for support in each.supports)
    assert sum(len(fact.any_of) > 1 for fact in facts) >= 10
    assert len(facts) >= 100
    assert {before.phase for before in vehicle.befores.values()} == {Phase.STRIP, Phase.REBUILD}
    assert {fact.factor for fact in vehicle.harder_afters.values()} >= {None, 0.6, 2.0}
    assert len(vehicle.assemblies) >= 5
    assert any(joint.crack_in for joint in joints)
    assert any(joint.critical for joint in joints)
    assert any(joint.shims for joint in joints)
    assert any(joint.crew > 1 for joint in joints)
    assert any(piece.stays for j in joints for fixing in j.fixings for piece in fixing.stack)
    assert vehicle.temporary_supports
    assert vehicle.fluids
    assert vehicle.openings
    assert any(part.mass_kg is None for part in vehicle.parts.values())


def test_a_hose_turns_at_the_end_undone_last() -> None:
    """One end of each hose turns, and along the hidden order it is the last to be undone."""
    drawn = draw(97, 1)
    at = {step.ref: place for place, step in enumerate(drawn.steps) if step.act is Act.UNDO}
    hoses = [
        run
        for run in drawn.vehicle.runs.values()
        if drawn.vehicle.parts[run.part].kind is PartKind.HOSE
    ]
    assert hoses
    for run in hoses:
        *others, last = sorted(run.ends, key=lambda end: at[joint_ref(end.joint)])
        assert [end.turns for end in (*others, last)] == [False] * len(others) + [True]


def test_two_any_ofs_offer_a_real_choice() -> None:
    """Some *any of* has two members that may both come off first along the hidden order."""
    drawn = draw(400, 7)
    at = {step.ref: place for place, step in enumerate(drawn.steps) if step.act is not Act.CRACK}
    free = [
        obstruction
        for obstruction in drawn.vehicle.obstructions.values()
        if sum(at[part_ref(part)] < at[obstruction.of] for part in obstruction.any_of) > 1
    ]
    assert len(free) >= 2


def test_the_same_in_another_process() -> None:
    """Size and seed say it all, whatever the hash seed of the interpreter."""
    code = (
        "from hashlib import sha256; from putback.vehicle.file import write;"
        "from putback.vehicle.generate import generate;"
        "print(sha256(write(generate(60, 5)).encode()).hexdigest())"
    )
    said = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={"PYTHONHASHSEED": seed},
            capture_output=True,
            check=True,
            text=True,
        ).stdout.strip()
        for seed in ("1", "2")
    }
    assert said == {sha256(write(generate(60, 5)).encode()).hexdigest()}


def test_another_seed_gives_another_vehicle() -> None:
    """Seeds differ in more than the name."""
    one, two = generate(60, 1), generate(60, 2)
    assert one.joints != two.joints
    assert one.obstructions != two.obstructions


@pytest.mark.parametrize("parts", [2, 2001, -1])
def test_refuses_sizes_it_cannot_shape(parts: int) -> None:
    """A size out of range is refused with the range."""
    with pytest.raises(BadInput, match=f"of {parts} parts; ask for 3 to 2000"):
        generate(parts)
