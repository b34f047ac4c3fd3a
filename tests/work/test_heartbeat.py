"""Long work keeps its claim; lost and hanging work lets it go."""

import threading
from datetime import timedelta

import pytest
from django.db import OperationalError
from django.utils import timezone

from shopapp.accounts.models import Shop
from shopapp.jobs.models import Document
from shopapp.work.heartbeat import Heartbeat, held
from shopapp.work.models import LeasedQuerySet, RowState
from shopapp.work.runner import advance
from tests.work.rows import claim_ran_out, make_row

WAIT_AT_MOST = 20


@pytest.fixture
def quick(settings: object) -> None:
    """A lease so short that its third passes while a test looks."""
    settings.WORK_LEASE_SECONDS = 0.3


@pytest.mark.django_db(transaction=True)
def test_work_longer_than_its_lease_keeps_its_claim(
    shop: Shop, quick: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    row = make_row(shop)
    beats = threading.Semaphore(0)
    real = LeasedQuerySet.renew

    def counted(rows: LeasedQuerySet, pk: int, mark: object) -> bool:
        kept = real(rows, pk, mark)
        beats.release()
        return kept

    monkeypatch.setattr(LeasedQuerySet, "renew", counted)
    takers = []

    def long_work(document: Document) -> dict[str, object]:
        for _ in range(5):  # five beats are more than one lease
            assert beats.acquire(timeout=WAIT_AT_MOST)
        takers.append(Document.objects.all().claim(document.pk))
        return {"file": "long.pdf"}

    assert advance(rows=Document.objects.all(), pk=row.pk, make=long_work) is True
    assert takers == [None]
    row.refresh_from_db()
    assert (row.row_state, row.tries) == (RowState.READY, 1)


@pytest.mark.django_db(transaction=True)
def test_a_heartbeat_ends_when_another_holds_the_row(shop: Shop, quick: None) -> None:
    row = make_row(shop)
    mark = Document.objects.all().claim(row.pk)
    claim_ran_out(row)
    Document.objects.all().claim(row.pk)
    beat = Heartbeat(Document.objects.all(), row.pk, mark)
    beat.start()
    beat._thread.join(WAIT_AT_MOST)
    assert not beat._thread.is_alive()
    assert beat.lost


def test_a_database_away_for_a_beat_is_not_a_lost_claim(
    shop: Shop, monkeypatch: pytest.MonkeyPatch
) -> None:
    row = make_row(shop)
    mark = Document.objects.all().claim(row.pk)

    def away(*_args: object) -> bool:
        raise OperationalError("the server closed the connection")

    beat = Heartbeat(Document.objects.all(), row.pk, mark)
    with monkeypatch.context() as fault:
        fault.setattr(LeasedQuerySet, "renew", away)
        assert beat.beat() is True
    assert beat.beat() is True
    assert not beat.lost


@pytest.mark.django_db(transaction=True)
def test_work_that_hangs_for_ever_lets_its_row_go(
    shop: Shop, settings: object, quick: None
) -> None:
    settings.WORK_LONGEST_SECONDS = 0
    row = make_row(shop)
    mark = Document.objects.all().claim(row.pk)
    beat = Heartbeat(Document.objects.all(), row.pk, mark)
    beat.start()
    beat._thread.join(WAIT_AT_MOST)
    assert not beat._thread.is_alive()
    assert Document.objects.all().open_now(timezone.now() + timedelta(seconds=1)).count() == 1


def test_the_heartbeat_ends_with_the_work(shop: Shop) -> None:
    row = make_row(shop)
    mark = Document.objects.all().claim(row.pk)
    with pytest.raises(ZeroDivisionError), held(Document.objects.all(), row.pk, mark) as beat:
        raise ZeroDivisionError
    assert not beat._thread.is_alive()
