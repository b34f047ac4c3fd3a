"""What type-ahead fields offer from the catalogue."""

from collections.abc import Callable, Iterator
from functools import reduce
from operator import or_

from django.db.models import Q, QuerySet
from django.http import HttpRequest

from shopapp.catalog.models import (
    EquipmentModel,
    Family,
    LabourTask,
    Maker,
    Part,
    Release,
    Supplier,
)
from shopapp.ui.pick import Option, register_pick

Rows = Callable[[HttpRequest, list[str]], Iterator[Option]]
FETCHED = 20


def _with_words(rows: QuerySet, words: list[str], *fields: str) -> QuerySet:
    for word in words:
        rows = rows.filter(reduce(or_, [Q(**{f"{field}__icontains": word}) for field in fields]))
    return rows[:FETCHED]


def _row(rows: QuerySet, value: str) -> object | None:
    return rows.filter(pk=int(value)).first() if value.isdecimal() and len(value) < 18 else None


def _models_of(request: HttpRequest) -> QuerySet[EquipmentModel]:
    return EquipmentModel.objects.of(request.user.shop_id).select_related("family__maker")


def pick_models(request: HttpRequest, words: list[str]) -> Iterator[Option]:
    """Models by name, code, maker or part number."""
    for row in _models_of(request).current().matching(" ".join(words))[:FETCHED]:
        yield row.pk, row.name, f"{row.family.maker} · {row.get_kind_display()}"


def _parts_of(request: HttpRequest) -> QuerySet[Part]:
    return Part.objects.of(request.user.shop_id)


def _pick_parts(kind: str = "") -> Rows:
    def rows(request: HttpRequest, words: list[str]) -> Iterator[Option]:
        found = _parts_of(request).current().matching(" ".join(words))
        for row in (found.filter(kind=kind) if kind else found)[:FETCHED]:
            yield row.pk, row.number, row.name

    return rows


def _suppliers_of(request: HttpRequest) -> QuerySet[Supplier]:
    return Supplier.objects.of(request.user.shop_id)


def pick_suppliers(request: HttpRequest, words: list[str]) -> Iterator[Option]:
    """Suppliers by name or account number."""
    for row in _with_words(_suppliers_of(request).current(), words, "name", "account_number"):
        yield row.pk, row.name, row.account_number


def _families_of(request: HttpRequest) -> QuerySet[Family]:
    return Family.objects.filter(maker__shop=request.user.shop_id).select_related("maker")


def pick_families(request: HttpRequest, words: list[str]) -> Iterator[Option]:
    """Families by their own or their maker's name."""
    rows = _families_of(request).filter(retired_at=None, maker__retired_at=None)
    for row in _with_words(rows, words, "name", "maker__name"):
        yield row.pk, str(row), ""


def _makers_of(request: HttpRequest) -> QuerySet[Maker]:
    return Maker.objects.of(request.user.shop_id)


def pick_makers(request: HttpRequest, words: list[str]) -> Iterator[Option]:
    """Makers by name."""
    for row in _with_words(_makers_of(request).current(), words, "name"):
        yield row.pk, row.name, ""


def _releases_of(request: HttpRequest) -> QuerySet[Release]:
    rows = Release.objects.filter(model__shop=request.user.shop_id)
    return rows.select_related("model").order_by("model__name", "-rank")


def pick_releases(request: HttpRequest, words: list[str]) -> Iterator[Option]:
    """Releases by their own name or the model's: "dx 3.2"."""
    rows = _releases_of(request).filter(model__retired_at=None)
    for row in _with_words(rows, words, "name", "model__search"):
        yield row.pk, row.name, f"{row.model}{', withdrawn' if row.withdrawn else ''}"


def _labour_of(request: HttpRequest) -> QuerySet[LabourTask]:
    return LabourTask.objects.of(request.user.shop_id)


def pick_labour(request: HttpRequest, words: list[str]) -> Iterator[Option]:
    """Rows of the labour table by code or name."""
    for row in _with_words(_labour_of(request).current(), words, "code", "name"):
        yield row.pk, str(row), f"{row.typical_minutes} min"


def _register(
    kind: str, action: str, rows: Rows, of: Callable, label: Callable[[object], str] = str
) -> None:
    def label_of(request: HttpRequest, value: str) -> str:
        row = _row(of(request), value)
        return label(row) if row else ""

    def row_of(request: HttpRequest, value: str) -> object | None:
        return _row(of(request), value)

    register_pick(kind, action, rows, label_of, row_of=row_of)


def _register_all() -> None:
    _register("models", "catalog.see", pick_models, _models_of)
    _register("releases", "catalog.see", pick_releases, _releases_of)
    _register("families", "catalog.see", pick_families, _families_of)
    _register("makers", "catalog.see", pick_makers, _makers_of)
    _register("labour", "catalog.see", pick_labour, _labour_of)
    _register("suppliers", "parts.see", pick_suppliers, _suppliers_of)
    for kind, only in [
        ("parts", ""),
        ("equipment", Part.PartKind.EQUIPMENT),
        ("adapters", Part.PartKind.ADAPTER),
        ("leads", Part.PartKind.LEAD),
        ("fuses", Part.PartKind.FUSE),
        ("cables", Part.PartKind.CABLE),
    ]:
        _register(kind, "parts.see", _pick_parts(only), _parts_of, lambda row: row.number)


_register_all()
