"""Take down, change and close what customers ask for."""

from django.db import transaction

from shopapp.accounts.models import User
from shopapp.errors import MoveRefused
from shopapp.jobs.models import Enquiry
from shopapp.jobs.services.numbers import next_number


@transaction.atomic
def take_enquiry(*, enquiry: Enquiry, by: User) -> Enquiry:
    """Save a new enquiry under the shop's next number."""
    enquiry.shop = by.shop
    enquiry.taken_by = by
    enquiry.number = next_number(shop=by.shop, series="E")
    enquiry.save()
    return enquiry


@transaction.atomic
def close_enquiry(*, enquiry: Enquiry) -> None:
    """Nothing more is to be done for it; MoveRefused where it is closed already."""
    row = Enquiry.objects.select_for_update().get(pk=enquiry.pk)
    if row.state == Enquiry.State.CLOSED:
        raise MoveRefused(f"Enquiry {row} is closed already.", todo="Open it again if it is live.")
    row.state = Enquiry.State.CLOSED
    row.save(update_fields=["state"])


@transaction.atomic
def reopen_enquiry(*, enquiry: Enquiry) -> None:
    """Live again: quoted where it has quotes, else new; MoveRefused where it was not closed."""
    row = Enquiry.objects.select_for_update().get(pk=enquiry.pk)
    if row.state != Enquiry.State.CLOSED:
        raise MoveRefused(f"Enquiry {row} is open.", todo="Look at the page anew.")
    row.state = Enquiry.State.QUOTED if row.quotes.exists() else Enquiry.State.NEW
    row.save(update_fields=["state"])
