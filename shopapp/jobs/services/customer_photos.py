"""Photos from customers: sent from their page, looked at by the desk, then evidence.

A photo with its date is stronger than what the customer says: where the desk finds that it shows
what was assumed, the record's value is known by photo from then on.
"""

import hashlib
from collections.abc import Iterator
from datetime import date, datetime, time
from uuid import UUID
from zoneinfo import ZoneInfo

from django.core.files.base import ContentFile
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction
from django.db.models import QuerySet
from django.template.loader import render_to_string
from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.boats.facts import field_of, text_of
from shopapp.boats.models import Photo
from shopapp.boats.services.evidence import Seen, Stated, record_facts
from shopapp.boats.services.photos import add_photo, read_picture
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Assumption, CustomerPhoto, Letter, Quote
from shopapp.jobs.services.letters import site_link, write_letter
from shopapp.jobs.services.quotes import settle_assumption, today_of
from shopapp.jobs.services.surveyed import KINDS_OF_SUBJECT
from shopapp.jobs.surveying.aboard import Aboard
from shopapp.jobs.surveying.points import points_of

Verdict = CustomerPhoto.Verdict
OPEN_TO_PHOTOS = (Quote.State.SENT, Quote.State.APPROVED)
UNSETTLED = (Assumption.State.OPEN, Assumption.State.ASKED)
MOST_A_QUOTE = 30
BECOMES = {
    Verdict.SHOWS: Assumption.State.CONFIRMED,
    Verdict.OTHERWISE: Assumption.State.WRONG,
}


def send_photo(
    *,
    quote: Quote,
    number: int,
    name: str,
    upload: UploadedFile,
    taken_on: date,
    text: str,
    once: UUID,
) -> CustomerPhoto:
    """Keep a customer's photo of assumption `number`, and tell the shop.

    A second press with the same `once` gives the first one back. UploadRefused (`image`) for what
    is no picture; FactRefused (`name`, `taken_on`); MoveRefused where the assumption is settled,
    the quote is not open, or too many were sent.
    """
    picture = read_picture(upload)
    _check_said(quote.shop, name, taken_on)
    facts = {"name": " ".join(name.split())[:120], "text": text.strip()[: CustomerPhoto.TEXT_LIMIT]}
    return _keep(quote, number, picture, {**facts, "taken_on": taken_on, "once": once})


def _check_said(shop: Shop, name: str, taken_on: date) -> None:
    if not name.strip():
        raise FactRefused("Write your name.", field="name")
    if not date(2000, 1, 1) <= taken_on <= today_of(shop):
        raise FactRefused("Give the day on which the photo was taken.", field="taken_on")


@transaction.atomic
def _keep(quote: Quote, number: int, picture: bytes, facts: dict[str, object]) -> CustomerPhoto:
    # One writer at a time: two presses of one form keep one photo, on every database.
    Quote.objects.select_for_update().only("pk").get(pk=quote.pk)
    sent = CustomerPhoto.objects.filter(assumption__quote=quote)
    before = sent.filter(once=facts["once"]).first()
    if before is not None:
        return before
    assumption = _open_one(quote, number)
    if sent.count() >= MOST_A_QUOTE:
        raise MoveRefused(
            "Many photos were sent from this page already.", todo="Please ring us instead."
        )
    digest = hashlib.sha256(picture).hexdigest()
    row = CustomerPhoto(assumption=assumption, digest=digest, **facts)
    row.image.save(f"{digest}.jpg", ContentFile(picture), save=False)
    row.save()
    _tell_shop(quote, row)
    return row


def _open_one(quote: Quote, number: int) -> Assumption:
    assumption = Assumption.objects.filter(quote=quote, number=number).first()
    if assumption is None:
        raise MoveRefused("There is no such assumption.", todo="Load this page again.")
    quote.refresh_from_db(fields=["state"])
    if quote.state not in OPEN_TO_PHOTOS or assumption.state not in UNSETTLED:
        raise MoveRefused(
            f"A{number} is settled already; no photo is needed.", todo="Load this page again."
        )
    return assumption


