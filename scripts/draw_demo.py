"""Draw the demo's output as a picture for the README: ``python -m scripts.draw_demo``.

The demo is run in a terminal of its own, so that it shows what a person sees, colours included.
Its first sittings and its end are kept; a line tells how much was left out between them.
"""

import io
import os
import pty
import re
import subprocess
import sys
from pathlib import Path

from rich.console import Console
from rich.text import Text

PICTURE = Path(__file__).parents[1] / "docs" / "demo.svg"
COLUMNS = 110
FIRST, LAST = 5, 2
"""Paragraphs that are kept."""


def demo_output() -> str:
    """What `putback demo` writes to a terminal."""
    ours, its = pty.openpty()
    size = {"COLUMNS": str(COLUMNS), "TERM": "xterm-256color"}
    putback = Path(sys.executable).with_name("putback")
    with subprocess.Popen([putback, "demo"], stdout=its, env=os.environ | size) as demo:
        os.close(its)
        written = b""
        while piece := _read(ours):
            written += piece
    if demo.returncode:
        sys.exit(demo.returncode)
    return written.decode().replace("\r\n", "\n").strip()


def _read(terminal: int) -> bytes:
    try:
        return os.read(terminal, 1 << 16)
    except OSError:  # so Linux says that the other end was closed
        return b""


def excerpt(text: str) -> str:
    """The first and the last paragraphs."""
    paragraphs = re.split(r"\n\s*\n", text)
    left_out = "\n\n".join(paragraphs[FIRST:-LAST]).count("\n") + 1
    shown = [*paragraphs[:FIRST], f"    ... {left_out} lines more ...", *paragraphs[-LAST:]]
    return "\n\n".join(shown)


def main() -> None:
    """Write the picture."""
    console = Console(record=True, width=COLUMNS, file=io.StringIO())
    console.print(Text.from_ansi(excerpt(demo_output())))
    svg = console.export_svg(title="make demo")
    # It must not fetch a font from anywhere (the viewer's own monospace one will do), nor look
    # like a window of one particular system.
    PICTURE.write_text(re.sub(r"(?s)@font-face \{.*?\}\s*|<circle [^>]*/>\s*", "", svg))


if __name__ == "__main__":
    main()
