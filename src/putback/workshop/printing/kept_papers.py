"""Papers that take long: asked for at the desk, made beside the pages, kept to be fetched.

Of each set of choices one file is kept, the newest: it is put in the place of the older one once
it is whole. What is made on the way lies in a folder of the question's own, which whoever takes
the question next clears away; so who was killed over it leaves nothing that is taken for a paper.
"""

import json
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path
from typing import Any

from pydantic import TypeAdapter, ValidationError

from putback.errors import DiskFull, NotFound, UnreadableFile
from putback.logbook.entries.base import DeviceId
from putback.paper.language import words_in
from putback.paper.page import page_called
from putback.progress import Progress
from putback.workshop.desk.port import PAPERS, Desk, Question, Slip
from putback.workshop.desk.put import put
from putback.workshop.logbooks.files import NO_ROOM, make_folder
from putback.workshop.logbooks.workshop import Workshop
from putback.workshop.printing.documents import document_called
from putback.workshop.printing.form import Form
from putback.workshop.printing.units import units_called
from putback.workshop.printing.wanted import Wanted

_NOBODY = DeviceId("")


@dataclass(frozen=True, slots=True)
class PaperMade:
    """What is told of a paper: the answer to its question."""

    position: int
    """Of the last entry that is in it."""
    made_at: str
    """ISO 8601 instant, with the offset of the place where it was made."""
    size_bytes: int


_ANSWER = TypeAdapter(PaperMade)


def ask_for_paper(
    desk: Desk, document: str, form: Form, wanted: Wanted, *, again: bool = False
) -> Slip:
    """Ask for a paper of the logbook as it is now; asked twice, it is made once.

    Parameters
    ----------
    document : str
        Of those documents whose making may take long.
    wanted : Wanted
        Where language, units, sheet and sums count.
    again : bool
        Make anew what was made already, and what was stopped or failed.
    """
    workshop, words = wanted.workshop, wanted.words
    said = {
        "form": form,
        "language": words.language,
        "terms": words.terms,
        "units": wanted.units,
        "size": wanted.page.size,
        "is_large": wanted.page.is_large,
        "with_money": wanted.with_money,
    }
    return put(desk, workshop, wanted.logbook, document, said, again=again)


def wanted_of(workshop: Workshop, question: Question) -> tuple[Form, Wanted]:
    """Read how a paper is wanted that was asked for."""
    said: dict[str, Any] = json.loads(question.args)
    return Form(said["form"]), Wanted(
        workshop,
        question.logbook,
        _NOBODY,
        words=words_in(said["language"], said["terms"]),
        units=units_called(said["units"]),
        page=page_called(said["size"], is_large=said["is_large"]),
        with_money=said["with_money"],
    )


def paper_made(slip: Slip) -> PaperMade | None:
    """Read what is told of a paper; ``None`` if it is not made, or by another version."""
    if slip.answer is None:
        return None
    try:
        return _ANSWER.validate_json(slip.answer)
    except ValidationError:
        return None


class KeptPapers:
    """Makes papers into a folder, and finds them there; others may do the same meanwhile."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def find(self, question: Question) -> Path | None:
        """Give the file that was last made of such a question, if it is still kept."""
        path = self._path(question)
        return path if path.is_file() else None

    def answer(self, workshop: Workshop, question: Question, progress: Progress) -> bytes:
        """Make a paper, and keep it in the place of the one made before.

        Raises
        ------
        NotFound
            If no such paper is known.
        DiskFull, UnreadableFile
            If the folder does not take it.
        Stopped
            If it is not wanted any more; the one made before stays.
        """
        if question.kind not in PAPERS:
            raise NotFound("kind of question", question.kind, tuple(sorted(PAPERS)))
        form, wanted = wanted_of(workshop, question)
        position = workshop.store.position(question.logbook)
        target = self._path(question)
        with self._scratch(question) as scratch:
            making = replace(wanted, progress=progress, scratch=scratch)
            document_called(question.kind).save_as(form, making, target)
        made_at = workshop.clock.now().isoformat(timespec="seconds")
        return _ANSWER.dump_json(PaperMade(position, made_at, target.stat().st_size))

    def clear(self, older_than_s: float) -> None:
        """Throw away what was made more than so many seconds ago [s], whole or not."""
        if not self.folder.is_dir():
            return
        for each in self.folder.iterdir():
            if time.time() - each.lstat().st_mtime <= older_than_s:
                continue
            if each.is_dir():
                shutil.rmtree(each, ignore_errors=True)
            else:
                each.unlink(missing_ok=True)

    def _path(self, question: Question) -> Path:
        """Where it lies: the basis is no part of its name, so that the newest replaces others."""
        parts = (question.logbook, question.kind, question.args)
        name = sha256("\x00".join(parts).encode()).hexdigest()[:32]
        return self.folder / f"{name}.{Form(json.loads(question.args)['form'])}"

    @contextmanager
    def _scratch(self, question: Question) -> Iterator[Path]:
        """Give a folder for what is made on the way; what a dead one left there is gone."""
        folder = self.folder / f"making-{question.id}"
        try:
            shutil.rmtree(folder, ignore_errors=True)
            make_folder(folder)
            yield folder
        except OSError as error:  # not the store's: waiting for it would mend nothing
            if error.errno in NO_ROOM:
                raise DiskFull(str(self.folder)) from error
            why = f"papers cannot be kept here: {error.strerror or error}"
            mend = "let the account that serves Putback write there"
            raise UnreadableFile(self.folder, None, why, mend) from error
        finally:
            shutil.rmtree(folder, ignore_errors=True)
