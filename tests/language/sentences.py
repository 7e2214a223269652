"""What planner, logbook and papers say of a vehicle, gathered; and who knows its own words.

``python -m tests.language.sentences papers SEED ...`` prints what nobody has translated into
German yet, a text a line: on papers, and of generated vehicles.
"""

import sys
from collections.abc import Iterable, Iterator
from enum import Enum
from unittest.mock import Mock, patch

from putback.language import GERMAN, Told, rows_of
from putback.logbook.entries.base import Body, LogbookId
from putback.logbook.entries.describing import Described
from putback.logbook.entries.working import JobDone, JointUndone, PartOff
from putback.logbook.state import State
from putback.paper.stock import STOCKS
from putback.paper.words import Own, Words
from putback.planning.ahead import Horizon, look_ahead
from putback.planning.plan import Plan
from putback.planning.rebuild import plan_rebuild
from putback.planning.strip import plan_strip
from putback.planning.ties import ties
from putback.vehicle.generate import generate
from putback.vehicle.ids import AssemblyId, part_ref, split_ref
from putback.vehicle.vehicle import Vehicle
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.open_now import open_now
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.job_card import job_card
from putback.workshop.plans.plan_sheet import plan_sheet
from putback.workshop.plans.walk_round import walk_round
from putback.workshop.printing.documents import DOCUMENTS
from putback.workshop.printing.wanted import Wanted
from tests.language.texts import CODE, Knowing, _gather
from tests.stores import ANN, PHONE
from tests.workshop.lines import CAR, Lines
from tests.workshop.printing.drawn import car

_NO_WORDS = {"goal", "standing", "zone", "id", "identity", "fact", "opening", "made_by", "marks"}
"""Fields of records that name things by their identity, or hold somebody's own words."""


class KnowingNames(Knowing):
    """Knows names joined by a dash as well, and what a record calls things."""

    def __init__(self, own: Iterable[str] = ()) -> None:
        """Take the own words as they are."""
        super().__init__()
        self.own = frozenset(own)

    def _told(self, text: str) -> Told:
        bare = text.strip(" .:;,")
        is_own = bare in self.own or all(map(self._is_name, bare.split(" – ")))
        if is_own or CODE.fullmatch(bare):
            return Told(text, is_known=True)
        return super()._told(text)

    def _is_name(self, said: str) -> bool:
        return said in self.own or said in self.rows


def own_words(vehicle: Vehicle) -> frozenset[str]:
    """Every text of a description, with a capital and without."""
    found: set[str] = set()
    _gather(vehicle, found)
    whole = {each.strip(" .:;,") for each in found}
    return frozenset({each for each in whole if each and each not in rows_of(GERMAN)})


def said_in(record: object) -> Iterator[str]:
    """Every text of a record that is no identity and no word of a closed set."""
    if isinstance(record, str):
        if not isinstance(record, Enum) and any(each.isalpha() for each in record):
            yield str(record)
    elif hasattr(record, "__dataclass_fields__"):
        for name in record.__dataclass_fields__:
            if name not in _NO_WORDS:
                yield from said_in(getattr(record, name))
    elif isinstance(record, Iterable) and not isinstance(record, bytes):
        for each in record:
            yield from said_in(each)


def of_plan(plan: Plan, state: State) -> Iterator[str]:
    """Sentences of a plan: its steps, their cards, its sheet."""
    yield from said_in(plan)
    yield from said_in(plan_sheet(state, plan.steps, plan, everything=True))
    for at, step in enumerate(plan.steps):
        yield from said_in(job_card(step, state, plan.steps[at + 1 :]))
    yield from said_in(look_ahead(state.vehicle, state, plan, Horizon(everything=True)))


def of_logbook(workshop: Workshop, logbook: LogbookId) -> Iterator[str]:
    """What is open, what every entry says, what ties the parts of each goal."""
    state = in_its_garage(workshop, logbook)
    for item in open_now(workshop, logbook):
        yield from (item.words, item.clears)
    for entry in workshop.standing(logbook):
        yield str(entry.kind)
        if isinstance(entry.body, Body) and not isinstance(entry.body, Described):
            yield entry.body.sentence(state.name_of)
    for goal in state.vehicle.goals.values():
        for part in goal.off[:2]:
            if part in state.vehicle.parts and part not in state.parts_off:
                found = ties(state.vehicle, state, part_ref(part))
                yield from said_in(walk_round(state, found).stops)


def of_papers(wanted: Wanted) -> Iterator[str]:
    """All that stands on every paper; nothing is typeset."""
    heard: list[str] = []
    words = wanted.words

    def hear(_words: Words, text: str) -> str:
        if not isinstance(text, Own):
            heard.append(text)
        return text

    with (
        patch.object(Words, "respell", hear),
        patch(
            "putback.paper.typeset.typst.Compiler",
            Mock(return_value=Mock(compile=lambda **_: b"")),
        ),
    ):
        for each in DOCUMENTS:
            if each.name != "history":
                each.make(wanted)
    unseen = {*said_in(words), *said_in(STOCKS)}
    return (each for each in heard if each not in unseen)


def apart(lines: Lines, plan: Plan) -> None:
    """Log that a plan was done, as plainly as can be."""
    for step in plan.steps:
        kind, identity = split_ref(step.what)
        lines.watch.put_on(minutes=1)
        match kind:
            case "joint":
                body: Body = JointUndone(joint=identity, out=None, of=None)
            case "part":
                body = PartOff(part=identity)
            case "assembly":
                body = PartOff(part=lines.about.assemblies[AssemblyId(identity)].parts[0])
            case _:
                body = JobDone(job=identity)
        lines.workshop.log(CAR, (body,), who=ANN, device=PHONE)


def generated(parts: int, seed: int) -> Iterator[str]:
    """What is said of a generated vehicle: its strip, and its rebuild when all is apart."""
    lines = Lines(generate(parts, seed))
    vehicle = lines.about
    goal = next(iter(vehicle.goals.values()))
    plan = plan_strip(vehicle, lines.state, goal)
    yield from of_plan(plan, lines.state)
    yield from of_logbook(lines.workshop, CAR)
    apart(lines, plan)
    yield from of_plan(plan_rebuild(vehicle, lines.state), lines.state)
    yield from of_logbook(lines.workshop, CAR)


def untold(texts: Iterable[str], own: Iterable[str]) -> list[str]:
    """What nobody has translated, each once."""
    knows = KnowingNames(own)
    return sorted({each for each in texts if not knows.told(each).is_known})


def on_papers() -> list[str]:
    """What nobody has translated on papers of a small car, half apart and half together."""
    wanted = car()
    own = [*own_words(wanted.state().vehicle), "ann", "bore scored", "before"]
    return untold([*of_papers(wanted), *of_logbook(wanted.workshop, CAR)], own)


def of_generated(parts: int, seed: int) -> list[str]:
    """What nobody has translated of what is said of a generated vehicle."""
    vehicle = generate(parts, seed)
    return untold(generated(parts, seed), own_words(vehicle))


if __name__ == "__main__":
    for which in sys.argv[1:]:
        print(*(on_papers() if which == "papers" else of_generated(60, int(which))), sep="\n")
