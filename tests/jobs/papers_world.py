"""A sent quote and an open job, rich in what papers must show."""

from datetime import date

from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.boats.models import Bank, Location
from shopapp.customers.models import Approver, Phone
from shopapp.jobs.models import Job, Quote, WorkStep
from shopapp.jobs.services.acceptance import accept_quote
from tests.factories.jobs import make_quote, put_in_stock


def sent_quote(by: User) -> Quote:
    """A quote with a link, sent today."""
    quote = make_quote(by)
    quote.token = f"token-of-quote-{quote.pk}"
    quote.sent_at = timezone.now()
    quote.state = Quote.State.SENT
    quote.save()
    Phone.objects.create(customer=quote.customer, number="555 0100", label="mobile")
    return quote


def open_job(by: User, *, option: int = 0, stocked: int = 0, more_steps: int = 0) -> Job:
    """The job of an accepted option; by default nothing lies on the shelves."""
    quote = sent_quote(by)
    if stocked:
        put_in_stock(quote.shop, stocked)
    chosen = quote.options.all()[option]
    job = accept_quote(quote=quote, option=chosen, name="Odile Farrow", address=None)
    job.asked_for = "I want to see the chart from the bow seat."
    job.must_not_change = "The radio stays where it is."
    job.technician = by
    job.planned_on = date(2026, 12, 3)
    job.save()
    Approver.objects.create(
        customer=job.customer, name="Ivo Farrow", relation="son", up_to_cents=50000
    )
    Bank.objects.create(boat=job.boat, name="House", use="house", chemistry="agm", fuse_a=100)
    Location.objects.create(boat=job.boat, name="bow", room_note="through the locker")
    add_steps(job, more_steps)
    return job


def add_steps(job: Job, count: int) -> None:
    """Further steps at the end, to fill pages."""
    last = job.steps.order_by("-position").values_list("position", flat=True).first() or 0
    WorkStep.objects.bulk_create(
        WorkStep(
            job=job,
            position=last + n,
            key=f"more:{n}",
            kind="fit",
            title=f"Further step number {n}",
            detail="Photograph and label every plug first. Cap what stays behind.",
            minutes=10,
        )
        for n in range(1, count + 1)
    )
