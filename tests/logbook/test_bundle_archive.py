"""Archives that could do harm are refused before anything of them is read."""

import io
import struct
import warnings
import zipfile

import pytest

from putback.errors import BundleError, UnsafeArchive
from putback.logbook.bundle import Limits, check_bundle, read_bundle, write_bundle
from putback.logbook.bundle.archive import open_archive
from tests.logbook.test_bundle import DIGEST, LOGBOOK, PHOTO, NoteMade, PhotoTaken, entry


@pytest.fixture
def target(tmp_path):
    """A sound bundle."""
    path = tmp_path / "plover.zip"
    write_bundle(path, LOGBOOK, [entry(1, NoteMade(text="first"))])
    return path


def add(path, name: str | zipfile.ZipInfo, content: bytes = b"", **how) -> None:
    """Put one more member into an archive."""
    with warnings.catch_warnings(), zipfile.ZipFile(path, "a", **how) as packed:
        warnings.simplefilter("ignore")  # of duplicate names
        packed.writestr(name, content)


@pytest.mark.parametrize(
    ("name", "said"),
    [
        ("../outside", "has a name that leads out of the archive"),
        ("photos/../../outside", "has a name that leads out of the archive"),
        ("..", "has a name that leads out of the archive"),
        ("/etc/outside", "has a name that leads out of the archive"),
        ("photos\\..\\outside", "has a name that is no plain path"),
        ("C:/outside", "has a name that is no plain path"),
        ("C:outside", "has a name that is no plain path"),
        ("two\nlines", "has a name that is no plain path"),
        ("photos/\u202egpj.exe", "has a name that is no plain path"),
        ("logbook.jsonl", "is in it twice"),
    ],
)
def test_a_name_that_leads_elsewhere_is_refused(target, name, said):
    """Nothing is unpacked by name here, but other programs would."""
    add(target, name, b"evil")
    with pytest.raises(UnsafeArchive, match=f"{said}; do not open it by other means"):
        read_bundle(target)
    assert list(target.parent.rglob("*")) == [target]


def test_a_name_that_ends_early_is_refused(target):
    """One program would read up to the zero byte, another on."""
    add(target, "xogbook.jsonlx.txt")
    target.write_bytes(target.read_bytes().replace(b"xogbook.jsonlx", b"xogbook.jsonl\0"))
    with pytest.raises(UnsafeArchive, match="has a name that is no plain path"):
        read_bundle(target)


def test_a_link_is_refused(target):
    """A symbolic link would let the next file be written anywhere."""
    info = zipfile.ZipInfo("photos/link")
    info.external_attr = 0o120777 << 16
    add(target, info, b"/etc")
    with pytest.raises(UnsafeArchive, match="is a link, not a file"):
        read_bundle(target)


def test_what_is_encrypted_or_oddly_packed_is_refused(target, tmp_path):
    """Only what every program can read is read."""
    encrypted = bytearray(target.read_bytes())
    at = encrypted.find(b"PK\x01\x02")
    struct.pack_into("<H", encrypted, at + 8, 1)
    (tmp_path / "encrypted.zip").write_bytes(encrypted)
    with pytest.raises(UnsafeArchive, match="is encrypted"):
        read_bundle(tmp_path / "encrypted.zip")
    info = zipfile.ZipInfo("notes.txt")
    info.compress_type = zipfile.ZIP_LZMA
    add(target, info, b"x" * 100)
    with pytest.raises(UnsafeArchive, match="is packed in a way that is not read here"):
        read_bundle(target)


def test_too_many_files_are_refused_before_they_are_listed(tmp_path):
    """The directory of an archive is looked at only if it is no larger than a bundle's can be."""
    path = tmp_path / "many.zip"
    with zipfile.ZipFile(path, "w") as packed:
        for number in range(30):
            packed.writestr(f"{number}", b"")
    with pytest.raises(UnsafeArchive, match="holds 30 files; at most 10 are read"):
        read_bundle(path, limits=Limits(members=10))
    with pytest.raises(UnsafeArchive, match="holds more than 3 files"):
        read_bundle(path, limits=Limits(members=3))


