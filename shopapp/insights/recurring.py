"""What recurs, read from the newest count: rows in words, the boats behind each figure."""

from dataclasses import dataclass
from datetime import date
from itertools import zip_longest
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from shopapp.accounts.models import Shop
from shopapp.boats.models import Boat, Evidence, Unit
from shopapp.catalog.models import EquipmentModel, Release
from shopapp.fleet.figures import (
    TOO_FEW,
    percent,
    poisson_interval,
    rate_interval,
    wilson,
)
from shopapp.fleet.models import Combination, Tally
from shopapp.fleet.seeing import Period
from shopapp.jobs.models import Job, Problem

NAMES = ("model", "release", "counterpart", "switch")
Key = tuple[int, int | None, int | None, int | None]


@dataclass(frozen=True)
class Shown:
    """A combination as pages show it."""

    row: Combination
    has_firmware: bool = True

    @property
    def key(self) -> list[int]:
        """Its numbers for an address; 0 where left open."""
        return [getattr(self.row, f"{name}_id") or 0 for name in NAMES]

    @property
    def too_few(self) -> bool:
        """Whether there are too few boats to tell anything."""
        return self.row.at_risk < TOO_FEW

    @property
    def interval(self) -> tuple[float, float]:
        """The 95 % interval of the share of boats."""
        return wilson(self.row.affected, self.row.at_risk)

    @property
    def share_words(self) -> str:
        """`25 %`."""
        return f"{self.share_percent} %"

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
        return percent(self.row.affected / self.row.at_risk) if self.row.at_risk else "0"

    @property
    def years(self) -> float:
        """Boat-years watched."""
        return sum(years for _, years in self.row.by_slice)

    @property
    def per_year_words(self) -> str:
        """`0.31 (0.20 to 0.45)` boats with a note in a boat-year."""
        if self.years < 1:
            return "under one boat-year watched"
        low, high = rate_interval(self.row.affected, self.years)
        return f"{self.row.affected / self.years:.2f} ({low:.2f} to {high:.2f})"

    @property
    def chance_words(self) -> str:
        """The chance corrected for all looks, as people read it."""
        chance = self.row.chance
        return "under 0.001" if chance < 0.001 else f"{chance:.3f}"

    @property
    def symptom_words(self) -> str:
        """The symptoms, the most common first."""
        words = dict(Problem.Symptom.choices)
        rows = sorted(self.row.symptoms.items(), key=lambda row: (-row[1], row[0]))
        return ", ".join(f"{words.get(name, name)} ({count})" for name, count in rows)


def combinations_found(tally: Tally, asked: dict[str, str]) -> QuerySet[Combination]:
    """Combinations of a count by words (`q`); `show`: what stands out (default), or all."""
    rows = tally.combinations.select_related(*NAMES)
    for word in asked.get("q", "").split()[:8]:
        named = Q(model__name__icontains=word) | Q(counterpart__name__icontains=word)
        rows = rows.filter(named | Q(release__name=word) | Q(switch__name__icontains=word))
    if asked.get("show") != "all" and not asked.get("q"):
        rows = rows.filter(Q(alarm=True, within__isnull=True) | Q(alarm=False, release=None,
                           counterpart=None, switch=None))  # fmt: skip
    return rows


def shown(rows: list[Combination]) -> list[Shown]:
    """Rows with whether their model has firmware; one query."""
    models = {row.model_id for row in rows}
    with_firmware = set(
        Release.objects.filter(model__in=models).order_by().values_list("model", flat=True)
    )
    return [Shown(row, row.model_id in with_firmware) for row in rows]


def carrying(shop: Shop, key: Key, period: Period) -> QuerySet[Boat]:
    """Boats in service that carry a combination and were looked at in the period."""
    model, release, counterpart, switch = key
    rows = Boat.objects.of(shop).current().filter(_aboard(model, release))
    for other in (counterpart, switch):
        if other:
            rows = rows.filter(_aboard(other, None))
    return rows.filter(_looked_at(period))


def _aboard(model: int, release: int | None) -> Exists:
    rows = Unit.objects.aboard().filter(boat=OuterRef("pk"), model=model)
    return Exists(rows.filter(release=release) if release else rows)


def _looked_at(period: Period) -> Q:
    begins = period.begins_at
    here = {"boat": OuterRef("pk")}
    return Q(
        Exists(Evidence.objects.filter(**here, seen_at__gte=begins))
        | Exists(Job.objects.filter(**here, done_at__gte=begins))
        | Exists(Problem.objects.filter(**here, noted_at__gte=begins))
    )


def notes_of(shop: Shop, key: Key, period: Period) -> QuerySet[Problem]:
    """The notes counted to a combination: on its model, on boats that carry the rest."""
    model, release, counterpart, switch = key
    rows = Problem.objects.of(shop).filter(
        model=model, noted_at__gte=period.begins_at, boat__retired_at__isnull=True
    )
    if release:
        rows = rows.filter(release=release)
    for other, named in ((counterpart, "counterpart"), (switch, "switch")):
        if other:
            beside = Unit.objects.aboard().filter(boat=OuterRef("boat"), model=other)
            rows = rows.filter(Exists(beside) | Q(**{named: other}))
    return rows


