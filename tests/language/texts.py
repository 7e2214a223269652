"""What Putback says, gathered: from its templates, from the errors it raises, and from its pages.

``python -m tests.language.texts [templates] [errors] [demo] [empty]`` prints what
nobody has translated into German yet, a text a line.
"""

import ast
import re
import sys
from collections import Counter
from collections.abc import Iterable, Iterator
from functools import cache
from html import unescape
from pathlib import Path
from tempfile import TemporaryDirectory

from django.test import Client
from django.urls import resolve

import putback
from putback.language import GERMAN, Reteller, rows_of
from putback.vehicle.demo import demo_vehicle
from putback.web.pages.in_language import page_told
from putback.web.settings import WEB

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
WORDS, NUMBER = "Xyzzy", "7"
"""What is put in for a value that is not known before."""
_PUT_IN = frozenset({WORDS})
_SHOWN, _DONE = "\x02", "\x01"


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


def is_known(text: str, own: frozenset[str] = frozenset()) -> bool:
    """Tell whether a text is translated, but for somebody's own words in it."""
    return _knowing(own).told(text).is_known


@cache
def _knowing(own: frozenset[str]) -> Reteller:
    """Give one who takes somebody's own words for known as they are."""
    return Reteller(GERMAN, dict.fromkeys(own, "...") | dict(rows_of(GERMAN)))


def template_texts() -> Iterator[tuple[str, str]]:
    """Each text of each template that has no tag within, and which template it is in."""
    for file in sorted((WEB / "templates").rglob("*.html")):
        source = re.sub(r"{% comment %}.*?{% endcomment %}", "", file.read_text(), flags=re.DOTALL)
        source = re.sub(r"{%.*?%}", _DONE, source)
        source = re.sub(r"{{[^}]*\|pluralize(?::\"([^\"]*)\")?\s*}}", _plural, source)
        source = re.sub(r"{{[^}]*\|sentence\s*}}", f"{_SHOWN}.", source)
        source = re.sub(r"{{.*?}}", _SHOWN, source)
        for text in texts_of(source):
            if _DONE not in text and any(each.isalpha() for each in text):
                yield file.name, text


def _plural(found: re.Match[str]) -> str:
    return (found[1] or "s").rpartition(",")[2]


def raised_texts() -> Iterator[tuple[str, str]]:
    """Each text that an error is raised with, and the module that raises it."""
    for file in sorted(SOURCES.rglob("*.py")):
        if "cli" in file.relative_to(SOURCES).parts:
            continue
        for node in ast.walk(ast.parse(file.read_text())):
            if isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call):
                for given in (*node.exc.args, *(each.value for each in node.exc.keywords)):
                    if (text := _spelled(given)) and " " in text:
                        yield str(file.relative_to(SOURCES)), text


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
    shown = text.split(_SHOWN)
    if len(shown) > 6:
        return is_known(WORDS.join(shown), _PUT_IN)
    ways = [[piece] for piece in shown[:1]]
    for piece in shown[1:]:
        ways = [[*way, put, piece] for way in ways for put in (WORDS, NUMBER)]
    return any(is_known("".join(way), _PUT_IN) for way in ways)


def words_of_the_demo() -> frozenset[str]:
    """Every text in the demo's description: a person's own words."""
    found: set[str] = set()
    _gather(demo_vehicle(), found)
    return frozenset(found)


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
        from tests.web.site import Site

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
                yield from (each for each in texts_of(page) if not is_known(each, own))


if __name__ == "__main__":
    for text in sorted({each for which in sys.argv[1:] for each in untold(which)}):
        print(text.replace(_SHOWN, "{}"))
