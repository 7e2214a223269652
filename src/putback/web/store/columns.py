"""What columns of a database can hold."""


def column_text(text: str) -> str:
    """What a text column can hold of ``text``: PostgreSQL keeps no NUL."""
    return text.replace("\x00", "\N{REPLACEMENT CHARACTER}")
