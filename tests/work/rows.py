"""Rows for the worker's tests."""

from datetime import timedelta

from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.jobs.models import Document
from shopapp.jobs.services.papers import request_document
from tests.jobs.papers_world import sent_quote


def make_row(shop: Shop) -> Document:
    """A requested document of a sent quote."""
    by = User.objects.filter(shop=shop).first()
    if by is None:
        by = User.objects.create(shop=shop, username=f"maker-of-{shop.pk}")
    return request_document(kind="quote", by=by, quote=sent_quote(by))


def claim_ran_out(row: Document) -> None:
    """The worker that held the row is gone for longer than its lease."""
    Document.objects.filter(pk=row.pk).update(lease_until=timezone.now() - timedelta(seconds=1))
