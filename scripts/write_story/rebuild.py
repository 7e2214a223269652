"""The rebuild: in the scenario's own order, by Ada and by Cleo, who was not there at the strip.

The order is that of the scenario: the strip's precedence turned round, less what it drops, plus
what it adds, the repairs and the steps that only a rebuild has. No planner had a hand in it.
"""

import heapq
from collections import defaultdict
from collections.abc import Iterable, Iterator

from putback.logbook.entries.base import Body, EntryId, PlaceId, Subject
from putback.logbook.entries.bookkeeping import MoneySpent, TimeSpent
from putback.logbook.entries.judging import Arrived, CameBack, Choice, Decided
from putback.logbook.entries.keeping import HandsLaidOn, Pieces
from putback.logbook.entries.rebuilding import (
    Bled,
    Checked,
    Filled,
    JointMade,
    OfferedUp,
    PartOn,
    Prepared,
    Tightness,
)
from putback.logbook.entries.working import (
    JobDone,
    MarkMade,
    OpeningOpened,
    StandingChanged,
    TemporaryFitOff,
)
from putback.vehicle.ids import FluidId, JobId, JointId, OpeningId, PartId, StandingId
from putback.vehicle.job import JobKind
from putback.vehicle.joint import FinalWhen
from scripts.write_story.cast import Cast
from scripts.write_story.phones import Phone
from scripts.write_story.strip import BRACES, FORGOTTEN_MARK, LOGBOOK_ONLY, LOST_FROM

BROKEN = {JointId("J002"): 1, JointId("J006"): 1}
"""Fixings of which the bolt was sheared or cut, and is bought new."""
RENEWED = frozenset(
    PartId(part) for part in ["RA02L", "RA02R", "FS03L", "FS03R", "BS22", "L08", "FS06L", "FS06R"]
)
WITHOUT_PIN = JointId("J148")
MISFIT = PartId("RA02L")


def tell(cast: Cast) -> None:
    """Tell the rebuild."""
    _Rebuild(cast).tell()


def order(cast: Cast) -> list[str]:
    """Put back in the scenario's order: tasks turned round, repairs and steps of the rebuild."""
    scenario, refit = cast.scenario, cast.scenario.raw["refit"]
    dropped = {(row["first"], row["then"]) for row in refit["drop"]}
    repairs = [step for unit in scenario.raw["repairs"] for step in unit["steps"]]
    after: dict[str, set[str]] = defaultdict(set)
    nodes = [*reversed(scenario.tasks), *scenario.steps, *(step["id"] for step in repairs)]
    for task in scenario.tasks.values():
        for row in task["after"]:
            if (task["id"], row["task"]) not in dropped:
                after[row["task"]].add(task["id"])
    for row in refit["must_precede"]:
        after[row["then"]].add(row["first"])
    for step in (*scenario.steps.values(), *repairs):
        after[step["id"]].update(step["after"])
    # Nothing goes on before the preparing is done, and a repair comes before its trial build.
    for task in scenario.tasks:
        if task not in {"T001", "T064", "T065", "T211"}:
            after[task].add("R205")
    rank = {node: at for at, node in enumerate(nodes)}
    waits = {node: {each for each in after[node] if each in rank} for node in nodes}
    followers: dict[str, list[str]] = defaultdict(list)
    for node, firsts in waits.items():
        for first in firsts:
            followers[first].append(node)
    ready = [(rank[node], node) for node in nodes if not waits[node]]
    heapq.heapify(ready)
    found = []
    while ready:
        _, node = heapq.heappop(ready)
        found.append(node)
        for follower in followers[node]:
            waits[follower].discard(node)
            if not waits[follower]:
                heapq.heappush(ready, (rank[follower], follower))
    if len(found) != len(nodes):
        raise ValueError(f"the refit is in a knot: {sorted(set(nodes) - set(found))}")
    return found


