"""Styles, scripts and fonts: their folder, and the digest that stands in their address.

As the address changes with the files, a browser may keep them for ever.
"""

from functools import cache
from hashlib import sha256
from pathlib import Path

STATIC = Path(__file__).parent / "static"


@cache
def static_prefix() -> str:
    """Where the files are served, without the slashes around: ``static/`` and their digest."""
    digest = sha256()
    for path in sorted(each for each in STATIC.rglob("*") if each.is_file()):
        digest.update(str(path.relative_to(STATIC)).encode())
        digest.update(path.read_bytes())
    return f"static/{digest.hexdigest()[:16]}"
