"""What the tellers of the story share: the vehicle, the scenario, people, places and bags."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import timedelta

from putback.logbook.entries.base import Body, DeviceId, PersonId, PlaceId, Subject, TagCode
from putback.logbook.entries.bookkeeping import PersonNamed
from putback.logbook.entries.describing import PlaceDescribed
from putback.logbook.entries.keeping import ContainerMade, Moved, PutIn
from putback.logbook.entries.working import JointUndone, MarkMade, OpeningClosed, PartOff
from putback.vehicle.ids import AssemblyId, JointId, OpeningId, PartId
from putback.vehicle.vehicle import Vehicle
from scripts.map_scenario.build import build, joints_and_tasks
from scripts.map_scenario.source import Scenario
from scripts.write_story.phones import GARAGE, Calendar, Phone
from scripts.write_story.script import Script

NAMES = {"A": "Ada", "B": "Bert", "C": "Cleo"}
PROPOSED, USED = TagCode("3CAH"), TagCode("3HNA")
"""The tag that was proposed for the steering column's joint, and the one that was used."""


@dataclass
class Cast:
    """Everything a teller needs."""

    script: Script = field(default_factory=Script)
    scenario: Scenario = field(default_factory=Scenario)
    calendar: Calendar = field(default_factory=Calendar)
    bags: dict[JointId, TagCode] = field(default_factory=dict)
    crates: dict[str, TagCode] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Hand out the phones; the second one's clock is twenty-six minutes fast."""
        self.vehicle: Vehicle = build(self.scenario)[0]
        self.opened_in = joints_and_tasks(self.scenario)[1]
        self.a = Phone(DeviceId("phone-a"), PersonId("A"), 0, self.calendar)
        self.b = Phone(DeviceId("phone-b"), PersonId("B"), 1, self.calendar, timedelta(minutes=26))
        self.c = Phone(DeviceId("phone-c"), PersonId("C"), 2, self.calendar)

    def tag(self, phone: Phone) -> TagCode:
        """Take the next tag of a phone's block."""
        return phone.next_tag(but=frozenset({PROPOSED, USED}))

    def ask(self, what: str, of: Subject, words: str = "") -> None:
        """Have the program asked about a thing, by the name that a person calls it."""
        kind, _, identity = of.partition(":")
        tables = {"part": "parts", "joint": "joints", "opening": "openings"}
        tables |= {"assembly": "assemblies"}
        if kind in tables:
            identity = getattr(self.vehicle, tables[kind])[identity].name
        self.script.ask(what, of=f"{kind}:{identity}", words=words)

    # -- the garage -------------------------------------------------------------------------

    def describe_garage(self) -> None:
        """Say who and where everybody and everything is."""
        places = [
            PlaceDescribed(
                place=PlaceId(row["id"]),
                name=row["name"],
                kind=row["kind"],
                fits=row["fits"],
                floor=row["floor"] or "",
            )
            for row in self.scenario.raw["places"]
        ]
        people = [PersonNamed(person=PersonId(key), name=name) for key, name in NAMES.items()]
        self.script.send(self.a.act(*places, *people, logbook=GARAGE))

    def make_crates(self) -> None:
        """Tag the crates, and put them in the home garage."""
        bodies: list[Body] = []
        for row in self.scenario.raw["crates"]:
            tag = self.crates[row["id"]] = self.tag(self.a)
            bodies += [
                ContainerMade(tag=tag, container="crate", name=row["name"]),
                Moved(what=Subject(f"tag:{tag}"), place=PlaceId("W1")),
            ]
        self.script.send(self.a.act(*bodies))

    # -- one task of the strip --------------------------------------------------------------

    def joints_of_task(self, task: str) -> list[JointId]:
        """Give the joints that a task opens, in the order of the description."""
        return [JointId(joint) for joint, of in self.opened_in.items() if of == task]

    def parts_of_task(self, task: str) -> list[PartId]:
        """Give the parts and runs that a task takes off."""
        return [PartId(part) for part, of in self.scenario.removed_in.items() if of == task]

    def openings_of_task(self, task: str) -> list[OpeningId]:
        """Give the openings that a task leaves open: holes by the scenario, pipe ends by joint."""
        joints = set(self.joints_of_task(task))
        holes = self.scenario.openings
        return [
            each.id
            for each in self.vehicle.openings.values()
            if (
                holes[each.id]["opened_in"] == task
                if each.id in holes
                else joints & set(each.joints)
            )
        ]

    def loose(self, joint: JointId) -> bool:
        """Whether undoing a joint leaves pieces that need a bag."""
        fixings = self.vehicle.joints[joint].fixings
        return any(not piece.stays for fixing in fixings for piece in fixing.stack)

    def undo(self, phone: Phone, joint: JointId) -> Iterator[Body]:
        """Undo a joint into a fresh bag, in the crate of the part that comes away."""
        if not self.loose(joint):
            yield JointUndone(joint=joint)
            return
        tag = self.bags[joint] = self.tag(phone)
        yield ContainerMade(tag=tag, name=self.vehicle.joints[joint].name)
        yield JointUndone(joint=joint, tag=tag)
        yield from self.stow(tag, self.vehicle.joints[joint].parts[0])

    def stow(self, tag: TagCode, part: PartId) -> Iterator[Body]:
        """Put a bag where its part's things go."""
        row = self.scenario.parts.get(part)
        crate = (row or {}).get("crate") or "K6"
        yield PutIn(what=Subject(f"tag:{tag}"), tag=self.crates[crate])

    def marks(self, part: PartId) -> Iterator[Body]:
        """Make the marks that the description asks for."""
        for mark in self.vehicle.parts[part].marks:
            yield MarkMade(part=part, how=mark.how, where=mark.where, record=mark.record)

    def take_off(self, part: PartId, whole: AssemblyId | None = None) -> Body:
        """Take a part off, into its crate or on to the shelf."""
        row = self.scenario.parts.get(part)
        crate = (row or {}).get("crate")
        if crate:
            return PartOff(part=part, whole=whole, tag=self.crates[crate])
        return PartOff(part=part, whole=whole, place=PlaceId("W1"))

    def close(self, opening: OpeningId) -> Body:
        """Close all ends of an opening."""
        closed_with = self.vehicle.openings[opening].closed_with
        return OpeningClosed(opening=opening, closed_with=closed_with)
