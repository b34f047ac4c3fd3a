"""A worker's work: make one document. Only workers load this module, for it loads the printer."""

from django.urls import reverse

from shopapp.jobs.documents.common import Facts, code_picture, day_words, local_day, site_address
from shopapp.jobs.documents.facts import Subject, digest_of, facts_of, subject_of
from shopapp.jobs.documents.files import discard, discard_leftovers, store
from shopapp.jobs.documents.pictures import plan_pictures
from shopapp.jobs.models import Document, FleetSheet, Job, Letter, Survey
from shopapp.pdf import print_pdf
from shopapp.stock.models import PurchaseOrder
from shopapp.work.runner import advance
from shopapp.work.services import ring


def render(pk: int) -> bool:
    """Make one document if it is open: facts, page, PDF, file, row; whether this call did it.

    Run twice or by two workers, one file stays. After a fault the row says why.
    """
    done = advance(rows=Document.objects.all(), pk=pk, make=make_paper, undo=discard)
    if done:
        discard_leftovers(Document.objects.get(pk=pk))
        for letter in Letter.objects.unfinished().filter(paper=pk):
            ring("letter", letter.pk)
    return done


def make_paper(document: Document) -> dict[str, object]:
    """Print and store the file; the columns to keep with the row."""
    subject = subject_of(document)
    facts = facts_of(document.kind, subject)
    context = _context(document, subject, facts)
    printed = print_pdf(f"documents/{document.kind}.html", context)
    kept = store(document, printed.body)
    return {**kept, "pages": printed.pages, "facts_digest": digest_of(facts)}


def _context(document: Document, subject: Subject, facts: Facts) -> dict[str, object]:
    address = _address(subject)
    return {
        "facts": facts,
        "pictures": plan_pictures(document.kind, subject),
        "address": address,
        "code": code_picture(address),
        "version": document.version,
        # The paper's date is the day it was asked for: a second try prints the same bytes.
        "made_on": day_words(local_day(document.requested_at, subject.shop)),
        "made_at": document.requested_at.isoformat(timespec="seconds"),
    }


def _address(subject: Subject) -> str:
    """What the code on the paper opens: the job, or the customer's page of a quote once sent."""
    if isinstance(subject, Job):
        return site_address(reverse("jobs:job", args=[subject.pk]))
    if isinstance(subject, PurchaseOrder):
        return site_address(reverse("jobs:order", args=[subject.pk]))
    if isinstance(subject, FleetSheet):
        return site_address(reverse("fleet:weekly"))
    if isinstance(subject, Survey):
        return site_address(reverse("jobs:survey", args=[subject.pk]))
    if subject.token:
        return site_address(reverse("jobs:customer_quote", args=[subject.token]))
    return site_address(reverse("jobs:quote", args=[subject.pk]))
