"""Ways to spoil a file: what disks, post, careless editors and ill-meaning strangers do to it.

Every mutation takes what is there and a `Random`, and gives the spoilt bytes; the same seed spoils
alike.
"""

import io
import json
import struct
import warnings
import zipfile
from collections.abc import Callable
from functools import cache
from hashlib import sha256
from random import Random

Files = dict[str, bytes]
Mutation = Callable[[bytes, Random], bytes]

# -- bytes ----------------------------------------------------------------------------------------


def flip(content: bytes, random: Random) -> bytes:
    """Change some bytes."""
    spoilt = bytearray(content)
    for _ in range(random.choice([1, 1, 1, 2, 8, 64])):
        spoilt[random.randrange(len(spoilt))] ^= random.randrange(1, 256)
    return bytes(spoilt)


def truncate(content: bytes, random: Random) -> bytes:
    """Cut off the end, or the beginning."""
    at = random.randrange(len(content))
    return content[:at] if random.random() < 0.8 else content[at:]


def cut_out(content: bytes, random: Random) -> bytes:
    """Leave out a piece."""
    start = random.randrange(len(content))
    return content[:start] + content[start + random.choice([1, 7, 100, 1000]) :]


def repeat(content: bytes, random: Random) -> bytes:
    """Have a piece twice, or have another in its place."""
    start, size = random.randrange(len(content)), random.choice([1, 16, 300, 3000])
    to = random.randrange(len(content))
    over = random.choice([0, size])
    return content[:to] + content[start : start + size] + content[to + over :]


def blank(content: bytes, random: Random) -> bytes:
    """Overwrite a piece with zeros, as a disk that loses a sector."""
    start, size = random.randrange(len(content)), random.choice([16, 512])
    return content[:start] + bytes(size) + content[start + size :]


def stuff(content: bytes, random: Random) -> bytes:
    """Add something before, after or in between."""
    at = random.choice([0, len(content), random.randrange(len(content))])
    return content[:at] + random.randbytes(random.choice([1, 22, 500])) + content[at:]


def other_encoding(content: bytes, random: Random) -> bytes:
    """Save the text as another encoding, where it is text."""
    text = content.decode(errors="replace")
    encoding = random.choice(["utf-16", "utf-32", "utf-8-sig", "latin-1", "cp437", "utf-7"])
    return text.encode(encoding, errors="replace")


BYTES: tuple[Mutation, ...] = (flip, flip, truncate, cut_out, repeat, blank, stuff)

# -- archives -------------------------------------------------------------------------------------


def unpacked(content: bytes) -> Files:
    """The files of a sound archive."""
    with zipfile.ZipFile(io.BytesIO(content)) as packed:
        return {name: packed.read(name) for name in packed.namelist()}


def packed(files: Files, *extra: tuple[zipfile.ZipInfo, bytes]) -> bytes:
    """An archive of these files and of members that no honest program makes."""
    target = io.BytesIO()
    with warnings.catch_warnings(), zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        warnings.simplefilter("ignore")  # zipfile warns of duplicate names; that is the point
        for name, content in files.items():
            archive.writestr(name, content)
        for info, content in extra:
            archive.writestr(info, content)
    return target.getvalue()


EVIL_NAMES = (
    "../outside.jsonl",
    "photos/../../outside.jpg",
    "/etc/outside",
    "//server/share/outside",
    "C:/outside",
    "C:outside",
    "..\\outside",
    "photos\\..\\..\\outside",
    "logbook.jsonl\x00.txt",
    "photos/\u202egpj.exe",
    "a\nb",
    "..",
    "./../x",
)


def evil_name(content: bytes, random: Random) -> bytes:
    """Add a file, or name one anew, so that it would land outside."""
    files = unpacked(content)
    name = random.choice(EVIL_NAMES)
    if random.random() < 0.5:
        victim = random.choice(sorted(files))
        return packed({name if each == victim else each: files[each] for each in files})
    return packed(files, (zipfile.ZipInfo(name), b"evil"))


def link(content: bytes, random: Random) -> bytes:
    """Add a symbolic link, or turn a file into one."""
    files = unpacked(content)
    info = zipfile.ZipInfo(random.choice(["photos/link", *files]))
    info.external_attr = 0o120777 << 16
    files.pop(info.filename, None)
    return packed(files, (info, b"/etc/passwd"))


