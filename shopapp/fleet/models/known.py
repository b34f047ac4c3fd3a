"""Known problems: notes of many boats that a person found to be the same fault."""

from typing import Self

from django.conf import settings
from django.db import models
from django.db.models import Count, F, Q
from django.utils import timezone
from simple_history.models import HistoricalRecords

from shopapp.accounts.models import OfShop, Shop
from shopapp.catalog.models import EquipmentModel
from shopapp.jobs.models import Problem


class KnownQuerySet(OfShop):
    """Questions about known problems."""

    def open_now(self) -> Self:
        """Those that were not merged into another."""
        return self.filter(merged_into__isnull=True)

    def counted(self) -> Self:
        """With how many notes and how many boats stand behind each."""
        now = Q(gathered__ended_at__isnull=True)
        return self.annotate(
            notes=Count("gathered", filter=now),
            boats=Count("gathered__problem__boat", filter=now, distinct=True),
        )


class KnownProblem(models.Model):
    """A fault that comes again: what it looks like, on what, its cause and cure once proven."""

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="known_problems")
    code = models.CharField("number", max_length=20)
    title = models.CharField("in a few words", max_length=120)
    symptom = models.CharField(max_length=12, choices=Problem.Symptom.choices)
    model = models.ForeignKey(
        EquipmentModel, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    counterpart = models.ForeignKey(
        EquipmentModel,
        on_delete=models.PROTECT,
        related_name="+",
        null=True,
        blank=True,
        verbose_name="together with",
    )
    cause = models.CharField("cause, if proven", max_length=200, blank=True)
    cure = models.CharField("what cures it", max_length=200, blank=True)
    safety = models.BooleanField("can hurt someone: act on one", default=False)
    merged_into = models.ForeignKey(
        "self", on_delete=models.PROTECT, related_name="took_in", null=True, blank=True
    )
    profile = models.JSONField(
        default=dict, editable=False, help_text="Counts over its notes, for likeness."
    )
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    made_at = models.DateTimeField(default=timezone.now)
    history = HistoricalRecords(excluded_fields=["profile"])

    objects = KnownQuerySet.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        indexes = [models.Index(fields=["shop", "symptom", "model"])]
        constraints = [
            models.UniqueConstraint(fields=["shop", "code"], name="known_code_once_a_shop"),
            models.CheckConstraint(
                name="known_not_merged_into_itself",
                condition=Q(merged_into__isnull=True) | ~Q(merged_into=F("id")),
                violation_error_message="A problem cannot be merged with itself.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.title}"


class Gathered(models.Model):
    """One note that a person put to a known problem; ended, never deleted, when parted."""

    known = models.ForeignKey(KnownProblem, on_delete=models.PROTECT, related_name="gathered")
    problem = models.ForeignKey(Problem, on_delete=models.PROTECT, related_name="gathered")
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    at = models.DateTimeField(default=timezone.now)
    likeness = models.PositiveSmallIntegerField("as proposed, of 100", null=True, blank=True)
    reasons = models.JSONField(default=list)
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["at", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["problem"],
                condition=Q(ended_at__isnull=True),
                name="note_in_one_known_problem",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.problem_id} in {self.known_id}"


class NotAlike(models.Model):
    """A person said that a note is not this known problem: it is not proposed again."""

    known = models.ForeignKey(KnownProblem, on_delete=models.CASCADE, related_name="not_alike")
    problem = models.ForeignKey(Problem, on_delete=models.CASCADE, related_name="not_alike")
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    at = models.DateTimeField(default=timezone.now)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["known", "problem"], name="not_alike_said_once")
        ]

    def __str__(self) -> str:
        return f"{self.problem_id} is not {self.known_id}"


class KnownMove(models.Model):
    """What was done to a known problem, by whom, and which notes moved from where to where."""

    class Act(models.TextChoices):
        MADE = "made", "Made of notes"
        CONFIRMED = "confirmed", "Note taken in"
        PARTED = "parted", "Note parted"
        MERGED = "merged", "Another taken in"
        SPLIT = "split", "Split off"
        UNDONE = "undone", "Taken back"

    known = models.ForeignKey(KnownProblem, on_delete=models.PROTECT, related_name="moves")
    other = models.ForeignKey(
        KnownProblem, on_delete=models.PROTECT, related_name="other_moves", null=True, blank=True
    )
    act = models.CharField(max_length=9, choices=Act.choices)
    moved = models.JSONField(
        default=list, help_text="Each note moved: [note, from known problem, to known problem]."
    )
    note = models.CharField(max_length=300, blank=True)
    by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    at = models.DateTimeField(default=timezone.now)
    undone_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-at", "-pk"]
        constraints = [
            models.CheckConstraint(
                name="known_move_act_known",
                condition=Q(act__in=["made", "confirmed", "parted", "merged", "split", "undone"]),
            ),
            models.CheckConstraint(
                name="known_move_between_two",
                condition=Q(other__isnull=True) | ~Q(other=F("known")),
                violation_error_message="A problem cannot be merged with itself.",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.get_act_display()} {self.at:%Y-%m-%d}"
