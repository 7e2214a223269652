"""The manifest of a bundle: what is in it, with the digest of every file."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Annotated, Any

from pydantic import StringConstraints, TypeAdapter, ValidationError

from putback.errors import BundleError
from putback.logbook.bundle.archive import MANIFEST
from putback.logbook.entries.base import LogbookId

FORMAT = "putback bundle 1"

_Digest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
_ONE_LINE = StringConstraints(max_length=200, pattern=r"^[^\x00-\x1f\x7f]*$")
_Line = Annotated[str, _ONE_LINE]
"""A short text that can be shown as it is."""


@dataclass(frozen=True, slots=True)
class Manifest:
    """What is in a bundle.

    ``digest`` is that of the set of entries of the vehicle, whatever their order: it equals
    `LogFacts.digest` of a logbook that holds the same.
    """

    logbook: Annotated[LogbookId, _ONE_LINE]
    name: _Line = ""
    """What the vehicle is called."""
    made_at: _Line = ""
    """ISO 8601 instant; empty if nobody said."""
    program: _Line = ""
    entries: int = 0
    garage_entries: int = 0
    digest: _Digest = ""
    files: Mapping[str, _Digest] = field(default_factory=dict, repr=False)
    """SHA-256 of each file, but for this one and the README."""
    photos_missing: tuple[_Digest, ...] = ()
    """Photos that entries name but that could not be had: withdrawn, or not here."""
    left_out: int = 0
    """Entries left out because they tell of money or people's names."""
    since: str = ""
    """Digest of the earlier bundle whose entries are left out; empty if this one is complete."""
    since_last: tuple[_Line, ...] = ()
    """The last of the entries that are left out so: who has these not has lost some since."""
    format: str = FORMAT

    def to_json(self) -> bytes:
        """Write it as the text of its file."""
        return _adapter().dump_json(self, indent=2) + b"\n"


@dataclass(frozen=True, slots=True)
class _Head:
    """What every format of a bundle says first."""

    format: str = ""


@cache
def _adapter() -> TypeAdapter[Manifest]:
    return TypeAdapter(Manifest)


@cache
def _head_adapter() -> TypeAdapter[_Head]:
    return TypeAdapter(_Head)


def read_manifest(path: Path, content: bytes) -> Manifest:
    """Read the manifest of the bundle at ``path``.

    Raises
    ------
    BundleError
        If it cannot be read, or is of a format that this version does not know.
    """
    said: str = _read(_head_adapter(), path, content).format
    if said != FORMAT:
        why = f"is in the format {said[:60]!r}, and this Putback reads {FORMAT!r}"
        mend = "a later Putback may have written it: update yours; nothing was imported"
        raise BundleError(path, why, mend, member=MANIFEST)
    manifest: Manifest = _read(_adapter(), path, content)
    return manifest


def _read(adapter: TypeAdapter[Any], path: Path, content: bytes) -> Any:
    try:
        return adapter.validate_json(content)
    except ValidationError as error:
        first = error.errors(include_url=False, include_context=False)[0]
        where = ".".join(str(step) for step in first["loc"])
        why = f"cannot be read: {where}{': ' if where else ''}{first['msg']}"
        raise BundleError(path, why, member=MANIFEST) from error
