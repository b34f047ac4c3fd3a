"""Change orders: what was found on a job, what it changes, and who agreed to it."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone

from planner.models import PlanRun
from shopapp.accounts.models import OfShop, Shop
from shopapp.jobs.models.job import Job


class ChangeOrder(models.Model):
    """One change of a job: the plan made anew from what is true now, and the difference.

    `lines` are signed: `quantity` and `minutes` below zero are taken off what was agreed.
    """

    class State(models.TextChoices):
        DRAFT = "draft", "Being written"
        OFFERED = "offered", "Waits for a yes"
        AGREED = "agreed", "Agreed"
        DECLINED = "declined", "Declined"
        WITHDRAWN = "withdrawn", "Withdrawn"

    class Ground(models.TextChoices):
        FOUND = "found", "Found on the boat"
        WISH = "wish", "The customer asks for more"
        SAFETY = "safety", "Safety: made safe first"
        SHORT = "short", "A part cannot be had in time"

    class How(models.TextChoices):
        LINK = "link", "on the customer's own page"
        SIGNED = "signed", "name typed on our screen"
        PHONE = "phone", "by phone, read back"
        LIMIT = "limit", "within the agreed limit, not asked"

    OPEN = ("draft", "offered")

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="changes")
    job = models.ForeignKey(Job, on_delete=models.PROTECT, related_name="changes")
    number = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=9, choices=State.choices, default=State.DRAFT)
    ground = models.CharField(max_length=6, choices=Ground.choices, default=Ground.FOUND)
    found = models.TextField("what was found")
    run = models.ForeignKey(
        PlanRun, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    plan = models.JSONField(default=dict, help_text="The plan chosen, whole; empty: no new plan.")
    lines = models.JSONField(default=list, help_text="The difference, signed, line by line.")
    planned_at = models.DateTimeField(default=timezone.now)
    minutes = models.IntegerField(default=0)
    tax_cents = models.BigIntegerField(default=0)
    total_cents = models.BigIntegerField(default=0, help_text="The difference with tax.")
    before_cents = models.BigIntegerField(default=0, help_text="What was agreed until then.")
    version = models.PositiveIntegerField(default=1)
    token = models.CharField(max_length=64, unique=True, null=True, blank=True)
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    made_at = models.DateTimeField(default=timezone.now)
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.CharField("name given with the answer", max_length=120, blank=True)
    answered_how = models.CharField(max_length=6, choices=How.choices, blank=True)
    answered_from = models.GenericIPAddressField(null=True, blank=True)
    answer_note = models.TextField(blank=True)
    digest = models.CharField("SHA-256 of what was agreed", max_length=64, blank=True)

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["job", "-number"]
        constraints = [
            models.UniqueConstraint(fields=["job", "number"], name="change_number_once"),
            models.UniqueConstraint(
                fields=["job"], condition=Q(state__in=["draft", "offered"]), name="one_open_change"
            ),
            models.CheckConstraint(
                name="change_state_known",
                condition=Q(state__in=["draft", "offered", "agreed", "declined", "withdrawn"]),
            ),
            models.CheckConstraint(
                name="change_agreed_has_name_way_and_digest",
                condition=~Q(state="agreed")
                | (~Q(answered_by="") & ~Q(answered_how="") & ~Q(digest="")),
            ),
            models.CheckConstraint(
                name="change_by_phone_or_limit_has_note",
                condition=~Q(answered_how__in=["phone", "limit"]) | ~Q(answer_note=""),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.job}-C{self.number}"

    @property
    def is_open(self) -> bool:
        """Whether it may still be changed or answered."""
        return self.state in self.OPEN

    @property
    def rest_cents(self) -> int:
        """What the lines do not say: quarter hours and shop supplies that follow the labour."""
        return self.total_cents - self.tax_cents - sum(row["cents"] for row in self.lines)

    @property
    def after_cents(self) -> int:
        """What is agreed in all once this is."""
        return self.before_cents + self.total_cents
