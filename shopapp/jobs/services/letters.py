"""Write letters: a row now, a worker hands it to the mail server; the same thing goes out once."""

from email.utils import make_msgid
from urllib.parse import urlsplit

from django.conf import settings
from django.db import transaction
from django.urls import reverse

from shopapp.accounts.models import Shop, User
from shopapp.errors import MoveRefused
from shopapp.jobs.models import Document, Letter, Quote
from shopapp.stock.models import PurchaseOrder
from shopapp.work.models import RowState
from shopapp.work.services import ring

WORK_KIND = "letter"
SUBJECT_LIMIT = 200


@transaction.atomic
def write_letter(
    *,
    shop: Shop,
    about: str,
    once: str,
    to: str,
    subject: str,
    body: str,
    quote: Quote | None = None,
    order: PurchaseOrder | None = None,
    paper: Document | None = None,
    by: User | None = None,
) -> Letter | None:
    """Queue a letter; None without an address, the earlier one where `once` was written before.

    With a `paper` it waits until that is made, and goes without it where it could not be made.
    """
    if not to:
        return None
    letter, fresh = Letter.objects.get_or_create(
        once=once,
        defaults={
            "shop": shop,
            "quote": quote,
            "order": order,
            "about": about,
            "to": to,
            "reply_to": shop.email,
            # One line: a line break in a name must not become a header of its own.
            "subject": " ".join(subject.split())[:SUBJECT_LIMIT],
            "body": body,
            "paper": paper,
            "message_id": make_msgid(domain=urlsplit(settings.SITE_ADDRESS).hostname),
            "by": by,
        },
    )
    if fresh:
        ring(WORK_KIND, letter.pk)
    return letter


def send_again(*, letter: Letter) -> None:
    """A person's "Send again" on a letter that failed; MoveRefused where it did not fail."""
    with transaction.atomic():
        if not Letter.objects.all().ask_again(letter.pk):
            letter.refresh_from_db()
            if letter.row_state == RowState.READY:
                raise MoveRefused("This letter was sent.", todo="Look at the page anew.")
            return
        ring(WORK_KIND, letter.pk)


def site_link(name: str, *args: object) -> str:
    """The whole address of a page, for letters."""
    return f"{settings.SITE_ADDRESS}{reverse(name, args=args)}"
