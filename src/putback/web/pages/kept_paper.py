"""Papers that take long, as the page Paper shows them: how far they are, and fetching them."""

from dataclasses import dataclass
from pathlib import Path

from putback.paper.page import USUAL_PAGE
from putback.web.here import here
from putback.web.pages.access import Visit
from putback.web.pages.asked import Asked, asked
from putback.web.pages.printed_in import chosen_of, language_called
from putback.workshop.desk import Slip
from putback.workshop.printing.documents import DOCUMENTS
from putback.workshop.printing.form import Form
from putback.workshop.printing.kept_papers import PaperMade, paper_made, wanted_of
from putback.workshop.printing.units import Units
from putback.workshop.printing.wanted import Wanted

_LOOKED_AT = 30
"""So many questions for papers are looked through for the newest of each set of choices."""
FORMS = {Form.PDF: "PDF/A, to keep or print", Form.HTML: "one page of HTML"}
"""What each form is called where it is chosen."""


@dataclass(frozen=True, slots=True)
class KeptPaper:
    """One paper that was asked for, by its choices: how far it is, and the last that was made."""

    document: str
    title: str
    choices: tuple[str, ...]
    """What was chosen, in words."""
    fields: tuple[tuple[str, str], ...]
    """The same as the form's fields, to make it anew."""
    asked: Asked
    made: PaperMade | None
    """The last one, where its file is kept."""
    slip: str
    """By which it is fetched."""
    since: int
    """Entries that were logged after it."""


def kept_of(visit: Visit) -> tuple[KeptPaper, ...]:
    """Give the papers of a vehicle that were asked for, the newest first."""
    desk, found = here().desk, list[KeptPaper]()
    for document in DOCUMENTS:
        if not document.is_long:
            continue
        by_choices: dict[str, list[Slip]] = {}
        for slip in desk.asked(visit.logbook, document.name, _LOOKED_AT):
            by_choices.setdefault(slip.question.args, []).append(slip)
        found += [_kept(document.name, document.title, each) for each in by_choices.values()]
    return tuple(each for each in found if each.made or each.asked.is_told)


def kept_file(slip: Slip) -> tuple[PaperMade, Path] | None:
    """Give what is told of a paper that was made, and its file, where it is still kept."""
    made, path = paper_made(slip), here().papers.find(slip.question)
    return (made, path) if made is not None and path is not None else None


def _kept(document: str, title: str, slips: list[Slip]) -> KeptPaper:
    """Say what there is of one set of choices; the newest question comes first."""
    newest = slips[0]
    answered = next((each for each in slips if kept_file(each)), None)
    made = paper_made(answered) if answered else None
    form, wanted = wanted_of(here().workshop, newest.question)
    position = here().workshop.store.position(newest.question.logbook)
    return KeptPaper(
        document,
        title,
        _in_words(form, wanted),
        _as_fields(form, wanted),
        asked(newest),
        made,
        answered.id if answered else "",
        position - made.position if made else 0,
    )


def _in_words(form: Form, wanted: Wanted) -> tuple[str, ...]:
    """Say what was chosen, as far as it is not what is usual."""
    page = wanted.page if form is Form.PDF else USUAL_PAGE
    said = (
        FORMS[form],
        language_called(wanted.words),
        f"{wanted.units} units" if wanted.units is not Units.BOTH else "",
        page.size.capitalize() if page.size != USUAL_PAGE.size else "",
        "large letters" if page.is_large else "",
        "with sums paid" if wanted.with_money else "",
    )
    return tuple(filter(None, said))


def _as_fields(form: Form, wanted: Wanted) -> tuple[tuple[str, str], ...]:
    said = (
        ("form", form),
        ("language", chosen_of(wanted.words)),
        ("units", wanted.units),
        ("size", wanted.page.size),
        ("large", "on" if wanted.page.is_large else ""),
        ("money", "on" if wanted.with_money else ""),
        ("again", "on"),
    )
    return tuple((name, value) for name, value in said if value)
