"""The embedded worker, Celery's bell and the sweeper run the same function."""

import signal
from pathlib import Path

import pytest
from django.core.management import call_command
from django.db import OperationalError, transaction
from django.utils import timezone
from kombu.exceptions import OperationalError as BrokerAway

from shopapp.accounts.models import Shop
from shopapp.errors import FactRefused
from shopapp.jobs.models import Document
from shopapp.work import loop as loops
from shopapp.work import runner, services
from shopapp.work.loop import Loop
from shopapp.work.models import RowState
from shopapp.work.registry import KINDS, Kind
from shopapp.work.runner import advance, open_rows, run_open, run_row
from shopapp.work.services import ring, sweep
from shopapp.work.tasks import run_row_task
from tests.work.rows import claim_ran_out, make_row

BROKER = "redis://127.0.0.1:1/0"


@pytest.fixture
def row(shop: Shop) -> Document:
    return make_row(shop)


@pytest.fixture
def done(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Documents are only ticked off here, and plans are left alone: the rows come in this order."""
    seen: list[int] = []

    def finish(pk: int) -> bool:
        def make(document: Document) -> dict[str, object]:
            seen.append(document.pk)
            return {"file": f"{document.pk}.pdf"}

        return advance(rows=Document.objects.all(), pk=pk, make=make)

    kind = Kind("document", Document.objects.all, finish)
    monkeypatch.setattr(runner, "KINDS", {"document": kind})
    monkeypatch.setattr(services, "KINDS", {"document": kind})
    return seen


@pytest.fixture
def sent(monkeypatch: pytest.MonkeyPatch) -> list[list[object]]:
    """The messages that went to the broker."""
    messages: list[list[object]] = []
    monkeypatch.setattr(run_row_task, "apply_async", lambda args, **_how: messages.append(args))
    return messages


def test_documents_and_plans_are_known_to_the_workers() -> None:
    assert {"document", "plan"} <= set(KINDS)


def test_the_oldest_row_is_made_first(shop: Shop, done: list[int]) -> None:
    old, new = make_row(shop), make_row(shop)
    Document.objects.filter(pk=new.pk).update(requested_at=old.requested_at.replace(year=2020))
    assert run_open() == 2
    assert done == [new.pk, old.pk]


def test_once_ends_when_nothing_is_open(row: Document, done: list[int]) -> None:
    call_command("work", once=True)
    row.refresh_from_db()
    assert row.row_state == RowState.READY
    assert open_rows(timezone.now()) == []


def test_a_row_past_its_lease_is_taken_up_again(row: Document, done: list[int]) -> None:
    Document.objects.all().claim(row.pk)
    assert run_open() == 0
    claim_ran_out(row)
    assert run_open() == 1


def test_a_message_that_comes_twice_does_the_work_once(row: Document, done: list[int]) -> None:
    run_row_task(kind="document", pk=row.pk)
    run_row_task(kind="document", pk=row.pk)
    assert done == [row.pk]


def test_a_message_for_a_row_that_is_gone_does_nothing(db: None, done: list[int]) -> None:
    assert run_row("document", 999_999) is False
    assert done == []


def test_a_rule_that_refuses_is_the_reason(row: Document, settings: object) -> None:
    settings.WORK_MAX_TRIES = 1

    def refuse(_row: Document) -> dict[str, object]:
        raise FactRefused("The boat has no length.", todo="Enter it.")

    assert advance(rows=Document.objects.all(), pk=row.pk, make=refuse) is False
    row.refresh_from_db()
    assert (row.row_state, row.reason) == (RowState.FAILED, "The boat has no length. Enter it.")


def test_a_database_that_is_away_is_no_fault_of_the_row(row: Document) -> None:
    def away(_row: Document) -> dict[str, object]:
        raise OperationalError("the server closed the connection")

    with pytest.raises(OperationalError):
        advance(rows=Document.objects.all(), pk=row.pk, make=away)
    row.refresh_from_db()
    assert row.row_state == RowState.RUNNING  # its lease brings it back


@pytest.mark.django_db(transaction=True)
def test_the_bell_rings_after_the_commit_and_never_before(
    shop: Shop, settings: object, sent: list[list[object]]
) -> None:
    row = make_row(shop)
    settings.BROKER_URL = BROKER
    with transaction.atomic():
        ring("document", row.pk)
        assert sent == []
    assert sent == [["document", row.pk]]
    row.refresh_from_db()
    assert row.rung_at is not None


@pytest.mark.django_db(transaction=True)
def test_a_rolled_back_wish_rings_no_bell(
    shop: Shop, settings: object, sent: list[list[object]]
) -> None:
    settings.BROKER_URL = BROKER
    row = make_row(shop)
    sent.clear()

    @transaction.atomic
    def wish_and_fail() -> None:
        ring("document", row.pk)
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        wish_and_fail()
    assert sent == []


@pytest.mark.django_db(transaction=True)
def test_without_a_broker_nothing_is_sent(shop: Shop, sent: list[list[object]]) -> None:
    ring("document", make_row(shop).pk)
    assert sent == []


@pytest.mark.django_db(transaction=True)
def test_with_the_broker_away_the_row_stays_requested(
    shop: Shop, settings: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    def away(args: list[object], **_how: object) -> None:
        raise BrokerAway("connection refused")

    monkeypatch.setattr(run_row_task, "apply_async", away)
    settings.BROKER_URL = BROKER
    row = make_row(shop)
    row.refresh_from_db()
    assert (row.row_state, row.rung_at) == (RowState.REQUESTED, None)


def test_another_fault_of_the_bell_is_not_hidden(
    row: Document, monkeypatch: pytest.MonkeyPatch
) -> None:
    def wrong(args: list[object], **_how: object) -> None:
        raise TypeError("not a broker's fault")

    monkeypatch.setattr(run_row_task, "apply_async", wrong)
    with pytest.raises(TypeError):
        services.send("document", row.pk)


def test_the_sweeper_rings_once_in_half_a_minute(
    shop: Shop, done: list[int], sent: list[list[object]]
) -> None:
    wanted = [make_row(shop).pk for _ in range(3)]
    assert sweep(timezone.now()) == 3
    assert sweep(timezone.now()) == 0
    assert [pk for _, pk in sent] == wanted


def test_the_sweeper_stops_at_the_first_sign_that_the_broker_is_away(
    shop: Shop, done: list[int], monkeypatch: pytest.MonkeyPatch
) -> None:
    tries: list[object] = []

    def away(args: list[object], **_how: object) -> None:
        tries.append(args)
        raise BrokerAway("connection refused")

    monkeypatch.setattr(run_row_task, "apply_async", away)
    for _ in range(3):
        make_row(shop)
    assert sweep(timezone.now()) == 0
    assert len(tries) == 1


def test_a_signal_lets_the_present_pass_end(db: None) -> None:
    loop = Loop(idle_seconds=0)
    passes: list[int] = []

    def one_pass() -> int:
        passes.append(1)
        if len(passes) == 2:
            loop.stop(signal.SIGTERM)
        return 1

    loop.run(one_pass)
    assert len(passes) == 2


def test_a_stopped_worker_leaves_the_rest_to_the_next(shop: Shop, done: list[int]) -> None:
    first = make_row(shop)
    make_row(shop)
    run_open(stopped=lambda: bool(done))
    assert done == [first.pk]


def test_the_loop_outlives_a_database_that_is_away(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(loops, "PAUSE_AT_MOST", 0.0)
    monkeypatch.setattr(loops.connection, "close", lambda: None)
    monkeypatch.setattr(loops, "close_old_connections", lambda: None)
    loop = Loop(idle_seconds=0)
    passes: list[int] = []

    def one_pass() -> int:
        passes.append(1)
        if len(passes) < 3:
            raise OperationalError("database is locked")
        loop.stop()
        return 1

    loop.run(one_pass)
    assert len(passes) == 3


def test_a_full_disk_is_said_in_plain_words(tmp_path: Path) -> None:
    assert runner.reason_for(OSError(28, "No space left on device")).startswith("The disk is full")
    assert "may not be written" in runner.reason_for(PermissionError(13, "Permission denied"))
    assert "could not be written" in runner.reason_for(OSError(5, "Input/output error"))
