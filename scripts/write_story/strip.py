"""The strip: from the survey to a bare frame, with all that went wrong on the way."""

import base64
import hashlib
import struct
import zlib
from collections.abc import Callable, Iterator
from datetime import timedelta

from PIL import Image, ImageDraw

from putback.logbook.entries.base import Body, EntryId, PlaceId, Subject
from putback.logbook.entries.bookkeeping import Struck, TimeSpent
from putback.logbook.entries.describing import Described, OneAndSame
from putback.logbook.entries.judging import CameBack, Choice, Decided, Ordered, SentOut
from putback.logbook.entries.keeping import (
    ContainerMade,
    Counted,
    HandsLaidOn,
    KeptAsPattern,
    Moved,
    Pieces,
    PutIn,
)
from putback.logbook.entries.working import (
    Drained,
    Found,
    JobDone,
    JointCracked,
    JointUndone,
    Measured,
    NoteMade,
    OpeningOpened,
    PartOff,
    PhotoTaken,
    StandingChanged,
    TemporaryFitOn,
    Went,
    Whither,
)
from putback.vehicle.ids import AssemblyId, FluidId, JobId, JointId, OpeningId, PartId, StandingId
from scripts.write_story.cast import PROPOSED, USED, Cast
from scripts.write_story.phones import BLOCK, Phone

FORGOTTEN_MARK = PartId("TR03")
LOGBOOK_ONLY = PartId("from-the-front-1")
LEFT_OPEN = OpeningId("Q07L")
LOST_FROM = JointId("J013")
BODY_STRAP = ("L20-a", "L20-b")
BRACES = "door-braces"

Special = Callable[[Cast, Phone, JointId], Iterator[Body]]


def tell(cast: Cast) -> None:
    """Tell the strip."""
    _Strip(cast).tell()


def picture() -> bytes:
    """Draw a cranked strap with its holes, and a rule beside it, in four shades, as a PNG."""
    wide, high, bench, shadow, steel, bright = 320, 240, 0, 1, 2, 3
    image = Image.new("L", (wide, high), bench)
    draw = ImageDraw.Draw(image)
    strap = [
        (60, 150),
        (60, 112),
        (150, 112),
        (190, 52),
        (262, 52),
        (262, 90),
        (212, 90),
        (172, 150),
    ]
    draw.polygon([(x + 5, y + 6) for x, y in strap], shadow)
    draw.polygon(strap, steel, bright)
    for x, y, half in ((86, 131, 10), (126, 131, 10), (240, 71, 7)):
        draw.ellipse((x - half - 2, y - half - 2, x + half + 2, y + half + 2), bright)
        draw.ellipse((x - half, y - half, x + half, y + half), bench)
    draw.rectangle((24, 190, 296, 214), bright, shadow)
    for number, x in enumerate(range(30, 292, 6)):
        draw.line((x, 190, x, 202 if number % 5 == 0 else 196), shadow)
    shades = image.tobytes()
    rows = b"".join(
        b"\0"
        + bytes(
            shades[n] << 6 | shades[n + 1] << 4 | shades[n + 2] << 2 | shades[n + 3]
            for n in range(row, row + wide, 4)
        )
        for row in range(0, wide * high, wide)
    )
    palette = bytes.fromhex("8a7560 5b4d40 9aa0a4 d8d9d4")

    def chunk(kind: bytes, content: bytes) -> bytes:
        check = zlib.crc32(kind + content)
        return struct.pack(">I", len(content)) + kind + content + struct.pack(">I", check)

    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">IIBBBBB", wide, high, 2, 3, 0, 0, 0))
        + chunk(b"PLTE", palette)
        + chunk(b"IDAT", zlib.compress(rows, 0))  # squeezed, it would hang on whose zlib it is
        + chunk(b"IEND", b"")
    )


