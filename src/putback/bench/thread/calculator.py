"""Thread: from what was measured to the thread, its lookalikes, its drill and its stress area."""

from putback.bench.calculator import (
    Answer,
    Asked,
    Calculator,
    Drawing,
    Figure,
    OutsideLimits,
    Quantity,
    Step,
    Table,
)
from putback.bench.designation import thread_named
from putback.bench.tables import data_table
from putback.bench.thread.drilling import bought_drill_m
from putback.bench.thread.profile import drawing
from putback.bench.thread.ranking import Candidate, Reading, rank
from putback.bench.thread.telling import Likeness, likenesses, telling_reading
from putback.bench.thread_form import FORM_SOURCES, TAPERED, dimensions, tapping_drill_m
from putback.bench.thread_limits import thread_limits
from putback.bench.threads import Thread

_SURE, _ALL_BUT_SURE = 0.9, 0.995
_MOST_SHOWN = 8
_SAME = 1e-9


def work(
    *,
    size: str | None,
    major_m: float | None,
    minor_m: float | None,
    pitch_m: float | None,
    per_m: float | None,
    diameter_pm_m: float,
    pitch_pm_m: float,
    wear_m: float,
) -> Answer:
    """Rank the threads that may have been measured; or tell of one whose name is known.

    Parameters
    ----------
    size : str or None
        The thread's name, as people type it, where it is known; then nothing was measured.
    major_m : float or None
        Over the crests of a male thread, [m]; or else
    minor_m : float or None
        the bore of a female thread, over its crests, [m].
    pitch_m, per_m : float or None
        From crest to crest [m], or threads per length [1/m]; at most one; neither if unknown.
    diameter_pm_m, pitch_pm_m : float
        What the instrument is trusted to, either way (two standard deviations), [m].
    wear_m : float
        As much as the crests may have lost, [m].

    Raises
    ------
    OutsideLimits
        Neither name nor exactly one diameter, both pitches, or no thread in the tables reads so.
    BadInput
        No thread has that name.
    """
    if size is not None and major_m is None and minor_m is None:
        thread = thread_named(size)
        like = likenesses(thread)
        return _answer(
            thread,
            (Figure("size", "Thread", thread.name, Quantity.TEXT),),
            (Figure("thread", "Thread", thread.name, Quantity.TEXT),),
            f"{thread.name} is {dimensions(thread).major_m * 1000:.4g} mm over its crests, with "
            f"{dimensions(thread).pitch_m * 1000:.4g} mm from one to the next.",
            _lookalikes(like),
            drawing(thread, like[0].thread if like else None),
        )
    if size is not None:
        raise OutsideLimits(
            "a thread is either named or measured",
            mend="leave its size out to find it, or the diameter to look it up",
            field="size",
        )
    reading = _reading(major_m, minor_m, pitch_m, per_m, diameter_pm_m, pitch_pm_m, wear_m)
    found = rank(reading)
    best = found[0]
    like = likenesses(best.thread, reading.is_internal)
    return _answer(
        best.thread,
        _inputs(reading),
        (
            Figure("thread", "Likeliest thread", best.thread.name, Quantity.TEXT),
            Figure("likelihood", "Its share of all likelihood", best.share, Quantity.SHARE),
            Figure("worn", "Worn beyond its limit", best.worn_m(reading), Quantity.LENGTH),
        ),
        _verdict(found, reading),
        (_candidates(found, reading), *_lookalikes(like)),
        drawing(best.thread, like[0].thread if like else None),
    )


def _answer(
    thread: Thread,
    inputs: tuple[Figure, ...],
    found: tuple[Figure, ...],
    verdict: str,
    tables: tuple[Table, ...],
    picture: Drawing,
) -> Answer:
    return Answer(
        calculator="thread",
        inputs=inputs,
        results=(*found, *_results(thread)),
        verdict=verdict,
        steps=_steps(thread),
        tables=tables,
        drawings=(picture,),
        sources=(
            FORM_SOURCES[dimensions(thread).form.name],
            thread_limits(thread).what,
            data_table("threads").source,
        ),
        limits=(
            "Every thread of the table counts as equally common; what the vehicle is says more.",
            "Measured over the crests of a clean thread, at its least worn place; bent, stretched "
            "and half-stripped threads read wrong.",
            "Old makers made threads of their own: where nothing fits well, it may be one.",
        ),
        cautions=(
            "A thread that starts is not yet the right one: M10x1, 3/8-24 and 7/16-24 enter one "
            "another, feel right, and strip. On brakes, steering and fuel be sure before it is "
            "tightened; the maker's data wins.",
        ),
    )


