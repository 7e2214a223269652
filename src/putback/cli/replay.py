"""A story replayed: what phones sent comes in, and Putback says what it makes of it."""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from operator import itemgetter
from pathlib import Path
from typing import TYPE_CHECKING, Any

from putback.cli.look import far_text
from putback.cli.output import count, sentence
from putback.cli.output import say as say_line
from putback.cli.plan import effort_words, say_plan
from putback.cli.wire import open_store
from putback.logbook.entries.base import DeviceId, PersonId
from putback.logbook.entries.registry import decode
from putback.logbook.hardware_check import hardware_check, sentences
from putback.logbook.open_items import Danger, Situation, open_items
from putback.planning.reach import reach
from putback.planning.rebuild import Difference, differences_from_reversed_strip, plan_rebuild
from putback.planning.strip import plan_strip
from putback.planning.tying.tied import still_tied
from putback.vehicle.demo import demo_vehicle
from putback.vehicle.ids import AssemblyId, PartId, Ref
from putback.workshop.exchange import story
from putback.workshop.exchange.exchange import export_bundle, take_in
from putback.workshop.logbooks.garage import in_its_garage
from putback.workshop.logbooks.situation import situation_of
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.plans.effort import effort
from putback.workshop.plans.how_far import goal_in_hand, how_far
from putback.workshop.saying.names import find_subject
from putback.workshop.saying.whereabouts import whereabouts

if TYPE_CHECKING:
    from rich.console import Console

    from putback.logbook.open_items import OpenItem
    from putback.logbook.state import State

FIRST_STEPS = 8
MOST_DIFFERENCES = 10
MOST_NEW = 3
HOME = "home"


