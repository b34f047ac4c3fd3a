"""The shop, its people, its money rules and their sign-ins."""

from typing import Self
from zoneinfo import available_timezones

from django.contrib.auth.models import AbstractUser, UserManager
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q
from django.utils import timezone
from simple_history.models import HistoricalRecords

from shopapp.roles import ACTIONS, Role

PERCENT = [MinValueValidator(0), MaxValueValidator(100)]


def check_zone(name: str) -> None:
    """Refuse a time zone that the machine does not know."""
    if name not in available_timezones():
        raise ValidationError(f"{name} is no known time zone, for example America/Chicago.")


class Shop(models.Model):
    """One shop: its name on paper, its money rules, its planning rates."""

    name = models.CharField(max_length=120, unique=True)
    address = models.TextField(blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    currency = models.CharField(max_length=3, default="USD")
    time_zone = models.CharField(max_length=60, default="America/New_York", validators=[check_zone])
    labour_cents_per_hour = models.PositiveIntegerField(default=12000)
    pull_minutes_base = models.PositiveSmallIntegerField(default=10)
    pull_minutes_per_ft = models.PositiveSmallIntegerField(default=2)
    drop_in_minutes = models.PositiveSmallIntegerField(default=25)
    fuse_minutes = models.PositiveSmallIntegerField(default=5)
    travel_minutes = models.PositiveSmallIntegerField(
        "way to a marina and back, minutes", default=30
    )
    label_sheet = models.CharField(
        max_length=9,
        choices=[
            ("letter-30", "Letter, 30 flags of 2 5/8 × 1 in"),
            ("letter-10", "Letter, 10 flags of 4 × 2 in"),
            ("a4-21", "A4, 21 flags of 63.5 × 38.1 mm"),
            ("a4-8", "A4, 8 flags of 99.1 × 67.7 mm"),
        ],
        default="letter-30",
    )
    slack_ft = models.PositiveSmallIntegerField(default=2)
    offnet_penalty_cents = models.PositiveIntegerField(default=40000)
    lost_penalty_cents = models.PositiveIntegerField(default=120000)
    supplies_percent = models.DecimalField(
        max_digits=5, decimal_places=2, default=5, validators=PERCENT
    )
    supplies_cap_cents = models.PositiveIntegerField(default=15000)
    deposit_percent = models.PositiveSmallIntegerField(default=40, validators=PERCENT)
    check_over_cents = models.PositiveBigIntegerField(null=True, blank=True)
    labour_cost_cents_per_hour = models.PositiveIntegerField(null=True, blank=True)
    margin_equipment_percent = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=PERCENT
    )
    margin_small_percent = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=PERCENT
    )
    margin_labour_percent = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=PERCENT
    )
    change_limit_percent = models.PositiveSmallIntegerField(
        "changed without asking, % of what was agreed", default=10, validators=PERCENT
    )
    quote_valid_days = models.PositiveSmallIntegerField(default=21)
    quote_terms = models.TextField(blank=True)
    not_included = models.TextField(blank=True)
    history = HistoricalRecords()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="shop_deposit_is_a_percentage", condition=Q(deposit_percent__lte=100)
            ),
            models.CheckConstraint(
                name="shop_labour_is_whole_cents_a_minute",
                condition=Q(labour_cents_per_hour__gt=0),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def labour_cents_per_minute(self) -> int:
        """The planner's labour rate, whole cents a minute."""
        return self.labour_cents_per_hour // 60


class OfShop(models.QuerySet):
    """Rows that belong to one shop."""

    def of(self, shop: "Shop | int") -> Self:
        """Only this shop's rows."""
        return self.filter(shop=shop)


class Retirable(OfShop):
    """Rows of a shop that are retired instead of deleted."""

    def current(self) -> Self:
        """Rows that are not retired."""
        return self.filter(retired_at__isnull=True)


class People(UserManager):
    """People, each fetched together with the shop: every page asks for both."""

    def get_queryset(self) -> models.QuerySet:
        """Users joined with their shops."""
        return super().get_queryset().select_related("shop")


class User(AbstractUser):
    """A person of the shop, with one role."""

    shop = models.ForeignKey(Shop, on_delete=models.PROTECT, related_name="people", null=True)
    role = models.CharField(max_length=12, choices=Role.choices, default=Role.WRITER)
    full_name = models.CharField(max_length=120, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    day_minutes = models.PositiveSmallIntegerField("working minutes a day", default=8 * 60)
    must_change_password = models.BooleanField(default=False)
    history = HistoricalRecords(excluded_fields=["password", "last_login"])

    objects = People()

    class Meta:
        constraints = [
            models.CheckConstraint(name="user_role_known", condition=Q(role__in=Role.values)),
        ]

    def __str__(self) -> str:
        return self.full_name or self.username

    def may(self, action: str) -> bool:
        """Whether the role allows the action."""
        return bool(self.is_active and self.shop_id and self.role in ACTIONS[action])


class SignIn(models.Model):
    """A session of a person, so that it can be listed and ended."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="sign_ins")
    session_key = models.CharField(max_length=40, unique=True)
    address = models.GenericIPAddressField(null=True, blank=True)
    browser = models.CharField(max_length=200, blank=True)
    started_at = models.DateTimeField(default=timezone.now)
    last_seen_at = models.DateTimeField(default=timezone.now)

    class Meta:
        ordering = ["-last_seen_at"]

    def __str__(self) -> str:
        return f"{self.user} since {self.started_at:%d %b %Y}"


class TaxRate(models.Model):
    """A tax by kind of line, from a day on; never a constant in code."""

    class AppliesTo(models.TextChoices):
        GOODS = "goods", "Goods"
        LABOUR = "labour", "Labour"
        OUTSIDE = "outside", "Outside work"

    shop = models.ForeignKey(Shop, on_delete=models.CASCADE, related_name="tax_rates")
    name = models.CharField(max_length=60)
    applies_to = models.CharField(max_length=8, choices=AppliesTo.choices)
    percent = models.DecimalField(max_digits=6, decimal_places=3, validators=PERCENT)
    valid_from = models.DateField()
    valid_until = models.DateField(null=True, blank=True)
    history = HistoricalRecords()

    objects = OfShop.as_manager()

    class Meta:
        ordering = ["applies_to", "-valid_from"]
        constraints = [
            models.CheckConstraint(
                name="tax_percent_0_to_100", condition=Q(percent__gte=0, percent__lte=100)
            ),
            models.CheckConstraint(
                name="tax_dates_in_order",
                condition=Q(valid_until__isnull=True) | Q(valid_until__gte=F("valid_from")),
            ),
            models.CheckConstraint(
                name="tax_kind_known",
                condition=Q(applies_to__in=["goods", "labour", "outside"]),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} {self.percent.normalize():f} %"
