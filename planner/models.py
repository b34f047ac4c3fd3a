"""Statements of what works with what, and the plans that were asked for."""

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.db.models.fields.json import KeyTransform
from django.utils import timezone
from simple_history.models import HistoricalRecords

from planner.ageing import confidence_at, is_soft
from planner.sum_rules import SumRules
from shopapp.accounts.models import OfShop, Shop
from shopapp.boats.models import Boat
from shopapp.catalog.models import Searchable
from shopapp.work.models import LeasedQuerySet, LeasedRow

__all__ = ["PlanRun", "PlanRunQuerySet", "Statement", "StatementQuerySet", "SumRules"]


class StatementQuerySet(Searchable):
    """Questions about statements."""

    def in_force(self) -> Self:
        """Neither retired nor superseded; one whose successor was retired stays superseded."""
        return self.current().filter(superseded_by__isnull=True)


class Statement(models.Model):
    """What is known of what works with what: one rule, with who says so and how sure."""

    class Confidence(models.TextChoices):
        HIGH = "high", "High"
        MEDIUM = "medium", "Medium"
        LOW = "low", "Low"

    class SourceKind(models.TextChoices):
        GUIDE = "guide", "Maker's install guide"
        NOTE = "note", "Release note"
        BULLETIN = "bulletin", "Maker's bulletin"
        PHONE = "phone", "Maker's technical line"
        OWN = "own", "Own experience"
        OTHER = "other", "Other"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="statements")
    code = models.SlugField("number", max_length=60)
    text = models.CharField("in words", max_length=300)
    rule = models.JSONField()
    source = models.CharField(max_length=160)
    source_kind = models.CharField(
        max_length=8, choices=SourceKind.choices, default=SourceKind.GUIDE
    )
    page = models.CharField(max_length=20, blank=True)
    seen = models.DateField("seen on")
    confidence = models.CharField(max_length=6, choices=Confidence.choices)
    supersedes = models.OneToOneField(
        "self", on_delete=models.PROTECT, related_name="superseded_by", null=True, blank=True
    )
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    entered_at = models.DateTimeField(default=timezone.now, editable=False)
    note = models.TextField(blank=True)
    search = models.TextField(editable=False, default="")
    retired_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords(excluded_fields=["search"])

    objects = StatementQuerySet.as_manager()

    class Meta:
        ordering = ["code"]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "code"],
                name="statement_code_once_a_shop",
                violation_error_message="Another statement has this number.",
            ),
            models.CheckConstraint(
                name="statement_not_superseding_itself",
                condition=Q(supersedes__isnull=True) | ~Q(supersedes=F("id")),
                violation_error_message="A statement cannot supersede itself.",
            ),
            models.CheckConstraint(
                name="statement_confidence_known",
                condition=Q(confidence__in=["high", "medium", "low"]),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code}: {self.text}"

    @property
    def is_soft(self) -> bool:
        """Whether its source was last seen too long ago."""
        return is_soft(rule=self.rule, seen=self.seen, today=timezone.localdate())

    @property
    def confidence_now(self) -> str:
        """The confidence that counts today: one step lower once it is soft."""
        today = timezone.localdate()
        return confidence_at(
            confidence=self.confidence, rule=self.rule, seen=self.seen, today=today
        )

    def get_confidence_now_display(self) -> str:
        """Today's confidence as a word."""
        return self.Confidence(self.confidence_now).label


class PlanRunQuerySet(LeasedQuerySet, OfShop):
    """Questions about plans."""

    def for_list(self) -> Self:
        """With what a list shows of each, and without the large documents."""
        return (
            self.select_related("asked_by")
            .defer("case", "assumptions", "answer")
            .annotate(answered=KeyTransform("feasible", "answer"))
        )


class PlanRun(LeasedRow):
    """One planning: the case as it was known then, and the answer, kept whole."""

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="plan_runs")
    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="plan_runs")
    wishes = models.JSONField()
    case = models.JSONField()
    case_digest = models.CharField(max_length=64)
    assumptions = models.JSONField(default=list)
    answer = models.JSONField(null=True, blank=True)
    engine_version = models.CharField(max_length=20, blank=True)
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    again_of = models.ForeignKey(
        "self", on_delete=models.SET_NULL, related_name="repeats", null=True, blank=True
    )

    objects = PlanRunQuerySet.as_manager()

    class Meta(LeasedRow.Meta):
        ordering = ["-requested_at"]
        indexes = [models.Index(fields=["boat", "-requested_at"])]

    def __str__(self) -> str:
        return f"plan {self.pk} for {self.boat}"

    @property
    def wish_words(self) -> str:
        """What was wished, in words."""
        return "; ".join(self.wishes.get("words", [])) or "What is aboard is put right"

    @property
    def feasible(self) -> bool | None:
        """Whether any plan is right; None while not planned."""
        return None if self.answer is None else bool(self.answer["feasible"])
