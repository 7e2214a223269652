"""Bundles, the open file format: one logbook, and what it refers to, as a zip anybody can read.

::

    logbook.jsonl     the entries of one vehicle, one a line, as they were received
    garage.jsonl      the entries of the garage that they refer to: places, people, stock
    photos/3f5a....jpg   photos and sounds, named by the SHA-256 of their bytes
    manifest.json     what is in it, and the digest of each file
    README.txt        all of this in plain English, for somebody without Putback

docs/file-format.md describes the format. Merging is set union, so bundles may overlap, be taken in
in any order and more than once.
"""

from putback.logbook.bundle.archive import LIMITS, Limits
from putback.logbook.bundle.manifest import Manifest
from putback.logbook.bundle.read import (
    Bundle,
    BundleFault,
    BundleReport,
    check_bundle,
    photos_of,
    read_bundle,
)
from putback.logbook.bundle.write import PhotoSource, write_bundle

__all__ = [
    "LIMITS",
    "Bundle",
    "BundleFault",
    "BundleReport",
    "Limits",
    "Manifest",
    "PhotoSource",
    "check_bundle",
    "photos_of",
    "read_bundle",
    "write_bundle",
]
