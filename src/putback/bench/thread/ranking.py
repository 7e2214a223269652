"""Which thread was measured: every thread of the table by its likelihood.

A good thread's crests lie anywhere between its limits, a worn one's as much as ``wear`` beyond
them, and the instrument adds its error. So the likelihood of reading m is

    L = 1 / (T w) ∫∫ N(m; x - v, σ) dv dx,   x over the zone T, v over the wear w

times N(p; P, σp) for the pitch, with σ half of what the instrument is trusted to (two standard
deviations). All threads count as equally common beforehand. The shares add up to one.
"""

from dataclasses import dataclass
from functools import cache
from math import erfc, exp, hypot, pi, sqrt

from putback.bench.calculator import OutsideLimits
from putback.bench.thread_limits import thread_limits
from putback.bench.threads import Thread, known_threads

_BEYOND = 4.0
"""How many standard deviations beyond its limits a thread is no candidate any more."""
_LEAST_SHARE = 5e-4
_NEAREST = 3


@dataclass(frozen=True, slots=True)
class Reading:
    """What was measured: over the crests of a male thread, or the bore of a female one [m]."""

    diameter_m: float
    diameter_pm_m: float
    """Trusted to so much either way: two standard deviations."""
    wear_m: float
    """As much as the crests may have lost, beyond the limits."""
    pitch_m: float | None
    """``None`` where nobody measured it."""
    pitch_pm_m: float
    is_internal: bool = False


@dataclass(frozen=True, slots=True)
class Candidate:
    """A thread that may have been measured."""

    thread: Thread
    share: float
    """Of all likelihood; the shares of all candidates add up to 1."""
    low_m: float
    """Where its crests (its bore, if internal) may lie when unworn."""
    high_m: float

    def worn_m(self, reading: Reading) -> float:
        """How far the reading lies on the worn side of the limits [m]; 0 within them."""
        beyond_m = (
            reading.diameter_m - self.high_m
            if reading.is_internal
            else self.low_m - reading.diameter_m
        )
        return max(0.0, beyond_m)

    def outside_m(self, reading: Reading) -> float:
        """How far the reading lies outside what the thread may read, worn as well [m]."""
        return _outside_m(reading, self.low_m, self.high_m)


def _phi_integral(z: float) -> float:
    """The integral of the normal distribution's function: z Φ(z) + φ(z)."""
    return z * 0.5 * erfc(-z / sqrt(2)) + exp(-0.5 * z * z) / sqrt(2 * pi)


def crest_likelihood(reading: Reading, low_m: float, high_m: float) -> float:
    """Give the probability density of the reading [1/m] for crests within limits [m], then worn.

    Exact: the double integral above is a difference of four values of z Φ(z) + φ(z).
    """
    sigma_m = reading.diameter_pm_m / 2
    wear_m = max(reading.wear_m, sigma_m / 100)
    measured_m = reading.diameter_m
    if reading.is_internal:
        low_m, high_m, measured_m = -high_m, -low_m, -measured_m

    def over(edge_m: float) -> float:
        return _phi_integral((edge_m - measured_m) / sigma_m)

    total = over(high_m) - over(high_m - wear_m) - over(low_m) + over(low_m - wear_m)
    return max(0.0, total) * sigma_m / ((high_m - low_m) * wear_m)


def zone_of(thread: Thread, is_internal: bool) -> tuple[float, float]:
    """The limits of what a calliper measures [m]: a bolt's crests, a nut's bore."""
    limits = thread_limits(thread)
    if is_internal:
        return limits.bore_min_m, limits.bore_max_m
    return limits.major_min_m, limits.major_max_m


@dataclass(frozen=True, slots=True)
class Known:
    """A thread of the table with what can be read of it [m]."""

    thread: Thread
    crests_m: tuple[float, float]
    bore_m: tuple[float, float]
    pitch_m: float
    major_m: float


@cache
def measurable_threads() -> tuple[Known, ...]:
    """Every thread of the table that has a pitch, with its limits, in the table's order."""
    return tuple(
        Known(thread, zone_of(thread, False), zone_of(thread, True), pitch_m, thread.major_m)
        for thread in known_threads()
        if (pitch_m := thread.pitch_m) is not None
    )


def _outside_m(reading: Reading, low_m: float, high_m: float) -> float:
    below_m, above_m = (0.0, reading.wear_m) if reading.is_internal else (reading.wear_m, 0.0)
    return max(low_m - below_m - reading.diameter_m, reading.diameter_m - high_m - above_m, 0.0)


def _beyond(reading: Reading, known: Known) -> float:
    """How many standard deviations the reading lies outside what the thread may read."""
    off_m = _outside_m(reading, *(known.bore_m if reading.is_internal else known.crests_m))
    pitch_off = 0.0
    if reading.pitch_m is not None:
        pitch_off = abs(reading.pitch_m - known.pitch_m) / (reading.pitch_pm_m / 2)
    return hypot(off_m / (reading.diameter_pm_m / 2), pitch_off)


def _likelihood(reading: Reading, known: Known) -> float:
    found = crest_likelihood(reading, *(known.bore_m if reading.is_internal else known.crests_m))
    if reading.pitch_m is None:
        return found
    sigma_m = reading.pitch_pm_m / 2
    z = (reading.pitch_m - known.pitch_m) / sigma_m
    return found * exp(-0.5 * z * z) / (sigma_m * sqrt(2 * pi))


def rank(reading: Reading) -> tuple[Candidate, ...]:
    """Rank the threads of the table that may have been measured, likeliest first.

    Raises
    ------
    OutsideLimits
        No thread lies within four standard deviations; names the nearest.
    """
    far = [(_beyond(reading, known), known) for known in measurable_threads()]
    weighed = [(known, _likelihood(reading, known)) for off, known in far if off <= _BEYOND]
    total = sum(weight for _, weight in weighed)
    if total <= 0:
        nearest = sorted(far, key=lambda pair: pair[0])[:_NEAREST]
        raise OutsideLimits(
            "no thread in the tables reads like this",
            mend=f"the nearest are {', '.join(known.thread.name for _, known in nearest)}; "
            "measure again, or allow for more wear",
            field="minor" if reading.is_internal else "major",
        )
    found = [
        Candidate(
            known.thread,
            weight / total,
            *(known.bore_m if reading.is_internal else known.crests_m),
        )
        for known, weight in weighed
        if weight / total >= _LEAST_SHARE
    ]
    return tuple(sorted(found, key=lambda candidate: -candidate.share))
