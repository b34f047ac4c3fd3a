"""Claims, leases and the end of tries: a row is advanced once, whoever comes first."""

from datetime import timedelta

import pytest
from django.utils import timezone

from shopapp.accounts.models import Shop
from shopapp.jobs.models import Document
from shopapp.work.models import RowState
from tests.work.rows import claim_ran_out, make_row

rows = Document.objects


@pytest.fixture
def row(shop: Shop) -> Document:
    return make_row(shop)


def test_a_row_is_claimed_once(row: Document) -> None:
    assert rows.all().claim(row.pk) is not None
    assert rows.all().claim(row.pk) is None


def test_a_claim_counts_a_try_and_forgets_the_old_reason(row: Document) -> None:
    Document.objects.update(reason="The disk is full.")
    rows.all().claim(row.pk)
    row.refresh_from_db()
    assert (row.row_state, row.tries, row.reason) == (RowState.RUNNING, 1, "")


def test_a_lease_that_ran_out_is_open_to_the_next(row: Document) -> None:
    first = rows.all().claim(row.pk)
    claim_ran_out(row)
    second = rows.all().claim(row.pk)
    assert second not in (None, first)


def test_only_the_holder_of_the_lease_finishes(row: Document) -> None:
    first = rows.all().claim(row.pk)
    claim_ran_out(row)
    second = rows.all().claim(row.pk)
    assert rows.all().finish(row.pk, first, file="of-the-first.pdf") is False
    assert rows.all().finish(row.pk, second, file="of-the-second.pdf") is True
    row.refresh_from_db()
    assert (row.row_state, row.file) == (RowState.READY, "of-the-second.pdf")


def test_a_renewed_lease_holds(row: Document) -> None:
    mark = rows.all().claim(row.pk)
    claim_ran_out(row)
    assert rows.all().renew(row.pk, mark) is True
    assert rows.all().claim(row.pk) is None


def test_a_lost_lease_is_not_renewed(row: Document) -> None:
    first = rows.all().claim(row.pk)
    claim_ran_out(row)
    rows.all().claim(row.pk)
    assert rows.all().renew(row.pk, first) is False


def test_a_row_given_back_is_tried_until_its_tries_are_used_up(
    row: Document, settings: object
) -> None:
    settings.WORK_MAX_TRIES = 3
    states = []
    for _ in range(3):
        mark = rows.all().claim(row.pk)
        rows.all().give_back(row.pk, mark, "It rained.")
        row.refresh_from_db()
        states.append(row.row_state)
    assert states == [RowState.REQUESTED, RowState.REQUESTED, RowState.FAILED]
    assert row.reason == "It rained."
    assert rows.all().claim(row.pk) is None


def test_a_row_whose_worker_always_vanishes_fails_in_the_end(
    row: Document, settings: object
) -> None:
    settings.WORK_MAX_TRIES = 2
    for _ in range(2):
        rows.all().claim(row.pk)
        claim_ran_out(row)
    assert rows.all().give_up_hopeless(timezone.now()) == 1
    row.refresh_from_db()
    assert row.row_state == RowState.FAILED
    assert "The worker stopped 2 times" in row.reason


def test_a_row_in_work_is_never_given_up(row: Document, settings: object) -> None:
    settings.WORK_MAX_TRIES = 1
    rows.all().claim(row.pk)
    assert rows.all().give_up_hopeless(timezone.now()) == 0


def test_asking_again_is_open_to_failed_rows_alone(row: Document) -> None:
    assert rows.all().ask_again(row.pk) is False
    mark = rows.all().claim(row.pk)
    rows.all().fail(row.pk, mark, "It rained.")
    assert rows.all().ask_again(row.pk) is True
    row.refresh_from_db()
    assert (row.row_state, row.tries, row.reason) == (RowState.REQUESTED, 0, "")


def test_rows_are_rung_again_after_half_a_minute(row: Document) -> None:
    now = timezone.now()
    assert list(rows.all().to_ring(now)) == [row]
    rows.filter(pk=row.pk).mark_rung()
    assert list(rows.all().to_ring(now)) == []
    assert list(rows.all().to_ring(now + timedelta(seconds=40))) == [row]


def test_a_stopped_row_waits_for_a_person_and_loses_its_worker(row: Document) -> None:
    mark = rows.all().claim(row.pk)
    assert rows.all().stop(by="Mona Reed") == 1
    assert rows.all().finish(row.pk, mark, file="late.pdf") is False
    assert rows.all().claim(row.pk) is None
    row.refresh_from_db()
    assert (row.row_state, row.reason) == (RowState.STOPPED, "Stopped by Mona Reed.")
    assert row.unmade
    assert rows.all().ask_again(row.pk) is True
    assert rows.all().claim(row.pk) is not None


def test_what_is_ready_is_not_stopped(row: Document) -> None:
    mark = rows.all().claim(row.pk)
    rows.all().finish(row.pk, mark, file="done.pdf")
    assert rows.all().stop(by="Mona Reed") == 0


def test_single_wishes_come_before_batches(shop: Shop) -> None:
    bulk, single = make_row(shop), make_row(shop)
    rows.filter(pk=bulk.pk).update(in_bulk=True)
    assert list(rows.oldest_first()) == [single, bulk]
