"""Two years of quotes and jobs in every state, with problems that recur."""

import json
from collections.abc import Iterator
from datetime import date
from random import Random

from django.conf import settings

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat
from shopapp.demo.catalogue import DATA
from shopapp.demo.changes import make_changes
from shopapp.demo.jobs import date_job_back, drive_job, note_problem
from shopapp.demo.offers import date_evidence, make_offers_live, make_surveys
from shopapp.demo.quotes import (
    Cast,
    accept,
    date_quote_back,
    make_enquiries,
    make_quote,
    move_on,
)
from shopapp.demo.visits import make_visits
from shopapp.jobs.models import Document, Quote
from shopapp.jobs.services.sending import expire_quotes

# (state of the quote, state of its job, days ago); closed ones reach back two years.
QUOTES = (
    ("building", "", 0),
    ("building", "", 1),
    ("survey", "", 3),
    ("ready", "", 1),
    ("sent", "", 2),
    ("sent", "", 6),
    ("sent", "", 9),
    ("declined", "", 40),
    ("declined", "", 150),
    ("expired", "", 60),
    ("expired", "", 95),
    ("replaced", "", 12),
)
JOBS = (
    ("opened", 1),
    ("waiting", 4),
    ("waiting", 6),
    ("ready", 5),
    ("scheduled", 6),
    ("scheduled", 7),
    ("scheduled", 5),
    ("on_job", 8),
    ("on_job", 9),
    ("held", 14),
    ("done", 10),
    ("checked", 12),
    ("handed_over", 15),
    ("billed", 21),
    ("closed", 45),
    ("closed", 120),
    ("closed", 210),
    ("closed", 330),
    ("closed", 480),
    ("closed", 640),
    ("cancelled", 75),
)
# Work that is still open keeps its day on this week's board.
OPEN_WORK = {"scheduled", "on_job", "held"}


def make_history(*, shop: Shop, people: dict[str, User], today: date, random: Random) -> None:
    """Past visits in bulk, then quotes and jobs by the shop's own services, dated back."""
    make_visits(shop=shop, people=people, today=today, random=random)
    words = json.loads((DATA / "words.json").read_text(encoding="utf-8"))
    cast = Cast(shop, people, today, random, words)
    boats = list(Boat.objects.of(shop).select_related("customer", "shop").order_by("pk")[:60])
    random.shuffle(boats)
    spare = iter(boats)
    date_evidence(cast)
    # No letters go out for an invented past.
    before = settings.EMAIL_BACKEND
    settings.EMAIL_BACKEND = "django.core.mail.backends.dummy.EmailBackend"
    try:
        make_quotes(cast, spare)
        make_jobs(cast, spare)
        make_changes(cast)
    finally:
        settings.EMAIL_BACKEND = before
    expire_quotes()
    make_offers_live(cast)
    Document.objects.filter(quote__state__in=["declined", "expired", "replaced"]).delete()
    make_enquiries(cast, [boat for boat, _ in zip(spare, range(4), strict=False)])
    make_surveys(cast)


def next_quote(cast: Cast, spare: Iterator[Boat]) -> Quote | None:
    """A quote for the next boat for which anything fits; None when there is no boat left."""
    for boat in spare:
        quote = make_quote(cast, boat)
        if quote is not None:
            return quote
    return None


def make_quotes(cast: Cast, spare: Iterator[Boat]) -> None:
    """Quotes that became no job; those to run out are dated back past their last day."""
    for state, _job, days in QUOTES:
        quote = next_quote(cast, spare)
        if quote is None:
            break
        quote = move_on(cast, quote, "sent" if state == "expired" else state)
        date_quote_back(quote, days)


def make_jobs(cast: Cast, spare: Iterator[Boat]) -> None:
    """Accepted quotes and what became of them."""
    for place, (state, days) in enumerate(JOBS):
        quote = next_quote(cast, spare)
        if quote is None:
            break
        quote = move_on(cast, quote, "sent")
        job = accept(cast, quote)
        ahead = days + (place % 4 if state == "scheduled" else 0) if state in OPEN_WORK else 0
        drive_job(cast, job, state, ahead)
        job.refresh_from_db()
        if state in {"held", "closed"} and job.technician and place % 2:
            note_problem(cast, job, job.technician)
        date_job_back(job, days)
        date_quote_back(quote, days + 3)