class _Strip:
    """The teller, who knows how the vehicle stands."""

    def __init__(self, cast: Cast) -> None:
        self.cast = cast
        self.script = cast.script
        self.standing = ""
        self.done: set[JointId] = set()

    # -- the sittings -----------------------------------------------------------------------

    def tell(self) -> None:
        cast, script, a, b = self.cast, self.script, self.cast.a, self.cast.b
        script.lines.append({"phones": {phone.name: BLOCK for phone in (a, b, cast.c)}})
        cast.describe_garage()
        self._at(0, "Day 0, home garage", "Ada and Bert survey the car before touching anything")
        cast.make_crates()
        self._survey()
        self._at(1, "Day 1, home garage", "battery and fluids; the bonnet comes off")
        self._task("T002", a)
        self._task("T010", b)
        for drain in ("T003", "T004", "T005", "T006", "T008"):
            self._task(drain, a)
        self._at(4, "Day 4, home garage", "front bumper; a bolt shears; Bert logs the wrong part")
        self._bumper()
        self._wrong_part()
        self._thing_from_the_front()
        for task in ("T012", "T033", "T034", "T035"):
            self._task(task, a)
        self._at(5, "Day 5, home garage", "the right rear bumper bolt turns its captive nut")
        self._stuck()
        for task in ("T014", "T015"):
            self._task(task, a)
        self._at(6, "Day 6, home garage", "the soaked bolt still holds, and is cut")
        self._cut_bolt()
        self._task("T055", a)
        self._at(9, "Day 9, home garage", "seats, carpets and trim; eleven clips break")
        for task in ("T016", "T017", "T018"):
            self._task(task, b)
        self._task("T019", b, J024=_broken_clips)
        self._bodge()
        self._at(11, "Day 11, home garage", "the shell is measured and braced, doors hung")
        self._brace()
        self._at(13, "Day 13, home garage", "radiator out, half its bolts back in their own holes")
        radiator = self._task("T032", a, J015=_own_holes)
        cast.ask("where", Subject("joint:J015"), "Half went back into their holes")
        for task in ("T036", "T037", "T039", "T043"):
            self._task(task, a)
        self._at(14, "Day 14, home garage", "a late note; a bag is named at last")
        self._late_note(radiator)
        cast.ask("history", Subject("part:EB14"), "The late note stands where it belongs")
        script.ask("reach", of="Gearbox with bellhousing")
        self._at(16, "Day 16, home garage", "wings off; two captive nuts spin")
        self._task("T030", b)
        script.send(
            b.act(Found(what="captive nuts 6 and 7 spin in their cages", of=Subject("joint:J010")))
        )
        self._task("T050", a)
        self._task("T031", a)
        self._at(20, "Day 20, home garage", "glass, doors, steering wheel")
        for task in ("T026", "T021", "T022", "T020", "T023"):
            self._task(task, a if task != "T020" else b)
        script.ask("strip")
        self._at(23, "Day 23, home garage", "the facia comes out")
        self._task("T024", a)
        self._task("T025", b)
        self._at(24, "Day 24, home garage", "two people log one joint; another bag than proposed")
        self._task("T027", b, J035=_other_bag)
        cast.ask("where", Subject("joint:J035"), "Another bag than proposed")
        self._two_log_one()
        self._task("T029", a)
        self._at(27, "Day 27, home garage", "on stands: exhaust, starter, propeller shaft")
        b.wrong_by = timedelta()  # Bert has set his clock right
        for task in ("T040", "T041", "T042", "T038", "T044"):
            self._task(task, a)
        cast.ask("open", Subject(f"part:{FORGOTTEN_MARK}"), "Nobody marked it")
        self._at(30, "Day 30, home garage", "the clutch pipe's nut is seized: the pipe is cut")
        self._task("T045", b)
        self._cut_pipe()
        self._at(31, "Day 31, home garage", "engine and gearbox out as one")
        self._engine()
        self._at(33, "Day 33, the plater", "bumpers and lamp rims go out")
        self._send_out()
        self._at(36, "Day 36, home garage", "looms, pedals, tank")
        for task in ("T051", "T052", "T056", "T053", "T054"):
            self._task(task, a)
        self._at(40, "Day 40, home garage", "the body will not rise at the rear")
        self._body()
        self._at(41, "Day 41, home garage", "rolling chassis; one end was left open")
        self._rolling()
        self._at(47, "Day 47, body workshop", "chassis and shell move; one crate stays behind")
        self._move()
        self._stage_two()
        self._two_copies()

    # -- how it is told ---------------------------------------------------------------------

    def _at(self, day: int, title: str, words: str) -> None:
        self.cast.calendar.go_to(day)
        self.script.sitting(title, words)

    def _stand(self, standing: str, phone: Phone) -> None:
        if standing and standing != self.standing:
            self.standing = standing
            changed = StandingChanged(
                standing=StandingId(standing), rock_tested=standing == "STANDS", looked=phone.who
            )
            self.script.send(phone.act(changed, minutes=20))

    def _task(self, task: str, phone: Phone, **special: Special) -> EntryId:
        """Log a task: joints, marks, parts, openings, fluids; give the last part's entry."""
        cast = self.cast
        self._stand(cast.scenario.tasks[task]["standing"], phone)
        last = EntryId("")
        for joint in cast.joints_of_task(task):
            if joint in self.done:
                continue
            self.done.add(joint)
            told = special.get(joint, Cast.undo)
            last = self.script.send(phone.act(*told(cast, phone, joint)))[-1].id
        for part in cast.parts_of_task(task):
            last = self._off(part, phone)
        self._close(task, phone)
        for fluid in cast.vehicle.fluids.values():
            if fluid.drained_by == task:
                self.script.send(
                    phone.act(Drained(fluid=FluidId(fluid.id), volume_m3=fluid.volume_m3))
                )
        if task in cast.vehicle.jobs:
            self.script.send(phone.act(JobDone(job=JobId(task))))
        return last

    def _close(self, task: str, phone: Phone) -> None:
        """Close what a task opens, but for the one end that is forgotten."""
        openings = self.cast.vehicle.openings
        closures = [
            self.cast.close(each)
            for each in self.cast.openings_of_task(task)
            if each != LEFT_OPEN and openings[each].needs_closing
        ]
        if closures:
            self.script.send(phone.act(*closures))

    def _off(self, part: PartId, phone: Phone, whole: AssemblyId | None = None) -> EntryId:
        marks = () if part == FORGOTTEN_MARK else tuple(self.cast.marks(part))
        return self.script.send(phone.act(*marks, self.cast.take_off(part, whole)))[-1].id

    # -- what happened ----------------------------------------------------------------------

    def _survey(self) -> None:
        heights = self.cast.scenario.raw["ride_height"]["corners"]
        readings = [
            Measured(
                of=Subject("part:CH01"),
                what=f"axle to frame, {row['corner']}",
                value=row["axle_to_frame_mm"],
                unit="mm",
            )
            for row in heights
        ]
        self._stand("WHEELS", self.cast.a)
        self.script.send(self.cast.a.act(*readings, minutes=40))
        self.script.send(self.cast.a.act(JobDone(job=JobId("T001")), minutes=90))

    def _bumper(self) -> None:
        def sheared(cast: Cast, phone: Phone, joint: JointId) -> Iterator[Body]:
            tag = cast.bags[joint] = cast.tag(phone)
            yield ContainerMade(tag=tag, name="front bumper bolts")
            yield JointUndone(joint=joint, out=4, of=4, sheared=1, tag=tag)
            yield from cast.stow(tag, PartId("BS09"))

        self._task("T011", self.cast.a, J002=sheared)

    def _wrong_part(self) -> None:
        wrong = self.script.send(self.cast.b.act(self.cast.take_off(PartId("BS10"))))
        struck = Struck(act=wrong[0].act, why="it was the front one")
        self.script.send(self.cast.b.act(struck))
        self.cast.ask("where", Subject("part:BS10"), "Bert struck it out")

    def _thing_from_the_front(self) -> None:
        """A bag, a zone and a photo: complete, and named later."""
        tag = self.cast.tag(self.cast.b)
        shown = picture()
        photo = hashlib.sha256(shown).hexdigest()
        part = Subject(f"part:{LOGBOOK_ONLY}")
        sent = self.cast.b.act(
            ContainerMade(tag=tag),
            Described(table="parts", id=LOGBOOK_ONLY, fields={"zone": "FE"}),
            PartOff(part=LOGBOOK_ONLY, tag=tag),
            PhotoTaken(photo=photo, of=(part,), media_type="image/png"),
            PutIn(what=Subject(f"tag:{tag}"), tag=self.cast.crates["K6"]),
        )
        self.script.lines.append({"photo": base64.b64encode(shown).decode(), "to": "home"})
        self.script.send(sent)

    def _stuck(self) -> None:
        def three_of_four(cast: Cast, phone: Phone, joint: JointId) -> Iterator[Body]:
            tag = cast.bags[joint] = cast.tag(phone)
            yield ContainerMade(tag=tag, name="rear bumper bolts")
            yield JointUndone(joint=joint, out=3, of=4, stuck=1, tag=tag)
            yield from cast.stow(tag, PartId("BS10"))

        self._stand("WHEELS", self.cast.a)
        self.done.add(JointId("J006"))
        self.script.send(self.cast.a.act(*three_of_four(self.cast, self.cast.a, JointId("J006"))))
        soaked = NoteMade(text="soaked, left overnight", of=(Subject("joint:J006"),))
        self.script.send(self.cast.a.act(soaked))
        self.cast.ask("where", Subject("joint:J006"), "Three came out, one is stuck")

    def _cut_bolt(self) -> None:
        joint = JointId("J006")
        cut = JointUndone(joint=joint, out=4, of=4, cut=1, tag=self.cast.bags[joint])
        self.script.send(self.cast.a.act(cut, minutes=25))
        self.cast.ask("where", Subject("joint:J006"), "Cut and scrapped")
        self._task("T013", self.cast.a)

    def _bodge(self) -> None:
        found = self.script.send(
            self.cast.b.act(
                Found(
                    what="a former owner's patch: sheet riveted over the left sill, filled",
                    of=Subject("part:BS01"),
                )
            )
        )
        self.cast.ask("open", Subject("part:BS01"), "A bodge comes to light")
        self.script.send(
            self.cast.a.act(
                Decided(
                    of=Subject("part:BS01"),
                    choice=Choice.RECONDITION,
                    about=found[0].id,
                    why="both sills are cut out and made new",
                )
            )
        )

    def _brace(self) -> None:
        self._stand("WHEELS", self.cast.a)
        self.script.send(
            self.cast.a.act(
                TemporaryFitOn(fit=BRACES, what="door braces", on=Subject("part:BS01")),
                JobDone(job=JobId("T058")),
                minutes=90,
            )
        )

    def _late_note(self, radiator: EntryId) -> None:
        yesterday = self.cast.calendar.now.date().replace(day=self.cast.calendar.now.day - 1)
        late = NoteMade(text="the lower hose was swollen: new hoses", of=(Subject("part:EB14"),))
        self.script.send(self.cast.a.act(late, happened_at=yesterday.isoformat(), after=radiator))
        named = Described(table="parts", id=LOGBOOK_ONLY, fields={"name": "Horn bracket"})
        self.script.send(self.cast.b.act(named))

    def _two_log_one(self) -> None:
        """Both count the tunnel cover's setscrews, ten minutes apart; one is on the floor."""
        cast, joint = self.cast, JointId("J039")
        bag = cast.bags[joint] = cast.tag(cast.a)
        others = [each for each in cast.joints_of_task("T028") if each != joint]
        self.done.add(joint)
        self._stand("WHEELS", cast.a)
        first = self.script.send(
            cast.a.act(
                ContainerMade(tag=bag, name="tunnel cover"),
                JointUndone(joint=joint, out=18, of=18, tag=bag),
                *cast.stow(bag, PartId("BS21")),
            )
        )
        second = self.script.send(cast.b.act(JointUndone(joint=joint, out=17, of=18, tag=bag)))
        for each in others:
            if each not in self.done:
                self.done.add(each)
                self.script.send(cast.a.act(*cast.undo(cast.a, each)))
        self._off(PartId("BS21"), cast.a)
        for part in cast.parts_of_task("T028"):
            if part != "BS21":
                self._off(part, cast.a)
        self._close("T028", cast.a)
        cast.ask("open", Subject(f"joint:{joint}"), "Two people counted")
        counts = [entry.id for entry in (*first, *second) if entry.kind == JointUndone.KIND]
        settled = OneAndSame(entries=tuple(counts), subject=Subject(f"joint:{joint}"), settled=18)
        self.script.send(cast.a.act(settled))
        cast.ask("where", Subject(f"joint:{joint}"), "Settled: one and the same")

    def _cut_pipe(self) -> None:
        cast = self.cast
        ends = [each for each in ("L08-a", "L08-b") if JointId(each) not in self.done]
        bodies: list[Body] = []
        for end in ends:
            self.done.add(JointId(end))
            bodies.append(JointUndone(joint=JointId(end), cut=1 if end == ends[0] else 0))
        for joint in cast.vehicle.runs[PartId("L08")].clips:
            if joint not in self.done:
                self.done.add(joint)
                bodies += cast.undo(cast.b, joint)
        bodies.append(KeptAsPattern(part=PartId("L08"), why="nut seized on the pipe: cut"))
        self.script.send(cast.b.act(PartOff(part=PartId("L08"), place=PlaceId("W1")), *bodies))
        self.script.send(
            cast.b.act(
                Ordered(what=Subject("part:L08"), item="tube and nuts for a new clutch pipe")
            )
        )
        cast.ask("where", Subject("part:L08"), "Cut, and kept to copy")

    def _engine(self) -> None:
        cast, unit = self.cast, AssemblyId("UNIT")
        self._stand("STANDS", cast.a)
        self.script.send(cast.a.act(JobDone(job=JobId("T046"))))
        self.script.send(cast.a.act(JobDone(job=JobId("T046C"))))
        self._task("T046", cast.a)
        strap = [each for each in cast.joints_of_task("T047") if each.startswith("L19")]
        for joint in cast.joints_of_task("T047"):
            if joint not in strap and joint not in self.done:
                self.done.add(joint)
                self.script.send(cast.a.act(*cast.undo(cast.a, joint)))
        stopped = Found(what="the lift stops: an earth strap still holds", of=Subject("part:EB01"))
        found = self.script.send(cast.a.act(stopped))
        cast.ask("ties", Subject(f"assembly:{unit}"), "The hoist is stopped")
        for joint in strap:
            self.done.add(joint)
            self.script.send(cast.a.act(*cast.undo(cast.a, joint)))
        decided = Decided(of=Subject("part:EB01"), choice=Choice.REUSE, about=found[0].id)
        self.script.send(cast.a.act(decided))
        for part in ("EB01", "EB02", "EB03"):
            self._off(PartId(part), cast.a, unit)
        for part in cast.parts_of_task("T047"):
            if part not in ("EB01", "EB02", "EB03"):
                self._off(part, cast.a)
        for task in ("T048", "T049"):
            for joint in cast.joints_of_task(task):
                if joint not in self.done:
                    self.done.add(joint)
                    self.script.send(cast.b.act(*cast.undo(cast.b, joint)))
            self._close(task, cast.b)
        self._close("T047", cast.b)

    def _send_out(self) -> None:
        what = tuple(Subject(f"part:{part}") for part in ("BS09", "BS10", "BS11"))
        self.script.send(
            self.cast.a.act(SentOut(what=what, firm="Plater", work="chrome", due="2031-07-01"))
        )
        engine = SentOut(what=(Subject("part:EB01"),), firm="Machine shop", due="2031-08-15")
        self.script.send(self.cast.a.act(engine))

    def _body(self) -> None:
        cast, a = self.cast, self.cast.a
        self._stand("STANDS", a)
        for joint in cast.joints_of_task("T057"):
            if joint not in BODY_STRAP and joint not in self.done:
                self.done.add(joint)
                self.script.send(a.act(*cast.undo(a, joint)))
        self.script.send(a.act(JobDone(job=JobId("T057"), note="walked the joint line")))
        pads = JointId("J080")
        bag = cast.bags[pads] = cast.tag(a)
        ten = JointUndone(joint=pads, out=10, of=12, tag=bag)
        self.script.send(
            a.act(
                ContainerMade(tag=bag, name="body mountings"), ten, *cast.stow(bag, PartId("BS22"))
            )
        )
        self.done.add(pads)
        cast.ask("ties", Subject("part:BS01"), "The rear will not rise")
        for strap in map(JointId, BODY_STRAP):
            if strap not in self.done:
                self.done.add(strap)
                self.script.send(a.act(*cast.undo(a, strap)))
        for part in cast.parts_of_task("T057"):
            self._off(part, a)
        self.script.send(a.act(JointUndone(joint=pads, out=12, of=12, tag=bag)))
        for task in ("T059", "T060"):
            self._task(task, a)

    def _rolling(self) -> None:
        cast, a = self.cast, self.cast.a
        for task in ("T061", "T062", "T063"):
            self._task(task, a)
        self.script.send(a.act(OpeningOpened(opening=LEFT_OPEN, closed=0)))
        cast.ask("open", Subject(f"opening:{LEFT_OPEN}"), "Eleven closures, ten counted")
        self.script.send(a.act(cast.close(LEFT_OPEN)))
        for task in ("T064", "T065"):
            self._task(task, a)
        lost = cast.bags[LOST_FROM]
        joint = cast.vehicle.joints[LOST_FROM]
        counted = [
            Pieces(
                spec=piece.spec.text,
                count=piece.per_fixing * fixing.count - (1 if at == 0 else 0),
            )
            for fixing in joint.fixings
            for at, piece in enumerate(fixing.stack)
            if not piece.stays
        ]
        self.script.send(a.act(Counted(tag=lost, pieces=tuple(counted))))
        cast.ask("where", Subject(f"joint:{LOST_FROM}"), "A count finds one bolt missing")

    def _move(self) -> None:
        cast, a = self.cast, self.cast.a
        for crate, place in (
            *((crate, "S1") for crate in ("K1", "K2", "K6")),
            *((crate, "W2") for crate in ("K3", "K4", "K8")),
        ):
            tag = Subject(f"tag:{cast.crates[crate]}")
            self.script.send(a.act(Moved(what=tag, place=PlaceId(place))))
        for part in ("CH01", "BS01"):
            self.script.send(a.act(Moved(what=Subject(f"part:{part}"), place=PlaceId("W2"))))
        self.script.do("take over", source="home", target="away")

    def _stage_two(self) -> None:
        cast, a, b = self.cast, self.cast.a, self.cast.b
        self.script.copy = "away"
        self._at(59, "Day 59, body workshop", "cracked on the wheels, while the tyres hold them")
        self._stand("WHEELS", a)
        for joint in cast.vehicle.jobs[JobId("T211")].joints:
            self.script.send(a.act(JointCracked(joint=joint)))
        self.script.send(a.act(JobDone(job=JobId("T211"))))
        self._at(60, "Day 60, body workshop", "stage two: down to the bare frame")
        for task in (
            *("T201", "T202", "T203", "T204", "T205", "T206", "T212", "T207", "T213"),
            *("T214", "T215", "T208", "T209", "T210"),
        ):
            self._task(task, a if task < "T207" else b)
        jumped = Found(what="hub jumped the puller, caught by its nut", of=Subject("joint:J136"))
        found = self.script.send(b.act(jumped))
        self.script.send(
            b.act(Decided(of=Subject("joint:J136"), choice=Choice.REUSE, about=found[0].id))
        )

    def _two_copies(self) -> None:
        """At home, meanwhile, Ada logs what the body workshop does not know."""
        cast, a = self.cast, self.cast.a
        self._at(62, "Day 62, home garage", "the crate that stayed behind is found, at home")
        self.script.copy = "home"
        crate = Subject(f"tag:{cast.crates['K5']}")
        self.script.send(a.act(HandsLaidOn(what=crate, place=PlaceId("W1"))))
        self.script.send(a.act(TimeSpent(minutes=90, of=Subject("part:EB02"))))
        self.script.send(
            a.act(Ordered(what=Subject("part:RA02L"), item="leaf springs", due="2031-06-01"))
        )
        cast.calendar.go_to(120)
        self.script.do("exchange", source="home", target="away")
        cast.ask("where", crate, "The crate that stayed behind")
        self._at(205, "Day 205, machine shop", "the engine is back")
        self.script.send(a.act(CameBack(what=(Subject("part:EB01"),))))
        self._at(260, "Day 260, the plater", "plating back, one lamp rim missing")
        what = tuple(Subject(f"part:{part}") for part in ("BS09", "BS10", "BS11"))
        self.script.send(a.act(CameBack(what=what, missing="one lamp rim")))
        cast.calendar.go_to(270)
        self.script.do("exchange", source="home", target="away")


