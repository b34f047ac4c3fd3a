"""Papers are asked for, watched, tried again and opened; each only by who may."""

from collections.abc import Callable
from pathlib import Path

import pytest
from django.db import IntegrityError
from django.test import Client
from django.urls import reverse

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.documents import making
from shopapp.jobs.models import Document, Job, Quote
from shopapp.jobs.queries import papers_of
from shopapp.jobs.services import papers
from shopapp.jobs.services.papers import request_document, try_again
from shopapp.work.models import RowState
from tests.jobs.papers_world import open_job, sent_quote

Signed = Callable[[User], Client]


@pytest.fixture(autouse=True)
def media(settings: object, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path
    return tmp_path


@pytest.fixture
def job(manager: User) -> Job:
    return open_job(manager)


@pytest.fixture
def quote(manager: User) -> Quote:
    return sent_quote(manager)


def work_order(job: Job) -> Document:
    return Document.objects.filter(job=job, kind="work_order").latest("version")


def failed(document: Document, reason: str = "The disk is full.") -> Document:
    Document.objects.filter(pk=document.pk).update(row_state=RowState.FAILED, reason=reason)
    document.refresh_from_db()
    return document


def test_a_second_wish_while_the_first_is_on_its_way_gives_the_same_row(
    quote: Quote, manager: User
) -> None:
    first = request_document(kind="quote", by=manager, quote=quote)
    assert request_document(kind="quote", by=manager, quote=quote) == first
    assert first.version == 1
    assert first.asked_by == manager


def test_a_ready_paper_gets_a_next_version(quote: Quote, manager: User) -> None:
    first = request_document(kind="quote", by=manager, quote=quote)
    making.render(first.pk)
    second = request_document(kind="quote", by=manager, quote=quote)
    assert (second.version, second.row_state) == (2, RowState.REQUESTED)


def test_a_failed_paper_is_tried_again_not_counted_on(quote: Quote, manager: User) -> None:
    first = failed(request_document(kind="quote", by=manager, quote=quote))
    again = request_document(kind="quote", by=manager, quote=quote)
    assert (again.pk, again.row_state, again.reason) == (first.pk, RowState.REQUESTED, "")


def test_two_who_ask_at_the_same_moment_get_the_same_version(
    quote: Quote, manager: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    first = request_document(kind="quote", by=manager, quote=quote)
    # The second looked before the first was written, and counts to the same version.
    create = Document.objects.create

    def create_late(**facts: object) -> Document:
        return create(**{**facts, "version": first.version})

    monkeypatch.setattr(Document.objects, "create", create_late)
    assert papers._next_version("quote", manager, {"quote": quote}) == first
    assert Document.objects.filter(quote=quote).count() == 1


def test_the_database_holds_each_version_once(quote: Quote) -> None:
    facts = {"shop": quote.shop, "kind": "quote", "quote": quote, "version": 1}
    Document.objects.create(**facts)
    with pytest.raises(IntegrityError):
        Document.objects.create(**facts)


def test_a_kind_that_is_none_of_the_record_is_refused(quote: Quote, job: Job) -> None:
    with pytest.raises(FactRefused, match="work order or pick list"):
        request_document(kind="quote", by=None, job=job)
    with pytest.raises(FactRefused, match="Ask for a quote"):
        request_document(kind="work_order", by=None, quote=quote)


def test_a_ready_paper_cannot_be_tried_again(job: Job) -> None:
    document = work_order(job)
    making.render(document.pk)
    with pytest.raises(MoveRefused, match="ready"):
        try_again(document=document)


def test_the_line_asks_for_itself_until_the_paper_is_ready(
    job: Job, technician: User, client_for: Signed
) -> None:
    client, document = client_for(technician), work_order(job)
    page = reverse("jobs:paper_state", args=[document.pk])
    waiting = client.get(page).content.decode()
    assert "every 1s" in waiting
    assert "requested" in waiting
    making.render(document.pk)
    ready = client.get(page).content.decode()
    assert "every 1s" not in ready
    assert reverse("jobs:paper", args=[document.pk]) in ready


def test_a_paper_being_made_says_rendering(job: Job, manager: User, client_for: Signed) -> None:
    document = work_order(job)
    Document.objects.all().claim(document.pk)
    page = client_for(manager).get(reverse("jobs:paper_state", args=[document.pk]))
    assert "rendering" in page.content.decode()


def test_a_failed_paper_shows_its_reason_and_try_again(
    job: Job, manager: User, client_for: Signed
) -> None:
    document = failed(work_order(job), "The disk is full. Make room on it.")
    client = client_for(manager)
    page = client.get(reverse("jobs:paper_state", args=[document.pk])).content.decode()
    assert "The disk is full. Make room on it." in page
    assert "Try again" in page
    assert "every 1s" not in page
    asked = client.post(
        reverse("jobs:paper_request", args=["work_order", job.pk]), headers={"HX-Request": "true"}
    )
    assert "every 1s" in asked.content.decode()
    document.refresh_from_db()
    assert document.row_state == RowState.REQUESTED


def test_the_pdf_opens_in_the_browser_under_a_good_name(
    job: Job, technician: User, client_for: Signed
) -> None:
    document = work_order(job)
    making.render(document.pk)
    answer = client_for(technician).get(reverse("jobs:paper", args=[document.pk]))
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"] == f'inline; filename="{job.number}-work-order-v1.pdf"'
    assert b"".join(answer.streaming_content).startswith(b"%PDF")


def test_a_paper_that_is_not_ready_does_not_open(
    job: Job, manager: User, client_for: Signed
) -> None:
    answer = client_for(manager).get(reverse("jobs:paper", args=[work_order(job).pk]))
    assert answer.status_code == 409
    assert "not ready yet" in answer.content.decode()


def test_a_file_that_has_gone_is_said_so(
    job: Job, manager: User, client_for: Signed, media: Path
) -> None:
    document = work_order(job)
    making.render(document.pk)
    document.refresh_from_db()
    (media / document.file).unlink()
    answer = client_for(manager).get(reverse("jobs:paper", args=[document.pk]))
    assert answer.status_code == 409
    assert "Make a new version" in answer.content.decode()


def test_another_shop_sees_no_paper(job: Job, stranger: User, client_for: Signed) -> None:
    client, document = client_for(stranger), work_order(job)
    for name in ("paper", "paper_state", "paper_fresh"):
        assert client.get(reverse(f"jobs:{name}", args=[document.pk])).status_code == 404
    asked = client.post(reverse("jobs:paper_request", args=["work_order", job.pk]))
    assert asked.status_code == 404


def test_a_technician_sees_no_prices(quote: Quote, technician: User, client_for: Signed) -> None:
    document = request_document(kind="quote", by=None, quote=quote)
    client = client_for(technician)
    assert client.get(reverse("jobs:paper", args=[document.pk])).status_code == 403
    asked = client.post(reverse("jobs:paper_request", args=["quote", quote.pk]))
    assert asked.status_code == 403


def test_nobody_sees_a_paper_without_signing_in(job: Job, client: Client) -> None:
    answer = client.get(reverse("jobs:paper", args=[work_order(job).pk]))
    assert answer.status_code == 302


def test_an_unknown_kind_of_paper_is_refused_in_words(
    job: Job, manager: User, client_for: Signed
) -> None:
    asked = client_for(manager).post(reverse("jobs:paper_request", args=["poster", job.pk]))
    assert asked.status_code == 422
    assert "There is no such paper here" in asked.content.decode()


def test_a_paper_that_says_what_was_says_so_on_the_page(
    job: Job, manager: User, client_for: Signed
) -> None:
    document = work_order(job)
    making.render(document.pk)
    page = reverse("jobs:paper_fresh", args=[document.pk])
    client = client_for(manager)
    assert "have changed" not in client.get(page).content.decode()
    job.boat.berth = "D 2"
    job.boat.save()
    assert "have changed" in client.get(page).content.decode()


def test_the_papers_of_a_job_take_one_query(job: Job, django_assert_num_queries: object) -> None:
    for _ in range(3):
        with django_assert_num_queries(1):
            found = papers_of(job=job)
        document = work_order(job)
        making.render(document.pk)
        request_document(kind="work_order", by=None, job=job)
    assert [paper.kind for paper in found] == list(papers.OF_JOB)
    assert [one.version for one in papers_of(job=job)[0].earlier] == [3, 2, 1]
