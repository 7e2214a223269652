"""The main job on the demo vehicle: its strip is replayed, its rebuild planned and replayed.

What the phones sent is in a file; what comes of it is not. At the end nothing may be left over.
"""

import shutil
import tempfile
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from putback.cli.context import AsJson
from putback.cli.output import console, emit, minutes_text
from putback.cli.wire import open_store
from putback.errors import PutbackError

if TYPE_CHECKING:
    from rich.console import Console

    from putback.logbook.state import State
    from putback.workshop.story import Exchange, Question
    from putback.workshop.workshop import Workshop


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("demo", help="Replay the demo vehicle's story: strip, rebuild, hardware check.")(
        demo
    )


def demo(
    keep: Annotated[
        Path | None,
        typer.Option(help="Keep the two copies of the demo here; else they are thrown away."),
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Replay the story; exit with 1 if the hardware check does not close."""
    folder = keep or Path(tempfile.mkdtemp(prefix="putback-demo-"))
    try:
        replay = Replay(folder, console(stderr=as_json), quiet=as_json)
        replay.run()
        emit("demo", replay.found, lambda _: None, as_json=as_json)
        if not replay.found.get("closes"):
            raise typer.Exit(1)
    finally:
        if keep is None:
            shutil.rmtree(folder, ignore_errors=True)


@dataclass
class Replay:
    """The story in the making: two copies of one logbook, each in a store of its own."""

    folder: Path
    out: "Console"
    quiet: bool = False
    found: dict[str, Any] = field(default_factory=dict)
    """What the program found, for ``--json``."""
    copies: dict[str, "Workshop"] = field(default_factory=dict)
    sitting: str = ""
    since: Counter[str] = field(default_factory=Counter)
    last_copy: str = "home"
    open_before: set[tuple[str, str]] = field(default_factory=set)

    def run(self) -> None:
        """Replay it all."""
        from putback.logbook.entries.base import DeviceId, PersonId
        from putback.vehicle.demo import demo_vehicle
        from putback.workshop import story

        home = self._open("home")
        vehicle = demo_vehicle()
        home.new_vehicle(
            vehicle, who=PersonId("A"), device=DeviceId("laptop"), logbook=story.DEMO_VEHICLE
        )
        self._title(vehicle.about.name)
        self._say(vehicle.about.notice, style="dim")
        self._say(
            f"{len(vehicle.parts)} parts, {len(vehicle.joints)} joints, "
            f"{len(vehicle.runs)} runs, {len(vehicle.jobs)} jobs."
        )
        self.found["sittings"] = []
        for event in story.demo_story():
            match event:
                case story.Phones(tags):
                    for device, count in tags.items():
                        home.reserve_tags(device, count)
                case story.Sitting(title, words):
                    self._end_sitting()
                    self.sitting = title
                    self._say("")
                    self._say(f"{title}: {words}.", style="bold")
                case story.PhotoSent(to, content):
                    self.copies[to].photos.put(content)
                case story.Sent(to, sent_from, logbook, lines):
                    self.copies[to].receive(logbook, lines, received_from=sent_from)
                    self.since["entries"] += len(lines)
                    self.last_copy = to
                case story.Exchange():
                    self._end_sitting()
                    self._exchange(event)
                case story.Question():
                    self._answer(event)
        self._end_sitting()
        self._take_over_elsewhere()

    # -- what is shown ----------------------------------------------------------------------

    def _say(self, text: str, **style: str) -> None:
        if not self.quiet:
            self.out.print(text, markup=False, **style)  # type: ignore[arg-type]

    def _title(self, text: str) -> None:
        if not self.quiet:
            self.out.rule(text)

    def _end_sitting(self) -> None:
        """After each sitting: what was done in it, and what is open."""
        if not self.sitting or not self.since["entries"]:
            return
        from putback.logbook.open_items import (
            Situation,
            open_items,
        )
        from putback.workshop.how_far import how_far
        from putback.workshop.story import DEMO_VEHICLE

        copy = self.copies[self.last_copy]
        state = copy.state(DEMO_VEHICLE)
        facts = copy.facts(DEMO_VEHICLE)
        far = how_far(state)
        now = latest_moment(copy)
        items = open_items(Situation(state, facts, now))
        known, self.open_before = self.open_before, {(each.rule, each.subject) for each in items}
        new = [each for each in items if (each.rule, each.subject) not in known]
        self._say(
            f"   {self.since['entries']} entries. {far.parts_off} of {far.parts} parts off, "
            f"{far.joints_undone} joints undone, {far.joints_made_again} made again."
        )
        cleared = len(known - self.open_before)
        self._say(f"   Open: {len(items)}, of them {len(new)} new; {cleared} cleared.")
        for each in new[:3]:
            self._say(f"   {each.danger:>6}: {each.words}.")
        self.found["sittings"].append(
            {
                "sitting": self.sitting,
                "copy": self.last_copy,
                "entries": self.since["entries"],
                "far": far,
                "open": items,
            }
        )
        self.since.clear()
        self.sitting = ""

    # -- copies -----------------------------------------------------------------------------

    def _open(self, name: str) -> "Workshop":
        from putback.workshop.workshop import Workshop

        opened = open_store(self.folder / name)
        self.copies[name] = Workshop(opened.entries, opened.photos)
        return self.copies[name]

    def _exchange(self, event: "Exchange") -> None:
        """Let one copy take over the other's bundle, or both take in what the other has."""
        from putback.logbook.entries.base import PersonId
        from putback.workshop.exchange import export_bundle, take_in
        from putback.workshop.story import DEMO_VEHICLE

        source = self.copies[event.source]
        bundle = self.folder / f"{event.source}-to-{event.target}.zip"
        export_bundle(source, DEMO_VEHICLE, bundle)
        if event.how == "take over":
            take_in(self._open(event.target), bundle, who=PersonId("A"))
            self._say(f"   The {event.target} copy takes the logbook over from a bundle.")
            return
        target = self.copies[event.target]
        taken = take_in(target, bundle, who=PersonId("A"))
        back = self.folder / f"{event.target}-to-{event.source}.zip"
        export_bundle(target, DEMO_VEHICLE, back)
        given = take_in(source, back, who=PersonId("A"))
        same = source.state(DEMO_VEHICLE) == target.state(DEMO_VEHICLE)
        self._say(
            f"   The copies had gone apart: {taken.entries} entries there, {given.entries} back. "
            f"{'Both show one state now' if same else 'THEY STILL DIFFER'}.",
            style="bold",
        )
        self.found.setdefault("exchanges", []).append(
            {"taken": taken.entries, "given": given.entries, "same_state": same}
        )
        if not same:
            raise CopiesDiffer

    def _take_over_elsewhere(self) -> None:
        """At the end a stranger takes the whole over, and sees what we see."""
        from putback.logbook.entries.base import PersonId
        from putback.workshop.exchange import export_bundle, take_in
        from putback.workshop.story import DEMO_VEHICLE

        home = self.copies["home"]
        bundle = self.folder / "at-the-end.zip"
        export_bundle(home, DEMO_VEHICLE, bundle)
        stranger = self._open("stranger")
        take_in(stranger, bundle, who=PersonId("stranger"))
        same = home.state(DEMO_VEHICLE) == stranger.state(DEMO_VEHICLE)
        facts = home.facts(DEMO_VEHICLE)
        self.found["taken_over"] = {"entries": facts.entries, "same_state": same}
        self._say("")
        size = bundle.stat().st_size // 1024
        self._say(
            f"Bundle: {facts.entries} entries, {size} KiB. Taken over elsewhere: "
            f"{'the same state' if same else 'ANOTHER STATE'}.",
            style="bold",
        )
        if not same:
            raise CopiesDiffer

    # -- questions --------------------------------------------------------------------------

    def _answer(self, question: "Question") -> None:
        from putback.workshop.story import DEMO_VEHICLE

        copy = self.copies[self.last_copy]
        state = copy.state(DEMO_VEHICLE)
        match question.what:
            case "reach":
                self._reach(state, question.of)
            case "strip":
                self._strip(state)
            case "rebuild":
                self._rebuild(state)
            case "where":
                self._where(state, question.of)
            case "open":
                self._open_now(question.words)
            case "closes":
                self._closes(state)

    def _reach(self, state: "State", what: str) -> None:
        from putback.planning.reach import reach
        from putback.vehicle.ids import Ref
        from putback.workshop.names import find_subject

        subject = Ref(find_subject(state, what))
        found = reach(state.vehicle, state, subject)
        self.found["reach"] = found
        self._say(
            f"   To get at {state.name_of(subject)}: {len(found.steps)} steps, "
            f"{minutes_text(found.minutes)} of work; no way takes less.",
            style="bold",
        )

    def _strip(self, state: "State") -> None:
        from putback.cli.plan import say_plan
        from putback.planning.strip import plan_strip
        from putback.workshop.how_far import goal_in_hand

        goal = goal_in_hand(state)
        if goal is None:
            return
        plan = plan_strip(state.vehicle, state, goal)
        self.found["strip"] = plan
        self._say(f"   The rest of the strip, to {goal.name}:", style="bold")
        if not self.quiet:
            say_plan(self.out, state, plan, everything=False)

    def _rebuild(self, state: "State") -> None:
        from putback.cli.plan import say_plan
        from putback.planning.rebuild import (
            differences_from_reversed_strip,
            plan_rebuild,
        )

        plan = plan_rebuild(state.vehicle, state)
        differences = differences_from_reversed_strip(plan, state, state.vehicle)
        self.found["rebuild"] = plan
        self.found["differences"] = differences
        self._say("   The rebuild, planned from what was logged:", style="bold")
        if not self.quiet:
            say_plan(self.out, state, plan, everything=False)
        self._say("   It is not the strip reversed:", style="bold")
        for each in differences[:8]:
            self._say(f"    - {each.words}")

    def _where(self, state: "State", what: str) -> None:
        from putback.workshop.names import find_subject
        from putback.workshop.whereabouts import whereabouts

        subject = find_subject(state, what)
        lines = whereabouts(state, subject)
        self.found["where"] = {"subject": subject, "lines": lines}
        self._say(f"   Where is {state.name_of(subject)}? {'; '.join(lines)}.", style="bold")

    def _open_now(self, words: str) -> None:
        """Look for what the person of the story is about to trip over."""
        from putback.logbook.open_items import Situation, open_items
        from putback.workshop.story import DEMO_VEHICLE

        copy = self.copies[self.last_copy]
        situation = Situation(
            copy.state(DEMO_VEHICLE), copy.facts(DEMO_VEHICLE), latest_moment(copy)
        )
        items = open_items(situation)
        self.found.setdefault("asked", []).append({"words": words, "open": items})
        self._say(f"   What is open? ({words})", style="bold")
        for each in items[:5]:
            self._say(f"   {each.danger:>6}: {each.words}.")

    def _closes(self, state: "State") -> None:
        from putback.logbook.hardware_check import hardware_check, sentences

        check = hardware_check(state)
        self.found["closes"] = check.closes
        self.found["hardware"] = check
        self._end_sitting()
        self._say("")
        for line in sentences(check, state.name_of):
            self._say(f"{line[:1].upper()}{line[1:]}.", style="bold")


class CopiesDiffer(PutbackError):
    """Two copies with the same entries show different states: a fault of the program."""

    def fault(self) -> str:
        """What is wrong."""
        return "two copies hold the same entries and show different states"

    def remedy(self) -> str:
        """How to mend it."""
        return "this is a fault of the program: please report it with the bundle"


def latest_moment(copy: "Workshop") -> Any:
    """Give the hour of the story: that of the entry that was logged last."""
    from datetime import UTC, datetime

    from putback.logbook.entries.registry import decode
    from putback.workshop.story import DEMO_VEHICLE

    last = next(iter(copy.store.read(DEMO_VEHICLE, newest_first=True)))
    return datetime.fromtimestamp(decode(last.raw).logged_ms / 1000, UTC)
