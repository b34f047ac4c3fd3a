"""The files of finished papers: where they lie, how they are written, how they are opened."""

import hashlib
import os
from pathlib import Path
from zipfile import ZipFile

from django.conf import settings
from django.http import FileResponse

from shopapp.errors import MoveRefused
from shopapp.jobs.models import Document
from shopapp.work.models import RowState


def paper_name(document: Document) -> str:
    """A name that a person can find again: `J-1042-work-order-v2.pdf`."""
    of = document.subject
    return f"{of}-{document.kind.replace('_', '-')}-v{document.version}.pdf"


def open_paper(document: Document) -> FileResponse:
    """The PDF, to be shown in the browser under a good name.

    Who may see it is the caller's to ask: a role, or a customer's token. Raises MoveRefused where
    the paper is not ready, or its file has gone.
    """
    if document.row_state != RowState.READY:
        raise MoveRefused("This paper is not ready yet.", todo="Wait until it says ready.")
    try:
        file = _path(document.file).open("rb")
    except FileNotFoundError as error:
        raise MoveRefused(
            "The file of this paper is gone from the data folder.", todo="Make a new version."
        ) from error
    answer = FileResponse(file, content_type="application/pdf", filename=paper_name(document))
    answer["Cache-Control"] = "private, no-store"
    return answer


def add_to_archive(archive: ZipFile, document: Document) -> None:
    """Put a ready paper into an archive, as it is; one whose file is gone is left out."""
    path = _path(document.file)
    if path.is_file():
        archive.write(path, paper_name(document))


def paper_bytes(document: Document) -> bytes:
    """The PDF as it lies on the disk; OSError where it is gone."""
    return _path(document.file).read_bytes()


def store(document: Document, body: bytes) -> dict[str, str]:
    """Write the file under a name of this claim's own; the columns `file` and `digest`.

    The bytes are on the disk before the name is, so that a crash leaves no half paper. Raises
    OSError where the disk refuses.
    """
    stem = f"{document.pk}-v{document.version}-{document.lease_owner.hex[:12]}"
    place = Path("papers") / str(document.shop_id) / f"{stem}.pdf"
    target = _path(str(place))
    target.parent.mkdir(parents=True, exist_ok=True)
    part = target.with_suffix(".part")
    try:
        with part.open("wb") as file:
            file.write(body)
            file.flush()
            os.fsync(file.fileno())
        part.replace(target)
    except OSError:
        part.unlink(missing_ok=True)
        raise
    return {"file": str(place), "digest": hashlib.sha256(body).hexdigest()}


def discard(effect: dict[str, object]) -> None:
    """Throw away the file of a claim that was overtaken."""
    _path(str(effect["file"])).unlink(missing_ok=True)


def discard_leftovers(document: Document) -> None:
    """Remove what earlier tries at this very row left behind, now that one is kept."""
    kept = _path(document.file)
    for path in kept.parent.glob(f"{document.pk}-v{document.version}-*"):
        if path != kept:
            path.unlink(missing_ok=True)


def _path(relative: str) -> Path:
    return Path(settings.MEDIA_ROOT) / relative
