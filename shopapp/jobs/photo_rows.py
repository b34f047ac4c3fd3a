"""Photos beside the assumptions that they are of: on the customer's page and on the desk's."""

from typing import Any

from shopapp.jobs.forms.customer import PhotoOfAssumptionForm
from shopapp.jobs.models import Assumption, CustomerPhoto, Quote
from shopapp.jobs.services.customer_photos import OPEN_TO_PHOTOS, UNSETTLED
from shopapp.jobs.services.quotes import today_of


def add_photos(assumptions: list[Assumption]) -> None:
    """Hang on each assumption the photos that were sent of it; one query."""
    found: dict[int, list[CustomerPhoto]] = {}
    rows = CustomerPhoto.objects.filter(assumption__in=assumptions).select_related("by")
    for photo in rows:
        found.setdefault(photo.assumption_id, []).append(photo)
    for row in assumptions:
        row.photos = found.get(row.pk, [])


def add_photo_forms(quote: Quote, facts: dict[str, Any]) -> None:
    """Hang a form on each assumption of the customer's page that a photo may still settle.

    `photo_form` among the facts is the one that was sent and refused.
    """
    assumptions = facts.get("assumptions", [])
    add_photos(assumptions)
    if quote.state not in OPEN_TO_PHOTOS:
        return
    refused = facts.get("photo_form")
    start = {"name": quote.customer.name, "taken_on": today_of(quote.shop)}
    for row in assumptions:
        if refused is not None and refused.about == row.number:
            row.photo_form = refused
        elif row.state in UNSETTLED:
            row.photo_form = PhotoOfAssumptionForm(number=row.number, initial=start)
