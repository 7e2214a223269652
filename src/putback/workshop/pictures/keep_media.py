"""Keeping photos and spoken notes: looked at first, stored next, and only then named by an entry.

What is refused leaves nothing behind. A picture that looks blurred or black is said to be so and
kept: the person decides.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from hashlib import sha256

from putback.errors import BadInput
from putback.logbook.entries.base import ActId, DeviceId, LogbookId, PersonId, Subject
from putback.logbook.entries.working import Looking, PhotoTaken, SoundTaken
from putback.pictures.kind import sound_type
from putback.pictures.reading import NotAPicture, look_at
from putback.workshop.logbooks.ports import PhotoId
from putback.workshop.logbooks.workshop import Act, Workshop

LARGEST_BYTES = 40 * 2**20
"""Of one photo or sound [bytes]: a 108-megapixel JPEG takes some 30 MiB; a convention here."""
MOST_AT_ONCE = 30
"""Photos or sounds of one act; a convention."""


@dataclass(frozen=True, slots=True)
class Kept:
    """A photo or sound that is stored; size upright [pixels], nought for a sound."""

    photo: PhotoId
    media_type: str
    width_px: int = 0
    height_px: int = 0
    warning: str = ""
    """What to say of it at once: that it looks blurred or black."""

    @property
    def is_sound(self) -> bool:
        """Whether it is heard, not seen."""
        return self.media_type.startswith("audio/")


@dataclass(frozen=True, slots=True)
class Sent:
    """A file as somebody sent it; ``name`` is what they call it, and is nowhere used as a path."""

    name: str
    content: bytes


@dataclass(frozen=True, slots=True)
class Shown:
    """What photos or sounds show: the same for all that are kept at once."""

    of: tuple[Subject, ...] = ()
    looking: Looking | None = None
    words: str = ""
    """A caption, or what is said in a note."""
    drawn_on: str = ""


def keep(workshop: Workshop, sent: Sent) -> Kept:
    """Look at one photo or sound and store it; no entry names it yet.

    Raises
    ------
    NotAPicture, BadInput
        If it is neither, is broken off, or is too large; nothing is stored.
    """
    found = _looked_at(sent)
    workshop.photos.put(sent.content)
    return found


def keep_all(
    workshop: Workshop,
    logbook: LogbookId,
    sent: Sequence[Sent],
    shown: Shown,
    *,
    who: PersonId,
    device: DeviceId,
    as_act: ActId | None = None,
) -> tuple[Act, tuple[Kept, ...]]:
    """Keep several files and log them as one act: all of them, or none.

    Raises
    ------
    NotAPicture, BadInput
        As `keep` does, for the first that cannot be kept; nothing is stored.
    """
    if not sent:
        raise BadInput("no file was chosen", mend="choose a picture; nothing was saved")
    if len(sent) > MOST_AT_ONCE:
        mend = f"send {MOST_AT_ONCE} at once; nothing was saved"
        raise BadInput(f"these are {len(sent)} files", mend=mend)
    found = tuple(map(_looked_at, sent))
    for each in sent:
        workshop.photos.put(each.content)
    bodies = [_body(each, shown) for each in found]
    act = workshop.log(logbook, bodies, who=who, device=device, as_act=as_act)
    return act, found


def refuse_too_large(name: str, size_bytes: int) -> None:
    """Refuse a file of more than `LARGEST_BYTES`; its size may be known before it is read.

    Raises
    ------
    BadInput
        If it is larger.
    """
    if size_bytes > LARGEST_BYTES:
        mend = f"give one of {LARGEST_BYTES // 2**20} MB at most; nothing was saved"
        raise BadInput(f"the file has {size_bytes / 2**20:.0f} MB", name, mend)


def looking_called(word: str) -> Looking | None:
    """Read which way the camera looked; nothing where nothing is said.

    Raises
    ------
    BadInput
        If it is no such word.
    """
    try:
        return Looking(word) if word else None
    except ValueError as error:
        ways = ", ".join(Looking)
        raise BadInput(f"nobody looks {word!r}", mend=f"say {ways}; nothing was saved") from error


def _looked_at(sent: Sent) -> Kept:
    if any(each in sent.name for each in "/\\\0"):
        raise BadInput(
            "the name of the file is a way to another place",
            sent.name[:60],
            "send it under a plain name; nothing was saved",
        )
    refuse_too_large(sent.name, len(sent.content))
    photo = PhotoId(sha256(sent.content).hexdigest())
    sound = sound_type(sent.content)
    if sound is not None:
        return Kept(photo, sound)
    try:
        seen = look_at(sent.content)
    except NotAPicture as error:
        error.name = sent.name
        raise
    return Kept(photo, seen.media_type, seen.width_px, seen.height_px, seen.quality.words)


def _body(kept: Kept, shown: Shown) -> PhotoTaken | SoundTaken:
    if kept.is_sound:
        return SoundTaken(
            sound=kept.photo, of=shown.of, media_type=kept.media_type, words=shown.words
        )
    return PhotoTaken(
        photo=kept.photo,
        of=shown.of,
        media_type=kept.media_type,
        caption=shown.words,
        looking=shown.looking,
        drawn_on=shown.drawn_on,
    )
