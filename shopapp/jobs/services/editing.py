"""Edits of a quote: only while it is open, and never over somebody else's."""

from django.db import transaction
from django.db.models import F

from shopapp.errors import MoveRefused, StaleRecord
from shopapp.jobs.models import Quote


@transaction.atomic
def claim_edit(*, quote: Quote, seen: int | None = None) -> None:
    """Count an edit of an open quote, first thing in the edit's own transaction.

    `seen` is the version that the person looked at; None where an edit takes
    nothing away (a new line). The row stays locked until the edit is written,
    so that a quote cannot be sent half changed. MoveRefused where it is no
    longer open; StaleRecord where somebody else changed it since.
    """
    rows = Quote.objects.filter(pk=quote.pk, state__in=Quote.OPEN_STATES)
    if seen is not None:
        rows = rows.filter(version=seen)
    changed = rows.update(version=F("version") + 1)
    quote.refresh_from_db(fields=["state", "version"])
    if changed == 1:
        return
    if not quote.is_open:
        raise MoveRefused(
            f"The quote {quote} is “{quote.get_state_display()}”; what was sent cannot change.",
            todo="Make a revision and change that.",
        )
    raise StaleRecord(
        f"Somebody else changed the quote {quote} while you looked at it.",
        todo="What you typed is still here: compare with the sheet, then save again.",
    )
