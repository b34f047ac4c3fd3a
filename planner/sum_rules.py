"""The shop's own rules for the sums: stricter than the built-in ones, in the database too."""

from decimal import Decimal

from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from shopapp.accounts.models import Shop


def _figure(label: str) -> models.DecimalField:
    return models.DecimalField(label, max_digits=7, decimal_places=3, null=True, blank=True)


def _at_most(name: str, most: str) -> models.CheckConstraint:
    holds = Q(**{f"{name}__isnull": True}) | Q(**{f"{name}__gt": 0, f"{name}__lte": Decimal(most)})
    return models.CheckConstraint(name=f"sum_rule_{name}_not_looser", condition=holds)


def _at_least(name: str, least: str) -> models.CheckConstraint:
    holds = Q(**{f"{name}__isnull": True}) | Q(**{f"{name}__gte": Decimal(least)})
    return models.CheckConstraint(name=f"sum_rule_{name}_not_looser", condition=holds)


class SumRules(models.Model):
    """What a shop works by where standards differ, and where it is stricter; empty: built-in."""

    class Areas(models.TextChoices):
        SAE = "sae", "SAE minimum areas (J1127, J1128)"
        AWG = "awg", "Exact AWG areas"

    class BusLimit(models.TextChoices):
        PLAIN = "plain", "1.67 V (first guide)"
        BATTERY = "battery", "1.5 V, fed by a battery (second guide)"
        ISOLATED = "isolated", "3.0 V, isolated 13.8 V supply (second guide)"

    shop = models.OneToOneField(Shop, on_delete=models.CASCADE, related_name="sum_rules")
    areas = models.CharField(
        "wire areas by", max_length=3, choices=Areas.choices, default=Areas.SAE
    )
    bus_limit = models.CharField(
        "backbone drop by", max_length=8, choices=BusLimit.choices, default=BusLimit.PLAIN
    )
    smallest_awg = models.CharField("smallest wire fitted", max_length=3, blank=True)
    drop_percent = _figure("drop on electronics and feeders, %")
    other_drop_percent = _figure("drop on other circuits, %")
    fuse_percent = _figure("largest fuse, % of ampacity")
    fuse_load_percent = _figure("fuse for a load, % of its amps")
    bus_drop_volts = _figure("lost along a backbone, V")
    bus_lowest_volts = _figure("least at a node, V")
    slack_ft = _figure("slack on a cable, ft")
    slack_percent = _figure("slack on a cable, %")
    compass_m = _figure("from a compass, m")
    said_by = models.CharField(
        "who asks for it",
        max_length=200,
        blank=True,
        help_text="A local code, an insurer, the shop itself.",
    )
    history = HistoricalRecords()

    class Meta:
        verbose_name = verbose_name_plural = "rules of the sums"
        constraints = [
            _at_most("drop_percent", "3"),
            _at_most("other_drop_percent", "10"),
            _at_most("fuse_percent", "150"),
            _at_least("fuse_load_percent", "125"),
            _at_least("bus_lowest_volts", "9"),
            _at_least("slack_ft", "2"),
            _at_least("slack_percent", "10"),
            _at_least("compass_m", "0.9"),
            models.CheckConstraint(
                name="sum_rule_bus_drop_volts_not_looser",
                condition=Q(bus_drop_volts__isnull=True)
                | Q(bus_limit="plain", bus_drop_volts__gt=0, bus_drop_volts__lte=Decimal("1.67"))
                | Q(bus_limit="battery", bus_drop_volts__gt=0, bus_drop_volts__lte=Decimal("1.5"))
                | Q(bus_limit="isolated", bus_drop_volts__gt=0, bus_drop_volts__lte=3),
            ),
            models.CheckConstraint(
                name="sum_rule_editions_known",
                condition=Q(areas__in=["sae", "awg"])
                & Q(bus_limit__in=["plain", "battery", "isolated"]),
            ),
        ]

    def __str__(self) -> str:
        return f"rules of the sums of {self.shop}"