@dataclass
class Replay:
    """The story in the making: copies of one logbook, each in a store of its own.

    What the program finds goes to ``out`` as it happens, and into ``found`` for programs.
    """

    folder: Path
    out: "Console | None"
    found: dict[str, Any] = field(
        default_factory=lambda: {
            "sittings": [],
            "asked": [],
            "exchanges": [],
            "copies_agree": True,
            "closes": False,
        }
    )
    copies: dict[str, Workshop] = field(default_factory=dict)
    sitting: str = ""
    entries: int = 0
    """Entries that came in since the sitting began."""
    last: str = HOME
    """The copy that the last entries came to."""
    open_before: dict[str, frozenset[tuple[str, str]]] = field(default_factory=dict)
    """What was open in each copy at the end of its last sitting."""
    rules_shown: set[str] = field(default_factory=set)

    def run(self, events: Iterable[story.Event]) -> None:
        """Replay it all."""
        home = self._open(HOME)
        vehicle = demo_vehicle()
        home.new_vehicle(
            vehicle, who=PersonId("A"), device=DeviceId("laptop"), logbook=story.DEMO_VEHICLE
        )
        if self.out:
            self.out.rule(vehicle.about.name)
        self.say(vehicle.about.notice, style="dim")
        self.say(
            f"{len(vehicle.parts)} parts, {len(vehicle.joints)} joints, "
            f"{len(vehicle.runs)} runs, {len(vehicle.jobs)} jobs. What two people's phones sent "
            "while they took it apart, and put it back with a third, comes in as it was sent; "
            "indented is what Putback makes of it."
        )
        for event in events:
            self._take(event)
        self._end_sitting()
        self._take_over_elsewhere()

    def say(self, text: str, style: str = "", indent: int = 0, lead: str = "") -> None:
        """Tell the person, if one listens."""
        if self.out:
            say_line(self.out, text, style, lead=lead or " " * indent, lead_style=style)

    def _take(self, event: story.Event) -> None:
        match event:
            case story.Phones(tags):
                for device, how_many in tags.items():
                    self.copies[HOME].reserve_tags(device, how_many)
            case story.Sitting(title, words):
                self._end_sitting()
                self.sitting = title
                self.say("")
                self.say(f"{title}: {words}.", style="bold")
            case story.PhotoSent(to, content):
                self.copies[to].photos.put(content)
            case story.Sent(to, sent_from, logbook, lines):
                self.copies[to].receive(logbook, lines, received_from=sent_from)
                self.entries += len(lines)
                self.last = to
            case story.Exchange():
                self._end_sitting()
                self._exchange(event)
            case story.Question():
                self._answer(event)

    # -- after each sitting -----------------------------------------------------------------

    def _end_sitting(self) -> None:
        """Tell what was done in it, and what is open."""
        if not self.sitting or not self.entries:
            return
        situation = self._situation()
        items = open_items(situation)
        far = how_far(situation.state)
        known = self.open_before.get(self.last, frozenset())
        now = frozenset((each.rule, each.subject) for each in items)
        self.open_before[self.last] = now
        new = [each for each in items if (each.rule, each.subject) not in known]
        self.say(
            f"{count(self.entries, 'entry', 'entries')}. {sentence(far_text(far))} "
            f"Open: {len(items)} ({len(now - known)} new, {len(known - now)} cleared).",
            style="dim",
            indent=2,
        )
        self._say_new(new)
        self.found["sittings"].append(
            {
                "sitting": self.sitting,
                "copy": self.last,
                "entries": self.entries,
                "far": far,
                "open": items,
            }
        )
        self.sitting, self.entries = "", 0

    def _say_new(self, new: "Sequence[OpenItem]") -> None:
        """Tell what presses, and of the rest what is open for the first time of its sort."""
        by_rule: dict[str, list[OpenItem]] = {}
        for each in new:
            if each.danger is not Danger.LATER or each.rule not in self.rules_shown:
                by_rule.setdefault(each.rule, []).append(each)
        for rule, (first, *others) in list(by_rule.items())[:MOST_NEW]:
            self.rules_shown.add(rule)
            colour = {Danger.DANGER: "bold red", Danger.NOW: "bold", Danger.LATER: ""}
            more = f" And {len(others)} more like it." if others else ""
            lead = f"{first.danger:>8}: "
            self.say(f"{sentence(first.words)}{more}", colour[first.danger], lead=lead)
            self.say(first.clears, style="dim", indent=len(lead))

    def _situation(self) -> Situation:
        """Look at the copy where the story is, at the hour of its latest entry."""
        copy = self.copies[self.last]
        last = next(iter(copy.store.read(story.DEMO_VEHICLE, newest_first=True)))
        now = datetime.fromtimestamp(decode(last.raw).logged_ms / 1000, UTC)
        seen = situation_of(copy, story.DEMO_VEHICLE, now)
        return Situation(seen.state, seen.log, now)

    # -- copies -----------------------------------------------------------------------------

    def _open(self, name: str) -> Workshop:
        opened = open_store(self.folder / name)
        self.copies[name] = Workshop(opened.entries, opened.photos)
        return self.copies[name]

    def _exchange(self, event: story.Exchange) -> None:
        """Let one copy take over the other's bundle, or both take in what the other has."""
        source = self.copies[event.source]
        bundle = self._bundle(event.source, event.target)
        if event.how == "take over":
            take_in(self._open(event.target), bundle, who=PersonId("A"))
            self.say(f"The {event.target} copy takes the logbook over from a bundle.", indent=2)
            return
        target = self.copies[event.target]
        taken = take_in(target, bundle, who=PersonId("A"))
        given = take_in(source, self._bundle(event.target, event.source), who=PersonId("A"))
        same = self._agree(event.source, event.target)
        self.say(
            f"The two copies had gone apart: {count(taken.entries, 'entry', 'entries')} go to "
            f"{event.target}, {given.entries} to {event.source}. "
            f"{'Both show one state now' if same else 'THEY STILL DIFFER'}.",
            style="bold",
            indent=2,
        )
        self.found["exchanges"].append(
            {"taken": taken.entries, "given": given.entries, "same_state": same}
        )

    def _take_over_elsewhere(self) -> None:
        """At the end a stranger takes the whole over, and sees what we see."""
        bundle = self._bundle(HOME, "stranger")
        taken = take_in(self._open("stranger"), bundle, who=PersonId("stranger"))
        same = self._agree(HOME, "stranger")
        self.found["taken_over"] = {"entries": taken.entries, "same_state": same}
        self.say("")
        kib = bundle.stat().st_size // 1024
        self.say(
            f"Written into one file: {taken.entries} entries, {kib} KiB. "
            f"Taken over elsewhere: {'the same state' if same else 'ANOTHER STATE'}.",
            style="bold",
        )

    def _bundle(self, source: str, target: str) -> Path:
        path = self.folder / f"{source}-to-{target}.zip"
        export_bundle(self.copies[source], story.DEMO_VEHICLE, path)
        return path

    def _agree(self, one: str, other: str) -> bool:
        first, second = (self.copies[each].state(story.DEMO_VEHICLE) for each in (one, other))
        same = first == second
        self.found["copies_agree"] = self.found["copies_agree"] and same
        return same

    # -- questions --------------------------------------------------------------------------

    def _answer(self, question: story.Question) -> None:
        state = in_its_garage(self.copies[self.last], story.DEMO_VEHICLE)
        match question.what:
            case "strip":
                self._strip(state)
            case "rebuild":
                self._rebuild(state)
            case "closes":
                self._end_sitting()
                self._closes(state)
            case "reach":
                self._reach(state, question.of)
            case _:
                self._ask(state, question)

    def _ask(self, state: "State", question: story.Question) -> None:
        """Answer a question about one thing in a few lines."""
        subject = find_subject(state, question.of)
        name = state.name_of(subject)
        asked = {
            "where": f"Where is {name}, and how?",
            "open": f"What is open about {name}?",
            "ties": f"What still holds {name}?",
            "history": f"What was logged of {name}?",
        }[question.what]
        self.say(f"{question.words}. {asked}" if question.words else asked, indent=2)
        lines = self._lines(state, question.what, subject)
        for line in lines:
            self.say(line, style="bold", indent=4)
        self.found["asked"].append(
            {
                "sitting": self.sitting,
                "what": question.what,
                "subject": subject,
                "name": name,
                "answer": lines,
            }
        )

    def _lines(self, state: "State", what: str, subject: str) -> tuple[str, ...]:
        match what:
            case "where":
                return whereabouts(state, subject)
            case "open":
                items = [each for each in open_items(self._situation()) if each.subject == subject]
                return tuple(f"{sentence(each.words)} To do: {each.clears}" for each in items)
            case "ties":
                return tuple(state.name_of(each) for each in self._ties(state, subject))
            case _:
                entries = self.copies[self.last].history(story.DEMO_VEHICLE, subject)  # type: ignore[arg-type]
                return tuple(
                    f"{each.happened_at[:10]} {each.body.sentence(state.name_of)}"
                    for each in entries
                )

    def _ties(self, state: "State", subject: str) -> list[str]:
        """Name the joints that still tie a part or assembly to the datum of the goal."""
        goal = goal_in_hand(state)
        kind, _, identity = subject.partition(":")
        whole = state.vehicle.assemblies.get(AssemblyId(identity))
        parts = whole.parts if whole and kind == "assembly" else (PartId(identity),)
        if goal is None:
            return []
        ties = still_tied(state.vehicle, state, parts, (goal.datum,))
        return [f"joint:{joint}" for joint in ties]

    def _reach(self, state: "State", what: str) -> None:
        subject = Ref(find_subject(state, what))
        found = reach(state.vehicle, state, subject)
        self.found["reach"] = found
        asked = effort(state.vehicle, found.steps)
        self.say(
            f"What must come off to get at {state.name_of(subject)}? "
            f"{count(len(found.steps), 'step')}, {effort_words(asked)}"
            f"{'; no way takes less' if found.optimal and asked.is_known else ''}.",
            style="bold",
            indent=2,
        )

    def _strip(self, state: "State") -> None:
        goal = goal_in_hand(state)
        if goal is None:
            return
        plan = plan_strip(state.vehicle, state, goal)
        self.found["strip"] = plan
        self.say(f"The rest of the strip, to {goal.name}:", style="bold", indent=2)
        if self.out:
            say_plan(self.out, state, plan, most=FIRST_STEPS, how_to_see_all="")

    def _rebuild(self, state: "State") -> None:
        plan = plan_rebuild(state.vehicle, state)
        differences = differences_from_reversed_strip(plan, state, state.vehicle)
        self.found["rebuild"] = plan
        self.found["differences"] = differences
        self.say("The rebuild, planned from what was logged:", style="bold", indent=2)
        if self.out:
            say_plan(self.out, state, plan, most=FIRST_STEPS, how_to_see_all="")
        self.say(
            f"It is not the strip turned round: it differs in {len(differences)} places.",
            style="bold",
            indent=2,
        )
        for each in most_telling(differences)[:MOST_DIFFERENCES]:
            self.say(f"- {each.place}: {each.rebuild}", indent=4)
            self.say(f"turned round: {each.reversed_strip}. {sentence(each.reason)}", "dim", 6)

    def _closes(self, state: "State") -> None:
        check = hardware_check(state)
        self.found["closes"] = check.closes
        self.found["hardware"] = check
        self.say("")
        for line in sentences(check, state.name_of):
            self.say(sentence(line), style="bold")
        if not check.fits_in:
            self.say("Nothing temporary is left in.", style="bold")
        for each in open_items(self._situation()):
            self.say(f"Open still: {each.words}.")


def most_telling(differences: Sequence[Difference]) -> list[Difference]:
    """Put the first of each kind before the second of any: a list of ten shows what there is."""
    seen: Counter[str] = Counter()
    turns = []
    for each in differences:
        turns.append((seen[each.kind], each))
        seen[each.kind] += 1
    return [each for _, each in sorted(turns, key=itemgetter(0))]
