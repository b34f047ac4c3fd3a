"""Numbers of enquiries, quotes and jobs: one row a shop and series, counted in the database."""

from django.db import transaction
from django.db.models import F

from shopapp.accounts.models import Shop
from shopapp.jobs.models import Counter

FIRST = 1001


@transaction.atomic
def next_number(*, shop: Shop, series: str) -> str:
    """The next number of a series, for example `Q-1001`; never given out twice.

    The update locks the counter's row, so that two people who ask together get
    two numbers; a transaction that is rolled back gives its number back.
    """
    counter, fresh = Counter.objects.get_or_create(
        shop=shop, series=series, defaults={"last": FIRST}
    )
    if fresh:
        return f"{series}-{FIRST}"
    Counter.objects.filter(pk=counter.pk).update(last=F("last") + 1)
    counter.refresh_from_db(fields=["last"])
    return f"{series}-{counter.last}"
