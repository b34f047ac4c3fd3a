"""Customers in type-ahead fields."""

from collections.abc import Iterator

from django.http import HttpRequest

from shopapp.customers.models import Customer
from shopapp.ui.pick import SHOWN, Option, register_pick


def rows(request: HttpRequest, words: list[str]) -> Iterator[Option]:
    """Current customers of the shop that match all words."""
    found = Customer.objects.of(request.user.shop_id).current().matching(" ".join(words))
    for customer in found.prefetch_related("phones")[:SHOWN]:
        phone = next(iter(customer.phones.all()), None)
        yield customer.pk, customer.name, str(phone or customer.email)


def row_of(request: HttpRequest, value: str) -> Customer | None:
    """The shop's customer of that number."""
    if not value.isdigit():
        return None
    return Customer.objects.of(request.user.shop_id).filter(pk=value).first()


def label_of(request: HttpRequest, value: str) -> str:
    """The customer's name."""
    return str(row_of(request, value) or "")


register_pick("customers", "customers.see", rows, label_of, row_of=row_of)
