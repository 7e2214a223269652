"""The documents that can be printed: a name for each, what it is, and how it is made."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from putback.errors import BadInput, NotFound
from putback.workshop.printing import cards, fasteners, history, looking, manifest, runs, tags
from putback.workshop.printing.form import Form
from putback.workshop.printing.wanted import Wanted


class Option(StrEnum):
    """What can be said of a document besides the vehicle."""

    STOCK = "stock"  # on which labels, and where the printer prints
    TAGS = "tags"  # which tags
    BLANK = "blank"  # so many blank ones
    RESERVES = "reserves"  # printing blank ones takes codes, so that it is no mere look
    PAGE = "page"  # on which paper, how large
    PLAN = "plan"  # of which plan: that in hand, to a goal, or of the rebuild
    REBUILD = "rebuild"  # of the plan of the rebuild
    SITTINGS = "sittings"  # which sittings
    LIFT = "lift"  # what is lifted, off what
    RUNS = "runs"  # which cables, hoses, pipes
    MONEY = "money"  # whether sums paid are in it


@dataclass(frozen=True, slots=True)
class Document:
    """One document."""

    name: str
    title: str
    words: str
    """What it is for, in a sentence."""
    make: Callable[[Wanted], bytes]
    options: frozenset[Option] = frozenset()
    make_html: Callable[[Wanted], bytes] | None = None
    """The same as one page of HTML, where there is one."""
    save: Callable[[Form, Wanted, Path], None] | None = None
    """How it gets into a file where it may be too large to be held whole."""

    @property
    def is_long(self) -> bool:
        """Whether making it may take so long that nobody should wait for it before a page."""
        return self.save is not None

    def made_as(self, form: Form, wanted: Wanted) -> bytes:
        """Make it as a PDF or as a page.

        Raises
        ------
        BadInput
            If it is wanted as a page, and there is none.
        """
        if form is Form.PDF:
            return self.make(wanted)
        if self.make_html is None:
            raise BadInput(f"{self.name} is no page of HTML", mend="ask for a PDF")
        return self.make_html(wanted)

    def save_as(self, form: Form, wanted: Wanted, target: Path) -> None:
        """Make it, and write it into a file; raises as `made_as` does."""
        if self.save is None:
            target.write_bytes(self.made_as(form, wanted))
        else:
            self.save(form, wanted, target)


_LIST = frozenset({Option.PAGE})

DOCUMENTS = (
    Document(
        "tags",
        "Tags",
        "the code of every bag, box and crate with what is in it; or blank ones, their codes"
        " reserved, to hang on a ring",
        tags.tags,
        frozenset({Option.STOCK, Option.TAGS, Option.BLANK, Option.RESERVES}),
    ),
    Document(
        "not-torqued",
        "Red tags: not torqued",
        "one to tie on at each joint that is only finger tight or nipped",
        tags.not_torqued,
        frozenset({Option.STOCK, Option.BLANK}),
    ),
    Document(
        "not-for-the-road",
        "Red tags: not for the road",
        "for the steering wheel and the key, while something is left undone",
        tags.not_for_the_road,
        frozenset({Option.STOCK, Option.BLANK}),
    ),
    Document(
        "cards",
        "Work cards",
        "one for each sitting of the plan: how it stands, what to lay out and fetch, each job with"
        " its figures, cautions and boxes to tick",
        cards.cards,
        frozenset({Option.PAGE, Option.PLAN, Option.SITTINGS}),
    ),
    Document(
        "walk-round",
        "Walk-round before a lift",
        "every joint that may still hold, zone by zone, to tick off before anything is lifted",
        looking.walk_round,
        frozenset({Option.PAGE, Option.LIFT}),
    ),
    Document(
        "open",
        "Open tonight",
        "what is open, dangers first, with what clears it",
        looking.open_list,
        _LIST,
    ),
    Document(
        "torque",
        "Torque sheet",
        "every joint with a figure or marked critical; what was applied, by whom, and who checked",
        fasteners.torque_sheet,
        _LIST,
    ),
    Document(
        "hardware",
        "Hardware check",
        "what is short or left over, each bag to be counted, each fastener",
        fasteners.hardware,
        _LIST,
    ),
    Document(
        "orders",
        "Order list",
        "what the rebuild wants new, by specification, in packs",
        fasteners.order_list,
        frozenset({Option.PAGE, Option.REBUILD}),
    ),
    Document(
        "routes",
        "Route cards",
        "the way of each cable, hose, pipe and loom, and where each branch ends",
        runs.routes,
        frozenset({Option.PAGE, Option.RUNS}),
    ),
    Document(
        "pipes",
        "Pipe cards",
        "what each pipe and hose is made like: length, bends, threads, what closes it",
        runs.pipes,
        frozenset({Option.PAGE, Option.RUNS}),
    ),
    Document(
        "manifest",
        "Manifest for a move",
        "what lies where, with contents and weight, to tick when it leaves and when it arrives",
        manifest.manifest,
        _LIST,
    ),
    Document(
        "history",
        "History file",
        "the illustrated story of the vehicle: timeline, before and after, what was found,"
        " measured and checked, originality, and a seal; as PDF/A to keep, or one page of HTML",
        history.history_as_pdf,
        frozenset({Option.PAGE, Option.MONEY}),
        history.history_as_html,
        history.save_history,
    ),
)
"""In the order in which they are offered."""


def document_called(name: str) -> Document:
    """Give the document of a name.

    Raises
    ------
    NotFound
        If there is none.
    """
    for each in DOCUMENTS:
        if each.name == name.casefold().strip():
            return each
    raise NotFound("document", name, tuple(each.name for each in DOCUMENTS))