def duplicate(content: bytes, random: Random) -> bytes:
    """Have a file twice, the same or another."""
    files = unpacked(content)
    name = random.choice(sorted(files))
    return packed(files, (zipfile.ZipInfo(name), random.choice([files[name], b"another"])))


def drop(content: bytes, random: Random) -> bytes:
    """Leave a file out."""
    files = unpacked(content)
    del files[random.choice(sorted(files))]
    return packed(files)


def nest(content: bytes, random: Random) -> bytes:
    """Put the archive into itself, in the place of a file or beside it."""
    files = unpacked(content)
    files[random.choice(["inner.zip", *files])] = content
    return packed(files)


def lie_about_size(content: bytes, random: Random) -> bytes:
    """Claim another size, method, flag or place for a member, in one of its two headers."""
    spoilt = bytearray(content)
    signature, field = random.choice(
        [
            *((b"PK\x01\x02", field) for field in (6, 8, 10, 20, 24, 28, 30, 32, 34, 38, 42)),
            *((b"PK\x03\x04", field) for field in (4, 6, 8, 18, 22, 26, 28)),
            *((b"PK\x05\x06", field) for field in (4, 6, 8, 10, 12, 16, 20)),
        ]
    )
    places = [at for at in range(len(content) - 46) if content.startswith(signature, at)]
    at = random.choice(places or [0])
    value = random.choice([0, 1, 9, 12, 14, 99, 0xFFFF, 0xFFFFFFFF, 2**31, random.getrandbits(32)])
    struct.pack_into("<L", spoilt, min(at + field, len(spoilt) - 4), value)
    return bytes(spoilt)


@cache
def _swollen(name: str) -> bytes:
    """A file that is 100 MB of nothing, and 100 kB packed."""
    return packed({name: bytes(100 * 2**20)})


def bomb(content: bytes, random: Random) -> bytes:
    """A small archive that unpacks to a hundred megabytes."""
    return _swollen(random.choice(["logbook.jsonl", "manifest.json", "x"]))


ARCHIVE: tuple[Mutation, ...] = (
    *(evil_name, link, duplicate, drop, nest, lie_about_size, lie_about_size, bomb),
)

# -- entries --------------------------------------------------------------------------------------

_WILD_VALUES: tuple[object, ...] = (
    *(None, True, -1, 0, 2**63, 10**400, -(10**18), 1e308, "", " ", "\x00", "part:", ":"),
    *("\ud800", "a" * 5000, "9999-12-31", "2031-02-30", "0000-00", [], {}, [[]], {"": {}}),
)


def _deep(random: Random) -> str:
    depth = random.choice([50, 500, 990, 5_000, 100_000])
    return "[" * depth + "]" * depth if random.random() < 0.5 else '{"a":' * depth + "1"


def _wild_line(line: bytes, random: Random) -> bytes:
    """An entry with something wild in one place, or a line that is none."""
    if random.random() < 0.3:
        deep = _deep(random)
        choices = ["", "{}", "[]", "null", '"text"', "NaN", deep, line.decode() * 2, '"' + deep]
        return random.choice(choices).encode()
    try:
        document = json.loads(line)
    except (ValueError, RecursionError):  # spoilt already
        return line
    place = document if random.random() < 0.5 else document.get("body")
    if not isinstance(place, dict):
        return line
    place[random.choice([*place, "surprise"])] = random.choice(_WILD_VALUES)
    said = json.dumps(document)
    if random.random() < 0.2:
        said = said.replace('"body": {', f'"body": {{"deep": {_deep(random)}, ', 1)
    if random.random() < 0.2:
        said = said.replace(": 1", random.choice([": NaN", ": 1e999", ": -0", ": 1" + "0" * 5000]))
    return said.encode()


def wild_entries(content: bytes, random: Random) -> bytes:
    """Spoil entries, and reseal the bundle so that every digest of a file fits."""
    files = unpacked(content)
    name = random.choice(["logbook.jsonl", "logbook.jsonl", "garage.jsonl"])
    lines = files[name].split(b"\n")[:-1]
    for _ in range(random.choice([1, 1, 3])):
        at = random.randrange(len(lines))
        lines[at] = _wild_line(lines[at], random) if lines[at].startswith(b"{") else b""
    files[name] = b"\n".join(lines) + random.choice([b"\n", b"", b"\r\n", b"\n\n \n"])
    if random.random() < 0.2:
        files[name] = other_encoding(files[name], random)
    return resealed(files)