def _reading(
    major_m: float | None,
    minor_m: float | None,
    pitch_m: float | None,
    per_m: float | None,
    diameter_pm_m: float,
    pitch_pm_m: float,
    wear_m: float,
) -> Reading:
    if major_m is not None and minor_m is not None:
        raise OutsideLimits(
            "a thread has one diameter to go by",
            mend="give the major diameter of a male thread or the bore of a female one",
            field="minor",
        )
    diameter_m = minor_m if major_m is None else major_m
    if diameter_m is None:
        raise OutsideLimits(
            "no diameter was given",
            mend="measure over the crests: major of a male thread, minor (the bore) of a female",
            field="major",
        )
    if per_m is not None:
        if pitch_m is not None and abs(pitch_m - 1 / per_m) > _SAME:
            raise OutsideLimits(
                "pitch and threads per inch say two things", mend="give one", field="tpi"
            )
        pitch_m = 1 / per_m
    return Reading(diameter_m, diameter_pm_m, wear_m, pitch_m, pitch_pm_m, major_m is None)


def _inputs(reading: Reading) -> tuple[Figure, ...]:
    name, words = (
        ("minor", "Bore of the female thread")
        if reading.is_internal
        else ("major", "Over the crests")
    )
    return (
        Figure(name, words, reading.diameter_m, Quantity.LENGTH, reading.diameter_pm_m),
        *(
            ()
            if reading.pitch_m is None
            else (
                Figure("pitch", "Pitch", reading.pitch_m, Quantity.LENGTH, reading.pitch_pm_m),
                Figure("tpi", "Threads per length", 1 / reading.pitch_m, Quantity.PITCH),
            )
        ),
        Figure("wear", "Wear allowed for", reading.wear_m, Quantity.LENGTH),
    )


def _results(thread: Thread) -> tuple[Figure, ...]:
    of = dimensions(thread)
    limits = thread_limits(thread)
    straight = thread.series not in TAPERED
    return (
        Figure("use", "Met with on", thread.use or "general work", Quantity.TEXT),
        Figure("form", "Form", of.form.name, Quantity.TEXT),
        *(
            (
                Figure("drill", "Tapping drill", tapping_drill_m(thread), Quantity.LENGTH),
                Figure(
                    "drill_bought",
                    "Nearest drill one can buy, within the limits of the bore (common practice)",
                    bought_drill_m(thread),
                    Quantity.LENGTH,
                ),
                Figure("stress_area", "Stress area", of.stress_area_m2, Quantity.AREA),
            )
            if straight
            else ()
        ),
        Figure("thread_pitch", "Pitch", of.pitch_m, Quantity.LENGTH),
        Figure("nominal_major", "Nominal major diameter", of.major_m, Quantity.LENGTH),
        Figure(
            "bolt_crests",
            "Major diameter, male",
            (limits.major_min_m + limits.major_max_m) / 2,
            Quantity.LENGTH,
            low=limits.major_min_m,
            high=limits.major_max_m,
        ),
        Figure("pitch_diameter", "Pitch diameter, basic", of.pitch_diameter_m, Quantity.LENGTH),
        Figure("minor_diameter", "Minor diameter, basic", of.minor_m, Quantity.LENGTH),
        *(
            (
                _between(
                    "bolt_pitch", "Pitch diameter, male", limits.pitch_min_m, limits.pitch_max_m
                ),
                _between(
                    "nut_pitch",
                    "Pitch diameter, female",
                    of.pitch_diameter_m,
                    limits.nut_pitch_max_m,
                ),
            )
            if straight
            else ()
        ),
        Figure(
            "nut_bore",
            "Bore, female",
            (limits.bore_min_m + limits.bore_max_m) / 2,
            Quantity.LENGTH,
            low=limits.bore_min_m,
            high=limits.bore_max_m,
        ),
        Figure("root", "Root diameter, male", of.root_m, Quantity.LENGTH),
        Figure("triangle", "Height of the sharp triangle", of.triangle_m, Quantity.LENGTH),
        Figure("depth", "Depth of thread, basic", of.depth_m, Quantity.LENGTH),
        Figure("lead_angle", "Lead angle", of.lead_angle_rad, Quantity.ANGLE),
        Figure("status", "The table's row", thread.status or "in no table", Quantity.TEXT),
    )


def _between(name: str, words: str, low_m: float, high_m: float) -> Figure:
    return Figure(name, words, (low_m + high_m) / 2, Quantity.LENGTH, low=low_m, high=high_m)


def _verdict(found: tuple[Candidate, ...], reading: Reading) -> str:
    best = found[0]
    surely = "over 99%" if best.share >= _ALL_BUT_SURE else f"{best.share:.0%}"
    said = f"It is {surely} likely {best.thread.name}"
    outside_m = best.outside_m(reading)
    if outside_m > reading.diameter_pm_m:
        return (
            f"Nothing fits well: {best.thread.name} is nearest, and this lies "
            f"{outside_m * 1000:.2f} mm outside what it may measure; measure again."
        )
    if best.share >= _SURE or len(found) == 1:
        return f"{said}."
    second = found[1]
    tell = telling_reading(best.thread, second.thread, reading.is_internal)
    return f"{said}, {second.share:.0%} {second.thread.name}; to tell them apart, {tell}."