def _broken_clips(cast: Cast, phone: Phone, joint: JointId) -> Iterator[Body]:
    """Eleven of the trim clips break: they are single-use anyway."""
    tag = cast.bags[joint] = cast.tag(phone)
    of = cast.vehicle.joints[joint].fixing_count
    yield ContainerMade(tag=tag, name="trim clips and screws")
    yield JointUndone(joint=joint, out=of, of=of, sheared=11, tag=tag)
    yield from cast.stow(tag, PartId("BS17"))


def _own_holes(cast: Cast, phone: Phone, joint: JointId) -> Iterator[Body]:
    """The two lower bolts do not stay in the bag: back in their own holes, hand tight."""
    tag = cast.bags[joint] = cast.tag(phone)
    yield ContainerMade(tag=tag, name="radiator, upper bolts")
    yield JointUndone(
        joint=joint,
        out=4,
        of=4,
        went=(
            Went(to=Whither.OWN_HOLE, fixings=2),
            Went(to=Whither.TAG, tag=tag, fixings=2),
        ),
    )
    yield from cast.stow(tag, PartId("EB13"))


def _other_bag(cast: Cast, phone: Phone, joint: JointId) -> Iterator[Body]:
    """The next printed bag was taken, not the proposed one: what is in the hand is true."""
    del phone
    cast.bags[joint] = USED
    yield ContainerMade(tag=USED, name="steering column")
    yield JointUndone(joint=joint, tag=USED, note=f"{PROPOSED} was proposed")
    yield from cast.stow(USED, PartId("ST05"))
