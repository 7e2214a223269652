"""Within what limits a good thread lies: the bolt's crests and flanks, the nut's bore.

::

    metric 6g      d max = d - gap            d min = d max - Td           ISO 965-1
    unified 2A     gap = 0.3 Td2              Td = 0.060 P^(2/3)           ASME B1.1, in inches
                   Td2 = 0.0015 (D^(1/3) + L^(1/2)) + 0.015 P^(2/3)
    Whitworth      T = 0.002 D^(1/3) + 0.003 L^(1/2) + 0.005 p^(1/2)       BS 84, in inches
                   Td = T + 0.010 p^(1/2), no gap
    BA             Td = 0.20 p, from 11 BA 0.25 p; T = 0.10 p + 0.025 mm   BS 93
    pipe           ISO 228-1; a taper by the plane where it is measured

L is the length of engagement, taken as one diameter (9 pitches for UNEF and special threads).
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

from putback.bench.calculator import OutsideLimits
from putback.bench.tables import data_table
from putback.bench.thread_form import ISO, TAPERED, UNIFIED, dimensions, form_of
from putback.bench.threads import Series, Thread

_IN = 0.0254
_MM = 1e-3
_UM = 1e-6
_PRINTED = 6
"""Decimals of a metre in which ISO 724 prints what metric limits are laid at."""
_WHITWORTH = frozenset({Series.BSW, Series.BSF, Series.BSB})
_TAPER_PITCHES = 12.0
"""How many pitches of a taper thread the calliper may stand at; common practice."""
_TAPER = 1 / 16
_SMALL_BA = 11
_SMALL_IN = 0.25
"""From here up ASME B1.1 gives the bore by pitch alone."""


@dataclass(frozen=True, slots=True)
class ThreadLimits:
    """Limits of one thread, bolt and nut, as usual classes have them [m]."""

    what: str
    """Which classes of which standard."""
    gap_m: float
    """How far the bolt's profile stays under the basic one: room for a coat."""
    major_max_m: float
    major_min_m: float
    pitch_max_m: float
    """Of the bolt's pitch diameter."""
    pitch_min_m: float
    root_min_m: float
    """At the bottom of the bolt's groove, where it is least: of 60 degree threads with the least
    root radius, P / 8, so that d3 min = d2 min - H + P / 4 (ISO 898-7, ISO 965-1)."""
    nut_pitch_max_m: float
    bore_min_m: float
    """Of the nut's minor diameter."""
    bore_max_m: float


@cache
def thread_limits(thread: Thread) -> ThreadLimits:
    """Find the limits of a thread by the rules of its series.

    Raises
    ------
    OutsideLimits
        A pitch or size for which the standard gives no tolerance.
    BadInput
        A screw by number.
    """
    form_of(thread)
    match thread.series:
        case Series.BA:
            return _ba(thread)
        case Series.BSP:
            return _pipe(thread)
        case series if series in TAPERED:
            return _tapered(thread)
        case series if series in _WHITWORTH:
            return _whitworth(thread)
        case _ if thread.is_metric:
            return _metric(thread)
        case _:
            return _unified(thread)


def _limits(
    thread: Thread, what: str, *, gap: float, major: float, bolt: float, nut: float, bore: float
) -> ThreadLimits:
    """Lay the tolerances [m] at the basic profile: the bolt's below it, the nut's above."""
    of = dimensions(thread)
    if thread.is_metric:
        of = replace(
            of,
            pitch_diameter_m=round(of.pitch_diameter_m, _PRINTED),
            minor_m=round(of.minor_m, _PRINTED),
        )
    form = of.form
    root = form.triangle - 0.25 if form in (ISO, UNIFIED) else form.root_drop - form.pitch_drop
    return ThreadLimits(
        what=what,
        gap_m=gap,
        major_max_m=of.major_m - gap,
        major_min_m=of.major_m - gap - major,
        pitch_max_m=of.pitch_diameter_m - gap,
        pitch_min_m=of.pitch_diameter_m - gap - bolt,
        root_min_m=of.pitch_diameter_m - gap - bolt - root * of.pitch_m,
        nut_pitch_max_m=of.pitch_diameter_m + nut,
        bore_min_m=of.minor_m,
        bore_max_m=of.minor_m + bore,
    )


def _none(thread: Thread) -> OutsideLimits:
    return OutsideLimits(
        f"no standard here gives tolerances for {thread.name}",
        mend="measure its mate, or ask whoever made it",
    )