def _steps(thread: Thread) -> tuple[Step, ...]:
    of = dimensions(thread)
    source = FORM_SOURCES[of.form.name]
    symbols = {
        "d": Figure("d", "Major diameter", of.major_m, Quantity.LENGTH),
        "P": Figure("P", "Pitch", of.pitch_m, Quantity.LENGTH),
    }
    pitch_diameter = Figure("d2", "Pitch diameter", of.pitch_diameter_m, Quantity.LENGTH)
    minor = Figure("d1", "Minor diameter", of.minor_m, Quantity.LENGTH)
    first = (
        Step(f"d2 = d - {of.form.pitch_drop:.6g} P", symbols, pitch_diameter, source),
        Step(f"d1 = d - {of.form.minor_drop:.7g} P", symbols, minor, source),
    )
    if thread.series in TAPERED:
        return first
    area = Figure("As", "Stress area", of.stress_area_m2, Quantity.AREA)
    drill = Figure("drill", "Tapping drill", tapping_drill_m(thread), Quantity.LENGTH)
    return (
        *first,
        Step(f"As = π/4 (d - {of.form.stress_drop:.6g} P)²", symbols, area, source),
        Step("drill = d - P", symbols, drill, "common practice; ISO 2306"),
    )


def _candidates(found: tuple[Candidate, ...], reading: Reading) -> Table:
    what = "Bore" if reading.is_internal else "Over the crests"
    return Table(
        "Candidates",
        ("Thread", "Likelihood", f"{what}, from", "to", "Pitch", "Met with on"),
        tuple(
            (
                Figure("thread", "Thread", each.thread.name, Quantity.TEXT),
                Figure("likelihood", "Likelihood", each.share, Quantity.SHARE),
                Figure("low", what, each.low_m, Quantity.LENGTH),
                Figure("high", what, each.high_m, Quantity.LENGTH),
                Figure("pitch", "Pitch", dimensions(each.thread).pitch_m, Quantity.LENGTH),
                Figure("use", "Met with on", each.thread.use or "general work", Quantity.TEXT),
            )
            for each in found[:_MOST_SHOWN]
        ),
    )


def _lookalikes(like: tuple[Likeness, ...]) -> tuple[Table, ...]:
    if not like:
        return ()
    return (
        Table(
            "Could be mistaken for",
            ("Thread", "Reading that tells them apart", "If mixed"),
            tuple(
                (
                    Figure("thread", "Thread", each.thread.name, Quantity.TEXT),
                    Figure("reading", "Reading", each.reading, Quantity.TEXT),
                    Figure("danger", "If mixed", each.danger, Quantity.TEXT),
                )
                for each in like
            ),
        ),
    )


CALCULATOR = Calculator(
    name="thread",
    title="Thread",
    words="Which thread it is, from a calliper and a pitch gauge; what it could be mistaken for, "
    "its tapping drill and its stress area.",
    asked=(
        Asked(
            "size", "size", "Its name, where it is known", Quantity.TEXT, hint="M10x1",
            is_optional=True,
        ),
        Asked(
            "major", "major_m", "Over the crests of a male thread", Quantity.LENGTH,
            hint="7.85 mm", low=1e-3, high=0.06, is_optional=True, bare="mm",
        ),
        Asked(
            "minor", "minor_m", "Or the bore of a female thread", Quantity.LENGTH,
            hint="8.5 mm", low=5e-4, high=0.06, is_optional=True, bare="mm",
        ),
        Asked(
            "pitch", "pitch_m", "From crest to crest", Quantity.LENGTH,
            hint="1.25 mm", low=2e-4, high=8e-3, is_optional=True, bare="mm",
        ),
        Asked(
            "tpi", "per_m", "Or threads per inch", Quantity.PITCH,
            hint="24", low=100.0, high=5000.0, is_optional=True, bare="tpi",
        ),
        Asked(
            "plus_minus", "diameter_pm_m", "The diameter is trusted to, either way",
            Quantity.LENGTH, default="0.05 mm", low=1e-6, high=1e-3, bare="mm",
        ),
        Asked(
            "pitch_plus_minus", "pitch_pm_m", "The pitch is trusted to, either way",
            Quantity.LENGTH, default="0.02 mm", low=1e-6, high=5e-4, bare="mm",
        ),
        Asked(
            "wear", "wear_m", "Its crests may be worn by, on the diameter", Quantity.LENGTH,
            default="0.1 mm", low=0.0, high=1e-3, bare="mm",
        ),
    ),
    work=work,
    example={"major": "7.85 mm", "tpi": "24"},
)  # fmt: skip
