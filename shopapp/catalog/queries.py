"""What the pages of the catalogue ask for."""

from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from django.db.models import Count, F, Q, QuerySet

from shopapp.accounts.models import Shop
from shopapp.catalog.models import (
    EquipmentModel,
    Family,
    Kind,
    LabourTask,
    Maker,
    Part,
    PortLight,
    Release,
    Update,
)
from shopapp.ui.history import Change, changes_among, changes_of

STATEMENTS_SHOWN = 40
BOATS_SHOWN = 8
CHANGES_SHOWN = 100


def models_found(shop: Shop, asked: dict[str, str]) -> QuerySet[EquipmentModel]:
    """Models of the shop by words (`q`), `kind`, `maker`, `lifecycle`; `retired=yes` for those."""
    rows = shop.models.for_cards().matching(asked.get("q", ""))
    rows = rows.filter(retired_at__isnull=asked.get("retired") != "yes")
    if asked.get("kind") in Kind.values:
        rows = rows.filter(kind=asked["kind"])
    if asked.get("lifecycle") in EquipmentModel.Lifecycle.values:
        rows = rows.filter(lifecycle=asked["lifecycle"])
    if asked.get("maker", "").isdigit():
        rows = rows.filter(family__maker=int(asked["maker"]))
    return rows.prefetch_related("releases")


def makers_with_counts(shop: Shop) -> QuerySet[Maker]:
    """Makers with their families; each family knows how many models it holds."""
    return shop.makers.annotate(
        model_count=Count("families__models", filter=Q(families__models__retired_at=None))
    ).prefetch_related("families")


def statements_on(model: EquipmentModel) -> QuerySet:
    """Statements in force that name the model, its kind, or every unit; those naming it first."""
    code, kind = f" model:{model.code} ", f" kind:{model.kind} "
    speaks = Q(search__contains=code) | Q(search__contains=kind) | Q(search__contains=" kind:any ")
    return model.shop.statements.in_force().filter(speaks)


def statements_naming(model: EquipmentModel) -> QuerySet:
    """Every statement that names the model, in force or not."""
    return model.shop.statements.filter(search__contains=f" model:{model.code} ")


def _selectors(rule: Any) -> Iterator[dict]:
    if isinstance(rule, dict):
        yield from (part for part in rule.values() if isinstance(part, dict))


def statement_numbers(model: EquipmentModel) -> list[str]:
    """Numbers of the statements that name the model; none for a new one."""
    return list(statements_naming(model).values_list("code", flat=True)[:5]) if model.pk else []


def releases_named(model: EquipmentModel) -> dict[str, str]:
    """Release name -> why it keeps its name: the statements that ask for it on this model."""
    if not model.pk:
        return {}
    named: dict[str, list[str]] = defaultdict(list)
    for number, rule in statements_naming(model).values_list("code", "rule"):
        asked = {s.get("min_release", {}).get(model.code) for s in _selectors(rule)}
        for release in asked - {None}:
            named[release].append(number)
    return {release: f"asked for by {', '.join(found)}" for release, found in named.items()}


def releases_aboard(model: EquipmentModel) -> dict[str, str]:
    """Release name -> why it cannot be removed: the units that stand at it."""
    if not model.pk:
        return {}
    rows = model.units.filter(release__isnull=False).values_list("release__name")
    counts = rows.annotate(count=Count("pk")).order_by()
    return {
        name: "1 unit stands at it" if count == 1 else f"{count} units stand at it"
        for name, count in counts
    }


def uses_of(model: EquipmentModel) -> list[str]:
    """Where a model is in use, in words; empty where nothing refers to it."""
    boats = model.units.values("boat").distinct().count()
    statements = statements_naming(model).count()
    followed = model.predecessors.count()
    found = [
        (boats, "boat carries it or carried it", "boats carry it or carried it"),
        (statements, "statement names it", "statements name it"),
        (followed, "model has it as successor", "models have it as successor"),
    ]
    return [f"{count} {one if count == 1 else more}" for count, one, more in found if count]


def families_of(maker: Maker) -> QuerySet[Family]:
    """A maker's families, retired ones last, each with the number of its models."""
    current = Count("models", filter=Q(models__retired_at=None))
    rows = maker.families.annotate(model_count=current)
    return rows.order_by(F("retired_at").asc(nulls_first=True), "name")


def labour_found(shop: Shop, words: str, *, retired: bool) -> QuerySet[LabourTask]:
    """Rows of the labour table whose code or name holds every word."""
    rows = shop.labour_tasks.filter(retired_at__isnull=not retired)
    for word in words.split():
        rows = rows.filter(Q(code__icontains=word) | Q(name__icontains=word))
    return rows


def boats_with(model: EquipmentModel) -> dict[str, Any]:
    """How many boats carry the model or carried it, and the first of them by name."""
    rows = model.units.order_by("boat__name").values_list("boat_id", "boat__name").distinct()
    first = list(rows[: BOATS_SHOWN + 1])
    more = len(first) > BOATS_SHOWN
    return {
        "count": rows.count() if more else len(first),
        "first": first[:BOATS_SHOWN],
        "more": more,
    }


def all_changes(model: EquipmentModel) -> list[Change]:
    """Changes of the model, its releases, updates and lights together, newest first."""
    releases = Release.history.filter(model_id=model.pk)
    names = dict(releases.order_by("history_id").values_list("id", "name"))

    def update_label(row: Any) -> str:
        old, new = names.get(row.from_release_id), names.get(row.to_release_id)
        return f"update {old} → {new}"

    found = changes_of(model, limit=CHANGES_SHOWN)
    found += changes_among(releases, label=lambda row: f"release {row.name}")
    found += changes_among(Update.history.filter(model_id=model.pk), label=update_label)
    lights = PortLight.history.filter(model_id=model.pk)
    found += changes_among(lights, label=lambda row: f"light {row.colour} {row.pattern}")
    return sorted(found, key=lambda change: change.when, reverse=True)


def part_uses(part: Part) -> list[tuple[str, list[EquipmentModel]]]:
    """Models that are sold as this part, or need it as adapter or lead."""
    rows = part.shop.models.filter(Q(part=part) | Q(adapter=part) | Q(lead=part))
    found = list(rows.select_related("family__maker")[:60])
    groups = [("Sold as this part", "part_id"), ("Need it as adapter", "adapter_id")]
    groups.append(("Need it as power lead", "lead_id"))
    named = [(words, [m for m in found if getattr(m, key) == part.pk]) for words, key in groups]
    return [(words, rows) for words, rows in named if rows]
