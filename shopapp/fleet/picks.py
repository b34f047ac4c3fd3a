"""Known problems offered by type-ahead."""

from collections.abc import Iterator

from django.db.models import Q
from django.http import HttpRequest

from shopapp.fleet.models import KnownProblem
from shopapp.fleet.models.known import KnownQuerySet
from shopapp.ui.pick import Option, register_pick

FETCHED = 20


def _of(request: HttpRequest) -> KnownQuerySet:
    return KnownProblem.objects.of(request.user.shop_id).open_now()


def pick_known(request: HttpRequest, words: list[str]) -> Iterator[Option]:
    """Known problems by number or words."""
    rows = _of(request)
    for word in words:
        rows = rows.filter(Q(code__icontains=word) | Q(title__icontains=word))
    for row in rows[:FETCHED]:
        yield row.pk, row.code, row.title


def row_of(request: HttpRequest, value: str) -> KnownProblem | None:
    """The shop's known problem under a value."""
    if not value.isdecimal() or len(value) > 17:
        return None
    return _of(request).filter(pk=int(value)).first()


def label_of(request: HttpRequest, value: str) -> str:
    """Its number."""
    row = row_of(request, value)
    return row.code if row else ""


register_pick("known", "fleet.sort", pick_known, label_of, row_of=row_of)
