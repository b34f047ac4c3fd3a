"""Two answers at the same moment: one job, one reservation, whoever wins."""

from threading import Barrier, Thread
from time import monotonic

import pytest
from django.db import OperationalError, connection, connections

from shopapp.errors import MoveRefused
from shopapp.jobs.models import Job, PickLine, PickList, Quote
from shopapp.jobs.services.acceptance import accept_quote
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.services.numbers import next_number
from shopapp.jobs.services.sending import send_quote
from shopapp.stock.models import StockItem
from tests.factories.jobs import make_quote, put_in_stock

TOGETHER = 4
PATIENCE_SECONDS = 30


def all_at_once(act) -> list:
    """The outcomes of the same act begun by several threads at the same moment."""
    barrier, outcomes = Barrier(TOGETHER), []

    def run(number: int) -> None:
        barrier.wait()
        try:
            outcomes.append(until_not_locked(lambda: act(number)))
        finally:
            connections.close_all()

    threads = [Thread(target=run, args=[number]) for number in range(TOGETHER)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return outcomes


def until_not_locked(act):
    """Try again while the test's shared memory database is locked by another thread."""
    end = monotonic() + PATIENCE_SECONDS
    while monotonic() < end:
        try:
            return act()
        except OperationalError as error:
            if "locked" not in str(error):
                raise
            connection.close()
    return "locked"


@pytest.mark.django_db(transaction=True)
def test_many_acceptances_at_once_give_one_job_and_one_reservation(writer, shop):
    quote = make_quote(writer)
    put_in_stock(shop)
    move_quote(quote=quote, after="ready", by=writer)
    send_quote(quote=quote, by=writer, link="https://x/{token}", subject_ok=True)
    option = quote.options.get(position=1)
    seen = [Quote.objects.get(pk=quote.pk) for _ in range(TOGETHER)]

    def accept(number: int) -> str:
        try:
            row = Quote.objects.get(pk=seen[number].pk)
            row.state = "sent"  # each of them saw it open
            accept_quote(quote=row, option=option, name=f"Person {number}", address=None)
        except MoveRefused:
            return "refused"
        return "accepted"

    outcomes = all_at_once(accept)

    assert sorted(outcomes) == ["accepted", "refused", "refused", "refused"]
    assert Job.objects.count() == PickList.objects.count() == 1
    for item in StockItem.objects.all():
        assert item.reserved == sum(line.reserved for line in PickLine.objects.filter(stock=item))


@pytest.mark.django_db(transaction=True)
def test_numbers_asked_for_at_once_are_all_different(shop):
    next_number(shop=shop, series="Q")

    numbers = all_at_once(lambda _: next_number(shop=shop, series="Q"))

    assert len(set(numbers)) == TOGETHER
    assert "locked" not in numbers
