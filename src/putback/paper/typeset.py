"""The only door to Typst: a template and what it is given, set as PDF.

Templates lie in ``templates``, what they share in ``templates/parts``. They get their content as
JSON, never as markup, so that a name with a ``#`` in it is a name. Letters that B612 does not
have are taken from fonts of this machine: of those named in `FALLBACKS` where they are there,
else of any that has the letter; what no font has is told as a warning.
"""

import json
import logging
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, fields, is_dataclass, replace
from enum import Enum
from functools import cache
from pathlib import Path
from shutil import copytree
from tempfile import TemporaryDirectory
from types import MappingProxyType
from typing import Any

import typst

from putback.errors import PutbackError
from putback.paper.letters import letters_without_font, told

_LOG = logging.getLogger(__name__)
HERE = Path(__file__).parent
TEMPLATES = HERE / "templates"
FONTS = HERE / "fonts"
FALLBACKS = (
    "Noto Sans",
    "Noto Sans Hebrew",
    "Noto Sans Arabic",
    "Noto Sans CJK JP",
    "Droid Sans Fallback",
    "DejaVu Sans",
)
"""Families asked for letters that B612 does not have, first to last; Debian packages them as
``fonts-noto-core``, ``fonts-noto-cjk``, ``fonts-droid-fallback`` and ``fonts-dejavu-core``."""

PICTURES = "pictures"
"""The folder, beside the templates, in which they find pictures."""
NO_PICTURES: Mapping[str, bytes] = MappingProxyType({})
_LONG_WORD = 20
"""Words of so many letters may be broken anywhere, lest they run over their column [letters]."""
_BREAK = "\u200b"


class Drawing(str):
    """An SVG: a string that is drawn, not written."""

    __slots__ = ()


@dataclass(eq=False)
class CannotTypeset(PutbackError):
    """Typst refused a document: a fault of a template, or a font that is broken."""

    template: str
    said: str

    def fault(self) -> str:
        """What is wrong with it."""
        return f"the paper {self.template!r} could not be set: {self.said}"

    def remedy(self) -> str:
        """How to mend it."""
        return "nothing is lost; please report it"


def typeset(
    template: str,
    content: object,
    pictures: Mapping[str, bytes] = NO_PICTURES,
    respell: Callable[[str], str] = str,
) -> bytes:
    """Set a document.

    Parameters
    ----------
    template : str
        Name of a template, without its ending.
    content : dataclass instance
        What it is given, field by field.
    pictures : mapping of str to bytes
        PNG, JPEG or WebP, each under the name by which the template asks for it: letters, digits,
        hyphens and an ending.
    respell : callable, optional
        What is done to all that is written, and not drawn.

    Returns
    -------
    bytes
        A PDF. The same content gives the same bytes, on a machine with the same fonts.

    Raises
    ------
    CannotTypeset
        If Typst refuses it.
    """
    fonts, fallbacks = _fonts()
    written = json.dumps(plain(content, respell), ensure_ascii=False)
    letters_missing(written)
    inputs = {
        "content": written,
        "fallbacks": json.dumps(fallbacks),
    }
    try:
        with _root(pictures) as root:
            compiler = typst.Compiler(
                str(root / f"{template}.typ"),
                root=str(root),
                font_paths=fonts,
                sys_inputs=inputs,
            )
            done = compiler.compile(format="pdf")
    except typst.TypstError as error:
        raise CannotTypeset(template, error.message) from error
    if not isinstance(done, bytes):
        raise CannotTypeset(template, "it gave no PDF")
    return done


@contextmanager
def _root(pictures: Mapping[str, bytes]) -> Iterator[Path]:
    """The folder of all that a template may read: templates, and pictures if any."""
    if not pictures:
        yield TEMPLATES
        return
    with TemporaryDirectory(prefix="putback-paper-") as scratch:
        root = Path(scratch) / "paper"
        copytree(TEMPLATES, root)
        (root / PICTURES).mkdir()
        for name, picture in pictures.items():
            (root / PICTURES / name).write_bytes(picture)
        yield root


def plain(value: Any, respell: Callable[[str], str] = str) -> Any:
    """Turn records into what JSON can hold; what is written may break within long words."""
    if isinstance(value, (Drawing, Enum)):
        return str(value)
    if isinstance(value, str):
        return breakable(respell(value))
    if is_dataclass(value):
        return {each.name: plain(getattr(value, each.name), respell) for each in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(each, respell) for key, each in value.items()}
    if isinstance(value, (tuple, list)):
        return [plain(each, respell) for each in value]
    return value


def respelled(value: Any, respell: Callable[[str], str]) -> Any:
    """Do to all that is written in a record what `typeset` does."""
    if isinstance(value, str) and not isinstance(value, (Drawing, Enum)):
        return respell(value)
    if is_dataclass(value) and not isinstance(value, type):
        said = {each.name: getattr(value, each.name) for each in fields(value)}
        return replace(value, **{name: respelled(each, respell) for name, each in said.items()})
    if isinstance(value, tuple):
        return tuple(respelled(each, respell) for each in value)
    return value


def breakable(text: str) -> str:
    """Let a word that is too long for any column be broken; ordinary words stay as they are.

    Examples
    --------
    >>> breakable("bolt M8") == "bolt M8"
    True
    >>> len(breakable("x" * 40))
    59
    """
    if len(text) < _LONG_WORD:
        return text
    return " ".join(
        _BREAK.join(word[at : at + 2] for at in range(0, len(word), 2))
        if len(word) >= _LONG_WORD
        else word
        for word in text.split(" ")
    )


@cache
def _fonts() -> tuple[typst.Fonts, tuple[str, ...]]:
    """The fonts of the package and of this machine, read once; and the fallbacks among them."""
    found = typst.Fonts(
        include_system_fonts=True, include_embedded_fonts=False, font_paths=[str(FONTS)]
    )
    there = set(found.families())
    return found, tuple(each for each in FALLBACKS if each in there)


def letters_missing(text: str) -> tuple[str, ...]:
    """Name the letters of a text that no font of this machine has, and warn of them."""
    fonts, fallbacks = _fonts()
    missing = letters_without_font(text, fonts, ("B612", *fallbacks))
    if missing:
        _LOG.warning("%s", told(missing))
    return missing


def typeset_for_keeping(template: str, root: Path, may_be_archive: bool = True) -> None:
    """Set a document as PDF/A-2b (ISO 19005-2), from a folder and into it.

    The folder holds the templates, ``content.json`` and pictures; ``TEMPLATE.pdf`` is written
    there. Where the caller knows that it cannot be PDF/A, or Typst refuses to make one, it becomes
    an ordinary PDF; the template is told what Typst said (``refused``, else empty).

    Raises
    ------
    CannotTypeset
        If Typst refuses it either way.
    """
    fonts, fallbacks = _fonts()
    inputs = {
        "content": (root / "content.json").read_text(encoding="utf-8"),
        "fallbacks": json.dumps(fallbacks),
    }
    target = str(root / f"{template}.pdf")

    def compiler(refused: str = "") -> typst.Compiler:
        return typst.Compiler(
            str(root / f"{template}.typ"), root=str(root), font_paths=fonts,
            sys_inputs={**inputs, "refused": refused},
        )  # fmt: skip

    try:
        if not may_be_archive:
            compiler().compile(output=target, format="pdf")
            return
        try:
            compiler().compile(output=target, format="pdf", pdf_standards="a-2b")
        except typst.TypstError as error:
            compiler(error.message).compile(output=target, format="pdf")
    except typst.TypstError as error:
        raise CannotTypeset(template, error.message) from error
