"""Boats, and what is aboard, in type-ahead fields."""

from collections.abc import Callable, Iterator

from django.db.models import QuerySet
from django.http import HttpRequest

from shopapp.boats.models import Boat, Location, Unit
from shopapp.ui.pick import SHOWN, Option, register_pick


def boat_rows(request: HttpRequest, words: list[str]) -> Iterator[Option]:
    """Current boats of the shop by name, owner, hull number, registration, berth or phone."""
    found = Boat.objects.of(request.user.shop_id).current().matching(" ".join(words))
    for boat in found.select_related("customer")[:SHOWN]:
        lying = ", ".join(word for word in (boat.marina, boat.berth) if word)
        yield boat.pk, boat.name, f"{boat.customer}{f' · {lying}' if lying else ''}"


def _aboard(request: HttpRequest, rows: QuerySet, words: list[str]) -> QuerySet:
    # With `?boat=` only what is aboard that boat; else each word may also name the boat.
    rows = rows.filter(boat__shop=request.user.shop_id, boat__retired_at__isnull=True)
    number = request.GET.get("boat", "")
    if number.isdigit():
        rows = rows.filter(boat=number)
    for word in words:
        rows = rows.filter(name__icontains=word) | rows.filter(boat__search__contains=word.lower())
    return rows.select_related("boat")


def location_rows(request: HttpRequest, words: list[str]) -> Iterator[Option]:
    """Locations of the shop's boats."""
    for row in _aboard(request, Location.objects.all(), words)[:SHOWN]:
        yield row.pk, row.name, row.boat.name


def unit_rows(request: HttpRequest, words: list[str]) -> Iterator[Option]:
    """Units aboard the shop's boats."""
    for row in _aboard(request, Unit.objects.aboard(), words).select_related("boat", "model")[
        :SHOWN
    ]:
        yield row.pk, row.name, f"{row.model} · {row.boat}"


def _row_of(rows: QuerySet, path: str) -> Callable[[HttpRequest, str], object | None]:
    def row_of(request: HttpRequest, value: str) -> object | None:
        if not value.isdigit():
            return None
        return rows.filter(**{path: request.user.shop_id, "pk": value}).first()

    return row_of


def _register(kind: str, rows: Callable, queryset: QuerySet, path: str) -> None:
    row_of = _row_of(queryset, path)

    def label_of(request: HttpRequest, value: str) -> str:
        return str(row_of(request, value) or "")

    register_pick(kind, "boats.see", rows, label_of, row_of=row_of)


_register("boats", boat_rows, Boat.objects.all(), "shop")
_register("locations", location_rows, Location.objects.all(), "boat__shop")
_register("units", unit_rows, Unit.objects.all(), "boat__shop")
