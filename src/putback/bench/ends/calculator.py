"""The calculator ``ends``: a pipe's end, what mates with it, and what must never be mixed."""

from putback.bench.calculator import (
    Answer,
    Asked,
    Calculator,
    Figure,
    Quantity,
    Step,
    Table,
)
from putback.bench.ends.mating import (
    End,
    Meeting,
    ThreadMeeting,
    choice_of_thread,
    ends,
    mates,
    mistaken_for,
    pitch_m,
    shared_threads,
    threads_meet,
)
from putback.bench.ends.picture import pictures
from putback.bench.ends.threads import (
    CAUTIONS,
    LIMITS,
    NEVER,
    SIZES_SOURCE,
    by_thread,
    meeting_figures,
    meeting_steps,
    never_table,
)
from putback.bench.tables import data_table


def work(end: str, into: str | None = None) -> Answer:
    """Describe an end, and say whether it may go into the port of another.

    Where only the thread of one is known, which several ends have, the threads alone are told of.
    """
    if end in shared_threads() or into in shared_threads():
        return by_thread(end, into)
    own = ends()[end]
    results = [
        _text("thread", "thread", own.thread.name),
        Figure("major", "over its crests", own.thread.major_m, Quantity.LENGTH),
        Figure("pitch", "pitch", pitch_m(own.thread), Quantity.LENGTH),
        _text("tube", "tube", own.tube),
        _text("flare", "flare", own.form.words),
        *_angles(own),
        _text("nut", "the nut", own.form.nut),
        _text("lead", "its lead", own.form.lead),
        _text("standard", "standard", own.form.standard),
        _text("use", "use", own.use),
        Figure("brakes", "fit for brakes", own.form.on_brakes, Quantity.YES),
    ]
    inputs = [_text("end", "end", end)]
    steps: tuple[Step, ...] = ()
    verdict = f"{end}: {own.thread.name}, {own.form.words}, on {own.tube}."
    port = None
    if into is not None:
        port = ends()[into]
        met = threads_meet(own.thread, port.thread)
        inputs.append(_text("into", "into the port of", into))
        results[:0] = [
            Figure("mates", f"mates with {into}", mates(own, port), Quantity.YES),
            *meeting_figures(met),
        ]
        steps = meeting_steps(own.thread, port.thread, met)
        verdict = _verdict(own, port, met)
    return Answer(
        "ends",
        tuple(inputs),
        tuple(results),
        verdict,
        steps,
        (_mates_table(own), _mistaken_table(own), never_table()),
        pictures(own, port),
        sources=(
            data_table("pipe_ends").source,
            data_table("pipe_forms").source,
            SIZES_SOURCE,
        ),
        limits=LIMITS,
        cautions=CAUTIONS,
    )


def _verdict(own: End, port: End, met: ThreadMeeting) -> str:
    if mates(own, port):
        if own.is_for_brakes and not own.form.on_brakes:
            return f"{own.code} mates with {port.code}, but not on brakes."
        return f"{own.code} mates with {port.code}: same thread, same form."
    if met.meeting is Meeting.SAME:
        return (
            f"Never: {own.code} screws into {port.code} but does not seat"
            f" ({own.form.words}; {port.form.words})."
        )
    if met.meeting in NEVER:
        return f"Never: {own.thread.name} in {port.thread.name} {met.meeting}."
    return f"{own.code} does not go into {port.code}: {own.thread.name} {met.meeting}."


def _angles(own: End) -> tuple[Figure, ...]:
    if own.form.flare_deg is None or own.form.seat_deg is None:
        return ()
    return (
        Figure("flare_deg", "flare to the axis, degrees", own.form.flare_deg),
        Figure("seat_deg", "seat to the axis, degrees", own.form.seat_deg),
    )


def _mates_table(own: End) -> Table:
    rows = tuple(
        (_text("end", "end", other.code), _text("tube", "tube", other.tube))
        for other in ends().values()
        if mates(own, other)
    )
    return Table("Mates with the port of", ("End", "Tube"), rows)


def _mistaken_table(own: End) -> Table:
    rows = tuple(
        (
            _text("end", "end", other.code),
            _text("thread", "thread", other.thread.name),
            _text("form", "form", other.form.words),
            _text("meeting", "what it does", _does(met)),
        )
        for other, met in mistaken_for(own)
    )
    return Table(
        "Starts in these, and must not go there",
        ("Port of", "Thread", "Form", "What it does"),
        rows,
    )


def _does(met: ThreadMeeting) -> str:
    return "screws in and does not seat" if met.meeting is Meeting.SAME else met.meeting.value


def _text(name: str, words: str, value: str) -> Figure:
    return Figure(name, words, value, Quantity.TEXT)


CALCULATOR = Calculator(
    "ends",
    "Pipe ends",
    "Brake and fuel pipe ends: thread, flare, seat and nut; what mates, what must never be mixed.",
    (
        Asked(
            "end",
            "end",
            "end of the pipe, or its thread",
            Quantity.CHOICE,
            choices=(*ends(), *shared_threads()),
            meant=choice_of_thread,
        ),
        Asked(
            "into",
            "into",
            "into the port made for",
            Quantity.CHOICE,
            choices=(*ends(), *shared_threads()),
            is_optional=True,
            meant=choice_of_thread,
        ),
    ),
    work,
    {"end": "SAE 3/16", "into": "ISO 4.75"},
)
