"""Pipe ends of which only the thread is known, as when a nut was measured and no flare seen."""

from putback.bench.calculator import Answer, Figure, Quantity, Step, Table
from putback.bench.ends.mating import (
    End,
    Meeting,
    ThreadMeeting,
    ends,
    hole_m,
    pitch_m,
    shared_threads,
    threads_meet,
)
from putback.bench.tables import data_table
from putback.bench.threads import Thread

NEVER = (Meeting.STRIPS, Meeting.JAMS, Meeting.TAPER)
"""What a thread does in a port that it must never go into."""
SIZES_SOURCE = "Basic diameters: ISO 68-1, ASME B1.1, BS 84"
LIMITS = (
    "Common ends only; a vehicle may have others. Measure thread and flare of both sides.",
    "Basic sizes: worn or plated threads are a tenth of a millimetre off.",
    "Whether it strips or jams goes by size and pitch; no fit by force was tried.",
)
CAUTIONS = (
    "Thread, flare and seat must all match. If in doubt, do not fit it: a wrong nut holds"
    " until the first hard stop.",
    "Leak test at full pedal force; have brakes checked by somebody competent before the road.",
    "Drain and ventilate before fuel pipes are opened; no flame, no spark.",
)


def by_thread(end: str, into: str | None = None) -> Answer:
    """Say what ends have a thread, and what it does in the thread of a port.

    Parameters
    ----------
    end, into : str
        A code of `ends`, or a thread of `shared_threads`.
    """
    male = _thread(end)
    inputs = [_text("end", "end", end)]
    results = [
        _text("thread", "thread", male.name),
        Figure("major", "over its crests", male.major_m, Quantity.LENGTH),
        Figure("pitch", "pitch", pitch_m(male), Quantity.LENGTH),
    ]
    steps: tuple[Step, ...] = ()
    tables = [_ends_table(f"Ends with {male.name}", male)]
    verdict = f"{male.name} is on {len(_with(male))} ends; the flare tells which."
    if into is not None:
        female = _thread(into)
        met = threads_meet(male, female)
        inputs.append(_text("into", "into the port of", into))
        can = None if met.meeting is Meeting.SAME else False
        results[:0] = [Figure("mates", "mates", can, Quantity.YES), *meeting_figures(met)]
        steps = meeting_steps(male, female, met)
        if met.meeting is Meeting.SAME:
            verdict = (
                f"{male.name} screws in; whether it seats is for the flare to say: of the ends "
                "with this thread only those of one form mate."
            )
        elif met.meeting in NEVER:
            verdict = f"Never: {male.name} in {female.name} {met.meeting}."
        else:
            verdict = f"{male.name} does not go into {female.name}: {met.meeting}."
        if female != male:
            tables.append(_ends_table(f"Ports with {female.name}", female))
    tables.append(never_table())
    return Answer(
        "ends",
        tuple(inputs),
        tuple(results),
        verdict,
        steps,
        tuple(tables),
        sources=(data_table("pipe_ends").source, data_table("pipe_forms").source, SIZES_SOURCE),
        limits=LIMITS,
        cautions=CAUTIONS,
    )


def meeting_figures(met: ThreadMeeting) -> tuple[Figure, ...]:
    """What one thread does in another, and how much of it holds."""
    return (
        _text("meeting", "the threads", met.meeting.value),
        Figure("depth", "held on, of the thread's depth", met.depth, Quantity.SHARE),
        Figure("drift", "runs apart in a turn", met.drift_m, Quantity.LENGTH),
    )


def meeting_steps(own: Thread, port: Thread, met: ThreadMeeting) -> tuple[Step, ...]:
    """How deep one thread holds in another, and how fast the two run apart."""
    male = Figure("d", "male, over its crests", own.major_m, Quantity.LENGTH)
    female = Figure("D", "female, nominal", port.major_m, Quantity.LENGTH)
    hole = Figure("D1", "inside the hole's crests", hole_m(port), Quantity.LENGTH)
    depth = Figure("depth", "share of the depth held on", met.depth, Quantity.SHARE)
    one, other = (
        Figure(name, "pitch", pitch_m(each), Quantity.LENGTH)
        for name, each in (("p", own), ("P", port))
    )
    drift = Figure("drift", "runs apart in a turn", met.drift_m, Quantity.LENGTH)
    return (
        Step("depth = (d - D1) / (D - D1)", {"d": male, "D": female, "D1": hole}, depth,
             "between 0 and 1"),
        Step("drift = |p - P|", {"p": one, "P": other}, drift),
    )  # fmt: skip


def _thread(code: str) -> Thread:
    return shared_threads()[code][0].thread if code in shared_threads() else ends()[code].thread


def _with(thread: Thread) -> tuple[End, ...]:
    return tuple(each for each in ends().values() if each.thread.name == thread.name)


def _ends_table(title: str, thread: Thread) -> Table:
    rows = tuple(
        (
            _text("end", "end", each.code),
            _text("tube", "tube", each.tube),
            _text("flare", "flare", each.form.words),
            _text("nut", "nut", each.form.nut),
            _text("standard", "standard", each.form.standard),
        )
        for each in _with(thread)
    )
    return Table(title, ("End", "Tube", "Flare", "Nut", "Standard"), rows)


def never_table() -> Table:
    """What must never be mixed, with the reason."""
    rows = tuple(
        (_text("what", "what", row["what"]), _text("why", "why", row["why"]))
        for row in data_table("pipe_never").rows
    )
    return Table("Never mixed", ("What", "Why"), rows)


def _text(name: str, words: str, value: str) -> Figure:
    return Figure(name, words, value, Quantity.TEXT)
