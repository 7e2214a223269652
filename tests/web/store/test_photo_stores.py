"""What every store of photos promises: in memory and in files alike."""

from hashlib import sha256

import pytest

from putback.errors import Damaged, NotFound, StoreError
from putback.web.store.photo_store import FilePhotoStore
from putback.workshop.logbooks.memory import MemoryPhotoStore

BRACKET = b"\xff\xd8 the bracket before it came off"


@pytest.fixture(params=["memory", "files"])
def photos(request, tmp_path):
    """An empty store of photos."""
    return MemoryPhotoStore() if request.param == "memory" else FilePhotoStore(tmp_path / "photos")


def test_a_photo_is_kept_by_its_digest(photos):
    """Put, found and given back; put twice it is there once."""
    photo = photos.put(BRACKET)
    assert photo == sha256(BRACKET).hexdigest() == photos.put(BRACKET)
    assert photos.has(photo)
    assert photos.get(photo) == BRACKET
    other = photos.put(b"")
    assert list(photos) == sorted([photo, other])


@pytest.mark.parametrize("name", ["f" * 64, "", "../../etc/passwd", "F" * 64])
def test_a_photo_that_is_not_there_is_not_found(photos, name):
    """Whatever is asked for: nothing outside the store can be reached."""
    assert not photos.has(name)
    with pytest.raises(NotFound, match="no photo"):
        photos.get(name)


def test_a_spoilt_photo_is_noticed_and_can_be_put_again(tmp_path):
    """Reading compares the digest; putting the same bytes mends the file."""
    photos = FilePhotoStore(tmp_path)
    photo = photos.put(BRACKET)
    path = tmp_path / photo[:2] / photo
    path.write_bytes(BRACKET[:-1] + b"X")
    with pytest.raises(Damaged, match="the photo's bytes are not those that were put"):
        photos.get(photo)
    photos.put(BRACKET)
    assert photos.get(photo) == BRACKET


def test_what_a_killed_program_left_is_no_photo(tmp_path):
    """A file half written has another name, and is passed over."""
    photos = FilePhotoStore(tmp_path)
    photo = photos.put(BRACKET)
    (tmp_path / photo[:2] / f".{photo}.1234.part").write_bytes(b"half")
    assert list(photos) == [photo]


def test_photos_are_nobody_elses_business(tmp_path):
    """Folders are for the owner alone."""
    photos = FilePhotoStore(tmp_path / "home" / "photos")
    photo = photos.put(BRACKET)
    assert (tmp_path / "home" / "photos" / photo[:2]).stat().st_mode & 0o077 == 0


def test_a_folder_that_cannot_be_is_named(tmp_path):
    """A file where the folder should be: said, with the path."""
    (tmp_path / "photos").write_text("a file")
    with pytest.raises(StoreError, match="photos: cannot be used: Not a directory"):
        FilePhotoStore(tmp_path / "photos").put(BRACKET)
