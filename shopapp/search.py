"""Search from anywhere: boats, customers, jobs, quotes, serial numbers, parts, models.

Each kind is one bounded query, and each is bound to its own action: what a role may not
see is not searched.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import NoReverseMatch, reverse
from django.views.decorators.http import require_GET

from shopapp.accounts.models import Shop
from shopapp.boats.models import Boat, Unit
from shopapp.catalog.models import EquipmentModel, Part
from shopapp.customers.models import Customer
from shopapp.jobs.models import Job, Quote
from shopapp.roles import may, needs

SHOWN = 10
WORDS_LIMIT = 8
SHORTEST = 2


@dataclass(frozen=True)
class Hit:
    """One row found: where it leads, its name, and what tells it from others."""

    url: str
    name: str
    hint: str


@dataclass(frozen=True)
class Group:
    """The first rows of one kind; `more` where there are further ones."""

    title: str
    hits: list[Hit]
    more: bool
    more_url: str


@dataclass(frozen=True)
class Kind:
    """One kind of thing to find."""

    title: str
    action: str
    rows: Callable[[Shop, list[str]], QuerySet]
    hit: Callable[[Any], tuple[str, int, str, str]]
    list_name: str


def _boats(shop: Shop, words: list[str]) -> QuerySet:
    return Boat.objects.of(shop).current().matching(" ".join(words))


def _customers(shop: Shop, words: list[str]) -> QuerySet:
    return Customer.objects.of(shop).current().matching(" ".join(words))


def _every(rows: QuerySet, words: list[str], *fields: str) -> QuerySet:
    for word in words:
        found = Q()
        for field in fields:
            found |= Q(**{field: word.lower() if "search" in field else word})
        rows = rows.filter(found)
    return rows


def _jobs(shop: Shop, words: list[str]) -> QuerySet:
    rows = Job.objects.of(shop).defer("case", "plan", "ports").select_related("boat")
    return _every(rows, words, "number__icontains", "title__icontains", "boat__search__contains")


def _quotes(shop: Shop, words: list[str]) -> QuerySet:
    rows = Quote.objects.of(shop).select_related("boat")
    return _every(rows, words, "number__icontains", "title__icontains", "boat__search__contains")


def _serials(shop: Shop, words: list[str]) -> QuerySet:
    # One serial number, from its beginning: the column's own index serves it.
    rows = Unit.objects.of(shop).select_related("boat", "model").exclude(serial="")
    return rows.filter(serial__istartswith=words[0]) if len(words) == 1 else rows.none()


def _parts(shop: Shop, words: list[str]) -> QuerySet:
    return Part.objects.of(shop).current().matching(" ".join(words))


def _models(shop: Shop, words: list[str]) -> QuerySet:
    return EquipmentModel.objects.of(shop).current().matching(" ".join(words))


def _where(boat: Boat) -> str:
    berth = f"berth {boat.berth}" if boat.berth else ""
    return ", ".join(filter(None, [boat.marina, berth, boat.hull_number_read]))


KINDS = (
    Kind("Boats", "boats.see", _boats,
         lambda r: ("boats:boat", r.pk, r.name, _where(r)), "boats:boats"),
    Kind("Customers", "customers.see", _customers,
         lambda r: ("customers:customer", r.pk, r.name, r.billing_name), "customers:customers"),
    Kind("Jobs", "jobs.see", _jobs, lambda r: (
        "jobs:job", r.pk, r.number, f"{r.boat.name}: {r.title}, {r.get_state_display().lower()}"),
        "jobs:jobs"),
    Kind("Quotes", "quotes.see", _quotes, lambda r: (
        "jobs:quote", r.pk, str(r), f"{r.boat.name}: {r.title}, {r.get_state_display().lower()}"),
        "jobs:quotes"),
    Kind("Serial numbers", "boats.see", _serials, lambda r: (
        "boats:boat", r.boat_id, r.serial,
        f"{r.model.name}, {r.name} on {r.boat.name}, {r.get_state_display().lower()}"), ""),
    Kind("Parts", "parts.see", _parts,
         lambda r: ("stock:part", r.pk, r.number, r.name), "stock:parts"),
    Kind("Models", "catalog.see", _models,
         lambda r: ("catalog:model", r.pk, r.name, r.get_kind_display()), "catalog:models"),
)  # fmt: skip


def find(*, user: Any, text: str) -> list[Group]:
    """The first ten of each kind that the role may see; one query a kind."""
    words = text.split()[:WORDS_LIMIT]
    if len("".join(words)) < SHORTEST:
        return []
    groups = [_group(kind, user.shop, words) for kind in KINDS if may(user, kind.action)]
    return [group for group in groups if group.hits]


def _group(kind: Kind, shop: Shop, words: list[str]) -> Group:
    rows = list(kind.rows(shop, words)[: SHOWN + 1])
    hits = list(_hits(kind, rows[:SHOWN]))
    more_url = _url(kind.list_name) if kind.list_name else ""
    return Group(kind.title, hits, len(rows) > SHOWN, more_url)


def _hits(kind: Kind, rows: Iterable[Any]) -> Iterable[Hit]:
    for row in rows:
        name, pk, label, hint = kind.hit(row)
        yield Hit(_url(name, pk), label, hint)


def _url(name: str, *args: int) -> str:
    try:
        return reverse(name, args=args)
    except NoReverseMatch:
        return ""


@needs("search.use")
@require_GET
def search(request: HttpRequest) -> HttpResponse:
    """What is found for the words; one sole hit is opened at once."""
    text = request.GET.get("q", "").strip()[:200]
    groups = find(user=request.user, text=text)
    if len(groups) == 1 and len(groups[0].hits) == 1 and groups[0].hits[0].url:
        return redirect(groups[0].hits[0].url)
    facts = {"groups": groups, "text": text, "short": 0 < len(text) < SHORTEST}
    return render(request, "search.html", facts)
