"""The history file: the story of a vehicle, gathered from its logbook and its photos."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from itertools import groupby
from pathlib import Path
from tempfile import TemporaryDirectory

from putback.errors import InputError, StoreError
from putback.logbook.entries.base import Body, Entry, Subject
from putback.logbook.entries.bookkeeping import LocationLeftOut, MoneySpent, PersonNamed, Struck
from putback.logbook.entries.describing import Described, SameAs
from putback.logbook.entries.working import PartOff
from putback.logbook.moments import day_words
from putback.paper.history import (
    LONGEST_PX,
    Block,
    Chapter,
    History,
    Photo,
    Row,
    history_pdf,
    longest_px,
)
from putback.paper.history_html import write_history_html
from putback.paper.history_words import HISTORY_WORDS, HistoryWords
from putback.paper.typeset import PICTURES
from putback.paper.words import Own
from putback.pictures.reading import reduced_jpeg
from putback.workshop.logbooks.files import copy_whole
from putback.workshop.logbooks.sayers import sayers_of
from putback.workshop.pictures.album import Picture, album_of
from putback.workshop.printing.form import Form
from putback.workshop.printing.history_chapters import (
    Told,
    chapter,
    effort,
    found_and_repaired,
    measurements,
    originality,
    seal,
    torque_and_checks,
)
from putback.workshop.printing.sheets import upper_first
from putback.workshop.printing.wanted import Wanted

_DESCRIBING = (Described, SameAs, PersonNamed, LocationLeftOut)
"""What says what things are; the story does not tell it line by line."""
_PAIRED = ("part:", "joint:", "assembly:")
_MONTH = len("2031-05")


def history_as_pdf(wanted: Wanted) -> bytes:
    """Make the history file as PDF/A; tells its progress, and stops where that says so."""
    with _made(wanted, Form.PDF) as file:
        return file.read_bytes()


def history_as_html(wanted: Wanted) -> bytes:
    """Make the history file as one page of HTML with its photos inside."""
    with _made(wanted, Form.HTML) as file:
        return file.read_bytes()


def save_history(form: Form, wanted: Wanted, target: Path) -> None:
    """Make the history file at a place of its own: it is never whole in memory here.

    It is there once it is whole; stopped or killed before, nothing of it lies there.
    """
    with _made(wanted, form) as file:
        copy_whole(file, target)


@contextmanager
def _made(wanted: Wanted, form: Form) -> Iterator[Path]:
    """The file as it lies in its scratch folder."""
    with _gathered(wanted) as (history, root):
        if form is Form.PDF:
            yield history_pdf(history, root, wanted.page, wanted.progress, wanted.words.respell)
            return
        target = root / "history.html"
        write_history_html(history, root / PICTURES, target, wanted.progress, wanted.words.respell)
        yield target


@contextmanager
def _gathered(wanted: Wanted) -> Iterator[tuple[History, Path]]:
    """The file's content, and the folder in which its photos lie while it is made."""
    with TemporaryDirectory(prefix="putback-history-", dir=wanted.scratch) as scratch:
        root = Path(scratch) / "paper"
        (root / PICTURES).mkdir(parents=True)
        yield _history(wanted, root / PICTURES), root


@dataclass(frozen=True, slots=True)
class _Shown:
    """A photo that can be shown, in its place."""

    picture: Picture
    photo: Photo


@dataclass(frozen=True, slots=True)
class _Reduced:
    """The photos that can be shown, and how many cannot."""

    shown: tuple[_Shown, ...]
    away: int
    """Whose bytes are not on this machine."""
    unread: int
    """Whose bytes are no whole picture, or damaged."""

    def notes(self, words: HistoryWords) -> tuple[str, ...]:
        """Say how many are left out, and why."""
        left_out = ((words.photos_away, self.away), (words.photos_unread, self.unread))
        return tuple(said.format(n=count) for said, count in left_out if count)


def _history(wanted: Wanted, folder: Path) -> History:
    words, state = HISTORY_WORDS, wanted.state()
    standing = wanted.workshop.standing(wanted.logbook)
    told = Told(
        wanted, words, state, {each.id: each for each in standing},
        sayers_of(wanted.workshop, wanted.logbook),
    )  # fmt: skip
    photos = _reduced(told, standing, folder)
    shown = photos.shown
    pairs, used = _before_and_after(told, standing, shown)
    cover = _cover(told, shown[-1], folder) if shown else None
    now = wanted.workshop.clock.now()
    return History(
        vehicle=Own(state.vehicle.about.name),
        day=wanted.day(),
        date=(now.year, now.month, now.day),
        language=wanted.words.language,
        words=words,
        facts=_facts(told, standing),
        lead=(*filter(None, (state.vehicle.about.notice, words.honest)), *photos.notes(words)),
        cover=cover,
        chapters=(
            _timeline(told, standing, [each for each in shown if each.picture.photo not in used]),
            pairs,
            found_and_repaired(told),
            measurements(told),
            originality(told),
            torque_and_checks(told),
            effort(told),
            seal(told),
        ),
    )


def _facts(told: Told, standing: tuple[Entry, ...]) -> tuple[tuple[str, str], ...]:
    """What the vehicle is, and from when to when the logbook speaks; unknown ones say so."""
    about, unknown = told.state.vehicle.about, told.words.unknown
    days = sorted(each.happened_at[:10] for each in standing if each.happened_at)
    said = (
        about.make, about.model, str(about.year or ""), about.body_style,
        str(told.wanted.workshop.facts(told.wanted.logbook).entries),
        day_words(days[0]) if days else "", day_words(days[-1]) if days else "",
    )  # fmt: skip
    return tuple(
        (name, each or unknown) for name, each in zip(told.words.facts, said, strict=True)
    )


