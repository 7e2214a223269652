"""Several copies of one vehicle, worked on apart: however they exchange, all come to one state.

People log on phones whose clocks are an hour apart, their phones send to one copy or another, and
copies exchange by file and over a line that loses requests and answers. At no moment is an entry
anywhere twice, or before the photo that it names; in the end all copies hold the union.
"""

from collections.abc import Callable
from random import Random

import pytest
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    rule,
    run_state_machine_as_test,
)

from putback.logbook.bundle import photos_of
from putback.logbook.entries.base import Body, DeviceId, Entry, LogbookId, PersonId
from putback.logbook.entries.describing import Described
from putback.logbook.entries.keeping import ContainerMade
from putback.logbook.entries.working import (
    JointUndone,
    NoteMade,
    PartOff,
    PhotoTaken,
    StandingChanged,
)
from putback.logbook.fold import fold
from putback.workshop.exchange.by_file import export_for
from putback.workshop.exchange.course import Course, Exchange
from putback.workshop.exchange.exchange import take_in
from putback.workshop.exchange.far import NoExchange
from putback.workshop.exchange.partners import Partner, Partners
from putback.workshop.logbooks.identity import Identities
from putback.workshop.logbooks.look import read_entry
from putback.workshop.logbooks.memory import MemoryEntryStore, MemoryPhotoStore
from putback.workshop.logbooks.open_now import open_now
from putback.workshop.logbooks.ports import PhotoId
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.now.settle import doubles, settle
from tests.far import BesideFar
from tests.makers import vehicle
from tests.stores import ANN, MORNING, PHONE, Phone, Watch

CAR = LogbookId("car")
COPIES = 3
COPY = st.integers(0, COPIES - 1)
TAGS = ["3CAH", "F32C", "NC7D"]


def body_of(random: Random, copy: Workshop) -> Body:
    """Something that somebody logs; of a photo the bytes are stored first."""
    match random.randrange(7):
        case 0:
            return JointUndone(
                joint="lid-frame", out=random.randrange(5), of=4, tag=random.choice(TAGS)
            )
        case 1:
            return PartOff(part="lid", place=random.choice(["shelf", "barn"]))
        case 2:
            fields = {"mass_kg": float(random.randrange(1, 4))}
            return Described(table="parts", id="lid", fields=fields)
        case 3:
            return StandingChanged(standing=random.choice(["on stands", "on wheels"]))
        case 4:
            return ContainerMade(tag=random.choice(TAGS), name=random.choice(["", "lids"]))
        case 5:
            return PhotoTaken(photo=copy.photos.put(random.randbytes(8)))
        case _:
            return NoteMade(text=str(random.random()))


class Garages:
    """Copies of one vehicle in workshops of their own, with the courses between them."""

    def __init__(self, random: Random, folder, phones: int = 3) -> None:
        self.random = random
        self.folder = folder
        self.copies = []
        for number in range(COPIES):
            watch = Watch()
            watch.put_on(minutes=30 * number)
            self.copies.append(Workshop(MemoryEntryStore(watch), MemoryPhotoStore(), watch))
        self.copies[0].new_vehicle(
            vehicle("lid - frame: 4 bolt M8 x 20"), who=ANN, device=PHONE, logbook=CAR
        )
        begun = [row.raw for row in self.copies[0].since(CAR)]
        for each in self.copies[1:]:
            each.store.create_logbook(CAR, "car", ANN)
            each.receive(CAR, begun, received_from="a bundle")
        self.phones = []
        for number in range(phones):
            watch = Watch(MORNING)
            watch.put_on(minutes=90 + 60 * (number % 2))  # an hour between their clocks
            identities = Identities(Random(number).getrandbits)
            who = PersonId(f"person {number}")
            self.phones.append(Phone(DeviceId(f"phone {number}"), who, CAR, watch, identities))
        self.queues: list[list[Entry]] = [[] for _ in range(phones)]
        self.said: dict[str, Entry] = {}
        self.courses: dict[tuple[int, int], Course] = {}
        self.partners = [Partners(folder / str(number)) for number in range(COPIES)]
        for kept in self.partners:
            for number in range(COPIES):
                kept.add(Partner(f"copy {number}"))
        self._files = 0

    # -- phones -----------------------------------------------------------------------------

    def log(self, phone: int, home: int) -> None:
        """Somebody logs without a network; it waits on the phone."""
        entry = self.phones[phone].entry(body_of(self.random, self.copies[home]))
        self.queues[phone].append(entry)
        self.said[entry.digest] = entry

    def send(self, phone: int, to: int, *, loses_answer: bool = False) -> None:
        """A phone sends its queue: photos, then entries; a lost answer has it send again later."""
        for entry in self.queues[phone]:
            for photo in photos_of(entry):
                self.copies[to].photos.put(self._bytes(PhotoId(photo)))
            self.copies[to].receive(CAR, [entry.raw], received_from=self.phones[phone].device)
        if not loses_answer:
            self.queues[phone] = []

    def _bytes(self, photo: PhotoId) -> bytes:
        return next(each.photos.get(photo) for each in self.copies if each.photos.has(photo))

    # -- copies -----------------------------------------------------------------------------

    def exchange(self, here: int, there: int, way: str, cut: Callable[[], str]) -> bool:
        """Push or pull, as far as the line holds."""
        key = (here, there)

        def keep(course: Course) -> None:
            self.courses[key] = course

        far = BesideFar(self.copies[there], DeviceId(f"partner {here}"), ANN, cut)
        exchange = Exchange(
            self.copies[here],
            far,
            f"copy {there}",
            CAR,
            f"partner copy {there}",
            ANN,
            self.courses.get(key, Course()),
            keep,
        )
        try:
            list(exchange.pull() if way == "pull" else exchange.push())
        except NoExchange:
            return False
        return True

    def by_file(self, here: int, there: int, *, again: bool) -> None:
        """A file with what is new goes over; or with all, as one was lost."""
        self._files += 1
        path = self.folder / f"{self._files}.zip"
        export_for(self.copies[here], self.partners[here], f"copy {there}", CAR, path, again=again)
        if self.random.random() < 0.8:
            take_in(self.copies[there], path, who=ANN)
        else:  # it was lost on the way: the next one holds all of it
            self.by_file(here, there, again=True)
        path.unlink()

    def settle_one(self, at: int) -> None:
        """Somebody taps away the first double that a copy shows."""
        copy = self.copies[at]
        shown = doubles(copy, CAR, open_now(copy, CAR))
        if shown:
            way = self.random.choice(shown[0].ways)
            act = settle(copy, CAR, shown[0].key, way.key, who=ANN, device=PHONE)
            self.said |= {each.digest: each for each in act.entries}

    # -- what must hold ---------------------------------------------------------------------

    def check_now(self) -> None:
        """Every copy holds each entry once, none that nobody said, and the photos it names."""
        for copy in self.copies:
            rows = list(copy.since(CAR))
            digests = [row.digest for row in rows]
            assert len(digests) == len(set(digests))
            for entry in map(read_entry, rows):
                assert all(copy.photos.has(PhotoId(photo)) for photo in photos_of(entry))

    def meet(self) -> None:
        """In the end all phones send and all copies meet: one set, one state, one list."""
        begun = {row.digest for row in self.copies[0].since(CAR)} - self.said.keys()
        for phone in range(len(self.phones)):
            self.send(phone, phone % COPIES)
        for _ in range(2):
            for here in range(COPIES):
                for there in range(COPIES):
                    if here != there:
                        assert self.exchange(here, there, "pull", lambda: "")
                        assert self.exchange(here, there, "push", lambda: "")
        self.check_now()
        wanted = self.said.keys() | begun
        sets = [{row.digest for row in each.since(CAR)} for each in self.copies]
        assert sets[0] >= wanted
        assert sets == [sets[0]] * COPIES
        first = self.copies[0]
        whole = fold([read_entry(row) for row in first.since(CAR)][::-1], CAR)
        for each in self.copies:
            assert each.state(CAR) == whole.state()
            assert each.facts(CAR).digest == first.facts(CAR).digest
            assert set(each.photos) >= {
                PhotoId(photo) for entry in self.said.values() for photo in photos_of(entry)
            }


