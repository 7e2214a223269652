"""The page without a network in two files: all its scripts in one, all its styles in the other.

A phone spends about as long on asking for a file as on reading it, and the page is made of half a
hundred. Everywhere else the same files are used one by one.
"""

import re
from dataclasses import dataclass
from functools import cache
from hashlib import sha256

from putback.web.assets import STATIC, static_prefix

ENTRIES = (
    *("language", "offline_now", "mark", "install", "awake", "log"),
    *("stepper", "deed", "tag_field"),
)
"""Scripts of the page, the one that shows the next job first."""
SHEETS = (
    *("tokens", "base", "frame", "ribbon", "parts", "forms", "print"),
    *("now", "offline", "keypad", "photos"),
)
"""Styles of the page: those of every page, then its own."""
_IMPORT = re.compile(r'^import \{([^}]*)\} from "\./(\w+)\.js";$', re.MULTILINE)
_EXPORT = re.compile(r"^export ((?:async )?(?:function\*?|class|const) (\w+))", re.MULTILINE)
_LATER = re.compile(r'import\("\./(\w+\.js)"\)')
_LEFT = re.compile(r"^(?:import|export)\b", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Bundled:
    """A file made of several."""

    name: str
    text: str
    media_type: str

    @property
    def digest(self) -> str:
        """What stands in its address, so that a browser may keep it for ever."""
        return sha256(self.text.encode()).hexdigest()[:16]

    @property
    def address(self) -> str:
        """Its address: where files of the app are looked for."""
        return f"/static/{self.digest}/{self.name}"


@cache
def script() -> Bundled:
    """Join the scripts: each module in a scope of its own, after those that it asks for.

    Raises
    ------
    ValueError
        If modules ask for each other, or one is written in a way that is not known here.
    """
    order: dict[str, str] = {}
    for name in ENTRIES:
        _add(name, order, ())
    return Bundled("offline.js", "\n".join(order.values()), "text/javascript")


@cache
def sheet() -> Bundled:
    """Join the styles in the order of the page's own."""
    texts = [_text(f"css/{name}.css") for name in SHEETS]
    joined = "\n".join(texts).replace('url("../', f'url("/{static_prefix()}/putback/')
    return Bundled("offline.css", joined, "text/css")


def bundles() -> tuple[Bundled, ...]:
    """Give both files."""
    return (script(), sheet())


def _text(path: str) -> str:
    return (STATIC / "putback" / path).read_text(encoding="utf-8")


def _add(name: str, order: dict[str, str], asking: tuple[str, ...]) -> None:
    """Add a module after what it asks for."""
    if name in order:
        return
    if name in asking:
        raise ValueError(f"modules ask for each other: {', '.join((*asking, name))}")
    text = _text(f"js/{name}.js")
    for _, other in _IMPORT.findall(text):
        _add(other, order, (*asking, name))
    order[name] = _scoped(name, text)


def _scoped(name: str, text: str) -> str:
    """Put a module into a scope; one that gives nothing may wait for things, and nobody for it."""
    exported = [each for _, each in _EXPORT.findall(text)]
    inner = _IMPORT.sub(
        lambda found: f"const {{{found[1].replace(' as ', ': ')}}} = module_{found[2]};", text
    )
    inner = _EXPORT.sub(r"\1", inner)
    inner = _LATER.sub(rf'import("/{static_prefix()}/putback/js/\1")', inner)
    if _LEFT.search(inner) or "import.meta" in inner:  # which would name the joined file
        raise ValueError(f"{name}.js imports or exports in a way that cannot be joined")
    if not exported:
        return f"(async () => {{\n{inner}}})();"
    return f"const module_{name} = (() => {{\n{inner}return {{ {', '.join(exported)} }};\n}})();"
