"""The clock's duties: due at the start, then after their rest, and run by worker and sweeper."""

from datetime import timedelta

import pytest
from django.core.management import call_command

from shopapp.jobs.models import Quote
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.services.sending import send_quote
from shopapp.work import chores
from shopapp.work.chores import Chore, Clock, register_chore
from tests.factories.jobs import make_quote


@pytest.fixture
def only(monkeypatch):
    monkeypatch.setattr(chores, "CHORES", {})


def test_a_duty_is_done_at_the_start_and_after_its_rest(only):
    done, time = [], [100.0]
    register_chore(Chore("tea", 60, lambda: done.append(time[0]) or 1))
    clock = Clock(now=lambda: time[0])

    for moment in (100.0, 159.0, 160.0, 161.0):
        time[0] = moment
        clock.run_due()

    assert done == [100.0, 160.0]


@pytest.mark.parametrize("command", ["work", "sweep"])
def test_worker_and_sweeper_let_quotes_run_out_without_a_person(writer, command):
    quote = make_quote(writer)
    move_quote(quote=quote, after="ready", by=writer)
    send_quote(quote=quote, by=writer, link="https://x/{token}", subject_ok=True)
    Quote.objects.filter(pk=quote.pk).update(valid_until=quote.valid_until - timedelta(days=400))
    quote.documents.all().update(row_state="failed")
    quote.letters.all().update(row_state="failed")

    call_command(command, "--once")

    quote.refresh_from_db()
    assert quote.state == "expired"
    move = quote.moves.last()
    assert (move.by, move.by_name, move.after) == (None, "", "expired")