def boats_behind(shop: Shop, key: Key, period: Period, which: str) -> QuerySet[Boat]:
    """The boats of a figure: `affected`, `clear` (carry it, nothing noted) or `unknown`."""
    noted = notes_of(shop, key, period).order_by().values("boat")
    if which == "affected":
        rows = Boat.objects.of(shop).filter(pk__in=noted)
    elif which == "clear":
        rows = carrying(shop, key, period).exclude(pk__in=noted)
    else:
        model, release, *rest = key
        blank = Unit.objects.aboard().filter(boat=OuterRef("pk"), model=model, release=None)
        rows = carrying(shop, (model, None, *rest), period).filter(Exists(blank))
        rows = rows if release else rows.none()
    return rows.select_related("customer").order_by("name", "pk")


@dataclass(frozen=True)
class Bar:
    """One bar of a chart: its place and height in the drawing, and the figures behind it."""

    label: date
    value: float
    words: str
    x: int
    y: float
    height: float
    low_y: float | None = None
    high_y: float | None = None


PLOT = 90
STEP = 40


def bars_of(rows: list[tuple[date, float, str, tuple[float, float] | None]]) -> list[Bar]:
    """Bars scaled to the tallest value or whisker; each with its words for the table behind."""
    tops = [max(value, ends[1] if ends else 0) for _, value, _, ends in rows]
    scale = PLOT / max([*tops, 1e-9])
    bars = []
    for place, (label, value, words, ends) in enumerate(rows):
        whisker = {}
        if ends:
            low, high = (round(100 - end * scale, 1) for end in ends)
            whisker = {"low_y": low, "high_y": high}
        height = round(value * scale, 1)
        x, y = place * STEP + 8, round(100 - height, 1)
        bars.append(Bar(label, value, words, x, y, height, **whisker))
    return bars


def trend_of(row: Combination, period: Period) -> list[Bar]:
    """Boats with a note in a boat-year, slice by slice, with its exact interval."""
    rows = []
    for day, (boats, years) in zip(period.starts(), row.by_slice, strict=True):
        if years < 1:
            rows.append((day, 0.0, f"{boats} boats, under one boat-year watched", None))
            continue
        ends = tuple(end / years for end in poisson_interval(boats))
        words = f"{boats / years:.2f} ({ends[0]:.2f} to {ends[1]:.2f}), {boats} boats"
        rows.append((day, boats / years, words, ends))
    return bars_of(rows)


@dataclass(frozen=True)
class Slice:
    """The shop's sums in one slice of the period."""

    day: date
    sums: dict[str, int]

    def _per_hundred(self, days: int) -> float | None:
        watched = self.sums.get(f"watched{days}", 0)
        return 100 * self.sums.get(f"comebacks{days}", 0) / watched if watched else None

    @property
    def comebacks30(self) -> float | None:
        """Comebacks within 30 days per 100 jobs; None while no job was watched that long."""
        return self._per_hundred(30)

    @property
    def comebacks90(self) -> float | None:
        """Comebacks within 90 days per 100 jobs."""
        return self._per_hundred(90)


def slices_of(tally: Tally) -> list[Slice]:
    """The sums of a count, slice by slice."""
    period = Period(tally.months, tally.ends_on)
    return [
        Slice(day, sums or {})
        for day, sums in zip_longest(period.starts(), tally.sums)
        if day is not None
    ]


def totals_of(tally: Tally) -> dict[str, Any]:
    """Sums over the whole period, with the hours at the shop's rate and the share come back."""
    total = {
        name: sum(row.get(name, 0) for row in tally.sums)
        for name in (
            "jobs", "notes", "minutes", "lost", "claimed", "back",
            "watched30", "comebacks30", "watched90", "comebacks90",
        )
    }  # fmt: skip
    total["all_cents"] = total["lost"] + round(
        total["minutes"] * tally.shop.labour_cents_per_hour / 60
    )
    for name, part, whole in (
        ("back_percent", "back", "all_cents"),
        ("per_hundred30", "comebacks30", "watched30"),
        ("per_hundred90", "comebacks90", "watched90"),
    ):
        total[name] = percent(total[part] / total[whole]) if total[whole] else ""
    return total


def same_model_elsewhere(row: Combination) -> Combination | None:
    """The model alone, whatever else is aboard, of the same count."""
    alone = {"release": None, "counterpart": None, "switch": None}
    found = row.tally.combinations.filter(model=row.model_id, **alone).first()
    return None if found is None or found.pk == row.pk else found


def names_of(key: Key) -> dict[str, Any]:
    """The records behind a key: model, release, counterpart, switch; two queries."""
    model, release, counterpart, switch = key
    models = EquipmentModel.objects.in_bulk([pk for pk in (model, counterpart, switch) if pk])
    return {
        "model": models.get(model),
        "release": Release.objects.filter(pk=release).first() if release else None,
        "counterpart": models.get(counterpart),
        "switch": models.get(switch),
    }
