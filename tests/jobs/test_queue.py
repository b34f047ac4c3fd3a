"""The queue page and batches: what waits, runs, failed; stop, resume, how long yet."""

import io
import zipfile
from datetime import timedelta
from pathlib import Path

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.errors import FactRefused
from shopapp.jobs import queue as queues
from shopapp.jobs.models import Batch, Document, Job, Letter
from shopapp.jobs.services import batches
from shopapp.work.models import RowState
from shopapp.work.runner import open_rows, run_open
from tests.jobs.papers_world import open_job


@pytest.fixture(autouse=True)
def media(settings: object, tmp_path: Path) -> None:
    settings.MEDIA_ROOT = tmp_path


@pytest.fixture
def jobs(manager: User) -> list[Job]:
    """Three jobs; their first papers are made already, their letters gone."""
    made = [open_job(manager) for _ in range(3)]
    Letter.objects.all().delete()
    Document.objects.update(row_state=RowState.READY, file="made.pdf", finished_at=timezone.now())
    return made


def ask(by: User, kind: str = "pick_list") -> Batch:
    return batches.request_batch(shop=by.shop, kind=kind, jobs=Job.objects.all(), by=by)


def test_a_batch_asks_for_the_next_version_of_each_job(manager: User, jobs: list[Job]) -> None:
    batch = ask(manager)
    assert batch.title == "3 pick lists"
    assert sorted(batch.documents.values_list("job", "version", "in_bulk")) == [
        (job.pk, 2, True) for job in jobs
    ]


def test_a_paper_on_its_way_is_not_asked_for_twice(manager: User, jobs: list[Job]) -> None:
    ask(manager)
    with pytest.raises(FactRefused, match="all are on their way"):
        ask(manager)
    assert Document.objects.filter(kind="pick_list").count() == 6


def test_a_batch_costs_the_same_queries_for_one_job_and_for_three(
    manager: User, jobs: list[Job], django_assert_num_queries: object
) -> None:
    one = Job.objects.filter(pk=jobs[0].pk)
    with django_assert_num_queries(7):
        batches.request_batch(shop=manager.shop, kind="pick_list", jobs=one, by=manager)
    with django_assert_num_queries(7):
        batches.request_batch(
            shop=manager.shop, kind="work_order", jobs=Job.objects.all(), by=manager
        )


