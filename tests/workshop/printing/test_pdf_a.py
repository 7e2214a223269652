"""The history file is PDF/A by the word of a checker that knows nothing of Typst."""

import page

from putback.workshop.printing.documents import document_called
from tests.workshop.printing.drawn import car


def refused(paper: bytes) -> list[str]:
    """What page-validation finds against ISO 19005-2, conformance level B."""
    report = page.validate_pdf_bytes(paper, profile="2b")
    return [f"{each.rule_id}: {each.message}" for each in report.failures]


def test_the_history_file_is_pdf_a_2b_and_a_list_is_not():
    """With rows and a photo; the list is an ordinary PDF, and that is seen."""
    wanted = car()
    assert refused(document_called("history").make(wanted)) == []
    assert refused(document_called("open").make(wanted))
