"""Statements offered by type-ahead."""

from collections.abc import Iterator

from django.http import HttpRequest

from planner.models import Statement, StatementQuerySet
from shopapp.ui.pick import Option, register_pick

FETCHED = 20


def _of(request: HttpRequest) -> StatementQuerySet:
    return Statement.objects.of(request.user.shop_id)


def pick_statements(request: HttpRequest, words: list[str]) -> Iterator[Option]:
    """Statements in force by number or words."""
    for row in _of(request).in_force().matching(" ".join(words))[:FETCHED]:
        yield row.pk, row.code, row.text


def row_of(request: HttpRequest, value: str) -> Statement | None:
    """The shop's statement under a value."""
    if not value.isdecimal() or len(value) > 17:
        return None
    return _of(request).filter(pk=int(value)).first()


def label_of(request: HttpRequest, value: str) -> str:
    """Its number."""
    row = row_of(request, value)
    return row.code if row else ""


register_pick("statements", "statements.see", pick_statements, label_of, row_of=row_of)