def _metric(thread: Thread) -> ThreadLimits:
    by_pitch = {row["pitch_mm"]: row for row in data_table("thread_limits").rows}
    row = by_pitch.get(thread.pitch_mm)
    major_mm = dimensions(thread).major_m / _MM
    flank = next(
        (
            each
            for each in data_table("flank_limits").rows
            if each["pitch_mm"] == thread.pitch_mm
            and float(each["over_mm"]) < major_mm <= float(each["upto_mm"])
        ),
        None,
    )
    if row is None or flank is None:
        raise _none(thread)
    return _limits(
        thread,
        "ISO 965-1, 6g and 6H",
        gap=float(row["gap_um"]) * _UM,
        major=float(row["major_um"]) * _UM,
        bolt=float(flank["bolt_um"]) * _UM,
        nut=float(flank["nut_um"]) * _UM,
        bore=float(row["minor_um"]) * _UM,
    )


def _unified(thread: Thread) -> ThreadLimits:
    """Class 2A and 2B of ASME B1.1, its formulas (clause 5.8) in inches."""
    of = dimensions(thread)
    major, pitch = of.major_m / _IN, of.pitch_m / _IN
    coarse_or_fine = thread.series in (Series.UNC, Series.UNF)
    engaged = major if coarse_or_fine else 9 * pitch
    bolt = 0.0015 * (major ** (1 / 3) + engaged**0.5) + 0.015 * pitch ** (2 / 3)
    bore = 0.25 * pitch - 0.4 * pitch**2
    if major < _SMALL_IN:
        wide = 0.05 * pitch ** (2 / 3) + 0.03 * pitch / major - 0.002
        bore = max(bore, min(wide, 0.394 * pitch))
    return _limits(
        thread,
        "ASME B1.1, 2A and 2B",
        gap=0.3 * bolt * _IN,
        major=0.060 * pitch ** (2 / 3) * _IN,
        bolt=bolt * _IN,
        nut=1.3 * bolt * _IN,
        bore=bore * _IN,
    )


def _whitworth(thread: Thread) -> ThreadLimits:
    """Medium class of BS 84, in inches; the bore by its steps of threads per inch."""
    of = dimensions(thread)
    major, pitch = of.major_m / _IN, of.pitch_m / _IN
    flank = 0.002 * major ** (1 / 3) + 0.003 * major**0.5 + 0.005 * pitch**0.5
    tpi = round(1 / pitch)
    step = 0.004 if tpi >= 26 else 0.005 if tpi >= 22 else 0.007
    return _limits(
        thread,
        "BS 84, medium",
        gap=0.0,
        major=(flank + 0.010 * pitch**0.5) * _IN,
        bolt=flank * _IN,
        nut=flank * _IN,
        bore=(0.2 * pitch + step) * _IN,
    )


def _ba(thread: Thread) -> ThreadLimits:
    """Normal class of BS 93 (annex B), in millimetres; from 11 BA up wider over the crests."""
    pitch = dimensions(thread).pitch_m / _MM
    share = 0.25 if int(thread.size) >= _SMALL_BA else 0.20
    return _limits(
        thread,
        "BS 93, normal",
        gap=0.0,
        major=share * pitch * _MM,
        bolt=(0.10 * pitch + 0.025) * _MM,
        nut=(0.12 * pitch + 0.03) * _MM,
        bore=0.375 * pitch * _MM,
    )


def _pipe_row(thread: Thread) -> Mapping[str, str]:
    row = next(
        (row for row in data_table("pipe_limits").rows if row["tpi"] == thread.tpi),
        None,
    )
    if row is None:
        raise _none(thread)
    return row


def _pipe(thread: Thread) -> ThreadLimits:
    row = _pipe_row(thread)
    major_m = float(row["major_mm"]) * _MM
    return _limits(
        thread,
        "ISO 228-1, class A",
        gap=0.0,
        major=major_m,
        bolt=major_m / 2,
        nut=major_m / 2,
        bore=float(row["minor_mm"]) * _MM,
    )


def _tapered(thread: Thread) -> ThreadLimits:
    """Wherever along the taper it was measured; the gauge plane of BSPT is 3 pitches up it."""
    of = dimensions(thread)
    along = _TAPER_PITCHES * of.pitch_m * _TAPER
    above = 3 * of.pitch_m * _TAPER if thread.series is Series.BSPT else 0.0
    limits = _limits(
        thread,
        "taper 1 in 16, over 12 pitches",
        gap=-above,
        major=along,
        bolt=along,
        nut=above,
        bore=above,
    )
    return replace(limits, bore_min_m=of.minor_m - along + above)
