"""What the pages' scripts say, gathered from their source: strings that are words for a person.

A string is taken for words if it has two words or begins like one; what only looks like that
(selectors, addresses, names of errors) is told by `_NOT_SHOWN`.
"""

import re
from collections.abc import Iterator
from pathlib import Path

from putback.web.assets import STATIC

SHOWN = "\x02"
_SCRIPTS = STATIC / "putback" / "js"
_WRITTEN = frozenset({"known.js", "german.js", "retell.js", "bundle.js", "tell.js"})
"""Written from the program, or of no words for a page."""
_STRING = re.compile(
    r"//[^\n]*|/\*.*?\*/|\"((?:[^\"\\\n]|\\.)*)\"|(`)"
    r"|/(?![*/\s])(?:[^/\\\n\[]|\\.|\[(?:[^\]\\\n]|\\.)*\])+/[a-z]*(?=[.,;)\s])",
    re.DOTALL,
)
_WORDS = re.compile(r"[a-z.…!?:,]{2,} [a-zA-Z\x02]|\x02 [a-z]{2,}|[a-z]{2,} \x02|^[A-Z][a-z]+")
_NOT_SHOWN = re.compile(
    r"""[\[#./]|\^|\||data-|application/|input:not|button\ |details\[|bold\ |main\ h2|header\ \[
    |form,|dd,\ ul|ticks\ |wrong\ |putback\ |[A-Za-z]+Error$|Content-Type|If-None|X-CSRF|HX-
    |OggS|Enter$|qt\ |\x02/|Escape|Arrow[A-Z]|BarcodeDetector|Bearer|\x02\.|\x02,|\x02\x02""",
    re.VERBOSE,
)
_KINDS = frozenset(
    (
        *("joint undone", "mark made", "opening closed", "standing changed", "put in", "put off"),
        *("signed in", "given up", "end open", "not recorded", "other person", "signed out"),
        *("not allowed", "server full"),
    )
)
"""Of an entry, of a state: names that the program reckons with."""


def script_texts() -> Iterator[tuple[str, str]]:
    """Each string of each script that is words, and which script it is in."""
    for file in sorted(_SCRIPTS.glob("*.js")):
        if file.name not in _WRITTEN:
            yield from ((file.name, each) for each in texts_in(file))


def texts_in(file: Path) -> Iterator[str]:
    """Each string of a script that is words; what is put into one is one sign."""
    for text in _strings(file.read_text(encoding="utf-8")):
        bare = " ".join(text.split())
        if _WORDS.search(bare) and not _NOT_SHOWN.match(bare) and bare not in _KINDS:
            yield bare


def _strings(source: str) -> Iterator[str]:
    at = 0
    while found := _STRING.search(source, at):
        at = found.end()
        if found[1] is not None:
            yield found[1]
        elif found[2]:
            pieces, inner, at = _template(source, at)
            yield SHOWN.join(pieces)
            for each in inner:
                yield from _strings(each)


def _template(source: str, at: int) -> tuple[list[str], list[str], int]:
    """Read a template from behind its first backtick: its pieces, what is put in, its end."""
    pieces, inner = [""], []
    while source[at] != "`":
        if source.startswith("${", at):
            begin, at = at + 2, _closed(source, at + 2)
            inner.append(source[begin : at - 1])
            pieces.append("")
        else:
            pieces[-1] += source[at]
            at += 1
    return pieces, inner, at + 1


def _closed(source: str, at: int) -> int:
    """Find the end of an expression within a template."""
    depth = 1
    while depth:
        match source[at]:
            case "`":
                *_, at = _template(source, at + 1)
                continue
            case "{":
                depth += 1
            case "}":
                depth -= 1
        at += 1
    return at
