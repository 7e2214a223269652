"""Fetch the files of others that our pages serve, and those that test them, pinned by digest.

Run it after changing a version below: ``python -m scripts.vendor`` (it wants npm). The licence of
each lies beside its files, and ``VERSIONS.json`` says what came from where; a test compares.
"""

import json
import subprocess
import tarfile
import tempfile
from hashlib import sha256
from pathlib import Path

from scripts.woff import unpacked

ROOT = Path(__file__).parent.parent
STATIC = ROOT / "src/putback/web/static/putback"
PAPER = ROOT / "src/putback/paper"
VERSIONS = "VERSIONS.json"

WANTED = (
    (
        STATIC / "vendor",
        "htmx.org@2.0.11",
        {
            "dist/htmx.min.js": "htmx.min.js",
            "dist/htmx.min.js.gz": "htmx.min.js.gz",  # what is served to who takes gzip
            "LICENSE": "htmx.LICENSE",
        },
    ),
    (
        STATIC / "vendor",
        "zxing-wasm@3.1.6",
        {
            "dist/iife/reader/index.js": "zxing-reader.js",
            "dist/reader/zxing_reader.wasm": "zxing_reader.wasm",
            "LICENSE": "zxing-reader.LICENSE",
        },
    ),
    (
        STATIC / "vendor",
        # The words of Apache-2.0, under which zxing-cpp is, of which that reader is compiled; the
        # package itself brings the licence of its wrapping alone.
        "long@5.3.2",
        {"LICENSE": "zxing_reader.wasm.LICENSE"},
    ),
    (
        STATIC / "fonts",
        "@fontsource/b612@5.3.0",
        {
            "files/b612-latin-400-normal.woff2": "b612-400.woff2",
            "files/b612-latin-700-normal.woff2": "b612-700.woff2",
            "LICENSE": "b612.LICENSE",
        },
    ),
    (
        STATIC / "fonts",
        "@fontsource/b612-mono@5.3.0",
        {
            "files/b612-mono-latin-400-normal.woff2": "b612-mono-400.woff2",
            "files/b612-mono-latin-700-normal.woff2": "b612-mono-700.woff2",
            "LICENSE": "b612-mono.LICENSE",
        },
    ),
    (
        # The same for Typst, which reads no packed fonts: .ttf is unpacked from .woff here.
        PAPER / "fonts",
        "@fontsource/b612@5.3.0",
        {
            "files/b612-latin-400-normal.woff": "b612-400.ttf",
            "files/b612-latin-700-normal.woff": "b612-700.ttf",
            "LICENSE": "b612.LICENSE",
        },
    ),
    (
        PAPER / "fonts",
        "@fontsource/b612-mono@5.3.0",
        {
            "files/b612-mono-latin-400-normal.woff": "b612-mono-400.ttf",
            "files/b612-mono-latin-700-normal.woff": "b612-mono-700.ttf",
            "LICENSE": "b612-mono.LICENSE",
        },
    ),
    (
        ROOT / "tests/browser/vendor",
        "axe-core@4.14.1",
        {"axe.min.js": "axe.min.js", "LICENSE": "axe.LICENSE"},
    ),
)
"""Folder, package with its version, and which of its files becomes which of ours."""


def fetch(package: str, folder: Path) -> Path:
    """Fetch a package and give the folder with what is in it."""
    done = subprocess.run(
        ["npm", "pack", "--silent", package],
        cwd=folder,
        check=True,
        capture_output=True,
        text=True,
    )
    with tarfile.open(folder / done.stdout.split()[-1]) as archive:
        archive.extractall(folder, filter="data")
    return folder / "package"


def main() -> None:
    """Fetch all, and write down what came."""
    listed: dict[Path, dict[str, dict[str, str]]] = {}
    for folder, package, files in WANTED:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory() as scratch:
            source = fetch(package, Path(scratch))
            for name, ours in files.items():
                content = (source / name).read_bytes()
                if ours.endswith(".ttf"):
                    content = unpacked(content)
                (folder / ours).write_bytes(content)
                digest = sha256(content).hexdigest()
                listed.setdefault(folder, {})[ours] = {"from": package, "sha256": digest}
    for folder, versions in listed.items():
        text = json.dumps(versions, indent=2, sort_keys=True)
        (folder / VERSIONS).write_text(f"{text}\n")


if __name__ == "__main__":
    main()
