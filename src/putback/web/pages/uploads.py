"""Files that a form sends, with the names under which they were sent.

Django cuts a way to another folder off a file's name without a word. We keep no file under its
name at all; but a name that leads elsewhere is no slip of a person, and is refused aloud.
"""

from typing import Any

from django.core.files.uploadhandler import TemporaryFileUploadHandler
from django.http import HttpRequest
from django.http.multipartparser import MultiPartParser

from putback.workshop.pictures.keep_media import Sent, refuse_too_large

_WAYS = "/\\\0"
_NOTED = "leading_elsewhere"


class AsNamed(TemporaryFileUploadHandler):
    """Keeps files aside as they come, and remembers each name that is a way to another place."""

    def handle_raw_input(
        self,
        input_data: Any,
        meta: dict[str, Any],
        content_length: int,
        boundary: Any,
        encoding: str | None = None,
    ) -> tuple[Any, Any]:
        """Read the form by a parser that remembers the names."""
        del content_length, boundary
        parser = _Named(meta, input_data, [TemporaryFileUploadHandler(self.request)], encoding)
        found: tuple[Any, Any] = parser.parse()
        setattr(self.request, _NOTED, tuple(parser.leading_elsewhere))
        return found


class _Named(MultiPartParser):
    """Django's parser, which says nothing of the names that it changes."""

    def __init__(self, *given: Any) -> None:
        super().__init__(*given)
        self.leading_elsewhere: list[str] = []

    def sanitize_file_name(self, file_name: str) -> str | None:
        """Cut the way off a name, and remember that there was one."""
        if any(each in file_name for each in _WAYS):
            self.leading_elsewhere.append(file_name)
        return super().sanitize_file_name(file_name)


def sent_files(request: HttpRequest, field: str) -> list[Sent]:
    """Give the files of one field; a field left empty sends none.

    Raises
    ------
    BadInput
        If one is too large to be looked at at all.
    """
    sent = [Sent(each, b"") for each in getattr(request, _NOTED, ())]
    for file in request.FILES.getlist(field):
        refuse_too_large(file.name or "", file.size or 0)
        sent.append(Sent(file.name or "", file.read()))
    return sent
