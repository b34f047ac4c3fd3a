"""What is done with a boat as a whole."""

from collections.abc import Mapping
from datetime import date

from django.db import transaction
from django.db.models import ProtectedError
from django.utils import timezone

from shopapp.accounts.models import Shop
from shopapp.boats.facts import KINDS
from shopapp.boats.models import Boat, Ownership
from shopapp.boats.services.evidence import Seen, Stated, lock_boat, record_facts
from shopapp.boats.services.words import freshen
from shopapp.customers.models import Customer
from shopapp.errors import FactRefused, InUse


@transaction.atomic
def add_boat(*, shop: Shop, values: Mapping[str, object], seen: Seen) -> Boat:
    """Add a boat; every surveyed value that is given gets its evidence."""
    boat = Boat(shop=shop, **values)
    _check_owner(boat, boat.customer)
    freshen(boat)
    boat.save()
    Ownership.objects.create(boat=boat, customer=boat.customer, since=None)
    given = {name: value for name, value in values.items() if value not in {None, ""}}
    record_facts(boat=boat, facts=_stated(boat, given), seen=seen)
    return boat


@transaction.atomic
def change_boat(*, boat: Boat, values: Mapping[str, object], seen: Seen) -> int:
    """Change some values of a boat; the answer counts those that did not come to hold."""
    lock_boat(boat)
    boat = Boat.objects.select_related("customer").get(pk=boat.pk)
    for name in values.keys() - KINDS["boat"].keys():
        setattr(boat, name, values[name])
    freshen(boat)
    boat.save()
    rows = record_facts(boat=boat, facts=_stated(boat, values), seen=seen)
    return sum(row.standing != "holds" for row in rows)


def _stated(boat: Boat, values: Mapping[str, object]) -> list[Stated]:
    return [Stated(boat, name, values[name]) for name in KINDS["boat"] if name in values]


def same_hull_number(*, shop: Shop, text: str, besides: Boat | None = None) -> list[Boat]:
    """Other boats of the shop under a normalised hull number, retired ones too."""
    if not text:
        return []
    rows = Boat.objects.of(shop).filter(hull_number=text).select_related("customer")
    return list(rows.exclude(pk=besides.pk if besides else None)[:5])


@transaction.atomic
def sell_boat(*, boat: Boat, to: Customer, on: date) -> Ownership:
    """Note a sale: the boat keeps its installed history, money stays with the customers."""
    lock_boat(boat)
    boat = Boat.objects.select_related("customer").get(pk=boat.pk)
    _check_owner(boat, to)
    if to.pk == boat.customer_id:
        raise FactRefused(f"{to} owns {boat} already.", field="to", todo="Pick the new owner.")
    now = boat.ownerships.filter(until__isnull=True).first()
    if now and now.since and on < now.since:
        raise FactRefused("The sale lies before the present owner bought it.", field="on")
    if now is None:
        now = Ownership(boat=boat, customer=boat.customer)
    now.until = on
    now.save()
    boat.customer = to
    freshen(boat)
    boat.save()
    return Ownership.objects.create(boat=boat, customer=to, since=on)


def _check_owner(boat: Boat, owner: Customer) -> None:
    if owner.shop_id != boat.shop_id:
        raise FactRefused("This owner is not on record here.", field="customer")
    if owner.retired_at is not None:
        raise FactRefused(
            f"{owner} is retired.", field="customer", todo="Restore the customer first."
        )


def retire_boat(*, boat: Boat) -> None:
    """Take a boat out of lists; quotes, jobs and its history stay."""
    if boat.retired_at is None:
        boat.retired_at = timezone.now()
        boat.save()


def restore_boat(*, boat: Boat) -> None:
    """Put a retired boat back into lists."""
    if boat.retired_at is not None:
        boat.retired_at = None
        boat.save()


@transaction.atomic
def delete_boat(*, boat: Boat) -> None:
    """Delete a boat of which nothing aboard is on record and that nothing refers to."""
    aboard = [kind for kind in ("units", "cables", "photos") if getattr(boat, kind).exists()]
    if aboard:
        raise InUse(
            f"{boat.name} has {' and '.join(aboard)} on record.",
            todo="Retire the boat instead: its history stays readable.",
        )
    try:
        for kind in ("routes", "backbones", "locations", "banks"):
            getattr(boat, kind).all().delete()
        boat.delete()
    except ProtectedError as error:
        kinds = sorted({str(row._meta.verbose_name_plural) for row in error.protected_objects})
        raise InUse(
            f"{boat.name} is still named by {', '.join(kinds)}.",
            todo="Retire the boat instead: what was done stays on record.",
        ) from error


def follow_owner(*, customer: Customer) -> None:
    """Bring the search words of a customer's boats up to date."""
    for boat in customer.boats.select_related("customer"):
        freshen(boat)
        Boat.objects.filter(pk=boat.pk).update(search=boat.search)
