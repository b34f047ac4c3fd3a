"""What is done with customers."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction
from django.db.models import ProtectedError
from django.utils import timezone

from shopapp.customers.models import Approver, Customer, Phone
from shopapp.customers.signals import customer_renamed
from shopapp.errors import InUse

SEARCH_LENGTH = 400


@dataclass(frozen=True)
class PhoneRow:
    """A number to ring, as typed."""

    number: str
    label: str = ""


@dataclass(frozen=True)
class ApproverRow:
    """Somebody who may say yes; `up_to_cents` None: no amount was agreed."""

    name: str
    relation: str = ""
    up_to_cents: int | None = None


def search_text(*, customer: Customer, numbers: Iterable[str]) -> str:
    """Lower-case words by which the customer is found; numbers also as bare figures."""
    words = [customer.name, customer.billing_name, customer.email]
    for number in numbers:
        words += [number, "".join(sign for sign in number if sign.isdigit())]
    return " ".join(word for word in words if word).lower()[:SEARCH_LENGTH]


@transaction.atomic
def save_customer(
    *, customer: Customer, phones: Iterable[PhoneRow], approvers: Iterable[ApproverRow]
) -> Customer:
    """Save a customer with phones in the order to try, and with those who may approve."""
    phones = list(phones)
    customer.search = search_text(customer=customer, numbers=[row.number for row in phones])
    customer.save()
    customer.phones.all().delete()
    Phone.objects.bulk_create(
        Phone(customer=customer, number=row.number, label=row.label, position=place)
        for place, row in enumerate(phones, 1)
    )
    customer.approvers.all().delete()
    Approver.objects.bulk_create(
        Approver(
            customer=customer, name=row.name, relation=row.relation, up_to_cents=row.up_to_cents
        )
        for row in approvers
    )
    customer_renamed.send(sender=Customer, customer=customer)
    return customer


def retire_customer(*, customer: Customer) -> None:
    """Take a customer out of lists; boats, quotes and jobs keep it."""
    if customer.retired_at is None:
        customer.retired_at = timezone.now()
        customer.save()


def restore_customer(*, customer: Customer) -> None:
    """Put a retired customer back into lists."""
    if customer.retired_at is not None:
        customer.retired_at = None
        customer.save()


def delete_customer(*, customer: Customer) -> None:
    """Delete a customer that nothing refers to, else raise InUse."""
    try:
        customer.delete()
    except ProtectedError as error:
        kinds = sorted({str(row._meta.verbose_name_plural) for row in error.protected_objects})
        raise InUse(
            f"{customer.name} is still named by {', '.join(kinds)}.",
            todo="Retire the customer instead: what was done stays on record.",
        ) from error
