"""Jobs with their steps."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils import timezone
from simple_history.models import HistoricalRecords

from shopapp.accounts.models import OfShop, Shop
from shopapp.boats.models import Boat
from shopapp.customers.models import Customer
from shopapp.jobs.models.quote import Quote, QuoteOption


class Job(models.Model):
    """A work order: the frozen copy of one accepted option, and how the work went."""

    class State(models.TextChoices):
        OPENED = "opened", "Opened"
        WAITING = "waiting", "Waiting for parts"
        READY = "ready", "Ready"
        SCHEDULED = "scheduled", "Scheduled"
        ON_JOB = "on_job", "On the job"
        HELD = "held", "Held"
        DONE = "done", "Work done"
        CHECKED = "checked", "Checked"
        HANDED_OVER = "handed_over", "Handed over"
        BILLED = "billed", "Billed"
        CLOSED = "closed", "Closed"
        CANCELLED = "cancelled", "Cancelled"

    class Cause(models.TextChoices):
        UNKNOWN = "unknown", "Not known yet"
        FITTING = "fitting", "Our fitting"
        PART = "part", "A part"
        FIRMWARE = "firmware", "Firmware"
        OWNER = "owner", "The owner"
        UNRELATED = "unrelated", "Unrelated"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="jobs")
    number = models.CharField(max_length=20)
    quote = models.OneToOneField(
        Quote, on_delete=models.PROTECT, related_name="job", null=True, blank=True
    )
    option = models.OneToOneField(
        QuoteOption, on_delete=models.PROTECT, related_name="job", null=True, blank=True
    )
    comeback_of = models.ForeignKey(
        "self", on_delete=models.PROTECT, related_name="comebacks", null=True, blank=True
    )
    comeback_cause = models.CharField(max_length=9, choices=Cause.choices, blank=True)
    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="jobs")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="jobs")
    title = models.CharField(max_length=120)
    asked_for = models.TextField("what the customer asked", blank=True)
    must_not_change = models.TextField(blank=True)
    state = models.CharField(max_length=11, choices=State.choices, default=State.OPENED)
    held_reason = models.CharField(max_length=200, blank=True)
    technician = models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        related_name="jobs",
        null=True,
        blank=True,
    )
    planned_on = models.DateField(null=True, blank=True)
    planned_from = models.TimeField("time of day", null=True, blank=True)
    risk_taken_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    risk_words = models.CharField("why it may start all the same", max_length=200, blank=True)
    handed_over_to = models.CharField(max_length=120, blank=True)
    bill_number = models.CharField(max_length=40, blank=True)
    minutes_planned = models.PositiveIntegerField(default=0)
    case = models.JSONField(default=dict, help_text="The case that the plan answered, whole.")
    plan = models.JSONField(default=dict, help_text="The accepted plan, whole.")
    ports = models.JSONField(default=list, help_text="Each link with its ports, as planned.")
    checks = models.JSONField(
        null=True, blank=True, help_text="What the checks found when it was last looked at."
    )
    version = models.PositiveIntegerField(default=1)
    revision = models.PositiveSmallIntegerField("of the plan, by change orders", default=1)
    opened_at = models.DateTimeField(default=timezone.now)
    started_at = models.DateTimeField(null=True, blank=True)
    done_at = models.DateTimeField(null=True, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords(excluded_fields=["case", "plan", "ports", "checks"])

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["-opened_at", "-pk"]
        indexes = [
            models.Index(fields=["shop", "-opened_at"]),
            models.Index(fields=["shop", "state", "planned_on"]),
            models.Index(fields=["technician", "planned_on"]),
        ]
        constraints = [
            models.UniqueConstraint(fields=["shop", "number"], name="job_number_once"),
            models.CheckConstraint(
                name="job_state_known",
                condition=Q(
                    state__in=[
                        "opened",
                        "waiting",
                        "ready",
                        "scheduled",
                        "on_job",
                        "held",
                        "done",
                        "checked",
                        "handed_over",
                        "billed",
                        "closed",
                        "cancelled",
                    ]
                ),
            ),
            models.CheckConstraint(
                name="job_scheduled_has_day_and_technician",
                condition=~Q(state="scheduled")
                | (Q(technician__isnull=False) & Q(planned_on__isnull=False)),
            ),
            models.CheckConstraint(
                name="job_comeback_has_cause",
                condition=Q(comeback_of__isnull=True) | ~Q(comeback_cause=""),
            ),
            models.CheckConstraint(
                name="job_handed_over_has_name",
                condition=~Q(state__in=["handed_over", "billed"]) | ~Q(handed_over_to=""),
            ),
            models.CheckConstraint(
                name="job_risk_has_words", condition=Q(risk_taken_by=None) | ~Q(risk_words="")
            ),
            models.CheckConstraint(
                name="job_held_has_reason", condition=~Q(state="held") | ~Q(held_reason="")
            ),
        ]

    def __str__(self) -> str:
        return self.number


class WorkStep(models.Model):
    """One step of a job, in order; cautions come first."""

    class State(models.TextChoices):
        TODO = "todo", "To do"
        DONE = "done", "Done"
        COULD_NOT = "could_not", "Could not"
        SKIPPED = "skipped", "Skipped"

    class Asks(models.TextChoices):
        TICK = "tick", "a tick"
        READING = "reading", "a reading"
        SERIAL = "serial", "a serial number"
        RELEASE = "release", "the release found"

    job = models.ForeignKey(Job, on_delete=models.CASCADE, related_name="steps")
    key = models.CharField(max_length=120)
    position = models.PositiveSmallIntegerField()
    revision = models.PositiveSmallIntegerField("of the plan it belongs to", default=1)
    kind = models.CharField(max_length=12)
    title = models.CharField(max_length=200)
    detail = models.TextField(blank=True)
    caution = models.BooleanField(default=False)
    unit_key = models.CharField("unit of the plan", max_length=60, blank=True)
    minutes = models.PositiveSmallIntegerField(default=0)
    asks = models.CharField(max_length=7, choices=Asks.choices, default=Asks.TICK)
    expect_label = models.CharField(max_length=120, blank=True)
    expect_unit = models.CharField(max_length=12, blank=True)
    expect_low = models.DecimalField(max_digits=9, decimal_places=3, null=True, blank=True)
    expect_high = models.DecimalField(max_digits=9, decimal_places=3, null=True, blank=True)
    expect_text = models.CharField(max_length=200, blank=True)
    state = models.CharField(max_length=9, choices=State.choices, default=State.TODO)
    reading = models.DecimalField(max_digits=9, decimal_places=3, null=True, blank=True)
    found = models.CharField("serial or release found", max_length=80, blank=True)
    note = models.TextField(blank=True)
    done_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["job", "position"]
        constraints = [
            models.UniqueConstraint(fields=["job", "position"], name="step_position_once"),
            models.UniqueConstraint(fields=["job", "key"], name="step_key_once"),
            models.CheckConstraint(
                name="step_skipped_has_reason",
                condition=~Q(state__in=["skipped", "could_not"]) | ~Q(note=""),
                violation_error_message="Say why it was not done.",
            ),
            models.CheckConstraint(
                name="step_answered_has_time",
                condition=Q(state="todo") | Q(done_at__isnull=False),
            ),
        ]

    def __str__(self) -> str:
        return self.title

    @property
    def figure(self) -> str:
        """The reading without idle zeros, with its unit; "" where there is none."""
        if self.reading is None:
            return ""
        text = f"{self.reading:f}"
        plain = text.rstrip("0").rstrip(".") if "." in text else text
        return f"{plain} {self.expect_unit}".strip()

    @property
    def out_of_range(self) -> bool:
        """Whether the reading lies outside what was expected."""
        if self.reading is None:
            return False
        low = self.expect_low is not None and self.reading < self.expect_low
        return low or (self.expect_high is not None and self.reading > self.expect_high)
