"""What Putback says, gathered: from its templates, from the errors it raises, and from its pages.

``python -m tests.language.texts [templates] [errors] [demo] [empty]`` prints what
nobody has translated into German yet, a text a line.
"""

import ast
import json
import re
import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from functools import cache, lru_cache
from html import unescape
from itertools import product
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from django.test import Client
from django.test.utils import override_settings
from django.urls import resolve

import putback
from putback.language import GERMAN, Reteller, reteller
from putback.vehicle.demo import demo_vehicle
from putback.web.pages.in_language import page_told
from putback.web.settings import WEB
from putback.workshop.exchange.story import Sent, demo_story
from tests.language.forms import SHOWN as _SHOWN
from tests.language.forms import Tags

SOURCES = Path(putback.__file__).parent
WORDS_OF_THE_SITE = frozenset(
    (
        "Old Dunlin",
        "old-dunlin",
        "Ned's barn find",
        "Olive Owner",
        "Will Worker",
        "Vera Viewer",
        "Ned",
    )
)
"""Names in `tests.web.site`."""
WORDS, NUMBER = "XYZZ", "7"
"""What is put in for a value that is not known before; words may be a tag as well."""
_PUT_IN = frozenset({WORDS})
CODE = re.compile(
    r"[\da-f]{8}-[\da-f-]{27}|[\da-f]{16,}|/\S*|[0-9A-Z]{4}|[a-z]+:[\w-]+|[A-Za-z]+_[a-z]+|\d+\.webp"
)
"""An identity, an address, a tag, what a record calls a thing, the name of a picture."""
_MOST_LINES = 30
"""Of a statement that raises."""
_ATTRIBUTES = re.compile(r'[a-z-]+="|required$|with-bar$')
_NEVER = frozenset(("Holds .", f"{_SHOWN} entry, page {_SHOWN} of {_SHOWN}, newest first."))
"""Forms that no page takes: of no parts, and of pages with one entry."""


class Listener(Reteller):
    """Hears every text that is to be told again, and leaves it as it is."""

    def __init__(self) -> None:
        """Begin with nothing heard."""
        super().__init__(GERMAN, {})
        self.heard: list[str] = []

    def tell(self, text: str) -> str:
        """Hear a text."""
        self.heard.append(text)
        return text


def texts_of(page: str) -> list[str]:
    """What stands between the tags of a page, and in the attributes that are shown."""
    listener = Listener()
    page_told(page, listener)
    return [" ".join(each.split()) for each in listener.heard if each.strip()]


class Knowing(Reteller):
    """Tells again in German, and knows somebody's own words; they stay as they are."""

    def __init__(self, own: Iterable[str] = ()) -> None:
        """Share what is made ready once for all."""
        who = reteller(GERMAN)
        self.language, self.rows = GERMAN, {each: each for each in own} | dict(who.rows)
        self.patterns, self.by_word, self.kinds = who.patterns, who.by_word, who.kinds
        self.told = lru_cache(None)(self._told)


def is_known(text: str, own: frozenset[str] = frozenset()) -> bool:
    """Tell whether a text is translated, but for somebody's own words in it."""
    return _knowing(own).told(text).is_known


_knowing = cache(Knowing)


def template_texts() -> Iterator[tuple[str, str]]:
    """Each form of each text of each template, and which template it is in."""
    for file in sorted((WEB / "templates").rglob("*.html")):
        yield from ((file.name, each) for each in forms_in(file.read_text()))


def forms_in(source: str) -> Iterator[str]:
    """Each form of each text of a template; some texts are attributes that a tag puts in."""
    tags = Tags(source)
    forms = {each for text in texts_of(tags.source) for each in tags.forms(text)}
    for form in sorted(forms - _NEVER):
        if any(map(str.isalpha, form)) and not _ATTRIBUTES.match(form):
            yield form


def raised_texts() -> Iterator[tuple[str, str]]:
    """Each text that an error is raised with, and the module that raises it."""
    for file in sorted(SOURCES.rglob("*.py")):
        if "cli" in file.relative_to(SOURCES).parts:
            continue
        for raised in _raised(file.read_text(encoding="utf-8").splitlines()):
            for given in (*raised.args, *(each.value for each in raised.keywords)):
                if (text := _spelled(given)) and " " in text:
                    yield str(file.relative_to(SOURCES)), text


