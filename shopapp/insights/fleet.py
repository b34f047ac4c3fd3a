"""Problems across the fleet: boats affected over boats that carry the same combination.

Boats are counted, not tickets. A release that nobody knows is never counted as fine: such
boats stand in a column of their own. Every answer takes a fixed number of queries.
"""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef
from django.utils import timezone

from shopapp.accounts.models import Shop
from shopapp.boats.models import Boat, Unit
from shopapp.catalog.models import EquipmentModel, Release
from shopapp.insights.rates import TOO_FEW, percent, wilson
from shopapp.jobs.models import Problem

Key = tuple[int, int | None, int | None]


@dataclass
class Group:
    """Problems of one model at one release beside one counterpart (or none)."""

    key: Key
    model: str
    release: str
    counterpart: str
    firmware: bool = True
    affected: set[int] = field(default_factory=set)
    carrying: set[int] = field(default_factory=set)
    unknown: set[int] = field(default_factory=set)
    symptoms: dict[str, int] = field(default_factory=dict)
    unsolved: int = 0
    minutes_lost: int = 0
    last_at: datetime | None = None

    @property
    def at_risk(self) -> set[int]:
        """Boats that carry the combination, those affected included."""
        return self.carrying | self.affected

    @property
    def release_known(self) -> bool:
        """Whether the group speaks of one release, or of a model without firmware."""
        return self.key[1] is not None or not self.firmware

    @property
    def release_words(self) -> str:
        """`release 2.4`, or that the model has none."""
        return f"release {self.release}" if self.firmware else "no firmware"

    @property
    def interval(self) -> tuple[float, float]:
        """The 95 % interval of the share of boats affected."""
        return wilson(len(self.affected), len(self.at_risk))

    @property
    def too_few(self) -> bool:
        """Whether there are too few boats to tell anything."""
        return len(self.at_risk) < TOO_FEW

    @property
    def share_words(self) -> str:
        """`25 %`."""
        return f"{percent(len(self.affected) / len(self.at_risk))} %"

    @property
    def interval_words(self) -> str:
        """`8.9 to 53.2 %`."""
        low, high = self.interval
        return f"{percent(low)} to {percent(high)} %"

    @property
    def low_percent(self) -> str:
        """Where the interval begins, for the drawing."""
        return percent(self.interval[0])

    @property
    def width_percent(self) -> str:
        """How wide the interval is, for the drawing."""
        low, high = self.interval
        return percent(high - low)

    @property
    def share_percent(self) -> str:
        """Where the rate lies, for the drawing."""
        return percent(len(self.affected) / len(self.at_risk))

    @property
    def symptom_words(self) -> str:
        """The symptoms, the most common first."""
        words = dict(Problem.Symptom.choices)
        rows = sorted(self.symptoms.items(), key=lambda row: (-row[1], row[0]))
        return ", ".join(f"{words[name]} ({count})" for name, count in rows)


def groups_of(shop: Shop, *, since: datetime | None = None) -> list[Group]:
    """All groups with a problem since then, ranked by the lower bound of their rate.

    Groups whose release is not known stand behind the others. Four queries.
    """
    rows = Problem.objects.of(shop).filter(model__isnull=False)
    if since is not None:
        rows = rows.filter(noted_at__gte=since)
    names = ("model", "release", "counterpart")
    problems = list(
        rows.values_list(
            *names, "boat", "symptom", "minutes_lost", "noted_at", "solved_at"
        ).order_by("pk")
    )
    groups = _grouped(problems)
    _name(groups.values())
    _carry(shop, list(groups.values()))
    return sorted(groups.values(), key=_rank)


def _rank(group: Group) -> tuple:
    return (
        not group.release_known,
        group.too_few,
        -group.interval[0],
        -len(group.affected),
        group.key[0],
        group.key[2] or 0,
    )


def _grouped(problems: Iterable[tuple]) -> dict[Key, Group]:
    groups: dict[Key, Group] = {}
    for model, release, counterpart, boat, symptom, minutes, noted, solved in problems:
        key = (model, release, counterpart)
        group = groups.setdefault(key, Group(key, "", "", ""))
        group.affected.add(boat)
        group.symptoms[symptom] = group.symptoms.get(symptom, 0) + 1
        group.unsolved += solved is None
        group.minutes_lost += minutes
        group.last_at = max(filter(None, [group.last_at, noted]))
    return groups


def _name(groups: Iterable[Group]) -> None:
    groups = list(groups)
    models = {pk for group in groups for pk in (group.key[0], group.key[2]) if pk}
    has_firmware = Exists(Release.objects.filter(model=OuterRef("pk")))
    rows = EquipmentModel.objects.filter(pk__in=models).annotate(firmware=has_firmware)
    named = {
        pk: (name, firmware) for pk, name, firmware in rows.values_list("pk", "name", "firmware")
    }
    wanted = {group.key[1] for group in groups} - {None}
    releases = dict(Release.objects.filter(pk__in=wanted).values_list("pk", "name"))
    for group in groups:
        model, release, counterpart = group.key
        group.model, group.firmware = named[model]
        group.release = releases.get(release, "") if release else ""
        group.counterpart = named[counterpart][0] if counterpart else ""


def _carry(shop: Shop, groups: list[Group]) -> None:
    """Fill in which boats carry each combination; one query."""
    models = {pk for group in groups for pk in (group.key[0], group.key[2]) if pk}
    rows = Unit.objects.of(shop).aboard().filter(model__in=models, boat__retired_at__isnull=True)
    boats: dict[int, set[int]] = defaultdict(set)
    at: dict[tuple[int, int | None], set[int]] = defaultdict(set)
    for model, release, boat in rows.values_list("model", "release", "boat"):
        boats[model].add(boat)
        at[model, release].add(boat)
    for group in groups:
        model, release, counterpart = group.key
        beside = boats[counterpart] if counterpart else None
        here = at[model, release] if release else boats[model]
        group.carrying = here if beside is None else here & beside
        blank = at[model, None] - here if release else set()
        group.unknown = (blank if beside is None else blank & beside) - group.affected


def group_of(shop: Shop, key: Key, *, since: datetime | None = None) -> Group | None:
    """One group, None where no problem makes it."""
    return next((group for group in groups_of(shop, since=since) if group.key == key), None)


def boats_in(group: Group) -> dict[str, list[Boat]]:
    """The group's boats: affected; carrying it and no problem noted; release not known."""
    wanted = group.at_risk | group.unknown
    rows = Boat.objects.filter(pk__in=wanted).select_related("customer").order_by("name", "pk")
    found: dict[str, list[Boat]] = {"affected": [], "clear": [], "unknown": []}
    for boat in rows:
        if boat.pk in group.affected:
            found["affected"].append(boat)
        else:
            found["unknown" if boat.pk in group.unknown else "clear"].append(boat)
    return found


def months_ago(months: int) -> datetime:
    """So many months of 30 days back."""
    return timezone.now() - timedelta(days=30 * months)
