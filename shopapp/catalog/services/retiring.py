"""Rows that something refers to are retired, never deleted; and can be taken back."""

from django.db import models
from django.utils import timezone


def retire(*, row: models.Model) -> None:
    """Take a row out of the lists that people choose from; what refers to it stays whole."""
    if row.retired_at is None:
        row.retired_at = timezone.now()
        row.save()


def restore(*, row: models.Model) -> None:
    """Bring a retired row back."""
    if row.retired_at is not None:
        row.retired_at = None
        row.save()