def _raised(lines: list[str]) -> Iterator[ast.Call]:
    """Each error that is made where it is raised; only these lines are parsed."""
    for at, line in enumerate(lines):
        if not line.lstrip().startswith("raise "):
            continue
        for end in range(at + 1, at + _MOST_LINES):
            with suppress(SyntaxError):
                read = ast.parse("\n".join([line.lstrip(), *lines[at + 1 : end]])).body[0]
                if isinstance(read, ast.Raise) and isinstance(read.exc, ast.Call):
                    yield read.exc
                break


def _spelled(given: ast.expr) -> str:
    match given:
        case ast.Constant(value=str(text)):
            return text
        case ast.JoinedStr(values=values):
            return "".join(
                str(each.value) if isinstance(each, ast.Constant) else _SHOWN for each in values
            )
        case _:
            return ""


def is_known_somehow(text: str) -> bool:
    """Tell whether a text is translated, whatever is put in for the values in it."""
    first, *rest = text.split(_SHOWN)
    ways = product((NUMBER, WORDS), repeat=len(rest)) if len(rest) < 7 else [(WORDS,) * len(rest)]
    return any(
        is_known(first + "".join(map("".join, zip(way, rest, strict=True))), _PUT_IN)
        for way in ways
    )


def words_of_the_demo() -> frozenset[str]:
    """Every text in the demo's description and its story: people's own words."""
    found: set[str] = set()
    _gather(demo_vehicle(), found)
    for event in demo_story():
        if isinstance(event, Sent):
            _gather([_said(json.loads(line)) for line in event.lines], found)
    return frozenset(found)


def _said(entry: Mapping[str, Any]) -> list[Any]:
    """Who made an entry, and what it says but for its kind."""
    body = (said for field, said in entry["body"].items() if field != "kind")
    return [entry.get("who", ""), *body]


def _gather(thing: object, found: set[str]) -> None:
    if isinstance(thing, str):
        found.update((str(thing), str(thing)[:1].upper() + str(thing)[1:]))
    elif hasattr(thing, "__dataclass_fields__"):
        for name in thing.__dataclass_fields__:
            _gather(getattr(thing, name), found)
    elif hasattr(thing, "items"):
        for each in thing.items():
            _gather(each, found)
    elif isinstance(thing, Iterable):
        for each in thing:
            _gather(each, found)


def pages_of(browser: Client, begin: str, most_alike: int) -> Iterator[tuple[str, str]]:
    """Walk from link to link: each page's path and its HTML, at most so many of one address."""
    waiting, seen, counted = [begin], {begin}, Counter[str]()
    while waiting:
        path = waiting.pop(0)
        name = resolve(path.partition("?")[0]).view_name
        counted[name] += 1
        if counted[name] > most_alike:
            continue
        answer = browser.get(path)
        if answer.status_code != 200 or not answer["Content-Type"].startswith("text/html"):
            continue
        page = answer.content.decode()
        yield path, page
        for found in re.findall(r'(?:href|hx-get)="(/[^"#]*)', page):
            link = unescape(found)
            if link not in seen and not link.startswith(("/static", "/api", "/worker")):
                seen.add(link)
                waiting.append(link)


def walked(which: str) -> Iterator[tuple[str, str]]:
    """Walk a site of its own: `demo`, in the middle of its strip, or `empty`."""
    from putback.web.store import setup
    from tests.ready_made import lay_file

    with TemporaryDirectory() as folder:
        home = Path(folder) / "home"
        lay_file(home)
        opened = setup(home, "")
        from tests.web.conftest import FOR_TESTS
        from tests.web.site import Site

        with override_settings(**FOR_TESTS):
            site = Site(home, opened)
            vehicle = site.demo() if which == "demo" else site.vehicle
            yield from pages_of(site.browser(), f"/v/{vehicle}/", most_alike=12)
        opened.close()


def untold(which: str) -> Iterator[str]:
    """What nobody has translated yet, of one source."""
    match which:
        case "templates":
            yield from (text for _, text in template_texts() if not is_known_somehow(text))
        case "errors":
            yield from (text for _, text in raised_texts() if not is_known_somehow(text))
        case _:
            own = words_of_the_demo() | WORDS_OF_THE_SITE
            for _, page in walked(which):
                yield from (
                    each
                    for each in texts_of(page)
                    if not CODE.fullmatch(each) and not is_known(each, own)
                )


if __name__ == "__main__":
    for text in sorted({each for which in sys.argv[1:] for each in untold(which)}):
        print(text.replace(_SHOWN, "{}"))
