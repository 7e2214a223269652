"""What people called the things of a vehicle: it stays in whatever is told again around it."""

from collections.abc import Iterable, Iterator

from putback.language.retell import BREAKS, Reteller

_FIRST = 0xE000
"""Stands for the first name in a text; the private use area of Unicode goes on to U+F8FF."""
_MOST = 0xF8FF - _FIRST + 1


class OwnNames:
    """Names that stay as they are: alone, and where a sentence speaks of them.

    A name with a colon or the like in it would be parted there, and told by halves. While the text
    around it is told, one sign stands for it, which is no letter and which no row has.

    A sentence that somebody wrote, such as a caution, is told where rows have all of it; by halves
    it would be in two languages, and say something else.
    """

    def __init__(self, names: Iterable[str] = (), sentences: Iterable[str] = ()) -> None:
        """Take names and sentences as they were typed."""
        own = frozenset(filter(None, names))
        self._sentences = frozenset(map(_bare, sentences))
        self._alone = frozenset(name.casefold() for name in own)
        broken = {form for name in own for form in _forms(name) if _is_parted(name)}
        self._broken = sorted(broken, key=lambda name: (-len(name), name))

    def tell(self, who: Reteller, text: str) -> str:
        """Tell a text again, and leave the names in it."""
        if " ".join(text.split()).casefold() in self._alone:
            return text
        if _bare(text) in self._sentences and not who.told(text).is_known:
            return text
        kept: list[str] = []
        if _is_parted(text):
            for name in self._broken:
                if name in text and len(kept) < _MOST:
                    text = text.replace(name, chr(_FIRST + len(kept)))
                    kept.append(name)
        told = who.tell(text)
        for at, name in enumerate(kept):
            told = told.replace(chr(_FIRST + at), name)
        return told


def _bare(text: str) -> str:
    """Give a sentence without what a page adds to it: its capital and its full stop."""
    return " ".join(text.split()).removesuffix(".").casefold()


def _is_parted(text: str) -> bool:
    return any(joint.search(text) for joint in BREAKS)


def _forms(name: str) -> Iterator[str]:
    """Give a name as it stands, and as it begins a sentence."""
    yield name
    yield name[:1].upper() + name[1:]