def _reduced(told: Told, standing: tuple[Entry, ...], folder: Path) -> _Reduced:
    """Write each photo that is here, small, into the folder: one at a time is in memory."""
    workshop, progress = told.wanted.workshop, told.wanted.progress
    pictures = [
        each
        for each in album_of(told.state, standing, told.sayers, workshop.photos.has)
        if not each.is_sound
    ]
    here = [(each, each.stored) for each in pictures if each.stored is not None]
    shown: list[_Shown] = []
    longest = longest_px(len(here))
    for done, (each, stored) in enumerate(here):
        progress.step(done, len(here), "making photos smaller")
        try:
            small = reduced_jpeg(workshop.photos.get(stored), longest)
        except (InputError, StoreError):
            continue  # it is counted below, and the timeline's row says that it was taken
        number = len(shown) + 1
        (folder / f"{number}.jpg").write_bytes(small)
        shown.append(_Shown(each, Photo(f"{number}.jpg", _caption(told, each, number))))
    return _Reduced(tuple(shown), len(pictures) - len(here), len(here) - len(shown))


def _cover(told: Told, latest: _Shown, folder: Path) -> Photo:
    """The latest photo once more, as large as any may be: it has most of a page."""
    stored = latest.picture.stored
    if stored is None:
        return latest.photo
    content = told.wanted.workshop.photos.get(stored)
    (folder / "cover.jpg").write_bytes(reduced_jpeg(content, LONGEST_PX))
    return replace(latest.photo, file="cover.jpg")


def _caption(told: Told, picture: Picture, number: int) -> str:
    what = " · ".join(filter(None, (", ".join(picture.names), picture.words)))
    said = (
        told.words.photo.format(n=number),
        upper_first(what),
        day_words(picture.happened_at[:10]),
        picture.who,
    )
    return ". ".join(filter(None, said))


def _timeline(told: Told, standing: tuple[Entry, ...], shown: Sequence[_Shown]) -> Chapter:
    """Everything that was done, month by month, with the photos that stand nowhere else."""
    words = told.words
    listed = [each for each in standing if _is_told(told, each)]
    described = sum(isinstance(each.body, _DESCRIBING) for each in standing)
    struck = len(told.wanted.workshop.facts(told.wanted.logbook).struck)
    photos = {each.picture.entry: each.photo for each in shown}
    blocks = []
    for month, these in groupby(listed, key=lambda each: each.happened_at[:_MONTH]):
        entries = list(these)
        blocks.append(
            Block(
                _month_words(month) or words.no_day,
                (words.when, words.what, words.who),
                (2, 7, 2),
                tuple(_row(told, each) for each in entries),
                tuple(photos[each.id] for each in entries if each.id in photos),
                is_log=True,
            )
        )
    note = words.timeline_note.format(n=len(listed), described=described, struck=struck)
    return chapter(words, words.timeline, (note,), *blocks)


def _month_words(month: str) -> str:
    """Write a month as people read it; what is none stays as it was written."""
    if len(month) < _MONTH:
        return month
    return day_words(f"{month}-01").removeprefix("1 ")


def _is_told(told: Told, entry: Entry) -> bool:
    if isinstance(entry.body, MoneySpent):
        return told.wanted.with_money
    return not isinstance(entry.body, (*_DESCRIBING, Struck))


def _row(told: Told, entry: Entry) -> Row:
    body = entry.body
    if not isinstance(body, Body):
        return Row((told.day(entry), told.words.unread.format(kind=entry.kind), told.who(entry)))
    terms = tuple(
        dict.fromkeys(told.name(each) for each in body.subjects() if each.startswith(_PAIRED))
    )
    return Row(
        (told.day(entry), upper_first(body.sentence(told.state.name_of)), told.who(entry)), terms
    )


def _before_and_after(
    told: Told, standing: tuple[Entry, ...], shown: Sequence[_Shown]
) -> tuple[Chapter, set[str]]:
    """For each part the last photo before it first came off, and the last after it.

    Gives which photos those are as well.
    """
    words = told.words
    went: dict[Subject, int] = {}
    for place, entry in enumerate(standing):
        if isinstance(entry.body, PartOff):
            for each in entry.body.subjects():
                went.setdefault(each, place)
    before: dict[Subject, _Shown] = {}
    after: dict[Subject, _Shown] = {}
    for one in shown:
        for subject in one.picture.of:
            if subject.startswith("part:") and subject in went:
                side = before if one.picture.place < went[subject] else after
                side[subject] = one
    blocks, used = [], set[str]()
    for subject in sorted(before.keys() & after.keys(), key=told.name):
        pair = before[subject], after[subject]
        if used.intersection(each.picture.photo for each in pair):
            continue  # a photo of several parts stands with the first of them
        used.update(each.picture.photo for each in pair)
        photos = tuple(
            Photo(each.photo.file, f"{upper_first(side)}. {each.photo.caption}")
            for each, side in zip(pair, (words.before, words.after), strict=True)
        )
        blocks.append(Block(told.name(subject), photos=photos))
    return chapter(words, words.before_after, (words.before_after_note,), *blocks), used