class Exchanging(RuleBasedStateMachine):
    """Any schedule of all that."""

    folder = None

    def __init__(self) -> None:
        super().__init__()
        self.random = Random(7)
        self.garages = Garages(self.random, next(Exchanging.folder))

    @rule(phone=st.integers(0, 2), home=COPY)
    def log(self, phone, home):
        """Somebody logs without a network."""
        self.garages.log(phone, home)

    @rule(phone=st.integers(0, 2), to=COPY, lost=st.booleans())
    def send(self, phone, to, lost):
        """A phone meets a copy; the answer may be lost."""
        self.garages.send(phone, to, loses_answer=lost)

    @rule(
        here=COPY,
        there=COPY,
        way=st.sampled_from(["push", "pull"]),
        call=st.integers(0, 12),
        lost=st.sampled_from(["request", "answer"]),
    )
    def exchange(self, here, there, way, call, lost):
        """Two copies exchange; one of the first calls may get lost."""
        left = [call]

        def cut():
            left[0] -= 1
            return lost if left[0] == 0 else ""

        if here != there:
            self.garages.exchange(here, there, way, cut)

    @rule(here=COPY, there=COPY, again=st.booleans())
    def by_file(self, here, there, again):
        """A file goes over, or is lost and sent again."""
        if here != there:
            self.garages.by_file(here, there, again=again)

    @rule(at=COPY)
    def tap(self, at):
        """Somebody settles a double."""
        self.garages.settle_one(at)

    @invariant()
    def holds(self):
        """Each once, and no entry ahead of its photo."""
        self.garages.check_now()

    def teardown(self):
        """All meet."""
        self.garages.meet()


@pytest.mark.slow
def test_copies_converge_under_any_schedule(tmp_path):
    """Offline work, files, pushing, pulling, duplicates and lost answers."""
    numbers = iter(range(10**6))
    Exchanging.folder = (tmp_path / str(number) for number in numbers)
    examples = max(6, settings().max_examples // 10)
    run_state_machine_as_test(
        Exchanging, settings=settings(max_examples=examples, stateful_step_count=15)
    )


@pytest.mark.soak
@pytest.mark.timeout(1800)
def test_five_phones_log_a_thousand_acts_over_a_line_that_breaks(tmp_path):
    """Two calls of ten are lost, before or after; every act is everywhere, exactly once."""
    random = Random(20310502)
    garages = Garages(random, tmp_path, phones=5)

    def cut():
        return random.choices(["", "request", "answer"], [8, 1, 1])[0]

    for act in range(1000):
        garages.log(random.randrange(5), random.randrange(COPIES))
        if act % 7 == 0:
            lost = random.random() < 0.3
            garages.send(random.randrange(5), random.randrange(COPIES), loses_answer=lost)
        if act % 40 == 0:
            here, there = random.sample(range(COPIES), 2)
            garages.exchange(here, there, random.choice(["push", "pull"]), cut)
        if act % 200 == 199:
            garages.check_now()
    garages.meet()
    assert len(garages.said) == 1000
