"""Enquiries and quotes with their options, lines and assumptions."""

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import Q
from django.utils import timezone
from simple_history.models import HistoricalRecords

from planner.models import PlanRun
from shopapp.accounts.models import OfShop, Shop
from shopapp.boats.models import Boat
from shopapp.catalog.models import LabourTask, Part
from shopapp.customers.models import Customer

PERCENT = [MinValueValidator(0), MaxValueValidator(100)]


class Enquiry(models.Model):
    """What a customer asked for, in their own words."""

    class State(models.TextChoices):
        NEW = "new", "New"
        SURVEY = "survey", "Needs survey"
        QUOTED = "quoted", "Quoted"
        CLOSED = "closed", "Closed"

    class Way(models.TextChoices):
        PHONE = "phone", "Phone"
        WALK_IN = "walk_in", "Walk-in"
        EMAIL = "email", "E-mail"
        DOCK = "dock", "At the dock"

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="enquiries")
    number = models.CharField(max_length=20)
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="enquiries")
    boat = models.ForeignKey(
        Boat, on_delete=models.PROTECT, related_name="enquiries", null=True, blank=True
    )
    came_by = models.CharField(max_length=7, choices=Way.choices, default=Way.PHONE)
    words = models.TextField("in the customer's words")
    budget_cents = models.PositiveIntegerField(null=True, blank=True)
    state = models.CharField(max_length=6, choices=State.choices, default=State.NEW)
    taken_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    taken_at = models.DateTimeField(default=timezone.now)
    history = HistoricalRecords()

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["-taken_at", "-pk"]
        verbose_name_plural = "enquiries"
        indexes = [models.Index(fields=["shop", "-taken_at"])]
        constraints = [
            models.UniqueConstraint(fields=["shop", "number"], name="enquiry_number_once"),
            models.CheckConstraint(
                name="enquiry_state_known",
                condition=Q(state__in=["new", "survey", "quoted", "closed"]),
            ),
        ]

    def __str__(self) -> str:
        return self.number


