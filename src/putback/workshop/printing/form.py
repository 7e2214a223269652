"""In what form a document is made."""

from enum import StrEnum


class Form(StrEnum):
    """In what form a document is made; each is also how its file's name ends."""

    PDF = "pdf"
    HTML = "html"
