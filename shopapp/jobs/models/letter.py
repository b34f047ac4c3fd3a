"""Letters by e-mail: the row is the truth, a worker hands it to the mail server."""

from datetime import datetime, timedelta
from typing import Self
from uuid import UUID

from django.conf import settings
from django.db import models
from django.db.models import Exists, OuterRef, Q
from django.utils import timezone

from shopapp.accounts.models import OfShop, Shop
from shopapp.jobs.models.document import Document
from shopapp.jobs.models.quote import Quote
from shopapp.stock.models import PurchaseOrder
from shopapp.work.models import LeasedQuerySet, LeasedRow, RowState

PAUSE_MINUTES = 2
PAUSE_GROWS = 4


class LetterQuerySet(LeasedQuerySet, OfShop):
    """Questions and moves of letters."""

    def open_now(self, now: datetime) -> Self:
        """Open ones whose paper no worker still has to make."""
        # No join: a claim must stay one plain compare-and-set on the letter's own row.
        being_made = Document.objects.unfinished().filter(pk=OuterRef("paper_id"))
        return super().open_now(now).filter(~Exists(being_made))

    def give_back(self, pk: int, mark: UUID, reason: str) -> bool:
        """After a fault: rest before the next try, each time longer, for a server that is down."""
        mine = self.filter(pk=pk, row_state=RowState.RUNNING, lease_owner=mark)
        tries = mine.values_list("tries", flat=True).first() or 1
        pause = timedelta(minutes=PAUSE_MINUTES * PAUSE_GROWS ** (tries - 1))
        mine.update(wait_until=timezone.now() + pause)
        return super().give_back(pk, mark, reason)

    def ask_again(self, pk: int) -> bool:
        """A person's "send again": at once, and handed over anew."""
        self.filter(pk=pk).exclude(row_state=RowState.READY).update(handed_at=None)
        return super().ask_again(pk)


class Letter(LeasedRow):
    """One e-mail as it is sent: to whom, what, with which paper, when, and what came of it."""

    class About(models.TextChoices):
        QUOTE = "quote", "Quote"
        QUESTION = "question", "Customer's question"
        ANSWER = "answer", "Answer to a question"
        ACCEPTED = "accepted", "Confirmation of a yes"
        ORDER = "order", "Purchase order"
        CAMPAIGN = "campaign", "Call of a campaign"
        WEEKLY = "weekly", "Weekly sheet"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="letters")
    quote = models.ForeignKey(
        Quote, on_delete=models.PROTECT, related_name="letters", null=True, blank=True
    )
    order = models.ForeignKey(
        PurchaseOrder, on_delete=models.PROTECT, related_name="letters", null=True, blank=True
    )
    about = models.CharField(max_length=8, choices=About.choices)
    once = models.CharField(
        max_length=80, unique=True, help_text="What it is sent for: the same thing goes out once."
    )
    to = models.EmailField()
    reply_to = models.EmailField(blank=True)
    subject = models.CharField(max_length=200)
    body = models.TextField()
    paper = models.ForeignKey(
        Document, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    paper_digest = models.CharField("SHA-256 of the paper sent", max_length=64, blank=True)
    message_id = models.CharField(max_length=120)
    handed_at = models.DateTimeField(
        null=True, blank=True, editable=False, help_text="When a worker began to hand it over."
    )
    result = models.CharField(max_length=200, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )

    objects = LetterQuerySet.as_manager()

    class Meta(LeasedRow.Meta):
        ordering = ["-requested_at", "-pk"]
        indexes = [models.Index(fields=["shop", "-requested_at"])]
        constraints = [
            *LeasedRow.Meta.constraints,
            models.CheckConstraint(
                name="letter_of_one_record",
                condition=Q(quote__isnull=True) | Q(order__isnull=True),
            ),
        ]

    def __str__(self) -> str:
        return self.subject

    @property
    def page(self) -> str:
        """The name of its page: suppliers' letters are the counter's, customers' the desk's."""
        return "jobs:order_letter" if self.order_id else "jobs:letter"

    @property
    def state_page(self) -> str:
        """The name of the line that watches it go out."""
        return f"{self.page}_state"

    @property
    def again_page(self) -> str:
        """Where "Send again" goes."""
        return f"{self.page}_again"
