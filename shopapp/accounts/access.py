"""Fetch with permission: nobody reaches another shop's rows by guessing a number."""

from typing import Any, TypeVar

from django.db.models import Model, QuerySet
from django.http import Http404, HttpRequest

Row = TypeVar("Row", bound=Model)


def get_for(request: HttpRequest, rows: QuerySet[Row] | type[Row], **lookup: Any) -> Row:
    """The one row of the person's own shop, else 404.

    `rows` is a model with a `shop` field or a queryset of one; rows without an
    own `shop` are fetched with `path="boat__shop"` naming the way to it.
    """
    path = lookup.pop("path", "shop")
    queryset = rows.objects.all() if isinstance(rows, type) else rows
    try:
        return queryset.get(**{path: request.user.shop_id}, **lookup)
    except queryset.model.DoesNotExist as error:
        raise Http404(f"No such {queryset.model._meta.verbose_name}.") from error
