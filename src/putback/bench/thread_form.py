"""The shapes of screw threads, and the diameters that follow from size and pitch.

::

    ISO and unified   60 degrees      d2 = d - 0.649519 P    D1 = d - 1.082532 P
    Whitworth         55 degrees      d2 = d - 0.640327 P    d1 = d - 1.280654 P
    BA                47.5 degrees    d2 = d - 0.6 P         d1 = d - 1.2 P

Sources: ISO 68-1 and ISO 724 (60 degrees), ISO 898-1 (stress area of metric threads), ASME B1.1
(that of unified threads), BS 84 (Whitworth form), BS 93 (BA).
"""

from dataclasses import dataclass
from functools import cache
from math import atan, cos, pi, radians, sqrt

from putback.bench.threads import Series, Thread
from putback.errors import BadInput


@dataclass(frozen=True, slots=True)
class Form:
    """A profile: half the angle between its flanks [rad], and its drops as multiples of pitch.

    A drop is how much smaller a diameter is than the major one: ``pitch_drop`` the pitch (or
    effective) diameter, ``minor_drop`` the basic minor diameter and a nut's bore, ``root_drop``
    the bolt's root, ``stress_drop`` the circle whose area counts for tension.
    """

    name: str
    half_angle_rad: float
    triangle: float
    """Height of the sharp triangle."""
    pitch_drop: float
    minor_drop: float
    root_drop: float
    stress_drop: float


_H60 = sqrt(3) / 2
_ISO_PITCH, _ISO_ROOT = 0.75 * _H60, 17 / 12 * _H60
ISO = Form(
    "ISO metric, 60°", radians(30), _H60, _ISO_PITCH, 1.25 * _H60, _ISO_ROOT,
    (_ISO_PITCH + _ISO_ROOT) / 2,
)  # fmt: skip
UNIFIED = Form(
    "unified, 60°", radians(30), _H60, _ISO_PITCH, 1.25 * _H60, _ISO_ROOT, 1.125 * _H60
)  # fmt: skip
WHITWORTH = Form("Whitworth, 55°", radians(27.5), 0.960491, 0.640327, 1.280654, 1.280654, 0.960491)
BA = Form("BA, 47.5°", radians(23.75), 1.13634, 0.6, 1.2, 1.2, 0.9)

_FORMS = {
    Series.METRIC: ISO,
    Series.BA: BA,
    **dict.fromkeys((Series.BSW, Series.BSF, Series.BSB, Series.BSP, Series.BSPT), WHITWORTH),
    **dict.fromkeys((Series.UNC, Series.UNF, Series.UNEF, Series.NPT), UNIFIED),
}
TAPERED = frozenset({Series.NPT, Series.BSPT})
"""Those that grow by 1 in 16 along their length; their diameter is that of one plane."""

FORM_SOURCES = {
    ISO.name: "ISO 68-1, ISO 724; stress area ISO 898-1",
    UNIFIED.name: "ASME B1.1",
    WHITWORTH.name: "BS 84; stress area by the mean of effective and minor diameter (BS 1083)",
    BA.name: "BS 93; stress area by the mean of effective and minor diameter",
}


@dataclass(frozen=True, slots=True)
class Dimensions:
    """Basic diameters and lengths of a thread [m], its angles [rad], its stress area [m²]."""

    form: Form
    major_m: float
    pitch_m: float
    pitch_diameter_m: float
    minor_m: float
    """Basic minor diameter; the least bore of a nut."""
    root_m: float
    """At the bottom of the bolt's rounded groove (d3)."""
    stress_area_m2: float
    lead_angle_rad: float
    """At the pitch diameter, of a thread with one start."""

    @property
    def triangle_m(self) -> float:
        """Height H of the sharp triangle [m]."""
        return self.form.triangle * self.pitch_m

    @property
    def depth_m(self) -> float:
        """Depth on which bolt and nut bear, from basic major to basic minor [m]."""
        return (self.major_m - self.minor_m) / 2

    @property
    def stress_diameter_m(self) -> float:
        """Of the circle that has the stress area [m]."""
        return self.major_m - self.form.stress_drop * self.pitch_m


def form_of(thread: Thread) -> Form:
    """Find the profile; a special one counts as ISO where it is metric, else as unified.

    Raises
    ------
    BadInput
        A screw by number: nobody measures its pitch.
    """
    if thread.pitch_m is None:
        raise BadInput(f"{thread.name} has no pitch in any table", mend="name a machine thread")
    return _FORMS.get(thread.series, ISO if thread.is_metric else UNIFIED)


@cache
def dimensions(thread: Thread) -> Dimensions:
    """Work out the basic dimensions of a thread.

    Raises
    ------
    BadInput
        A screw by number.

    Examples
    --------
    >>> from putback.bench.designation import thread_named
    >>> f"{dimensions(thread_named('M8')).stress_area_m2 * 1e6:.1f} mm²"
    '36.6 mm²'
    """
    form = form_of(thread)
    pitch_m = thread.pitch_m or 0.0
    return shaped(form, thread.major_m, pitch_m)


def shaped(form: Form, major_m: float, pitch_m: float) -> Dimensions:
    """Work out the basic dimensions of a form, a major diameter [m] and a pitch [m]."""
    pitch_diameter_m = major_m - form.pitch_drop * pitch_m
    return Dimensions(
        form=form,
        major_m=major_m,
        pitch_m=pitch_m,
        pitch_diameter_m=pitch_diameter_m,
        minor_m=major_m - form.minor_drop * pitch_m,
        root_m=major_m - form.root_drop * pitch_m,
        stress_area_m2=pi / 4 * (major_m - form.stress_drop * pitch_m) ** 2,
        lead_angle_rad=atan(pitch_m / (pi * pitch_diameter_m)),
    )


def tapping_drill_m(thread: Thread) -> float:
    """Give the drill before the tap [m]: major diameter less one pitch.

    That leaves 92 % of the basic depth of a 60 degree thread and 78 % of a Whitworth; common
    practice, and ISO 2306 for metric threads.

    Raises
    ------
    BadInput
        A screw by number, or a taper thread, whose hole the tap's maker gives.
    """
    if thread.series in TAPERED:
        raise BadInput(f"{thread.name} is tapered", mend="ask the tap's maker for the drill")
    of = dimensions(thread)
    return of.major_m - of.pitch_m


def growth_factor(form: Form) -> float:
    """Tell how much a coat grows the pitch diameter: 2 / sin α, with α half the flank angle.

    4 for 60 degrees, 4.33 for Whitworth, 4.97 for BA; the diameter over the crests grows by 2.
    """
    return 2 / cos(pi / 2 - form.half_angle_rad)
