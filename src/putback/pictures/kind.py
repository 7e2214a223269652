"""What sort of picture or sound bytes are: told by how they begin, whatever the file is called."""

_HEIC = frozenset({b"heic", b"heix", b"heim", b"heis", b"hevc", b"mif1", b"msf1"})
_AVIF = frozenset({b"avif", b"avis"})
_FILM = frozenset({b"qt  "})


def picture_type(content: bytes) -> str | None:
    """Tell the media type of a picture; ``None`` if it is none that is kept here.

    The signatures are those of the formats' own specifications: JFIF, PNG (ISO/IEC 15948), GIF
    89a, RIFF WebP and ISO/IEC 23008-12.
    """
    if content.startswith(b"\xff\xd8\xff"):
        return "image/jpeg"
    if content.startswith(b"\x89PNG\r\n\x1a\n"):
        return "image/png"
    if content.startswith((b"GIF87a", b"GIF89a")):
        return "image/gif"
    if content.startswith(b"RIFF") and content[8:12] == b"WEBP":
        return "image/webp"
    if _brand(content) in _HEIC:
        return "image/heic"
    return None


def sound_type(content: bytes) -> str | None:
    """Tell the media type of a sound; ``None`` if it is none that is kept here.

    The signatures are those of Matroska (RFC 9559), Ogg (RFC 3533), ISO/IEC 14496-12, RIFF and
    MPEG audio (ISO/IEC 11172-3) with or without an ID3 tag before it.
    """
    if content.startswith(b"\x1a\x45\xdf\xa3"):
        return "audio/webm"
    if content.startswith(b"OggS"):
        return "audio/ogg"
    if content.startswith(b"RIFF") and content[8:12] == b"WAVE":
        return "audio/wav"
    if content.startswith((b"ID3", b"\xff\xfb", b"\xff\xf3", b"\xff\xf2")):
        return "audio/mpeg"
    brand = _brand(content)
    if brand is not None and brand not in _HEIC | _AVIF | _FILM:
        return "audio/mp4"
    return None


def media_type(content: bytes) -> str | None:
    """Tell the media type of a picture or sound; ``None`` if it is neither."""
    return picture_type(content) or sound_type(content)


def _brand(content: bytes) -> bytes | None:
    return content[8:12] if content[4:8] == b"ftyp" and len(content) >= 12 else None