class _Rebuild:
    """The teller, who knows which joints still wait for their final tightening."""

    def __init__(self, cast: Cast) -> None:
        self.cast = cast
        self.script = cast.script
        self.standing = "STANDS"
        self.made: dict[JointId, EntryId] = {}
        self.finished: dict[JointId, str] = {}
        """By whose declared job each was last tightened or set."""
        self.waiting: set[JointId] = set()
        self.body_on = False

    def tell(self) -> None:
        cast, script = self.cast, self.script
        script.copy = "away"
        nodes = order(cast)
        self._at(280, "Day 280, body workshop", "sills cut and made new, one side at a time")
        repairs = [node for node in nodes if node.startswith("S")]
        for node in repairs:
            self._job(node, cast.a)
        self._at(300, "Day 300, body workshop", "trial build before paint; a spring does not fit")
        self._trial_build()
        self._at(330, "Day 330, body workshop", "the rebuild begins; Cleo was not at the strip")
        script.ask("rebuild")
        cast.ask("where", Subject("joint:J015"), "Cleo asks, who was not there")
        rest = [node for node in nodes if node not in repairs and node != "R202"]
        turn = rest.index("R104")
        for number, node in enumerate(rest[:turn]):
            if number and number % 25 == 0:
                day = 330 + number // 3
                self._at(day, f"Day {day}, body workshop", "Ada and Cleo go on")
            self._node(node, cast.a if number % 2 else cast.c)
        self._at(395, "Day 395, home garage", "on its wheels and home; what waited is tightened")
        script.do("exchange", source="away", target="home")
        script.copy = "home"
        self._go_home()
        for number, node in enumerate(rest[turn:]):
            self._node(node, cast.a if number % 2 else cast.c)
        self._finish()

    def _at(self, day: int, title: str, words: str) -> None:
        self.cast.calendar.go_to(day)
        self.script.sitting(title, words)

    # -- one node of the order --------------------------------------------------------------

    def _node(self, node: str, phone: Phone) -> None:
        if node.startswith("T"):
            self._put_back(node, phone)
        else:
            self._job(node, phone)

    def _stand(self, standing: str) -> None:
        """Ada stands it, whoever works: two who said so within an hour would not agree."""
        if standing == "BODYOFF" and self.body_on:
            standing = "WHEELS" if self.standing == "BODYOFF" else self.standing
        if standing and standing != self.standing:
            self.standing, ada = standing, self.cast.a
            changed = StandingChanged(
                standing=StandingId(standing), rock_tested=standing == "STANDS", looked=ada.who
            )
            self.script.send(ada.act(changed, minutes=20))

    def _put_back(self, task: str, phone: Phone) -> None:
        cast = self.cast
        joints = list(reversed(cast.joints_of_task(task)))
        parts = list(reversed(cast.parts_of_task(task)))
        if joints or parts:
            standing = cast.scenario.tasks[task]["standing"]
            self._stand("STANDS" if standing == "BODYOFF" else standing)
        if task == "T011":
            self.script.send(phone.act(PartOn(part=LOGBOOK_ONLY)))
        for part in parts:
            bodies: list[Body] = [*self._ahead_of(part)]
            bodies.append(PartOn(part=part, renewed=part in RENEWED))
            self.script.send(phone.act(*bodies))
            self.body_on = self.body_on or part == "BS01"
        opened: list[Body] = [
            OpeningOpened(opening=OpeningId(each), closed=0)
            for each in cast.openings_of_task(task)
            if cast.vehicle.openings[OpeningId(each)].needs_closing
        ]
        if opened:
            self.script.send(phone.act(*opened))
        for joint in joints:
            self._make(joint, phone)
        for fluid in cast.vehicle.fluids.values():
            if fluid.drained_by == task:
                filled = Filled(fluid=FluidId(fluid.id), volume_m3=fluid.volume_m3)
                self.script.send(phone.act(filled))
        if task == "T058":
            self.script.send(phone.act(TemporaryFitOff(fit=BRACES)))

    def _ahead_of(self, part: PartId) -> Iterator[Body]:
        """What has to be said before some parts go on."""
        subject = Subject(f"part:{part}")
        if part == FORGOTTEN_MARK:
            yield MarkMade(
                part=part,
                how="found",
                where="flange pair and sliding yoke",
                record="not marked at the strip: balanced again, then punched",
            )
        if part == "L08":
            yield Arrived(what=subject)
        if part == "BS11":
            yield CameBack(what=(subject,))

    def _make(self, joint: JointId, phone: Phone) -> None:
        described = self.cast.vehicle.joints[joint]
        waits = described.final_when is not FinalWhen.AS_FITTED
        if waits:
            self.waiting.add(joint)
        body = JointMade(
            joint=joint,
            tightness=Tightness.NIPPED if waits else Tightness.FINAL,
            torque_nm=None if waits else described.tightening.torque_nm,
            locked=True if described.locks() and joint != WITHOUT_PIN else None,
            renewed=True if self._single_use(joint) else None,
            new=tuple(self._new(joint)),
        )
        self.made[joint] = self.script.send(phone.act(body))[-1].id

    def _single_use(self, joint: JointId) -> bool:
        fixings = self.cast.vehicle.joints[joint].fixings
        return any(
            piece.single_use and not piece.stays for each in fixings for piece in each.stack
        )

    def _new(self, joint: JointId) -> Iterator[Pieces]:
        """What was bought for a joint because its own was broken or lost."""
        fixings = self.cast.vehicle.joints[joint].fixings
        for piece in fixings[0].stack if fixings else ():
            if joint in BROKEN and not piece.single_use and not piece.stays:
                yield Pieces(spec=piece.spec.text, count=BROKEN[joint] * piece.per_fixing)
        if joint == LOST_FROM:
            yield Pieces(spec=fixings[0].stack[0].spec.text, count=1)

    # -- the declared jobs ------------------------------------------------------------------

    def _job(self, node: str, phone: Phone) -> None:
        cast = self.cast
        job = cast.vehicle.jobs[JobId(node)]
        if job.standings:
            self._stand(job.standings[0])
        if job.kind is JobKind.SECOND_CHECK:
            self._second_check()
        elif job.kind in {JobKind.TIGHTEN, JobKind.SET}:
            self._finish_joints(job.joints, phone)
            self.finished.update(dict.fromkeys(job.joints, phone.who))
        elif job.kind is JobKind.BLEED and job.fluid:
            self.script.send(phone.act(Bled(fluid=job.fluid)))
        elif node == "R201":
            earths = [
                Prepared(what=Subject(f"joint:{joint}"), how="bared to bright metal")
                for joint in ("L20-b", "L20-a")
            ]
            self.script.send(phone.act(*earths))
        elif node == "R220":
            masters = [
                Prepared(what=Subject(f"part:{part}"), how="filled and bled on the bench")
                for part in ("EB18", "EB19")
            ]
            self.script.send(phone.act(*masters))
        self.script.send(phone.act(JobDone(job=job.id)))

    def _finish_joints(self, joints: Iterable[JointId], phone: Phone) -> None:
        for joint in joints:
            if joint in self.waiting:
                self.waiting.discard(joint)
                described = self.cast.vehicle.joints[joint]
                body = JointMade(
                    joint=joint,
                    tightness=Tightness.FINAL,
                    torque_nm=described.tightening.torque_nm,
                    locked=True if described.locks() else None,
                )
                self.made[joint] = self.script.send(phone.act(body))[-1].id

    def _second_check(self) -> None:
        """Cleo checks what Ada made, and Ada what Cleo made; one split pin is missing."""
        cast = self.cast
        critical = [joint for joint in self.made if cast.vehicle.joints[joint].critical]
        for joint in critical:
            if joint in self.waiting:
                continue
            made_by = self.finished.get(joint) or self._who(self.made[joint])
            other = cast.c if made_by == cast.a.who else cast.a
            if joint == WITHOUT_PIN:
                wrong = Checked(joint=joint, of=self.made[joint], right=False, note="no split pin")
                self.script.send(other.act(wrong))
                cast.ask("open", Subject(f"joint:{joint}"), "The second pair of eyes")
                again = JointMade(
                    joint=joint,
                    tightness=Tightness.FINAL,
                    torque_nm=cast.vehicle.joints[joint].tightening.torque_nm,
                    locked=True,
                )
                maker = cast.a if other is cast.c else cast.c
                self.made[joint] = self.script.send(maker.act(again))[-1].id
            self.script.send(other.act(Checked(joint=joint, of=self.made[joint])))

    def _who(self, entry: EntryId) -> str:
        for line in self.script.lines:
            for each in line.get("entries", ()):
                if each["id"] == entry:
                    return str(each["who"])
        raise LookupError(entry)

    # -- what happened ----------------------------------------------------------------------

    def _trial_build(self) -> None:
        cast, a, c = self.cast, self.cast.a, self.cast.c
        job = cast.vehicle.jobs[JobId("R202")]
        spring = Subject(f"part:{MISFIT}")
        for joint in job.joints:
            if joint == "J123":
                wide = OfferedUp(
                    what=spring, fits=False, misfit_m=0.003, note="eye wider than the bracket"
                )
                self.script.send(c.act(wide))
                cast.ask("open", spring, "Offered up")
            else:
                self.script.send(a.act(OfferedUp(what=Subject(f"joint:{joint}"), fits=True)))
        self.script.send(
            a.act(Decided(of=spring, choice=Choice.REPLACE, why="goes back to its maker"))
        )
        self.script.send(a.act(Arrived(what=spring)))
        self.script.send(a.act(OfferedUp(what=spring, fits=True)))
        self.script.send(a.act(JobDone(job=job.id)))
        captive = Decided(
            of=Subject("joint:J010"),
            choice=Choice.MAKE,
            why="new cages welded in with the wing off",
        )
        self.script.send(a.act(captive))

    def _go_home(self) -> None:
        a = self.cast.a
        for part in ("CH01", "BS01"):
            self.script.send(a.act(HandsLaidOn(what=Subject(f"part:{part}"), place=PlaceId("W1"))))

    def _finish(self) -> None:
        cast, a = self.cast, self.cast.a
        self._finish_joints(sorted(self.waiting), a)
        late = [joint for joint in self.made if cast.vehicle.joints[joint].critical]
        for joint in late:
            if cast.vehicle.joints[joint].final_when is not FinalWhen.AS_FITTED:
                made_by = self.finished.get(joint) or self._who(self.made[joint])
                other = cast.c if made_by == cast.a.who else cast.a
                self.script.send(other.act(Checked(joint=joint, of=self.made[joint])))
        self.script.send(a.act(TimeSpent(minutes=420)))
        paid = MoneySpent(amount="184.50", currency="GBP", what="split pins, tabs, nuts")
        self.script.send(a.act(paid))
        self.script.ask("closes")
