"""Numbers as people write them in a workshop: ``1 1/2``, ``1½``, ``5/16``, ``.040``, ``25,4``.

Read as fractions, never as floats, so that an inch typed as a fraction stays exact for as long as
anybody wants it to.
"""

import re
import unicodedata
from fractions import Fraction

NUMBER = r"(?:(?:\d+[ -])?\d+/[1-9]\d*|\d*[.,]\d+|\d+\.?)"
"""One number without a sign: mixed, vulgar, decimal (point or comma), whole."""

CROSS = re.compile(r"(?<![A-Za-z]) ?x ?(?![A-Za-z])", re.IGNORECASE)
"""What stands between the numbers of ``6 x 28`` and ``M8x30``; no letter of a word."""

_LOOKALIKES = str.maketrans(
    {"″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'", "–": "-", "−": "-", "×": "x"}
    | {"⋅": "·", "•": "·", "⁄": "/", "²": "2", "³": "3", "\u00a0": " ", "\u202f": " "}
)
_VULGAR = re.compile("[¼-¾⅐-⅞]")
_GROUPED = re.compile(r"(?<!\d)[1-9]\d{0,2},\d{3}(?!\d)")


def tidy(text: str) -> str:
    """Write what people type with one kind of quote, dash, fraction and space.

    Examples
    --------
    >>> tidy(" 1½″ ")
    '1 1/2"'
    """
    spelt = _VULGAR.sub(lambda sign: f" {unicodedata.normalize('NFKC', sign[0])}", text)
    return " ".join(spelt.translate(_LOOKALIKES).replace("''", '"').split())


def is_grouped(text: str) -> bool:
    """Tell whether a comma may part thousands, so that ``1,500`` has two meanings."""
    return _GROUPED.search(text) is not None


def in_groups(number: int) -> str:
    """Write a large whole number in groups of three digits, parted by a narrow space.

    A comma or a point between would be a decimal sign in one of the languages. Four digits stand
    together (ISO 80000-1:2009, 7.3.1).

    Examples
    --------
    >>> in_groups(2664), in_groups(10000).split()
    ('2664', ['10', '000'])
    """
    return str(number) if abs(number) < 10_000 else f"{number:_}".replace("_", "\u202f")


def read_number(text: str) -> Fraction:
    """Read one number that matches `NUMBER`, exactly.

    Examples
    --------
    >>> read_number("1 1/4")
    Fraction(5, 4)
    """
    whole, _, vulgar = text.replace("-", " ").rpartition(" ")
    return Fraction(whole or 0) + Fraction(vulgar.replace(",", ".").rstrip("."))


def plain_decimal(number: str) -> str:
    """Write a decimal without needless noughts.

    Examples
    --------
    >>> plain_decimal("1.50"), plain_decimal(".5"), plain_decimal("04,0")
    ('1.5', '0.5', '4')
    """
    whole, _, decimals = number.replace(",", ".").partition(".")
    return f"{int(whole or 0)}.{decimals.rstrip('0')}".rstrip(".")


def fraction_text(number: Fraction) -> str:
    """Write a fraction as the trade does.

    Examples
    --------
    >>> fraction_text(Fraction(5, 4)), fraction_text(Fraction(5, 16)), fraction_text(Fraction(2))
    ('1 1/4', '5/16', '2')
    """
    whole, part = divmod(number, 1)
    return " ".join(str(term) for term in (whole, part) if term) or "0"
