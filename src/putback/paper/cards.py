"""Work cards: one for each sitting, to hang beside the vehicle."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from putback.errors import BadInput
from putback.paper.page import USUAL_PAGE, Page
from putback.paper.typeset import NO_PICTURES, Drawing, typeset
from putback.paper.words import ENGLISH, Words


@dataclass(frozen=True, slots=True)
class Fetch:
    """A bag, box or part to fetch, and from where; ``tag`` is empty for a part that has none."""

    where: str
    what: str
    tag: str = ""


@dataclass(frozen=True, slots=True)
class CardMark:
    """A mark to make, with how it looks; the drawing is empty where nobody can say."""

    words: str
    drawing: Drawing


@dataclass(frozen=True, slots=True)
class CardJob:
    """One job of a card."""

    number: int
    verb: str
    title: str
    pieces: tuple[str, ...] = ()
    """What holds: stacks in order, heads, a line for each group of holes."""
    stacks: tuple[Drawing, ...] = ()
    """A drawing for each of ``pieces``, as far as there are any; empty where there is none."""
    tool: str = ""
    minutes: str = ""
    people: int = 1
    torque: str = ""
    """The figure, in what condition of the thread, and by whose word."""
    not_yet: str = ""
    """What its final tightening waits for; empty where it does not wait."""
    cautions: tuple[str, ...] = ()
    """What drops, what to prop, what else can hurt."""
    first: tuple[str, ...] = ()
    """What to photograph, measure, take out and have new before."""
    marks: tuple[CardMark, ...] = ()
    """What to mark before it comes off."""
    way: tuple[str, ...] = ()
    """The stations of a run, from end to end."""
    is_sketched: bool = False
    """Whether a box is left to sketch in, where there is no photo."""
    then: tuple[str, ...] = ()
    """What to close after it."""
    tags: tuple[str, ...] = ()
    """Bags its pieces come out of."""
    into_bag: bool = False
    """Whether pieces come loose, for which a tag is written down."""
    second: bool = False
    """Whether a second person checks it and signs."""
    picture: str = ""
    """Name of its photo among the pictures of the cards; empty where there is none."""
    picture_words: str = ""
    """What it shows, from when it is."""


@dataclass(frozen=True, slots=True)
class WorkCard:
    """One sitting: how the vehicle stands, what to lay out and fetch, and the jobs in order."""

    number: int
    of: int
    zone: str
    standing: str
    jobs: tuple[CardJob, ...]
    stage: str = ""
    minutes: str = ""
    is_change: bool = False
    """Whether the vehicle is made to stand otherwise first."""
    bears: tuple[str, ...] = ()
    """What bears on what."""
    before: tuple[str, ...] = ()
    """What gets harder or impossible by the change, and is not done by then."""
    tools: tuple[str, ...] = ()
    fetch: tuple[Fetch, ...] = ()
    have: tuple[str, ...] = ()
    """What is used up, and what to have new."""


@dataclass(frozen=True, slots=True)
class _Printed:
    """What the template is given."""

    title: str
    vehicle: str
    day: str
    cards: tuple[WorkCard, ...]
    size_mm: tuple[float, float]
    text_pt: float
    words: Words


def cards_pdf(
    title: str,
    vehicle: str,
    day: str,
    cards: Sequence[WorkCard],
    page: Page = USUAL_PAGE,
    words: Words = ENGLISH,
    pictures: Mapping[str, bytes] = NO_PICTURES,
) -> bytes:
    """Print cards, each on a page of its own; ``pictures`` are those that their jobs name.

    Raises
    ------
    BadInput
        If there is none.
    """
    if not cards:
        raise BadInput("no job is left to print", mend="choose a goal, or another sitting")
    printed = _Printed(title, vehicle, day, tuple(cards), page.size_mm, page.text_pt, words)
    return typeset("cards", printed, pictures, words.respell)