def test_too_long_a_list_is_refused_in_words(
    manager: User, jobs: list[Job], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(batches, "MOST_PAPERS", 2)
    with pytest.raises(FactRefused, match="More than 2 jobs"):
        ask(manager)


def test_another_kind_is_refused(manager: User, jobs: list[Job]) -> None:
    with pytest.raises(FactRefused, match="no such paper"):
        ask(manager, "quote")


def test_a_single_wish_overtakes_a_batch(manager: User, jobs: list[Job]) -> None:
    ask(manager)
    late = Document.objects.create(
        shop=manager.shop, kind="work_order", job=jobs[0], version=9, asked_by=manager
    )
    assert open_rows(timezone.now())[0] == ("document", late.pk)


def test_a_stopped_batch_goes_on_where_it_was(manager: User, jobs: list[Job]) -> None:
    batch = ask(manager)
    first = batch.documents.order_by("pk").first()
    Document.objects.filter(pk=first.pk).update(row_state=RowState.READY, file="first.pdf")
    assert batches.stop_batch(batch=batch, by=manager) == 2
    progress = queues.progress_of(batch)
    assert (progress.ready, progress.stopped, progress.left) == (1, 2, 0)
    assert run_open() == 0
    assert batches.resume_batch(batch=batch) == 2
    while run_open():
        pass
    progress = queues.progress_of(batch)
    assert (progress.total, progress.ready, progress.over) == (3, 3, True)
    assert Document.objects.get(pk=first.pk).file == "first.pdf"


def test_the_time_left_is_judged_by_the_pace_of_the_last_papers() -> None:
    now = timezone.now()
    times = [now - timedelta(seconds=2 * n) for n in range(5)]
    assert queues.seconds_left(times, 100) == 200
    assert queues.seconds_left(times[:1], 100) is None


def test_the_hours_in_which_a_batch_was_stopped_do_not_count_as_its_pace() -> None:
    now = timezone.now()
    since = [now - timedelta(seconds=2 * n) for n in range(4)]
    before = [now - timedelta(hours=3, seconds=2 * n) for n in range(4)]
    assert queues.seconds_left(since + before, 100) == 200


def test_four_workers_that_finish_in_bursts_are_still_one_pace() -> None:
    now = timezone.now()
    times = [now - timedelta(seconds=8 * (n // 4)) for n in range(9)]
    assert queues.seconds_left(times, 100) == 200


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(4, "less than a minute"), (600, "about 10 min"), (7200, "about 2 h"), (None, "")],
)
def test_the_time_left_in_words(seconds: int | None, words: str) -> None:
    assert queues.Progress(Batch(), 9, 1, 0, 0, seconds).remaining == words


@pytest.mark.parametrize(
    ("length", "words"),
    [
        (timedelta(seconds=7), "7 s"),
        (timedelta(minutes=3, seconds=9), "3 min"),
        (timedelta(hours=2, minutes=5), "2 h 05 min"),
        (timedelta(days=3), "3 days"),
    ],
)
def test_ages_in_words(length: timedelta, words: str) -> None:
    assert queues.span_words(length) == words


def test_the_queue_counts_by_kind_and_says_how_old_the_oldest_is(
    manager: User, jobs: list[Job]
) -> None:
    batch = ask(manager)
    rows = list(batch.documents.order_by("pk"))
    Document.objects.filter(pk=rows[0].pk).update(
        requested_at=timezone.now() - timedelta(minutes=5)
    )
    Document.objects.filter(pk=rows[1].pk).update(row_state=RowState.FAILED, reason="It rained.")
    line = next(line for line in queues.lines_of(manager.shop) if line.kind == "document")
    assert (line.waiting, line.failed, line.age) == (2, 1, "5 min")


def test_the_page_costs_the_same_queries_for_one_row_and_for_three(
    manager: User, jobs: list[Job], client_for: object, django_assert_num_queries: object
) -> None:
    client = client_for(manager)
    one = Job.objects.filter(pk=jobs[0].pk)
    batches.request_batch(shop=manager.shop, kind="pick_list", jobs=one, by=manager)
    client.get(reverse("jobs:queue"))
    counted = queries_of(client)
    batches.request_batch(shop=manager.shop, kind="work_order", jobs=Job.objects.all(), by=manager)
    assert queries_of(client) == counted


def queries_of(client: object) -> int:
    with CaptureQueriesContext(connection) as seen:
        assert client.get(reverse("jobs:queue")).status_code == 200
    return len(seen)


def test_a_failed_row_shows_its_reason_and_is_tried_again(
    manager: User, jobs: list[Job], client_for: object
) -> None:
    row = ask(manager).documents.first()
    Document.objects.filter(pk=row.pk).update(row_state=RowState.FAILED, reason="It rained.")
    client = client_for(manager)
    assert "It rained." in client.get(reverse("jobs:queue")).text
    answer = client.post(reverse("jobs:queue_again", args=["document", row.pk]), follow=True)
    assert "1 papers asked for again." in answer.text
    row.refresh_from_db()
    assert row.row_state == RowState.REQUESTED


def test_stop_all_and_retry_all(manager: User, jobs: list[Job], client_for: object) -> None:
    batch = ask(manager)
    client = client_for(manager)
    client.post(reverse("jobs:queue_stop_all", args=["document"]))
    assert set(batch.documents.values_list("row_state", flat=True)) == {"stopped"}
    batch.documents.update(row_state=RowState.FAILED)
    client.post(reverse("jobs:queue_again_all", args=["document"]))
    assert set(batch.documents.values_list("row_state", flat=True)) == {"requested"}


def test_another_shop_sees_and_stops_nothing(
    manager: User, jobs: list[Job], stranger: User, client_for: object
) -> None:
    batch = ask(manager)
    client = client_for(stranger)
    page = client.get(reverse("jobs:queue"))
    assert "Pick list" not in page.text
    client.post(reverse("jobs:queue_stop_all", args=["document"]))
    assert set(batch.documents.values_list("row_state", flat=True)) == {"requested"}
    assert client.get(reverse("jobs:batch", args=[batch.pk])).status_code == 404
    assert client.post(reverse("jobs:batch_stop", args=[batch.pk])).status_code == 404


@pytest.mark.parametrize("who", ["writer", "technician", "parts_person"])
def test_only_manager_and_owner_see_the_queue(
    who: str, request: pytest.FixtureRequest, client_for: object
) -> None:
    client = client_for(request.getfixturevalue(who))
    assert client.get(reverse("jobs:queue")).status_code == 403


def test_an_unknown_kind_is_not_found(manager: User, client_for: object) -> None:
    url = reverse("jobs:queue_stop_all", args=["sandwich"])
    assert client_for(manager).post(url).status_code == 404


def test_from_the_list_of_jobs_to_the_archive(
    manager: User, jobs: list[Job], client_for: object
) -> None:
    client = client_for(manager)
    page = client.post(
        reverse("jobs:batch_ask"), {"kind": "pick_list", "q": jobs[0].number}, follow=True
    )
    assert "0 of 1 ready" in page.text
    batch = Batch.objects.get()
    assert client.get(reverse("jobs:batch_papers", args=[batch.pk])).status_code == 409
    run_open()
    answer = client.get(reverse("jobs:batch_papers", args=[batch.pk]))
    archive = zipfile.ZipFile(io.BytesIO(b"".join(answer.streaming_content)))
    assert archive.namelist() == [f"{jobs[0].number}-pick-list-v2.pdf"]
    assert archive.read(archive.namelist()[0]).startswith(b"%PDF")
    assert "1 of 1 ready" in client.get(reverse("jobs:batch_progress", args=[batch.pk])).text


def test_a_batch_is_stopped_and_resumed_by_its_buttons(
    manager: User, jobs: list[Job], client_for: object
) -> None:
    client, batch = client_for(manager), ask(manager)
    page = client.get(reverse("jobs:batch", args=[batch.pk])).text
    assert reverse("jobs:batch_stop", args=[batch.pk]) in page
    client.post(reverse("jobs:batch_stop", args=[batch.pk]))
    assert set(batch.documents.values_list("row_state", flat=True)) == {"stopped"}
    page = client.get(reverse("jobs:batch", args=[batch.pk])).text
    assert reverse("jobs:batch_resume", args=[batch.pk]) in page
    client.post(reverse("jobs:batch_resume", args=[batch.pk]))
    assert set(batch.documents.values_list("row_state", flat=True)) == {"requested"}


def test_the_wrong_list_stands_in_words(manager: User, shop: Shop, client_for: object) -> None:
    answer = client_for(manager).post(reverse("jobs:batch_ask"), {"kind": "pick_list"})
    assert answer.status_code == 422
    assert "No paper is left to ask for" in answer.text
