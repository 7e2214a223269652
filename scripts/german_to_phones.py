"""Write what the phone's scripts say in German: ``python -m scripts.german_to_phones``.

``static/putback/js/german.js`` has the rows of ``german/phone.csv`` and ``german/common.csv``, and
from the other files those of words that scripts show as the program knows them.
`tests/docs/test_known_to_phones.py` compares it with the catalogue.
"""

import json
from collections.abc import Iterator

from putback.language import GERMAN, rows_of
from putback.logbook.entries.registry import KINDS
from putback.web.assets import STATIC
from scripts.known_to_phones import FIELDS

FILE = STATIC / "putback" / "js" / "german.js"


def text() -> str:
    """Give the file as it must be."""
    rows = dict(rows_of(GERMAN, "common")) | dict(rows_of(GERMAN, "phone"))
    known = rows_of(GERMAN)
    rows |= {each: known[each] for each in _shown() if each in known}
    lines = [f"  {json.dumps(row, ensure_ascii=False)},\n" for row in rows.items()]
    return (
        "// Written by scripts/german_to_phones.py from the catalogue; change it there.\n\n"
        f"export const ROWS = [\n{''.join(lines)}];\n"
    )


def _shown() -> Iterator[str]:
    """Words that scripts show as the program knows them: kinds of entries, and of quantities."""
    yield from KINDS
    for quantity, _ in FIELDS.values():
        yield quantity.name
        yield from quantity.ambiguous.values()


if __name__ == "__main__":
    FILE.write_text(text(), encoding="utf-8")
