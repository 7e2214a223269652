"""Which letters no font of this machine has, told before a paper without them is hung up."""

import json
import unicodedata
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory

import typst

_SCRIPTS, _EAST_ASIA = "fonts-noto-core", "fonts-noto-cjk (or fonts-droid-fallback, smaller)"
_PICTOGRAMS = "fonts-noto-color-emoji"
_EAST_ASIAN = ("CJK", "HIRAGANA", "KATAKANA", "HANGUL", "BOPOMOFO", "FULLWIDTH", "HALFWIDTH")
_DRAWN = frozenset("LNPS")
"""First letters of the general categories of what is seen by itself (Unicode, chapter 4)."""
_PROBE = """#set document(title: "letters")
#set text(font: json(bytes(sys.inputs.families)))
#sys.inputs.letters
"""


def letters_without_font(
    text: str, fonts: typst.Fonts, families: Sequence[str]
) -> tuple[str, ...]:
    """Name the letters of a text that none of these fonts has, in the order of Unicode.

    Typst refuses such a letter in PDF/A, which forbids it (ISO 19005-2, 6.2.11.8), so it is asked.
    """
    asked = sorted(
        each for each in set(text) if each > "\x7f" and unicodedata.category(each)[0] in _DRAWN
    )
    return _lacking("".join(asked), fonts, tuple(families))


@lru_cache(maxsize=256)
def _lacking(letters: str, fonts: typst.Fonts, families: tuple[str, ...]) -> tuple[str, ...]:
    if not letters or _are_all_there(letters, fonts, families):
        return ()
    if len(letters) == 1:
        return (letters,)
    half = len(letters) // 2
    return (
        *_lacking(letters[:half], fonts, families),
        *_lacking(letters[half:], fonts, families),
    )


def _are_all_there(letters: str, fonts: typst.Fonts, families: Sequence[str]) -> bool:
    inputs = {"letters": " ".join(letters), "families": json.dumps(families)}
    with TemporaryDirectory(prefix="putback-letters-") as scratch:
        probe = Path(scratch) / "probe.typ"
        probe.write_text(_PROBE, encoding="utf-8")
        try:
            typst.Compiler(str(probe), root=scratch, font_paths=fonts, sys_inputs=inputs).compile(
                format="pdf", pdf_standards=["a-2b"]
            )
        except typst.TypstError:
            return False
    return True


_NAMED = 8
"""So many letters are named; further ones are counted."""


def code_points(letters: Sequence[str]) -> str:
    """Name letters that cannot be printed: by what Unicode calls them, in few words.

    Examples
    --------
    >>> code_points(["ঝ", "前"])
    'U+099D, U+524D'
    """
    named = ", ".join(f"U+{ord(each):04X}" for each in letters[:_NAMED])
    return f"{named} …" if len(letters) > _NAMED else named


def told(letters: Sequence[str]) -> str:
    """Say which letters are missing and which packages of Debian have most of them.

    Examples
    --------
    >>> told(["ঝ"])
    'no font here has ঝ (U+099D): an empty box stands for it; on Debian, install fonts-noto-core'
    """
    shown = ", ".join(f"{each} (U+{ord(each):04X})" for each in letters[:_NAMED])
    more = f" and {len(letters) - _NAMED} more" if len(letters) > _NAMED else ""
    packages = dict.fromkeys(map(_package_of, letters))
    it = "it" if len(letters) == 1 else "each"
    return (
        f"no font here has {shown}{more}: an empty box stands for {it}; on Debian, install "
        f"{' and '.join(packages)}"
    )


def _package_of(letter: str) -> str:
    """The package of Debian that most likely has it (from memory)."""
    if unicodedata.category(letter) == "So":
        return _PICTOGRAMS
    name = unicodedata.name(letter, "")
    return _EAST_ASIA if name.startswith(_EAST_ASIAN) else _SCRIPTS
