"""Every form that a text of a template can take: each way through the tags within it.

A text is what stands between two HTML tags. Of a condition within it both ways are gone, and
everywhere alike where it is asked again; a loop is gone through never, once and twice.
"""

import re
from collections.abc import Iterator, Mapping
from itertools import product

SHOWN, _TAG, _CUT = "\x02", "\x01", "\x03"
_SPOKEN = re.compile(rf"{_TAG}(\d+){_TAG}")
_LITERAL = re.compile(r'\|default:"([^"]*)"')
_PLURAL = re.compile(r'\|pluralize(?::"([^"]*)")?')
_BEGINS = {"endif": "if x", "else": "if x", "elif": "if x", "endfor": "for x", "empty": "for x"}
_ENDS = {"if": "endif", "for": "endfor"}
_CUTS = frozenset({"include", "block", "endblock", "extends"})
_LAST, _FIRST = "forloop.last", "forloop.first"


class Tags:
    """The tags of one template, for which signs stand while its texts are gathered."""

    def __init__(self, source: str) -> None:
        """Put signs for its tags."""
        self.tags: list[str] = []
        bare = re.sub(r"{% comment %}.*?{% endcomment %}", "", source, flags=re.DOTALL)
        self.source = re.sub(r"{%(.*?)%}|{{(.*?)}}", self._sign, bare)

    def _sign(self, found: re.Match[str]) -> str:
        said = " ".join((found[1] or f"show {found[2]}").split())
        self.tags.append(said)
        return f"{_TAG}{len(self.tags) - 1}{_TAG}"

    def forms(self, text: str) -> set[str]:
        """Give every form of a text that has signs in it."""
        pieces = _SPOKEN.split(text)
        tokens = [
            piece if at % 2 == 0 else _token(self.tags[int(piece)])
            for at, piece in enumerate(pieces)
        ]
        tokens = _balanced([each for each in tokens if each])
        asked: dict[str, tuple[int, ...]] = {}
        for each in tokens:
            if isinstance(each, tuple):
                asked.update(_asked(each))
        found: set[str] = set()
        for way in product(*asked.values()):
            said = "".join(_said(iter(tokens), dict(zip(asked, way, strict=True)), {}))
            found.update(" ".join(each.split()) for each in said.split(_CUT))
        return found


def _token(tag: str) -> tuple[str, str] | str:
    name, _, more = tag.partition(" ")
    if name in _CUTS:
        return _CUT
    if name == "widthratio" or (name == "url" and " as " not in more):
        return SHOWN
    return (name, more) if name in (*_BEGINS, *_ENDS, "show") else ""


def _balanced(tokens: list[tuple[str, str] | str]) -> list[tuple[str, str] | str]:
    """Begin what is only ended, and end what is only begun: both lie beyond the text."""
    before, open_now = [], []
    for each in tokens:
        if not isinstance(each, tuple):
            continue
        name = each[0]
        if name in _ENDS:
            open_now.append(name)
        elif name in _BEGINS:
            begin, _, more = _BEGINS[name].partition(" ")
            if not open_now:
                before.insert(0, (begin, f"{more} {len(before)}"))
                open_now.append(begin)
            if name in _ENDS.values():
                open_now.pop()
    return [*before, *tokens, *((_ENDS[each], "") for each in reversed(open_now))]


def _asked(tag: tuple[str, str]) -> Iterator[tuple[str, tuple[int, ...]]]:
    """What a tag asks, and what may be answered."""
    name, more = tag
    if name in ("if", "elif"):
        yield from ((f"if {each}", (0, 1)) for either in _atoms(more) for each, _ in either)
    elif name == "for":
        yield f"for {more}", (0, 1, 2)
    elif name == "show" and _PLURAL.search(more):
        yield f"plural {more.partition('|')[0]}", (0, 1)
    elif name == "show" and _LITERAL.search(more):
        yield f"default {more}", (0, 1)


def _said(
    tokens: Iterator[tuple[str, str] | str], way: Mapping[str, int], loop: Mapping[str, bool]
) -> Iterator[str]:
    """Say a text one way, up to where a condition or a loop around it ends."""
    for each in tokens:
        if isinstance(each, str):
            yield each
        elif each[0] == "if":
            yield from _condition(each[1], _block(tokens, "if"), way, loop)
        elif each[0] == "for":
            yield from _loop(each[1], _block(tokens, "for"), way)
        else:
            yield _value(each[1], way)


def _block(tokens: Iterator[tuple[str, str] | str], name: str) -> list[tuple[str, str] | str]:
    """Take what stands up to the end of a condition or loop, others within it included."""
    found: list[tuple[str, str] | str] = []
    depth = 1
    for each in tokens:
        if isinstance(each, tuple):
            depth += (each[0] == name) - (each[0] == _ENDS[name])
            if not depth:
                break
        found.append(each)
    return found


def _branches(
    tokens: list[tuple[str, str] | str], asked: str, between: tuple[str, ...]
) -> list[tuple[str, list[tuple[str, str] | str]]]:
    """Part a block at its own tags: what each branch asks, and what it says."""
    found: list[tuple[str, list[tuple[str, str] | str]]] = [(asked, [])]
    depth = 0
    for each in tokens:
        if isinstance(each, tuple):
            depth += (each[0] in _ENDS) - (each[0] in _ENDS.values())
            if not depth and each[0] in between:
                found.append((each[1], []))
                continue
        found[-1][1].append(each)
    return found


def _condition(
    asked: str,
    block: list[tuple[str, str] | str],
    way: Mapping[str, int],
    loop: Mapping[str, bool],
) -> Iterator[str]:
    for asks, says in _branches(block, asked, ("elif", "else")):
        if not asks or _holds(asks, way, loop):
            yield from _said(iter(says), way, loop)
            return


def _atoms(asks: str) -> list[list[tuple[str, bool]]]:
    """Part a condition: of which pieces one must hold, each of pieces that must all hold or not.

    A piece is what is asked, and whether it is to be so.
    """
    return [
        [(each.removeprefix("not "), not each.startswith("not ")) for each in one.split(" and ")]
        for one in asks.split(" or ")
    ]


def _holds(asks: str, way: Mapping[str, int], loop: Mapping[str, bool]) -> bool:
    return any(
        all(loop.get(each, bool(way[f"if {each}"])) is so for each, so in one)
        for one in _atoms(asks)
    )


def _loop(asked: str, block: list[tuple[str, str] | str], way: Mapping[str, int]) -> Iterator[str]:
    (_, each), *empty = _branches(block, asked, ("empty",))
    times = way[f"for {asked}"]
    if not times and empty:
        yield from _said(iter(empty[0][1]), way, {})
    for at in range(times):
        yield from _said(iter(each), way, {_FIRST: at == 0, _LAST: at == times - 1})


def _value(more: str, way: Mapping[str, int]) -> str:
    if plural := _PLURAL.search(more):
        one, _, many = (plural[1] or ",s").rpartition(",") if plural[1] else ("", "", "s")
        return many if way[f"plural {more.partition('|')[0]}"] else one
    if (literal := _LITERAL.search(more)) and way[f"default {more}"]:
        return literal[1]
    return f"{SHOWN}." if more.endswith("|sentence") else SHOWN
