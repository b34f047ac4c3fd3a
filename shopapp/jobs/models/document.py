"""Documents: the row is the truth, a worker makes the file."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from shopapp.accounts.models import OfShop, Shop
from shopapp.jobs.models.fleet_sheet import FleetSheet
from shopapp.jobs.models.job import Job
from shopapp.jobs.models.quote import Quote
from shopapp.jobs.models.survey import Survey
from shopapp.stock.models import PurchaseOrder
from shopapp.work.models import LeasedQuerySet, LeasedRow

SUBJECTS = ("job", "quote", "survey", "order", "sheet")


def _exactly_one(names: tuple[str, ...]) -> Q:
    """One of these foreign keys is set, and no other."""
    found = Q()
    for name in names:
        found |= Q(**{f"{other}__isnull": other != name for other in names})
    return found


class DocumentQuerySet(LeasedQuerySet, OfShop):
    """Questions about documents."""


class Batch(models.Model):
    """Many papers of one kind, asked for in one stroke; its documents are the truth of it."""

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="batches")
    kind = models.CharField(max_length=12)
    title = models.CharField(max_length=120)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    asked_at = models.DateTimeField(default=timezone.now)
    stopped_at = models.DateTimeField(null=True, blank=True)

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["-asked_at", "-pk"]

    def __str__(self) -> str:
        return self.title


class Document(LeasedRow):
    """One version of one paper of a quote, survey, job, purchase order or week of the fleet."""

    class DocumentKind(models.TextChoices):
        QUOTE = "quote", "Quote"
        SURVEY = "survey", "Survey sheet"
        WORK_ORDER = "work_order", "Work order"
        PICK_LIST = "pick_list", "Pick list"
        PORT_MAP = "port_map", "Port map"
        LABELS = "labels", "Cable labels"
        CHANGE_ORDER = "change_order", "Change order"
        RECORD = "record", "Commissioning record"
        HANDOVER = "handover", "Handover pack"
        TOTE_LABEL = "tote_label", "Tote label"
        PURCHASE = "purchase", "Purchase order"
        REMOVED = "removed", "Tags for removed units"
        WEEKLY = "weekly", "Weekly sheet"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="documents")
    kind = models.CharField(max_length=12, choices=DocumentKind.choices)
    quote = models.ForeignKey(
        Quote, on_delete=models.PROTECT, related_name="documents", null=True, blank=True
    )
    survey = models.ForeignKey(
        Survey, on_delete=models.PROTECT, related_name="documents", null=True, blank=True
    )
    job = models.ForeignKey(
        Job, on_delete=models.PROTECT, related_name="documents", null=True, blank=True
    )
    order = models.ForeignKey(
        PurchaseOrder, on_delete=models.PROTECT, related_name="documents", null=True, blank=True
    )
    sheet = models.ForeignKey(
        FleetSheet, on_delete=models.PROTECT, related_name="documents", null=True, blank=True
    )
    version = models.PositiveSmallIntegerField(default=1)
    file = models.CharField("path of the file", max_length=200, blank=True)
    digest = models.CharField("SHA-256 of the file", max_length=64, blank=True)
    facts_digest = models.CharField("SHA-256 of the facts shown", max_length=64, blank=True)
    pages = models.PositiveSmallIntegerField(default=0)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    batch = models.ForeignKey(
        Batch, on_delete=models.SET_NULL, related_name="documents", null=True, blank=True
    )

    objects = DocumentQuerySet.as_manager()

    class Meta(LeasedRow.Meta):
        ordering = ["-requested_at", "-pk"]
        constraints = [
            *LeasedRow.Meta.constraints,
            models.UniqueConstraint(fields=["quote", "kind", "version"], name="quote_paper_once"),
            models.UniqueConstraint(fields=["job", "kind", "version"], name="job_paper_once"),
            models.UniqueConstraint(fields=["survey", "kind", "version"], name="survey_paper_once"),
            models.UniqueConstraint(fields=["order", "kind", "version"], name="order_paper_once"),
            models.UniqueConstraint(fields=["sheet", "kind", "version"], name="sheet_paper_once"),
            models.CheckConstraint(name="document_of_one_record", condition=_exactly_one(SUBJECTS)),
            models.CheckConstraint(
                name="document_ready_has_file", condition=~Q(row_state="ready") | ~Q(file="")
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_kind_display()} {self.subject} v{self.version}"

    @property
    def subject(self) -> Quote | Survey | Job | PurchaseOrder | FleetSheet:
        """What it is a paper of."""
        return next(row for row in (getattr(self, name) for name in SUBJECTS) if row)
