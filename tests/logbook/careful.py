"""A careful restorer: strips a generated vehicle and puts it back, and logs all that is asked."""

from putback.logbook.entries.base import PlaceId, Subject, TagCode
from putback.logbook.entries.keeping import Moved
from putback.logbook.entries.rebuilding import Bled, Checked, Filled, JointMade, PartOn, Tightness
from putback.logbook.entries.working import (
    Drained,
    JobDone,
    JointCracked,
    JointUndone,
    MarkMade,
    Measured,
    OpeningClosed,
    PartOff,
    PhotoTaken,
    StandingChanged,
    TemporaryFitOff,
    TemporaryFitOn,
)
from putback.vehicle.generate import Act, Drawn, Step
from putback.vehicle.ids import FluidId, JobId, JointId, PartId, StandingId
from putback.vehicle.job import JobKind
from putback.vehicle.joint import Does, FinalWhen
from tests.makers_logbook import Story

SHELF = PlaceId("shelf")


class Careful:
    """Logs a drawn vehicle's strip, and its rebuild in the order that proved to work, reversed."""

    def __init__(self, drawn: Drawn) -> None:
        self.drawn = drawn
        self.vehicle = drawn.vehicle
        self.story = Story(drawn.vehicle)
        self.undone: list[JointId] = []

    # -- the strip --------------------------------------------------------------------------

    def strip(self, step: Step) -> None:
        """Do and log one step of the strip."""
        self._stand(step.standing)
        kind, _, identity = step.ref.partition(":")
        if kind == "job":
            self._job(JobId(identity))
        elif kind == "joint":
            work = self._crack if step.act is Act.CRACK else self._undo
            work(JointId(identity))
        elif kind == "part":
            self._off(PartId(identity))
        else:
            whole = self.vehicle.assemblies[identity]
            for part in whole.parts:
                if part not in self.story.state.parts_off:
                    self.story.says("A", PartOff(part=part, whole=whole.id, place=SHELF))

    def _stand(self, standing: StandingId | None) -> None:
        if standing and standing != self.story.state.standing.standing:
            self.story.says("A", StandingChanged(standing=standing, rock_tested=True, looked="B"))

    def _job(self, job: JobId) -> None:
        described = self.vehicle.jobs[job]
        self.story.says("A", JobDone(job=job))
        if described.kind is JobKind.DRAIN and described.fluid:
            self.story.says("A", Drained(fluid=described.fluid))

    def _crack(self, joint: JointId) -> None:
        self.story.says("A", JointCracked(joint=joint))

    def _undo(self, joint: JointId) -> None:
        described = self.vehicle.joints[joint]
        self._record(described.parts[0])
        for fluid in self.vehicle.fluids.values():
            leaks = set(described.parts) & set(fluid.leaks_if_off)
            if leaks and fluid.id not in self.story.state.fluids:
                self.story.says("A", Drained(fluid=fluid.id))
        if described.when_undone.does is not Does.STAYS:
            self.story.says(
                "A",
                TemporaryFitOn(fit=f"prop-{joint}", what="prop", on=Subject(f"joint:{joint}")),
            )
        count = described.fixing_count
        tag = TagCode(f"T{joint}")
        self.story.says("A", JointUndone(joint=joint, out=count, of=count, tag=tag))
        self.story.says("A", Moved(what=Subject(f"tag:{tag}"), place=SHELF))
        if described.when_undone.does is not Does.STAYS:
            self.story.says("A", TemporaryFitOff(fit=f"prop-{joint}"))
        for opening in self.vehicle.openings.values():
            if joint in opening.joints and opening.needs_closing:
                self.story.says("A", OpeningClosed(opening=opening.id))
        self.undone.append(joint)

    def _record(self, part: PartId) -> None:
        described, state = self.vehicle.parts[part], self.story.state.parts.get(part)
        subject = Subject(f"part:{part}")
        if described.marks and not (state and state.marks):
            self.story.says("A", MarkMade(part=part, how="paint", record="as asked"))
        if described.photos and not (state and state.common.photos):
            self.story.says("A", PhotoTaken(photo="0" * 64, of=(subject,)))
        if described.measures and not (state and state.common.readings):
            self.story.says("A", Measured(of=subject, what="gap", value=4, unit="mm"))

    def _off(self, part: PartId) -> None:
        self._record(part)
        self.story.says("A", PartOff(part=part, place=SHELF))

    # -- the rebuild ------------------------------------------------------------------------

    def rebuild(self) -> None:
        """Put all back, in the order in which it came off, reversed."""
        for step in reversed(self.drawn.steps):
            self._stand(step.standing)
            kind, _, identity = step.ref.partition(":")
            if kind == "part":
                self.story.says("A", PartOn(part=PartId(identity)))
            elif kind == "assembly":
                for part in self.vehicle.assemblies[identity].parts:
                    if part in self.story.state.parts_off:
                        self.story.says("A", PartOn(part=part))
            elif kind == "joint" and step.act is not Act.CRACK:
                self._make(JointId(identity))
        for joint in self.undone:
            self._finish(joint)
        self._fill()

    def _make(self, joint: JointId) -> None:
        described = self.vehicle.joints[joint]
        waits = described.final_when is not FinalWhen.AS_FITTED
        tightness = Tightness.TIGHTENED if waits else Tightness.FINAL
        torque = 25.0 if described.critical else None
        made = JointMade(
            joint=joint, tightness=tightness, torque_nm=torque, locked=True, renewed=True
        )
        self.story.says("A", made)

    def _finish(self, joint: JointId) -> None:
        described = self.vehicle.joints[joint]
        if described.final_when is not FinalWhen.AS_FITTED:
            self.story.says("A", JointMade(joint=joint, tightness=Tightness.FINAL))
        if described.critical:
            self.story.says("B", Checked(joint=joint))

    def _fill(self) -> None:
        hydraulic = {job.fluid for job in self.vehicle.jobs.values() if job.kind is JobKind.BLEED}
        for fluid in self.story.state.fluids:
            self.story.says("A", Filled(fluid=FluidId(fluid)))
            if fluid in hydraulic:
                self.story.says("A", Bled(fluid=FluidId(fluid)))
