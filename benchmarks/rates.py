"""What the benchmarks of reading tags share: a rate, and the pages' own files served."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from http.server import SimpleHTTPRequestHandler, ThreadingHTTPServer
from threading import Thread

from putback.web.assets import STATIC

CLEAN_LEAST, AGREED_LEAST = 1.0, 0.9


@dataclass(frozen=True, slots=True)
class Rate:
    """How many of so many pictures were read; ``least`` is ``None`` where nothing is asked."""

    name: str
    read: int
    wrong: int
    """Read as another tag than the one that is there."""
    of: int
    least: float | None
    read_by_zxing_cpp: int | None = None
    """By the library as it comes, where it was asked."""

    @property
    def ok(self) -> bool:
        """Whether enough were read, and none as another tag."""
        return not self.wrong and self.read >= (self.least or 0.0) * self.of

    def said(self, width: int) -> str:
        """Say it in a line, its name filled up to so many characters."""
        verdict = "ok  " if self.ok else "LOW "
        wanted = "" if self.least is None else f"  (>= {self.least:.0%})"
        other = self.read_by_zxing_cpp
        beside = "" if other is None else f"; zxing-cpp {other:4}"
        return (
            f"{verdict} {self.name:<{width}}  {self.read:4} of {self.of} read, "
            f"{self.wrong} wrong{beside}{wanted}"
        )


def summed(name: str, rates: Sequence[Rate], least: float) -> Rate:
    """Add rates up."""
    others = [each.read_by_zxing_cpp for each in rates if each.read_by_zxing_cpp is not None]
    return Rate(
        name,
        sum(each.read for each in rates),
        sum(each.wrong for each in rates),
        sum(each.of for each in rates),
        least,
        sum(others) if others else None,
    )


@contextmanager
def served_files() -> Iterator[str]:
    """Serve styles and scripts as they lie there, and give the address."""
    handler = partial(_Quiet, directory=str(STATIC / "putback"))
    with ThreadingHTTPServer(("127.0.0.1", 0), handler) as server:
        Thread(target=server.serve_forever, daemon=True).start()
        yield f"http://localhost:{server.server_port}/"
        server.shutdown()


class _Quiet(SimpleHTTPRequestHandler):
    """Serves files and says nothing of it."""

    def log_message(self, *said: object) -> None:
        """Say nothing."""
