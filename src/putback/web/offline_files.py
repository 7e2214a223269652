"""What the app itself is made of, so that a phone opens it without a network; and its icons."""

from dataclasses import dataclass
from functools import cache
from hashlib import sha256

from putback.version import __version__
from putback.web.assets import STATIC, static_prefix
from putback.web.offline_bundle import bundles

PAGES = ("/offline", "/phone", "/scan", "/slate", "/bench/away")
"""Pages of the app that say nothing of anybody, and are filled by what the phone holds."""
_LEFT_OUT = frozenset({".gz", ".json", ".LICENSE"})
_LARGE = frozenset({".wasm"})
_WORKER = "putback/worker.js"


@dataclass(frozen=True, slots=True)
class Shell:
    """Addresses of the app's files: those it cannot open without, and those it can."""

    needed: tuple[str, ...]
    large: tuple[str, ...]


@cache
def shell() -> Shell:
    """List the files of the app, and the pages that a phone opens by itself."""
    found: dict[bool, list[str]] = {True: [], False: []}
    for path in sorted(each for each in STATIC.rglob("*") if each.is_file()):
        name = str(path.relative_to(STATIC))
        if path.suffix not in _LEFT_OUT and name != _WORKER:
            found[path.suffix in _LARGE].append(f"/{static_prefix()}/{name}")
    joined = (each.address for each in bundles())
    return Shell((*PAGES, *joined, *found[False]), tuple(found[True]))


@cache
def app_version() -> str:
    """Name the app as it is: by its files, and by the program that makes its pages."""
    pages = sorted((STATIC.parent / "templates").rglob("*.html"))
    digest = sha256(f"{__version__} {static_prefix()}".encode())
    for path in pages:
        digest.update(path.read_bytes())
    for each in bundles():
        digest.update(each.digest.encode())
    return digest.hexdigest()[:16]


def worker_text() -> str:
    """Read the service worker."""
    return (STATIC / _WORKER).read_text(encoding="utf-8")