class Quote(models.Model):
    """An offer to a customer: the plan as it was known, options, money, terms."""

    class State(models.TextChoices):
        BUILDING = "building", "Being built"
        SURVEY = "survey", "Needs survey"
        READY = "ready", "Ready"
        SENT = "sent", "Sent"
        APPROVED = "approved", "Approved"
        DECLINED = "declined", "Declined"
        EXPIRED = "expired", "Expired"
        REPLACED = "replaced", "Replaced by a revision"

    OPEN_STATES = ("building", "survey", "ready")

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="quotes")
    number = models.CharField(max_length=20)
    revision = models.PositiveSmallIntegerField(default=1)
    replaces = models.OneToOneField(
        "self", on_delete=models.PROTECT, related_name="replaced_by", null=True, blank=True
    )
    enquiry = models.ForeignKey(
        Enquiry, on_delete=models.PROTECT, related_name="quotes", null=True, blank=True
    )
    boat = models.ForeignKey(Boat, on_delete=models.PROTECT, related_name="quotes")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="quotes")
    run = models.ForeignKey(PlanRun, on_delete=models.PROTECT, related_name="quotes")
    state = models.CharField(max_length=8, choices=State.choices, default=State.BUILDING)
    title = models.CharField(max_length=120)
    cover = models.TextField("opening words", blank=True)
    not_included = models.TextField(blank=True)
    terms = models.TextField(blank=True)
    currency = models.CharField(max_length=3, default="USD")
    labour_cents_per_hour = models.PositiveIntegerField()
    taxes = models.JSONField(default=list, help_text="The tax rates as they stood.")
    deposit_percent = models.PositiveSmallIntegerField(default=0, validators=PERCENT)
    supplies_percent = models.DecimalField(
        max_digits=5, decimal_places=2, default=0, validators=PERCENT
    )
    supplies_cap_cents = models.PositiveIntegerField(default=0)
    version = models.PositiveIntegerField(default=1, help_text="Counts the edits.")
    valid_until = models.DateField()
    made_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True
    )
    made_at = models.DateTimeField(default=timezone.now)
    token = models.CharField(max_length=64, unique=True, null=True, blank=True)
    sent_at = models.DateTimeField(null=True, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.CharField("name given with the answer", max_length=120, blank=True)
    answer_note = models.TextField(blank=True)
    answered_from = models.GenericIPAddressField(null=True, blank=True)
    accepted_option = models.ForeignKey(
        "QuoteOption", on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    accepted_digest = models.CharField(max_length=64, blank=True)
    history = HistoricalRecords(excluded_fields=["token"])

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["-made_at", "-pk"]
        indexes = [
            models.Index(fields=["shop", "-made_at"]),
            models.Index(fields=["shop", "state", "-made_at"]),
        ]
        constraints = [
            models.UniqueConstraint(
                fields=["shop", "number", "revision"], name="quote_revision_once"
            ),
            models.CheckConstraint(
                name="quote_state_known",
                condition=Q(
                    state__in=[
                        "building",
                        "survey",
                        "ready",
                        "sent",
                        "approved",
                        "declined",
                        "expired",
                        "replaced",
                    ]
                ),
            ),
            models.CheckConstraint(
                name="quote_approved_has_option_and_name",
                condition=~Q(state="approved")
                | (Q(accepted_option__isnull=False) & ~Q(answered_by="") & ~Q(accepted_digest="")),
            ),
        ]

    def __str__(self) -> str:
        return self.number if self.revision == 1 else f"{self.number}-{self.revision}"

    @property
    def is_open(self) -> bool:
        """Whether it may still be changed."""
        return self.state in self.OPEN_STATES

    @property
    def may_plan_again(self) -> bool:
        """Whether planning it again makes its next revision."""
        return self.is_open or self.state == self.State.SENT


class QuoteOption(models.Model):
    """One complete way to meet the wish, with its plan, lines and totals."""

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="options")
    position = models.PositiveSmallIntegerField()
    title = models.CharField(max_length=120)
    sentence = models.TextField("opening sentence", blank=True)
    plan = models.JSONField(help_text="The planner's plan, whole.")
    strategies = models.JSONField(default=list, help_text="Which strategies chose this plan.")
    checks = models.JSONField(
        null=True, blank=True, help_text="What the checks found when it was last looked at."
    )
    offered = models.BooleanField("shown to the customer", default=True)
    goods_cents = models.BigIntegerField(default=0)
    labour_cents = models.BigIntegerField(default=0)
    outside_cents = models.BigIntegerField(default=0)
    discount_cents = models.BigIntegerField(default=0)
    tax_cents = models.BigIntegerField(default=0)
    total_cents = models.BigIntegerField(default=0)
    deposit_cents = models.BigIntegerField(default=0)
    minutes = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["quote", "position"]
        constraints = [
            models.UniqueConstraint(fields=["quote", "position"], name="option_position_once"),
        ]

    def __str__(self) -> str:
        return self.title


class QuoteLine(models.Model):
    """A line of an option: goods, labour, outside work, a discount or a credit."""

    class LineKind(models.TextChoices):
        EQUIPMENT = "equipment", "Equipment"
        SMALL = "small", "Small parts"
        LABOUR = "labour", "Labour"
        TRAVEL = "travel", "Travel"
        SUPPLIES = "supplies", "Shop supplies"
        OUTSIDE = "outside", "Outside work"
        CREDIT = "credit", "Credit or discount"

    option = models.ForeignKey(QuoteOption, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField()
    kind = models.CharField(max_length=9, choices=LineKind.choices)
    part = models.ForeignKey(
        Part, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    task = models.ForeignKey(
        LabourTask, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    description = models.CharField(max_length=200)
    quantity = models.PositiveIntegerField(default=1)
    minutes = models.PositiveIntegerField(default=0, help_text="For labour: minutes in all.")
    low_minutes = models.PositiveIntegerField(null=True, blank=True)
    high_minutes = models.PositiveIntegerField(null=True, blank=True)
    unit_cents = models.BigIntegerField(default=0, help_text="Price of one; for labour, an hour.")
    cost_cents = models.BigIntegerField(
        null=True, blank=True, help_text="What one costs the shop; empty: not known."
    )
    discount_percent = models.DecimalField(
        max_digits=5, decimal_places=2, default=0, validators=PERCENT
    )
    discount_reason = models.CharField(max_length=120, blank=True)
    total_cents = models.BigIntegerField(default=0)
    from_plan = models.BooleanField(default=False)
    left_out = models.BooleanField(
        default=False, help_text="Needed by the plan, but not supplied: not charged."
    )
    why = models.CharField(max_length=200, blank=True)
    remedy = models.CharField(
        max_length=200, blank=True, help_text="The remedy of a check that it belongs to."
    )

    class Meta:
        ordering = ["option", "position", "pk"]
        constraints = [
            models.CheckConstraint(
                name="line_discount_has_reason",
                condition=Q(discount_percent=0) | ~Q(discount_reason=""),
                violation_error_message="A discount needs a reason.",
            ),
            models.CheckConstraint(
                name="line_discount_0_to_100",
                condition=Q(discount_percent__gte=0, discount_percent__lte=100),
            ),
            models.CheckConstraint(
                name="line_price_not_negative",
                condition=Q(kind="credit") | Q(unit_cents__gte=0),
                violation_error_message="A price cannot be less than zero; use a credit line.",
            ),
            models.CheckConstraint(
                name="line_left_out_says_why",
                condition=Q(left_out=False) | ~Q(why=""),
                violation_error_message="Say why it is left out.",
            ),
            models.CheckConstraint(
                name="line_quantity_sensible",
                condition=Q(quantity__gte=1, quantity__lte=100000),
                violation_error_message="The quantity must be from 1 to 100,000.",
            ),
        ]

    def __str__(self) -> str:
        return self.description


class Assumption(models.Model):
    """Something the records do not know, taken as true on the quote in plain words."""

    class State(models.TextChoices):
        OPEN = "open", "Open"
        ASKED = "asked", "Asked"
        CONFIRMED = "confirmed", "Confirmed"
        WRONG = "wrong", "Wrong"
        AT_RISK = "at_risk", "Accepted at risk"

    quote = models.ForeignKey(Quote, on_delete=models.CASCADE, related_name="assumptions")
    number = models.PositiveSmallIntegerField()
    key = models.CharField(max_length=120)
    text = models.TextField()
    decides = models.BooleanField("decides whether it works", default=False)
    confirm_by = models.CharField("how to confirm", max_length=200, blank=True)
    state = models.CharField(max_length=9, choices=State.choices, default=State.OPEN)
    concerns = models.JSONField(
        default=list, blank=True, help_text="Positions of the options that rest on it; none: all."
    )
    settled_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    settled_at = models.DateTimeField(null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        ordering = ["quote", "number"]
        constraints = [
            models.UniqueConstraint(fields=["quote", "number"], name="assumption_number_once"),
            models.UniqueConstraint(fields=["quote", "key"], name="assumption_key_once"),
            models.CheckConstraint(
                name="assumption_state_known",
                condition=Q(state__in=["open", "asked", "confirmed", "wrong", "at_risk"]),
            ),
        ]

    def __str__(self) -> str:
        return f"A{self.number}. {self.text}"

    def speaks_of(self, option: QuoteOption) -> bool:
        """Whether that option rests on it."""
        return not self.concerns or option.position in self.concerns
