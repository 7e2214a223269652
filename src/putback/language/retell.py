"""Telling an English text again in another language, by the rows of the catalogue.

A text is looked up as it stands, then as a sentence (its capital and full stop are put back on),
then sentence by sentence, then among the rows with slots: of those that fit, the one with most
letters of its own. A text that no row has is parted where Putback joins texts, and each piece is
told again. What is left is a person's own words, or nobody has translated it yet: it stays as it
is.
"""

import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import chain

from putback.language.catalogue import ENGLISH, SLOT, rows_of
from putback.language.figures import figure_told, measured_told, with_comma

NUMBER = r"[+-]?\d+(?:[.,]\d+)?"
"""What goes into ``{n}``, and into ``{n_...}``."""
TAG = r"[0-9A-Z]{4}"
"""What goes into ``{tag}``."""
BREAKS = tuple(map(re.compile, (r"(?<=[.!?])(?<!\bNo\.) ", " · ", "; ", ": ")))
"""Where texts are joined, weakest joint first; somebody's own words may lie between.

The stop of a size (*No. 8*) joins nothing.
"""
WHOLE = (BREAKS[0], re.compile(r"(?<=;) and "))
"""Where whole sentences are joined: what a row puts in lies within one of them."""
WITHIN = tuple(map(re.compile, (r" \(|\)$", r", ", r" \+ ", r" → ", r" / ", r" (?:and|or) ")))
"""Where words are listed: parted only if every piece is known, since people write so as well."""
LEAD = re.compile(r"[·,;:.] ")
"""What a text begins with that goes on from the one before it."""
_SPACE = re.compile(r"[ \t\n\r\f]+")
"""White space of a page that may be one space: not what keeps digits together (U+202F)."""
_MORE = re.compile(r"(.+) and (\d+ more)")
"""Names of which only the first are told."""
_ARTICLE = re.compile(r"(?:(?<=^)|(?<=, )|(?<= and )|(?<= or ))the ")
_QUOTED = re.compile(r"(?<=”) (?:and|or) (?=“)")
_HARDWARE = re.compile(r"\d+ × ")
"""What a list of fasteners begins with, as Putback writes it."""
_FASTENED = re.compile(r"( \+ |; |, (?=\d+ × ))(?![^(]*\))")
"""What joins fasteners, holes and the way of their heads; not within brackets."""
_FASTENER = re.compile(r"(\d+ × )?(\d+ )?(.+?)(?: \((.+)\))?")
_WORD = re.compile(r"(?<![\w\0])\w+(?![\w\0])")
"""A whole word; a slot, as a null sign, is no end of one."""
LETTERS = 6
"""A row with fewer of its own counts only where all that is put in is known."""
MOST_KEPT = 20_000
"""Texts whose telling is remembered."""


@dataclass(frozen=True, slots=True)
class Told:
    """A text told again, and whether all of it was known."""

    text: str
    is_known: bool


@dataclass(frozen=True, slots=True)
class Pattern:
    """A row with slots."""

    fits: re.Pattern[str]
    slots: tuple[str, ...]
    other: str
    pieces: tuple[str, ...]
    """What stands between the slots: a text without them cannot fit."""
    begins: str
    """The first letter, if the row begins with one."""
    is_short: bool
    """Whether it has so few letters of its own that people write so as well."""


