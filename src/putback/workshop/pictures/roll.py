"""A camera roll, cut at the tags in its pictures: each belongs to the tag that was shown last.

A person shows a bag's tag to the camera and then photographs what goes into it. When the pictures
are brought in later, the tags seen in them are the evidence; the time that a camera wrote into
them orders them, and tells where the cut may be wrong. Nothing is decided here that a person does
not see before it is kept: what is doubtful is said.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import groupby, pairwise

from putback.logbook.entries.base import TagCode
from putback.workshop.logbooks.ports import PhotoId

LONG_PAUSE = timedelta(hours=2)
"""Between two pictures under one tag: whoever came back may have forgotten to show the next tag.
A convention of this project."""


@dataclass(frozen=True, slots=True)
class Shot:
    """One picture of a roll.

    ``taken_at`` is what its camera wrote, without a zone; ``None`` if it wrote nothing. ``camera``
    names the camera, empty if it does not. ``tags`` are those that were read in it.
    """

    photo: PhotoId
    name: str
    taken_at: datetime | None = None
    camera: str = ""
    tags: tuple[TagCode, ...] = ()
    media_type: str = "image/jpeg"


@dataclass(frozen=True, slots=True)
class Group:
    """The pictures of one tag in their order; of none those before the first tag."""

    tag: TagCode | None
    shots: tuple[Shot, ...]


@dataclass(frozen=True, slots=True)
class CutRoll:
    """A roll in its groups, and what is doubtful about them, in words for a person."""

    groups: tuple[Group, ...]
    doubts: tuple[str, ...]


def cut(shots: Iterable[Shot]) -> CutRoll:
    """Cut a roll at the tags seen in it.

    Each picture is in exactly one group. Each camera's pictures are put in order by themselves and
    cut by themselves, so that a clock that is wrong spoils nothing of another camera. A picture
    with two tags or more in it begins no group: nobody can say which was meant.
    """
    cameras = by_camera(shots)
    runs: list[Group] = []
    doubts: list[str] = []
    for taken in cameras:
        ordered = in_order(taken)
        found = tuple(_runs(ordered))
        runs += found
        doubts += _doubts_of_order(ordered)
        doubts += (doubt for run in found for doubt in _doubts_of_run(run))
    if len(cameras) > 1:
        doubts.append(
            f"These are from {len(cameras)} cameras, whose clocks may differ: each was cut by "
            "itself."
        )
    groups = _by_tag(runs)
    return CutRoll(groups, (*doubts, *_doubts_of_tags(groups)))


def by_camera(shots: Iterable[Shot]) -> tuple[tuple[Shot, ...], ...]:
    """Sort pictures by the camera that took them, each picture once.

    One that tells neither camera nor time was stripped on its way here: where all others are of
    one camera, it is taken to be of that one as well.
    """
    found: dict[str, list[Shot]] = {}
    stripped: list[Shot] = []
    for shot in _once(shots):
        tells = shot.camera or shot.taken_at is not None
        (found.setdefault(shot.camera, []) if tells else stripped).append(shot)
    if len(found) == 1:
        next(iter(found.values())).extend(stripped)
    elif stripped:
        found["stripped"] = stripped
    return tuple(tuple(found[camera]) for camera in sorted(found))


def in_order(shots: Sequence[Shot]) -> tuple[Shot, ...]:
    """Order the pictures of one camera: by time, and by name where times are equal.

    Where any has no time the names decide for all of them, as a camera counts its pictures: half
    an order by one thing and half by another would be none.
    """
    if any(shot.taken_at is None for shot in shots):
        return tuple(sorted(shots, key=_by_name))
    return tuple(sorted(shots, key=lambda shot: (shot.taken_at, *_by_name(shot))))


def _by_name(shot: Shot) -> tuple[object, ...]:
    """Order names as a person counts: ``IMG_9`` before ``IMG_10``."""
    pieces = re.split(r"([0-9]+)", shot.name.casefold())
    return (
        [(int(piece), "") if piece.isdecimal() else (0, piece) for piece in pieces],
        shot.photo,
    )


def _once(shots: Iterable[Shot]) -> Iterator[Shot]:
    """Leave out a picture that was chosen twice."""
    seen: set[PhotoId] = set()
    for shot in shots:
        if shot.photo not in seen:
            seen.add(shot.photo)
            yield shot


def _runs(ordered: Sequence[Shot]) -> Iterator[Group]:
    """Cut at each tag that is another one than before."""
    tag: TagCode | None = None
    under: list[tuple[TagCode | None, Shot]] = []
    for shot in ordered:
        if len(shot.tags) == 1:
            tag = shot.tags[0]
        under.append((tag, shot))
    for key, together in groupby(under, key=lambda pair: pair[0]):
        yield Group(key, tuple(shot for _, shot in together))


def _by_tag(runs: Iterable[Group]) -> tuple[Group, ...]:
    """Join what belongs to one tag, in the order in which each was first shown.

    What was taken before the first tag of any camera is put together, at the front.
    """
    found: dict[TagCode | None, tuple[Shot, ...]] = {None: ()}
    for run in runs:
        found[run.tag] = (*found.get(run.tag, ()), *run.shots)
    return tuple(Group(tag, shots) for tag, shots in found.items() if shots)


def _doubts_of_order(ordered: Sequence[Shot]) -> Iterator[str]:
    untimed = [shot for shot in ordered if shot.taken_at is None]
    if untimed:
        yield (
            f"{_count(len(untimed))} without a time: "
            "the pictures of this camera are in the order of their names."
        )
        return
    if any(_by_name(second) < _by_name(first) for first, second in pairwise(ordered)):
        yield (
            "Times and names of the pictures disagree about their order: they are in the order of "
            "their times. Was the camera's clock set in between?"
        )


def _doubts_of_run(run: Group) -> Iterator[str]:
    for shot in run.shots:
        if len(shot.tags) > 1:
            yield f"In {shot.name} are {' and '.join(shot.tags)}: it begins no group."
    if run.tag is None:
        return
    for first, second in pairwise(run.shots):
        if first.taken_at is None or second.taken_at is None:
            continue
        pause = second.taken_at - first.taken_at
        if pause > LONG_PAUSE and run.tag not in second.tags:
            yield (
                f"{_duration(pause)} lie between {first.name} and {second.name}, both under "
                f"{run.tag}: was another tag meant?"
            )


def _doubts_of_tags(groups: Sequence[Group]) -> Iterator[str]:
    for group in groups:
        if group.tag is not None and all(group.tag in shot.tags for shot in group.shots):
            yield f"Nothing was photographed after {group.tag} was shown."


def _count(many: int) -> str:
    return "1 picture is" if many == 1 else f"{many} pictures are"


def _duration(pause: timedelta) -> str:
    hours = round(pause.total_seconds() / 3600)
    return f"{hours} hours" if hours < 48 else f"{round(hours / 24)} days"
