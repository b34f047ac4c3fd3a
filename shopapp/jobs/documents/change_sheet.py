"""The change orders of a job on paper, the newest first: found, changed, agreed by whom and how."""

from shopapp.jobs.documents.common import (
    Facts,
    boat_facts,
    customer_facts,
    day_words,
    local_day,
    shop_facts,
)
from shopapp.jobs.models import ChangeOrder, Job


def change_job_for_paper(pk: int) -> Job:
    """The job with its change orders; four queries."""
    rows = Job.objects.select_related("shop", "boat", "customer", "technician", "quote")
    return rows.prefetch_related("changes", "customer__phones").get(pk=pk)


def change_facts(job: Job) -> Facts:
    """Every change that was offered, with its lines and sums, and its answer."""
    shown = [one for one in job.changes.all() if one.state not in {"draft", "withdrawn"}]
    return {
        "shop": shop_facts(job.shop),
        "number": job.number,
        "title": job.title,
        "boat": boat_facts(job.boat),
        "customer": customer_facts(job.customer),
        "quote": str(job.quote) if job.quote else "",
        "currency": job.quote.currency if job.quote else job.shop.currency,
        "changes": [_change(one, job) for one in sorted(shown, key=lambda one: -one.number)],
    }


def _change(change: ChangeOrder, job: Job) -> Facts:
    change.job = job
    return {
        "name": str(change),
        "state": change.get_state_display(),
        "open": change.is_open,
        "ground": change.get_ground_display(),
        "found": change.found,
        "lines": [{**row, "less": max(0, -row["minutes"])} for row in change.lines],
        "rest_cents": change.rest_cents,
        "minutes": change.minutes,
        "fewer_minutes": max(0, -change.minutes),
        "tax_cents": change.tax_cents,
        "total_cents": change.total_cents,
        "before_cents": change.before_cents,
        "after_cents": change.after_cents,
        "answered_by": change.answered_by,
        "answered_how": change.get_answered_how_display(),
        "answered_on": day_words(local_day(change.answered_at, job.shop)),
        "answer_note": change.answer_note,
        "digest": change.digest,
    }