def wild_manifest(content: bytes, random: Random) -> bytes:
    """Put anything at all into the manifest."""
    files = unpacked(content)
    document = json.loads(files["manifest.json"])
    wild = random.choice([*_WILD_VALUES, list(files), {"../x": "0" * 64}])
    document[random.choice([*document, "surprise"])] = wild
    said = json.dumps(document)
    files["manifest.json"] = random.choice([said, said, said[:-9], _deep(random), "[]"]).encode()
    return packed(files)


def resealed(files: Files) -> bytes:
    """An archive whose manifest gives the digests of what is in it now."""
    manifest = json.loads(files["manifest.json"])
    for name in manifest["files"]:
        manifest["files"][name] = sha256(files[name]).hexdigest()
    for name, count in (("logbook.jsonl", "entries"), ("garage.jsonl", "garage_entries")):
        lines = [line for line in files[name].split(b"\n") if line.strip()]
        manifest[count] = len(lines)
        if count == "entries":
            manifest["digest"] = _digest_of_all(lines)
    return packed({**files, "manifest.json": json.dumps(manifest).encode()})


def _digest_of_all(lines: list[bytes]) -> str:
    """As docs/file-format.md says; anything, where a line is no JSON."""
    total = 0
    for line in lines:
        try:
            entry = json.loads(line)
            entry = json.loads(entry) if isinstance(entry, str) else entry
            form = json.dumps(entry, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
            total += int(sha256(form.encode()).hexdigest(), 16)
        except (ValueError, RecursionError):
            pass
    return sha256(f"{len(lines)} {total:x}".encode()).hexdigest()


CONTENT: tuple[Mutation, ...] = (wild_entries, wild_entries, wild_manifest)

# -- vehicle files --------------------------------------------------------------------------------

_WILD_TOML = (
    *(
        "-1",
        "1e999",
        "nan",
        "inf",
        "10" * 3000,
        "0x" + "f" * 400,
        "''",
        "'''",
        '"\\u0000"',
        "true",
    ),
    *("2031-05-02", "9999-12-31T23:59:59-14:00", "07:32:00", "[]", "{}", "[[[]]]", '["a", 1]'),
    *('"' + "a" * 100_000 + '"', "{ a = 1 }", '"\\ud800"', "1_000", "=", "#", "\x00"),
)


def wild_value(content: bytes, random: Random) -> bytes:
    """Put something wild where a value was."""
    lines = content.decode().split("\n")
    places = [n for n, line in enumerate(lines) if " = " in line]
    for at in random.choices(places, k=random.choice([1, 1, 4])):
        lines[at] = f"{lines[at].partition(' = ')[0]} = {random.choice(_WILD_TOML)}"
    return "\n".join(lines).encode()


def wild_heading(content: bytes, random: Random) -> bytes:
    """Put a heading or a key where none belongs, or one twice."""
    lines = content.decode().split("\n")
    deep = random.choice([20, 2_000, 50_000])
    lines.insert(
        random.randrange(len(lines)),
        random.choice(
            [
                *(
                    "[parts]",
                    "[[about]]",
                    "[[parts]]",
                    "[about.more]",
                    "[x]",
                    "id = 'p1'",
                    "a.b.c = 1",
                ),
                *(f"a = {'[' * deep}", f"{'a.' * deep}a = 1", f"[{'a.' * deep}a]"),
                *(f"a = {'{b=' * deep}", 'format = "putback vehicle 2"', "name"),
            ]
        ),
    )
    return "\n".join(lines).encode()


def swapped_lines(content: bytes, random: Random) -> bytes:
    """Leave out, repeat or exchange lines."""
    lines = content.split(b"\n")
    for _ in range(random.choice([1, 3, 20])):
        one, two = random.randrange(len(lines)), random.randrange(len(lines))
        lines[one] = random.choice([b"", lines[two]])
    return b"\n".join(lines)


TOML: tuple[Mutation, ...] = (
    *(flip, truncate, cut_out, repeat, stuff, other_encoding),
    *(wild_value, wild_value, wild_heading, swapped_lines),
)
