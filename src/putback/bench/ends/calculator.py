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
    ends,
    ends_of_thread,
    hole_m,
    mates,
    mistaken_for,
    pitch_m,
    threads_meet,
)
from putback.bench.tables import data_table


def work(end: str, into: str | None = None) -> Answer:
    """Describe an end, and say whether it may go into the port of another."""
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
    if into is not None:
        port = ends()[into]
        met = threads_meet(own.thread, port.thread)
        inputs.append(_text("into", "into the port of", into))
        results[:0] = [
            Figure("mates", f"mates with {into}", mates(own, port), Quantity.YES),
            _text("meeting", "the threads", met.meeting.value),
            Figure("depth", "held on, of the thread's depth", met.depth, Quantity.SHARE),
            Figure("drift", "runs apart in a turn", met.drift_m, Quantity.LENGTH),
        ]
        steps = _steps(own, port, met)
        verdict = _verdict(own, port, met)
    return Answer(
        "ends",
        tuple(inputs),
        tuple(results),
        verdict,
        steps,
        (_mates_table(own), _mistaken_table(own), _never_table()),
        sources=(
            data_table("pipe_ends").source,
            data_table("pipe_forms").source,
            "Basic diameters: ISO 68-1, ASME B1.1, BS 84",
        ),
        limits=(
            "Common ends only; a vehicle may have others. Measure thread and flare of both sides.",
            "Basic sizes: worn or plated threads are a tenth of a millimetre off.",
            "Whether it strips or jams goes by size and pitch; no fit by force was tried.",
        ),
        cautions=(
            "Thread, flare and seat must all match. If in doubt, do not fit it: a wrong nut holds"
            " until the first hard stop.",
            "Leak test at full pedal force; have brakes checked by somebody competent before the"
            " road.",
            "Drain and ventilate before fuel pipes are opened; no flame, no spark.",
        ),
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
    if met.meeting in (Meeting.STRIPS, Meeting.JAMS, Meeting.TAPER):
        return f"Never: {own.thread.name} in {port.thread.name} {met.meeting}."
    return f"{own.code} does not go into {port.code}: {own.thread.name} {met.meeting}."


def _steps(own: End, port: End, met: ThreadMeeting) -> tuple[Step, ...]:
    male = Figure("d", "male, over its crests", own.thread.major_m, Quantity.LENGTH)
    female = Figure("D", "female, nominal", port.thread.major_m, Quantity.LENGTH)
    hole = Figure("D1", "inside the hole's crests", hole_m(port.thread), Quantity.LENGTH)
    depth = Figure("depth", "share of the depth held on", met.depth, Quantity.SHARE)
    one, other = (
        Figure(name, "pitch", pitch_m(each.thread), Quantity.LENGTH)
        for name, each in (("p", own), ("P", port))
    )
    drift = Figure("drift", "runs apart in a turn", met.drift_m, Quantity.LENGTH)
    return (
        Step("depth = (d - D1) / (D - D1)", {"d": male, "D": female, "D1": hole}, depth,
             "between 0 and 1"),
        Step("drift = |p - P|", {"p": one, "P": other}, drift),
    )  # fmt: skip


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


def _never_table() -> Table:
    rows = tuple(
        (_text("what", "what", row["what"]), _text("why", "why", row["why"]))
        for row in data_table("pipe_never").rows
    )
    return Table("Never mixed", ("What", "Why"), rows)


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
            choices=tuple(ends()),
            meant=ends_of_thread,
        ),
        Asked(
            "into",
            "into",
            "into the port made for",
            Quantity.CHOICE,
            choices=tuple(ends()),
            is_optional=True,
            meant=ends_of_thread,
        ),
    ),
    work,
    {"end": "SAE 3/16", "into": "ISO 4.75"},
)