class Reteller:
    """Tells English texts again in one language."""

    def __init__(self, language: str, rows: Mapping[str, str]) -> None:
        """Make the rows with slots ready, those with most letters of their own first."""
        self.language, self.rows = language, rows
        slotted = [row for row in rows.items() if SLOT.search(row[0])]
        slotted.sort(key=lambda row: (-len(SLOT.sub("", row[0])), row[0]))
        self.patterns = tuple(_pattern(*row) for row in slotted)
        self.by_word = _by_word([row[0] for row in slotted])
        self.kinds = _kinds(rows)
        self.told: Callable[[str], Told] = lru_cache(MOST_KEPT)(self._told)

    def tell(self, text: str) -> str:
        """Tell a text again; white space around it stays."""
        return self.told(text).text

    def _told(self, text: str) -> Told:
        bare = _SPACE.sub(" ", text).strip()
        if not bare or self.language == ENGLISH:
            return Told(text, is_known=True)
        if not any(map(str.isalpha, bare)):
            is_one = "," not in bare and bool(figure_told(bare, self.rows))
            told = with_comma(text) if is_one else text
            return Told(told, is_known=True)
        before, after = text[: len(text) - len(text.lstrip())], text[len(text.rstrip()) :]
        ways = (self._row, self._led, self._sentences, self._hardware, self._slotted, self._figure)
        found = next((found for way in ways if (found := way(bare))), None) or self._parted(bare)
        return Told(f"{before}{found.text}{after}", found.is_known)

    def _led(self, bare: str) -> Told | None:
        """Tell what goes on from another text: what joins it to that stays."""
        if (lead := LEAD.match(bare)) is None:
            return None
        rest = self.told(bare[lead.end() :])
        return Told(lead[0] + rest.text, rest.is_known)

    def _sentences(self, bare: str) -> Told | None:
        """Tell several sentences, if all are known: no row with slots is to span them."""
        for joint in WHOLE:
            if joint.search(bare) and all_known(pieces := self._pieces(joint, bare)):
                return Told("".join(each.text for each in pieces), is_known=True)
        return None

    def _row(self, bare: str) -> Told | None:
        """Find the row of a text, as it stands or as a sentence."""
        for said, end in _without_end(bare):
            for begins in (said, said[:1].lower() + said[1:], said[:1].upper() + said[1:]):
                if other := self.rows.get(begins):
                    return Told(_ended(_as_begun(said, begins, other), end), is_known=True)
        return None

    def _slotted(self, bare: str) -> Told | None:
        """Find a row with slots that fits a text, as it stands or as a sentence."""
        found = None
        for said, end in reversed(_without_end(bare)):
            if fits := self._fitting(said):
                told = Told(_ended(fits.text, end), fits.is_known)
                if told.is_known:
                    return told
                found = found or told
        return found

    def _fitting(self, said: str) -> Told | None:
        """Find the row with slots that fits; one of which all is known goes before others."""
        words = {"", *map(str.casefold, _WORD.findall(said))}
        ranks = sorted({rank for word in words for rank in self.by_word.get(word, ())})
        found = None
        for each in map(self.patterns.__getitem__, ranks):
            if not all(piece in said for piece in each.pieces):
                continue
            if (fit := each.fits.fullmatch(said)) is None:
                continue
            if (
                each.is_short
                and "name" in each.slots
                and "; " in fit[1 + each.slots.index("name")]
            ):
                continue  # it would take a list for one name
            told = self._filled(each, fit.groups(), said)
            if told.is_known:
                return told
            found = found or (None if each.is_short else told)
        return found

    def _filled(self, row: Pattern, put_in: tuple[str, ...], said: str) -> Told:
        words = dict(zip(row.slots, put_in, strict=True))
        told = {slot: self._put_in(slot, said) for slot, said in words.items()}
        pieces = SLOT.split(row.other)
        pieces[1::2] = [told[slot].text for slot in pieces[1::2]]
        text = "".join(pieces)
        if row.begins and said[:1] != row.begins and said[:1].isupper():
            text = text[:1].upper() + text[1:]
        return Told(text, all_known(told.values()))

    def _put_in(self, slot: str, said: str) -> Told:
        if slot.startswith("="):
            return self.told(said)
        if is_number(slot):
            return Told(with_comma(said), is_known=True)
        if slot.startswith("some") and (more := _MORE.fullmatch(said)):
            said = self._and_more(more)
        return Told(self._listed(said) if slot.startswith("names") else said, is_known=True)

    def _and_more(self, names: re.Match[str]) -> str:
        return f"{names[1]} {self.rows.get('and', 'and')} {self.tell(names[2])}"

    def _listed(self, names: str) -> str:
        """Tell what joins names: *and* before the last, *or* before any, how many more.

        Where names stand in quotation marks, only what is between them.

        English names come with an article in the middle of a sentence; that is left out.
        """
        names = _ARTICLE.sub("", names)
        if more := _MORE.fullmatch(names):
            return self._and_more(more)
        if "”" in names:
            told = _QUOTED.sub(lambda each: self._joint(each[0]).text, names)
            return "".join(self.rows.get(each, each) if each in "“”" else each for each in told)
        first, joint, last = names.rpartition(" and ")
        joined = f"{first}{self._joint(joint).text}{last}"
        return self._joint(" or ").text.join(joined.split(" or "))

    def _figure(self, bare: str) -> Told | None:
        for said, end in _without_end(bare):
            if told := figure_told(said, self.rows) or measured_told(said, self.rows):
                return Told(_ended(told, end), is_known=True)
        return None

    def _hardware(self, bare: str) -> Told | None:
        """Tell fasteners one by one; what somebody added in brackets stays, as do joints."""
        if not _HARDWARE.match(bare):
            return None
        said, end = (bare[:-1], bare[-1]) if bare.endswith(").") else (bare, "")
        listed, of, joint = said.partition(", of ")
        joined = _FASTENED.split(listed)
        found = [self._fastener(each) for each in joined[::2]]
        if not any(each.is_known for each in found[: 1 + joined.count(" + ")]):
            return None
        joined[::2] = [each.text for each in found]
        if of:
            joined += [f", {self.rows.get('of', 'of')} ", joint]
        return Told(f"{''.join(joined)}{end}", is_known=True)

    def _fastener(self, said: str) -> Told:
        """Tell one of a list, or what is said behind the list."""
        fit = _FASTENER.fullmatch(said)
        if fit is None or (spec := self._spec(fit[3])) is None:
            return self.told(said) if not _HARDWARE.match(said) else Told(said, is_known=False)
        notes = f" ({self._words_of_a_piece(fit[4])})" if fit[4] else ""
        return Told(f"{fit[1] or ''}{fit[2] or ''}{spec}{notes}", is_known=True)

    def _spec(self, said: str) -> str | None:
        """Tell the kind of a fastener and its size; what was typed behind these stays."""
        head, comma, rest = said.partition(", ")
        kind = head if head in self.kinds else head[:1].lower() + head[1:]
        thing = self.rows[kind] if kind in self.kinds else measured_told(head, self.rows)
        return f"{thing}{comma}{self._words_of_a_piece(rest)}" if thing else None

    def _words_of_a_piece(self, said: str) -> str:
        """Tell each of some words of a piece that has a row."""
        words = said.split(", ") if said else []
        found = ((self._row(each) or self._figure(each), each) for each in words)
        return ", ".join(told.text if told else each for told, each in found)

    def _parted(self, bare: str) -> Told:
        for joint in BREAKS:
            if joint.search(bare):
                pieces = self._pieces(joint, bare)
                return Told("".join(each.text for each in pieces), all_known(pieces))
        for joint in WITHIN:
            if joint.search(bare) and all_known(pieces := self._pieces(joint, bare)):
                return Told("".join(each.text for each in pieces), is_known=True)
        spec = self._spec(bare) if ", " in bare else None
        return Told(bare, is_known=False) if spec is None else Told(spec, is_known=True)

    def _pieces(self, joint: re.Pattern[str], bare: str) -> list[Told]:
        """Part a text, and tell the pieces; what joined them stays, but for *and* and *or*."""
        pieces, at = [], 0
        for found in joint.finditer(bare):
            pieces += [self.told(bare[at : found.start()]), self._joint(found[0])]
            at = found.end()
        return [*pieces, self.told(bare[at:])]

    def _joint(self, joint: str) -> Told:
        word = joint.strip()
        other = self.rows.get(word, word) if word in ("and", "or") else word
        return Told(joint.replace(word, other), is_known=True)