def _tell_shop(quote: Quote, row: CustomerPhoto) -> None:
    facts = {"photo": row, "quote": quote, "link": site_link("jobs:quote", quote.pk)}
    write_letter(
        shop=quote.shop,
        quote=quote,
        about=Letter.About.QUESTION,
        once=f"photo-{row.pk}",
        to=quote.shop.email,
        subject=f"Photo for quote {quote}: {quote.boat}",
        body=render_to_string("jobs/photo_letter.txt", facts),
    )


@transaction.atomic
def settle_photo(*, photo: CustomerPhoto, verdict: str, by: User) -> CustomerPhoto:
    """The desk's word on a photo: the assumption follows, and the boat's record.

    What shows something is kept with the boat. Where it shows what was assumed, that is evidence
    by photo of the day it was taken. MoveRefused where somebody looked at it before.
    """
    rows = CustomerPhoto.objects.select_for_update(of=("self",))
    row = rows.select_related("assumption__quote__boat", "assumption__quote__shop").get(pk=photo.pk)
    if row.verdict != Verdict.OPEN:
        raise MoveRefused(
            f"{row.by} looked at it already: it {row.get_verdict_display()}.",
            todo="Load the page again.",
        )
    if verdict not in Verdict.values or verdict == Verdict.OPEN:
        raise FactRefused("Say what it shows.", field="verdict")
    if verdict in BECOMES:
        row.kept = _keep_with_boat(row, by)
        settle_assumption(assumption=row.assumption, state=BECOMES[verdict], by=by)
    if verdict == Verdict.SHOWS:
        _make_evidence(row, by)
    row.verdict, row.by, row.looked_at = verdict, by, timezone.now()
    row.save()
    return row


def _taken_at(row: CustomerPhoto) -> datetime:
    """Noon of the day in the shop's own time, and never ahead of now."""
    zone = ZoneInfo(row.assumption.quote.shop.time_zone)
    return min(datetime.combine(row.taken_on, time(12), zone), timezone.now())


def _keep_with_boat(row: CustomerPhoto, by: User) -> Photo:
    assumption = row.assumption
    caption = f"A{assumption.number} of {assumption.quote}, from {row.name}: {row.text}"
    with row.image.open("rb") as file:
        upload = ContentFile(file.read(), name=f"{row.digest}.jpg")
    return add_photo(
        boat=assumption.quote.boat,
        upload=upload,
        by=by,
        caption=caption.rstrip(": ")[:120],
        taken_at=_taken_at(row),
    )


def _make_evidence(row: CustomerPhoto, by: User) -> None:
    facts = list(_shown_facts(row.assumption))
    if facts:
        note = f"Photo from {row.name} for {row.assumption.quote}"
        seen = Seen("photo", by, _taken_at(row), photo=row.kept, note=note)
        record_facts(boat=row.assumption.quote.boat, facts=facts, seen=seen)


def _shown_facts(assumption: Assumption) -> Iterator[Stated]:
    """What the record says of the assumption's subject; nothing where it says nothing yet."""
    quote = assumption.quote
    entries = {entry["key"]: entry for entry in quote.run.assumptions}
    entry = entries.get(assumption.key)
    for point in points_of(entry, Aboard(quote.boat)) if entry else []:
        kind = KINDS_OF_SUBJECT.get(point.slot)
        subject = kind.objects.filter(pk=point.subject).first() if kind else None
        field = field_of(subject, point.fact) if subject else None
        value = getattr(subject, field.name) if field else None
        if text_of(value):
            yield Stated(subject, point.fact, value)


def photos_to_look_at(shop: Shop) -> QuerySet[CustomerPhoto]:
    """Photos from customers that nobody at the desk has looked at, oldest first."""
    return CustomerPhoto.objects.filter(assumption__quote__shop=shop, verdict=Verdict.OPEN)
