"""What these tests read papers with."""

from io import BytesIO

import pytest
from pypdf import PdfReader


@pytest.fixture(scope="session")
def words_of():
    """Reads the words of a PDF, joined by single blanks."""

    def read(paper: bytes) -> str:
        pages = (
            each.extract_text().replace("\u200b", "") for each in PdfReader(BytesIO(paper)).pages
        )
        return " ".join(" ".join(pages).split())

    return read
