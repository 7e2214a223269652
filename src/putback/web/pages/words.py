"""Filters for templates: figures and moments in words, as everywhere in Putback."""

from datetime import datetime

from django import template

from putback.units.show import duration_text, mass_text, torque_text

register = template.Library()


@register.filter
def moment(said: str) -> str:
    """Say when something happened: ``12 May 2031, 14:05``; as exactly as it is known."""
    if not said:
        return "some time"
    if len(said) == len("2031-05"):
        return datetime.fromisoformat(f"{said}-01").strftime("%B %Y")
    when = datetime.fromisoformat(said)
    day = f"{when.day} {when:%b %Y}"
    return day if len(said) == len("2031-05-12") else f"{day}, {when:%H:%M}"


@register.filter
def sentence(words: str) -> str:
    """Begin with a capital and end with a full stop."""
    text = words.strip()
    if not text:
        return ""
    end = "" if text[-1] in ".?!:" else "."
    return f"{text[0].upper()}{text[1:]}{end}"


@register.filter
def words(text: str) -> list[str]:
    """Part a text into its words, so that a template can go through them."""
    return text.split()


@register.filter
def newton_metres(torque_nm: float) -> str:
    """Write a torque, in N·m and lb ft."""
    return torque_text(torque_nm)


@register.filter
def kilograms(mass_kg: float) -> str:
    """Write a mass, in kg and lb."""
    return mass_text(mass_kg, both=True)


@register.filter
def title_word(text: str) -> str:
    """Begin with a capital."""
    return text[:1].upper() + text[1:]


@register.filter
def megabytes(size_bytes: int) -> str:
    """Write how large a file is: ``0.4 MB``, ``12 MB``; nothing is said to have no size."""
    size = max(size_bytes / 1e6, 0.1)
    return f"{size:.1f} MB" if size < 10 else f"{size:.0f} MB"


@register.filter
def kind_of(subject: str) -> str:
    """Give the kind of a subject: ``part`` of ``part:P1``."""
    return subject.partition(":")[0]


@register.filter
def identity_of(subject: str) -> str:
    """Give the identity of a subject: ``P1`` of ``part:P1``."""
    return subject.partition(":")[2]


@register.filter
def duration(minutes: float) -> str:
    """Write how long something takes: ``1 h 30 min``."""
    return duration_text(minutes)


@register.filter
def percent(part: float) -> str:
    """Write a part of the whole, as drawings want it: ``26.5%``."""
    return f"{part * 100:.2f}%"


@register.filter
def first_and_rest(text: str) -> tuple[str, str]:
    """Part a text into its first sentence and the others."""
    first, stop, rest = text.partition(". ")
    return f"{first}{stop.strip()}", rest


_LETTER_PX = 6.8
"""As wide as a letter of the ribbon gets, in bold [px]."""
_PHONE_PX, _DESK_PX = 358, 1228
"""How wide the ribbon is on a phone of 390 and on a desk of 1280 [px]."""


@register.filter
def room_for(name: str, width: float) -> str:
    """Name the screen from which a name has room in a part of the ribbon: none is cut off.

    ``width`` is as a part of the whole [-].
    """
    needs_px = 12 + _LETTER_PX * len(name)
    rooms = (("", _PHONE_PX), ("on-desk", _DESK_PX))
    return next((each for each, whole_px in rooms if needs_px <= width * whole_px), "nowhere")