def all_known(pieces: Iterable[Told]) -> bool:
    """Tell whether every piece of a text was known."""
    return all(each.is_known for each in pieces)


@cache
def reteller(language: str) -> Reteller:
    """Give the one who tells again in a language; in English everything stays as it is."""
    return Reteller(language, {} if language == ENGLISH else rows_of(language))


def _without_end(bare: str) -> list[tuple[str, str]]:
    """Give a text as it stands, and without the stop at its end."""
    stops = ".:!?…,;"
    return [(bare, ""), (bare[:-1], bare[-1])] if bare[-1] in stops else [(bare, "")]


def _ended(text: str, end: str) -> str:
    """Put a stop at the end, but no second one behind an abbreviation."""
    return text if end == "." and text.endswith(".") else text + end


def _as_begun(said: str, row: str, other: str) -> str:
    """Begin with a capital what began with one, and was found without."""
    was_raised = said[:1].isupper() and row[:1].islower()
    return other[:1].upper() + other[1:] if was_raised else other


def _pattern(english: str, other: str) -> Pattern:
    slots, literals = tuple(SLOT.findall(english)), SLOT.split(english)[::2]
    first = english[:1] if english[:1].isalpha() else ""
    body = "".join(
        re.escape(literal) + (f"({_what_fits(slots[at])})" if at < len(slots) else "")
        for at, literal in enumerate(literals)
    )
    if first:
        body = f"[{first.lower()}{first.upper()}]{body[1:]}"
    pieces = tuple(each for each in literals[1:] if each) + ((literals[0][1:],) if first else ())
    is_short = sum(map(str.isalpha, "".join(literals))) < LETTERS
    return Pattern(re.compile(body), slots, other, pieces, first, is_short)


def _kinds(rows: Mapping[str, str]) -> frozenset[str]:
    """Give what is counted, one and many: fasteners by their kinds, and what else there is."""
    many = {f"{{n}} {row}" for row in rows if f"{{n}} {row}" in rows}
    return frozenset(
        row
        for row in rows
        if f"{{n}} {row}" in many
        and not rows.keys().isdisjoint((f"{{n}} {row}s", f"{{n}} {row}es"))
    )


def _by_word(rows: Sequence[str]) -> Mapping[str, list[int]]:
    """Give the places of rows by a word that a text must have to fit: each row by its rarest.

    Rows without a whole word of their own are under the empty one.
    """
    words = [{each.casefold() for each in _WORD.findall(SLOT.sub("\0", row))} for row in rows]
    times = Counter(chain.from_iterable(words))
    found: dict[str, list[int]] = {}
    for place, own in enumerate(words):
        word = min(own, key=lambda each: (times[each], each), default="")
        found.setdefault(word, []).append(place)
    return found


def _what_fits(slot: str) -> str:
    if slot == "tag":
        return TAG
    return NUMBER if is_number(slot) else ".+?"


def is_number(slot: str) -> bool:
    """Tell whether a number is put in: ``{n}``, and ``{n_of}`` where there are several."""
    return slot == "n" or slot.startswith("n_")
