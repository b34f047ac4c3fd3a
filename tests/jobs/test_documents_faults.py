"""When a paper cannot be made: nothing is half there, the reason can be acted on."""

import errno
import os
from datetime import timedelta
from pathlib import Path

import pytest
from django.core.management import call_command
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.jobs.documents import files, making
from shopapp.jobs.models import Document
from shopapp.work.models import RowState
from shopapp.work.runner import run_row
from tests.jobs.papers_world import open_job


@pytest.fixture(autouse=True)
def media(settings: object, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def paper(manager: User) -> Document:
    return Document.objects.get(job=open_job(manager), kind="pick_list")


def files_in(media: Path) -> list[str]:
    return sorted(path.name for path in media.rglob("*") if path.is_file())


def full_disk(*_args: object) -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def broken_disk(*_args: object) -> None:
    raise OSError(errno.EIO, os.strerror(errno.EIO))


def test_run_twice_one_file(paper: Document, media: Path) -> None:
    assert run_row("document", paper.pk) is True
    assert run_row("document", paper.pk) is False
    assert len(files_in(media)) == 1


def test_a_full_disk_puts_the_paper_off_and_it_is_made_by_itself_once_there_is_room(
    paper: Document, media: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as full:
        full.setattr(files.os, "fsync", full_disk)
        call_command("work", once=True)
    paper.refresh_from_db()
    assert paper.row_state == RowState.REQUESTED
    assert paper.reason == (
        "The disk is full. Make room on it; this is tried again every 30 seconds until there is."
    )
    assert files_in(media) == []
    assert paper.wait_until > timezone.now()
    call_command("work", once=True)  # put off: not tried before its time
    paper.refresh_from_db()
    assert paper.row_state == RowState.REQUESTED
    Document.objects.filter(pk=paper.pk).update(wait_until=timezone.now())
    call_command("work", once=True)
    paper.refresh_from_db()
    assert (paper.row_state, paper.tries, paper.wait_until) == (RowState.READY, 1, None)
    assert (media / paper.file).is_file()


def test_a_disk_that_stays_full_never_uses_up_the_tries(
    paper: Document, monkeypatch: pytest.MonkeyPatch, settings: object
) -> None:
    settings.WORK_MAX_TRIES = 2
    monkeypatch.setattr(files.os, "fsync", full_disk)
    for _ in range(3):
        Document.objects.filter(pk=paper.pk).update(wait_until=None)
        assert run_row("document", paper.pk) is False
    paper.refresh_from_db()
    assert (paper.row_state, paper.tries) == (RowState.REQUESTED, 0)


def test_a_record_that_cannot_be_printed_fails_with_its_words(paper: Document) -> None:
    job = paper.job
    Document.objects.filter(pk=paper.pk).update(kind="work_order", version=2)
    job.plan = {**job.plan, "links": [{"between": ["nobody", "d1"], "cable": "gone"}]}
    job.save()
    call_command("work", once=True)
    paper.refresh_from_db()
    assert paper.row_state == RowState.FAILED
    assert "KeyError" in paper.reason
    assert "try again" in paper.reason


def test_after_one_fault_the_paper_waits_for_its_next_try(
    paper: Document, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as broken:
        broken.setattr(files.os, "fsync", broken_disk)
        assert run_row("document", paper.pk) is False
    paper.refresh_from_db()
    assert (paper.row_state, paper.tries) == (RowState.REQUESTED, 1)
    assert paper.reason.startswith("A file could not be written")


def test_an_overtaken_worker_throws_its_file_away(
    paper: Document, media: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = making.print_pdf

    def slow(template: str, context: dict[str, object]) -> object:
        monkeypatch.setattr(making, "print_pdf", real)
        # While this worker prints, its lease runs out and another one makes the paper.
        Document.objects.filter(pk=paper.pk).update(lease_until=timezone.now() - timedelta(1))
        assert making.render(paper.pk) is True
        return real(template, context)

    monkeypatch.setattr(making, "print_pdf", slow)
    assert making.render(paper.pk) is False
    paper.refresh_from_db()
    assert paper.row_state == RowState.READY
    assert files_in(media) == [Path(paper.file).name]


def test_what_a_killed_worker_left_is_cleared_by_the_next(paper: Document, media: Path) -> None:
    dead = Document.objects.all().claim(paper.pk)
    paper.refresh_from_db()
    files.store(paper, b"%PDF of the killed worker")
    Document.objects.filter(pk=paper.pk).update(lease_until=timezone.now() - timedelta(1))
    assert run_row("document", paper.pk) is True
    paper.refresh_from_db()
    assert dead.hex[:12] not in paper.file
    assert files_in(media) == [Path(paper.file).name]