def test_a_larger_directory_than_it_says_is_refused_too(tmp_path):
    """Its length may be said in the record for large archives, which counts then."""
    path = tmp_path / "large.zip"
    with zipfile.ZipFile(path, "w") as packed:
        for number in range(30):
            packed.writestr(f"{number}", b"")
    content = path.read_bytes()
    end = content.rindex(b"PK\x05\x06")
    size, offset = struct.unpack_from("<LL", content, end + 12)
    large = struct.pack("<4sQ2H2L4Q", b"PK\x06\x06", 44, 45, 45, 0, 0, 30, 30, size, offset)
    locator = struct.pack("<4sLQL", b"PK\x06\x07", 0, end, 1)
    record = struct.pack("<4s4H2LH", b"PK\x05\x06", 0, 0, 0xFFFF, 0xFFFF, 2**32 - 1, 2**32 - 1, 0)
    path.write_bytes(content[:end] + large + locator + record)
    with open_archive(path) as archive:
        assert len(archive.others) == 30
    with pytest.raises(UnsafeArchive, match="holds more than 3 files"):
        read_bundle(path, limits=Limits(members=3))


@pytest.mark.parametrize("name", ["logbook.jsonl", "photos/x", "manifest.json"])
def test_a_file_that_swells_is_refused_unread(tmp_path, name):
    """A hundred megabytes of nothing pack to a hundred kilobytes; they are never unpacked."""
    path = tmp_path / "bomb.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr(name, bytes(100 * 2**20))
    with pytest.raises(UnsafeArchive, match="unpacks to 104857600 bytes, far more than"):
        read_bundle(path)


@pytest.mark.parametrize(
    ("limits", "said"),
    [
        (Limits(text_bytes=10), "unpacks to .* bytes; at most 10 are read"),
        (Limits(photo_bytes=10), "README.txt.*unpacks to .* bytes; at most 10 are read"),
        (Limits(total_bytes=10), "far more than it can honestly hold"),
        (Limits(unsuspicious_bytes=10, ratio=1), "far more than it can honestly hold"),
    ],
)
def test_every_limit_holds(target, limits, said):
    """Each size has its own limit, and a sound bundle is far below all of them."""
    assert read_bundle(target)
    with pytest.raises(UnsafeArchive, match=said):
        read_bundle(target, limits=limits)


def test_many_texts_that_pack_well_are_no_bomb(target):
    """A small archive may shrink by any ratio: somebody's long notes are not suspicious."""
    write_bundle(target, LOGBOOK, [entry(n, NoteMade(text="a" * 200_000)) for n in range(20)])
    assert len(read_bundle(target).entries) == 20


def test_a_damaged_member_is_named(target):
    """A check sum that is wrong is told with the file it belongs to."""
    content = bytearray(target.read_bytes())
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        info = packed.getinfo("logbook.jsonl")
    content[info.header_offset + 30 + len(info.filename) + info.compress_size // 2] ^= 0xFF
    target.write_bytes(content)
    with pytest.raises(BundleError, match=r"plover\.zip, logbook\.jsonl: is damaged: "):
        read_bundle(target)


def test_a_photo_that_is_damaged_is_named(tmp_path):
    """A check names it and looks at the rest; reading refuses all."""
    path = tmp_path / "photo.zip"
    taken = entry(1, PhotoTaken(photo=DIGEST))
    write_bundle(path, LOGBOOK, [taken], photos={DIGEST: PHOTO}.get)
    path.write_bytes(path.read_bytes().replace(PHOTO, bytes(len(PHOTO))))
    (fault,) = check_bundle(path).faults
    assert str(fault).startswith(f"photos/{DIGEST}.jpg: is damaged: Bad CRC-32")
    with pytest.raises(BundleError, match=r"is damaged: Bad CRC-32 .*nothing was imported"):
        read_bundle(path)


def test_a_member_whose_two_headers_disagree_is_damaged(target):
    """What the directory calls the logbook calls itself otherwise."""
    content = target.read_bytes()
    target.write_bytes(content.replace(b"logbook.jsonl", b"another.jsonl", 1))
    with pytest.raises(BundleError, match=r"logbook\.jsonl: is damaged: File name in directory"):
        read_bundle(target)
