"""A statement drafted from a known problem: its evidence, what it would change, who reviewed it."""

from django.conf import settings
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from simple_history.models import HistoricalRecords

from planner.models import Statement
from shopapp.accounts.models import OfShop, Shop
from shopapp.fleet.models.known import KnownProblem
from shopapp.work.models import LeasedQuerySet, LeasedRow


class LessonQuerySet(LeasedQuerySet, OfShop):
    """Questions about drafted statements."""


class Lesson(LeasedRow):
    """A draft; a worker works out what it would change, a second person accepts or declines it."""

    class State(models.TextChoices):
        DRAFT = "draft", "Draft"
        ACCEPTED = "accepted", "Accepted"
        DECLINED = "declined", "Declined"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="lessons")
    known = models.ForeignKey(KnownProblem, on_delete=models.PROTECT, related_name="lessons")
    state = models.CharField(max_length=8, choices=State.choices, default=State.DRAFT)
    facts = models.JSONField(help_text="The statement's own fields, as drafted.")
    rule = models.JSONField()
    evidence = models.JSONField(help_text="Counts behind it on the day of the draft.")
    supersedes = models.ForeignKey(
        Statement, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    statement = models.OneToOneField(
        Statement, on_delete=models.PROTECT, related_name="lesson", null=True, blank=True
    )
    impact = models.JSONField(null=True, blank=True)
    drafted_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    drafted_at = models.DateTimeField(default=timezone.now)
    reviewed_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    reviewed_at = models.DateTimeField(null=True, blank=True)
    review_note = models.CharField(max_length=300, blank=True)
    history = HistoricalRecords(excluded_fields=["impact"])

    objects = LessonQuerySet.as_manager()

    class Meta(LeasedRow.Meta):
        ordering = ["-drafted_at", "-pk"]
        constraints = [
            *LeasedRow.Meta.constraints,
            models.CheckConstraint(
                name="lesson_state_known",
                condition=Q(state__in=["draft", "accepted", "declined"]),
            ),
            models.CheckConstraint(
                name="lesson_reviewed_by_a_second_person",
                condition=Q(reviewed_by__isnull=True) | ~Q(reviewed_by=F("drafted_by")),
                violation_error_message="A second person reviews it.",
            ),
            models.CheckConstraint(
                name="lesson_accepted_has_statement",
                condition=~Q(state="accepted")
                | Q(statement__isnull=False, reviewed_by__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.facts.get('code', 'statement')} from {self.known.code}"
