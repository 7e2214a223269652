"""Photos as files named by their digest, in folders by its first two characters."""

import re
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path

from putback.errors import Damaged, NotFound
from putback.workshop.logbooks.files import disk_trouble, make_folder, write_whole
from putback.workshop.logbooks.ports import PhotoId

_DIGEST = re.compile(r"[0-9a-f]{64}")


class FilePhotoStore:
    """Keeps photos in ``folder``; what `put` returned from outlives a power cut."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def put(self, content: bytes) -> PhotoId:
        """Keep the bytes, unless they are there already."""
        photo = PhotoId(sha256(content).hexdigest())
        path = self._path(photo)
        if not self.has(photo) or path.read_bytes() != content:  # a spoilt copy is written anew
            with disk_trouble(self.folder):
                make_folder(path.parent)
                write_whole(path, content)
        return photo

    def get(self, photo: PhotoId) -> bytes:
        """Give the bytes back, having looked whether they are still the same."""
        if not self.has(photo):
            raise NotFound("photo", photo)
        with disk_trouble(self.folder):
            content = self._path(photo).read_bytes()
        if sha256(content).hexdigest() != photo:
            raise Damaged(str(self._path(photo)), "the photo's bytes are not those that were put")
        return content

    def has(self, photo: PhotoId) -> bool:
        """Tell whether it is there."""
        return _DIGEST.fullmatch(photo) is not None and self._path(photo).is_file()

    def __iter__(self) -> Iterator[PhotoId]:
        """Go through all there are, by digest."""
        for path in sorted(self.folder.glob("??/*")):
            if _DIGEST.fullmatch(path.name):  # what a killed program left half written is not one
                yield PhotoId(path.name)

    def _path(self, photo: PhotoId) -> Path:
        return self.folder / photo[:2] / photo
