"""Papers are read back: what the records say stands on them, page by page."""

import io
import os
from pathlib import Path

import pytest
from pypdf import PdfReader

from shopapp.accounts.models import User
from shopapp.jobs.documents import making
from shopapp.jobs.models import Document, Job, Quote
from shopapp.jobs.services.papers import request_document
from tests.jobs.papers_world import open_job, sent_quote

SHOTS = os.environ.get("DESK_SHOTS")


@pytest.fixture(autouse=True)
def media(settings: object, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def job(manager: User) -> Job:
    return open_job(manager, option=2)


@pytest.fixture
def quote(manager: User) -> Quote:
    return sent_quote(manager)


def made(media: Path, kind: str, **of: object) -> tuple[Document, list[str]]:
    """Ask for a paper, let the worker make it, and read its pages."""
    document = request_document(kind=kind, by=None, **of)
    assert making.render(document.pk) is True
    document.refresh_from_db()
    body = (media / document.file).read_bytes()
    if SHOTS:
        Path(SHOTS, f"{kind}.pdf").write_bytes(body)
    return document, [page.extract_text() for page in PdfReader(io.BytesIO(body)).pages]


def test_show(media, job):
    for kind in ("work_order", "pick_list"):
        made(media, kind, job=job)
    made(media, "quote", quote=job.quote)
