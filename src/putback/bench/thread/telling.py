"""What a thread could be mistaken for, and the reading that tells the two apart."""

from dataclasses import dataclass, replace
from math import degrees, inf, tan

from putback.bench.thread.ranking import measurable_threads, zone_of
from putback.bench.thread_form import TAPERED, dimensions, form_of
from putback.bench.threads import Thread

_PITCHES = 10
_CALLIPER_M = 1e-4
"""What two calliper readings must differ by to be told apart without doubt."""
_ANGLE_RAD = 0.0436
"""2.5 degrees: a thread gauge of the wrong angle shows light."""
_TAPER_SCORE = 3.0
_LIKE_DIAMETER_M, _LIKE_SHARE = 6e-4, 0.06
_LIKE_PITCH = 0.09
"""Within these a bolt and a nut seem to go together for some turns; common practice."""
_SAME_PITCH, _SAME_DIAMETER_M = 0.002, 5e-5
_MOST = 6
_FEELS_RIGHT, _ALL_THE_WAY = 2.0, 8.0
"""Turns: fewer are felt at once; more are a nut's whole depth (common practice)."""


@dataclass(frozen=True, slots=True)
class Likeness:
    """Another thread that seems to fit."""

    thread: Thread
    reading: str
    """What to measure, and what it then is for each of the two."""
    danger: str
    """What happens where the two are brought together."""


def telling_reading(one: Thread, other: Thread, is_internal: bool = False) -> str:
    """Say which reading tells two threads apart best, and what it is for each.

    Every reading is weighed by how far the two lie apart over what a calliper, a thread gauge or
    the eye can tell.
    """
    best_score, best = (
        1.0,
        (f"no calliper tells {one.name} from {other.name}: try a mate that is known to be good"),
    )
    for score, words in (
        _over_ten(one, other),
        _over_crests(one, other, is_internal),
        _taper(one, other),
        _angle(one, other),
    ):
        if score > best_score:
            best_score, best = score, words
    return best


def _mm(length_m: float) -> str:
    return f"{length_m * 1000:.2f} mm"


def _over_ten(one: Thread, other: Thread) -> tuple[float, str]:
    ours_m, theirs_m = (_PITCHES * dimensions(each).pitch_m for each in (one, other))
    return (
        abs(ours_m - theirs_m) / _CALLIPER_M,
        f"over {_PITCHES} threads: {_mm(ours_m)} is {one.name}, {_mm(theirs_m)} {other.name}",
    )


def _over_crests(one: Thread, other: Thread, is_internal: bool) -> tuple[float, str]:
    (low_m, high_m), (their_low_m, their_high_m) = (
        zone_of(each, is_internal) for each in (one, other)
    )
    what = "across the bore" if is_internal else "over the crests, where it is least worn"
    return (
        max(low_m - their_high_m, their_low_m - high_m) / _CALLIPER_M,
        f"{what}: {_mm(low_m)} to {_mm(high_m)} is {one.name}, "
        f"{_mm(their_low_m)} to {_mm(their_high_m)} {other.name}",
    )


def _taper(one: Thread, other: Thread) -> tuple[float, str]:
    tapered = [each for each in (one, other) if each.series in TAPERED]
    if len(tapered) != 1:
        return 0.0, ""
    return (
        _TAPER_SCORE,
        f"over the crests at two places 10 mm apart: alike unless it is {tapered[0].name}, "
        "which loses 0.6 mm",
    )


def _angle(one: Thread, other: Thread) -> tuple[float, str]:
    ours, theirs = (2 * form_of(each).half_angle_rad for each in (one, other))
    return (
        abs(ours - theirs) / _ANGLE_RAD,
        f"a thread gauge against the light: {degrees(ours):g}° sits close in {one.name}, "
        f"{degrees(theirs):g}° in {other.name}",
    )


def likenesses(thread: Thread, is_internal: bool = False) -> tuple[Likeness, ...]:
    """Find the threads that could be mistaken for one, the likest first.

    Those that are met with on the same things, as on brake pipes, come before all others.
    """
    ours, right_hand = dimensions(thread), replace(thread, left_hand=False)
    reach_m = max(_LIKE_DIAMETER_M, _LIKE_SHARE * ours.major_m)
    found: list[tuple[bool, float, Thread]] = []
    for known in measurable_threads():
        wide = abs(known.major_m - ours.major_m) / reach_m
        coarse = abs(known.pitch_m - ours.pitch_m) / ours.pitch_m / _LIKE_PITCH
        if max(wide, coarse) <= 1 and known.thread != right_hand:
            elsewhere = not thread.use or known.thread.use != thread.use
            found.append((elsewhere, wide + coarse, known.thread))
    found.sort(key=lambda each: each[:2])
    return tuple(
        Likeness(other, telling_reading(thread, other, is_internal), _danger(thread, other))
        for _, _, other in found[:_MOST]
    )


def turns_before_binding(one: Thread, other: Thread) -> float:
    """Give how many turns the smaller thread enters the larger before their pitches clash.

    The flanks leave (d2 - d2') tan α of play along the axis, and each turn takes the difference
    of the pitches from it; endless where the pitches agree. Geometry, with basic sizes.
    """
    ours, theirs = dimensions(one), dimensions(other)
    half_rad = min(ours.form.half_angle_rad, theirs.form.half_angle_rad)
    play_m = abs(ours.pitch_diameter_m - theirs.pitch_diameter_m) * tan(half_rad)
    clash_m = abs(ours.pitch_m - theirs.pitch_m)
    return play_m / clash_m if clash_m > _SAME_PITCH * ours.pitch_m else inf


def _danger(one: Thread, other: Thread) -> str:
    ours, theirs = dimensions(one), dimensions(other)
    wide_m = ours.major_m - theirs.major_m
    turns = turns_before_binding(one, other)
    if {one.series, other.series} & TAPERED:
        return "seems to seal, then leaks or splits the boss"
    if turns == inf and abs(wide_m) <= _SAME_DIAMETER_M:
        if ours.form.half_angle_rad == theirs.form.half_angle_rad:
            return "goes together and holds"
        return "goes together, and bears on part of its flanks only"
    if turns < _FEELS_RIGHT:
        return "starts, then binds and tears"
    small, large = (other, one) if wide_m > 0 else (one, other)
    far = "all the way" if turns >= _ALL_THE_WAY else f"some {turns:.0f} turns"
    return f"a male {small.name} enters a female {large.name} {far}, feels right, then strips"
