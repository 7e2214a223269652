"""Cards of runs: which way a cable or hose goes, and what a pipe is made like."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from math import ceil

from putback.errors import BadInput
from putback.logbook.state import State
from putback.paper.sheets import Column, Kind, Row, Section, Tick
from putback.paper.words import Own, Words
from putback.vehicle.ids import JointId, PartId, joint_ref, part_ref
from putback.vehicle.part import PartKind
from putback.vehicle.run import Run, RunEnd
from putback.workshop.printing.sheets import TICK, printed, upper_first
from putback.workshop.printing.wanted import Wanted

_BENDS_ACROSS = 8
"""So many are written into beside each other."""
_PIPES = frozenset({PartKind.PIPE, PartKind.HOSE})


def routes(wanted: Wanted) -> bytes:
    """Print the way of each run, and where each of its branches ends."""
    words = wanted.words
    state = wanted.state()
    sections = tuple(_route(wanted, state, run) for run in _chosen(wanted, state))
    lead = () if sections else (words.routes_none,)
    return printed(wanted, state, words.routes_title, sections, lead=lead)


def pipes(wanted: Wanted) -> bytes:
    """Print what each pipe and hose is made like, to bend and flare a new one by."""
    words = wanted.words
    state = wanted.state()
    found = [
        run
        for run in _chosen(wanted, state)
        if (part := state.vehicle.parts.get(run.part)) and part.kind in _PIPES
    ]
    columns = (
        TICK,
        Column(words.route_end, width=2.4),
        Column(words.pipe_thread, width=1.2),
        Column(words.pipe_closed, width=1.4),
        Column(words.pipe_measured, Kind.WRITE, 1),
    )
    sections: list[Section] = []
    for run in found:
        ends = tuple(_made_like(words, state, run))
        notes = tuple(map(upper_first, _measures(wanted, run)))
        sections.append(Section(_name(state, run.part), columns, ends, notes))
        sections += _bends(words, run.bends or 0)
    lead = (words.pipe_lead if found else words.pipes_none,)
    return printed(wanted, state, words.pipes_title, tuple(sections), lead=lead)


def _chosen(wanted: Wanted, state: State) -> list[Run]:
    """The runs that are wanted, by name; all where none is named."""
    runs = state.vehicle.runs
    for each in wanted.runs:
        if each not in runs:
            raise BadInput(
                f"{state.name_of(part_ref(each))} is no run", mend="describe its way first"
            )
    chosen = [runs[each] for each in wanted.runs] if wanted.runs else list(runs.values())
    return sorted(chosen, key=lambda run: _name(state, run.part).casefold())


def _name(state: State, part: PartId) -> str:
    return upper_first(Own(state.name_of(part_ref(part))))


def _route(wanted: Wanted, state: State, run: Run) -> Section:
    """The card of a run; where each end is beside its name, if that is described."""
    words = wanted.words
    columns = (
        TICK,
        Column(words.route_end, width=2),
        Column(words.route_at, width=1.6),
        Column(words.route_branch, width=1.6),
        Column(words.notes, Kind.WRITE, 1),
    )
    rows = [_end(words, state, run, each) for each in run.ends]
    shown = [
        at for at in range(len(columns)) if at not in (2, 3) or any(r.cells[at] for r in rows)
    ]
    return Section(
        _name(state, run.part),
        tuple(columns[at] for at in shown),
        tuple(replace(each, cells=tuple(each.cells[at] for at in shown)) for each in rows),
        tuple(map(upper_first, _way(wanted, state, run))),
    )


def _end(words: Words, state: State, run: Run, end: RunEnd) -> Row:
    """One end, under the name of its joint without that of the run itself."""
    details = [
        words.route_turns if end.turns else "",
        "" if end.passes else words.route_stuck,
    ]
    branch = " · ".join(filter(None, (end.branch, " / ".join(end.colours), end.terminal)))
    return Row(
        (Tick.OPEN, _end_name(state, run, end), end.at, branch, ""),
        tuple(map(upper_first, filter(None, details))),
    )


def _end_name(state: State, run: Run, end: RunEnd) -> str:
    return upper_first(Own(_without_run(state, run, end.joint)))


def _without_run(state: State, run: Run, joint: JointId) -> str:
    return state.name_of(joint_ref(joint)).removeprefix(f"{state.name_of(part_ref(run.part))}: ")


def _way(wanted: Wanted, state: State, run: Run) -> Iterator[str]:
    words, units = wanted.words, wanted.units
    if run.route:
        yield words.route_passes.format(way="; ".join(run.route))
    if run.passages:
        through = (
            f"{each.what}{f', {units.length(each.bore_m)}' if each.bore_m else ''}"
            for each in run.passages
        )
        yield words.route_through.format(passages=", ".join(through))
    if run.comes_out:
        why = f": {run.why}" if run.why else ""
        yield words.route_out.format(way=run.comes_out, why=why)
    if run.before_drawing:
        yield words.route_before.format(what=run.before_drawing)
    if run.undo_order:
        yield words.route_undo.format(order="; ".join(run.undo_order))
    if run.fit_order:
        yield words.route_fit.format(order="; ".join(run.fit_order))
    if run.clips:
        found = Counter(_without_run(state, run, each) for each in run.clips)
        names = (f"{number} × {name}" if number > 1 else name for name, number in found.items())
        yield words.route_clips.format(clips=", ".join(names))
    if run.note:
        yield run.note


def _made_like(words: Words, state: State, run: Run) -> Iterator[Row]:
    openings = {joint: each for each in state.vehicle.openings.values() for joint in each.joints}
    for end in run.ends:
        opening = openings.get(end.joint)
        details = (upper_first(words.route_turns),) if end.turns else ()
        yield Row(
            (
                Tick.OPEN,
                _end_name(state, run, end),
                opening.thread if opening else "",
                opening.closed_with if opening else "",
                "",
            ),
            details,
        )


def _bends(words: Words, number: int) -> Iterator[Section]:
    """Tables to measure each bend into, as a bender is set: along, round, and by how far."""
    tables = ceil(number / _BENDS_ACROSS)
    said = (words.pipe_straight, words.pipe_turned, words.pipe_angle)
    for table in range(tables):
        these = range(table * number // tables + 1, (table + 1) * number // tables + 1)
        columns = (
            Column(words.pipe_bend, width=3),
            *(Column(str(at), Kind.WRITE, 1) for at in these),
        )
        yield Section("", columns, tuple(Row((each, *[""] * len(these))) for each in said))


def _measures(wanted: Wanted, run: Run) -> Iterator[str]:
    words, units = wanted.words, wanted.units
    if run.length_m is not None:
        yield f"{words.pipe_length}: {units.run_length(run.length_m)}"
    if run.bends is not None:
        yield f"{words.pipe_bends}: {run.bends}"
    if run.route:
        yield words.route_passes.format(way="; ".join(run.route))
    if run.remake:
        yield words.pipe_remake
    if run.keep_as_pattern:
        yield words.pipe_pattern
    if run.note:
        yield run.note
