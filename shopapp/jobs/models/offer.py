"""What belongs to a quote on its way: the second look, questions, the signature, deposits."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone

from shopapp.jobs.models.document import Document
from shopapp.jobs.models.quote import Quote, QuoteOption


class QuoteCheck(models.Model):
    """A second person's look at a quote that passes the shop's limit or falls under its margin.

    It speaks of the version of the quote that was looked at; an edit after it asks for a new one.
    """

    class Verdict(models.TextChoices):
        ASKED = "asked", "asked for"
        PASSED = "passed", "passed"
        RETURNED = "returned", "given back"

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="checks")
    quote_version = models.PositiveIntegerField()
    findings = models.JSONField(help_text="What asked for the look, in words.")
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    asked_at = models.DateTimeField(default=timezone.now)
    reason = models.CharField("why it is right all the same", max_length=300)
    verdict = models.CharField(max_length=8, choices=Verdict.choices, default=Verdict.ASKED)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    at = models.DateTimeField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-asked_at", "-pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["quote", "quote_version"],
                condition=Q(verdict__in=["asked", "passed"]),
                name="quote_check_once_a_version",
            ),
            models.CheckConstraint(
                name="quote_check_by_a_second_person",
                condition=Q(by__isnull=True) | ~Q(by=F("asked_by")),
            ),
            models.CheckConstraint(
                name="quote_check_answered_by_somebody",
                condition=Q(verdict="asked", by__isnull=True, at__isnull=True)
                | (
                    Q(verdict__in=["passed", "returned"], by__isnull=False, at__isnull=False)
                    & ~Q(note="")
                ),
            ),
            models.CheckConstraint(name="quote_check_has_reason", condition=~Q(reason="")),
        ]

    def __str__(self) -> str:
        return f"{self.quote}: {self.get_verdict_display()}"


class QuoteMessage(models.Model):
    """One message of the talk between customer and shop about a quote; both see all of it."""

    TEXT_LIMIT = 2000

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="messages")
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    name = models.CharField(max_length=120)
    text = models.CharField(max_length=TEXT_LIMIT)
    at = models.DateTimeField(default=timezone.now)
    once = models.UUIDField(unique=True, help_text="Made with the form: a second press is one.")

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.CheckConstraint(name="quote_message_says_something", condition=~Q(text="")),
            models.CheckConstraint(name="quote_message_has_name", condition=~Q(name="")),
        ]

    def __str__(self) -> str:
        return f"{self.name}: {self.text[:60]}"

    @property
    def from_shop(self) -> bool:
        """Whether somebody of the shop wrote it."""
        return self.by_id is not None


class Approval(models.Model):
    """The customer's yes: who, when, how, and exactly what was shown, kept word for word."""

    class Way(models.TextChoices):
        PAGE = "page", "typed name on the customer's page"
        DESK = "desk", "written down by the desk"

    quote = models.OneToOneField(Quote, on_delete=models.PROTECT, related_name="approval")
    option = models.ForeignKey(QuoteOption, on_delete=models.PROTECT, related_name="+")
    name = models.CharField(max_length=120)
    way = models.CharField(max_length=4, choices=Way.choices)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    at = models.DateTimeField(default=timezone.now)
    address = models.GenericIPAddressField(null=True, blank=True)
    browser = models.CharField(max_length=200, blank=True)
    agreed = models.TextField(help_text="All that was agreed, as canonical JSON.")
    agreed_digest = models.CharField("SHA-256 of it", max_length=64)
    paper = models.ForeignKey(
        Document, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    paper_digest = models.CharField("SHA-256 of the PDF shown", max_length=64, blank=True)

    class Meta:
        constraints = [
            models.CheckConstraint(name="approval_has_name", condition=~Q(name="")),
            models.CheckConstraint(
                name="approval_has_digest", condition=~Q(agreed="") & ~Q(agreed_digest="")
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quote} by {self.name}"


class Deposit(models.Model):
    """Money received towards an approved quote; one noted by mistake is struck, never deleted."""

    class Way(models.TextChoices):
        CARD = "card", "Card"
        TRANSFER = "transfer", "Bank transfer"
        CASH = "cash", "Cash"
        CHEQUE = "cheque", "Cheque"

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="deposits")
    cents = models.BigIntegerField()
    way = models.CharField(max_length=8, choices=Way.choices)
    received_on = models.DateField()
    note = models.CharField(max_length=120, blank=True)
    noted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    noted_at = models.DateTimeField(default=timezone.now)
    once = models.UUIDField(unique=True, help_text="Made with the form: a second press is one.")
    struck_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    struck_at = models.DateTimeField(null=True, blank=True)
    struck_why = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["received_on", "pk"]
        constraints = [
            models.CheckConstraint(name="deposit_above_zero", condition=Q(cents__gt=0)),
            models.CheckConstraint(
                name="deposit_struck_with_reason",
                condition=Q(struck_at__isnull=True, struck_by__isnull=True, struck_why="")
                | (Q(struck_at__isnull=False, struck_by__isnull=False) & ~Q(struck_why="")),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quote}: {self.cents}"
