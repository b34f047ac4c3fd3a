"""Reading what a plan depends on, in a number of queries that never grows with the boat."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from django.db.models import Q

from planner.models import Statement
from shopapp.accounts.models import Shop
from shopapp.boats.models import (
    Bank,
    Boat,
    CableEnd,
    Drop,
    Evidence,
    Feed,
    Location,
    Route,
    Segment,
    Tee,
    Unit,
)
from shopapp.catalog.models import EquipmentModel, Part, Release, Update

NETWORK_PARTS = (
    Part.PartKind.ADAPTER,
    Part.PartKind.LEAD,
    Part.PartKind.FUSE,
    Part.PartKind.CABLE,
)
SOLD = (EquipmentModel.Lifecycle.CURRENT, EquipmentModel.Lifecycle.LAST_ORDERS)


@dataclass(frozen=True)
class Records:
    """All rows that one case is made of; `models` by code, the rest as it was read."""

    boat: Boat
    shop: Shop
    locations: list[Location]
    routes: list[Route]
    units: list[Unit]
    ends: list[CableEnd]
    banks: list[Bank]
    tees: list[Tee]
    drops: list[Drop]
    feeds: list[Feed]
    segments: list[Segment]
    evidence: list[Evidence]
    models: dict[str, EquipmentModel]
    for_sale: frozenset[str]
    successors: dict[str, list[str]]
    releases: dict[int, list[Release]]
    updates: dict[int, list[Update]]
    parts: list[Part]
    statements: list[Statement]
    # Releases by model and name that must be known even where they are withdrawn.
    named_releases: frozenset[tuple[str, str]] = frozenset()

    @property
    def cabled_units(self) -> set[int]:
        """Keys of the units that a network cable is plugged into."""
        return {end.unit_id for end in self.ends if end.unit_id}


@dataclass(frozen=True)
class Shelf:
    """Every model of the shop in outline: which can be bought, of what kind, after which."""

    kinds: dict[str, str]
    for_sale: frozenset[str]
    successors: dict[str, list[str]]

    def of_kind(self, kind: str) -> list[str]:
        """Codes of the models of a kind that can be bought."""
        return sorted(code for code in self.for_sale if self.kinds[code] == kind)

    def with_successors(self, codes: Iterable[str]) -> set[str]:
        """These models and all that may follow them, however far."""
        found: set[str] = set()
        waiting = [code for code in codes if code in self.kinds]
        while waiting:
            code = waiting.pop()
            if code not in found:
                found.add(code)
                waiting.extend(self.successors.get(code, ()))
        return found


def read_shelf(shop: Shop) -> Shelf:
    """Read the outline of the shop's catalogue; two queries."""
    rows = EquipmentModel.objects.of(shop).values(
        "code", "kind", "retired_at", "lifecycle", "part__price_cents", "part__retired_at"
    )
    kinds = {}
    for_sale = set()
    for row in rows:
        kinds[row["code"]] = row["kind"]
        if _can_be_bought(row):
            for_sale.add(row["code"])
    return Shelf(kinds, frozenset(for_sale), _successors(shop, kinds))


def _can_be_bought(row: dict[str, Any]) -> bool:
    return (
        row["retired_at"] is None
        and row["part__retired_at"] is None
        and row["part__price_cents"] is not None
        and row["lifecycle"] in SOLD
    )


def _successors(shop: Shop, kinds: dict[str, str]) -> dict[str, list[str]]:
    """Successors by code; a switch never follows another kind, whatever the record says."""
    edges = EquipmentModel.successors.through.objects.filter(
        from_equipmentmodel__shop=shop, to_equipmentmodel__shop=shop
    ).values_list("from_equipmentmodel__code", "to_equipmentmodel__code")
    found = defaultdict(list)
    for before, after in edges:
        if (kinds[before] == "switch") == (kinds[after] == "switch"):
            found[before].append(after)
    return {code: sorted(after) for code, after in found.items()}


def read_units(boat: Boat) -> list[Unit]:
    """Read the units aboard; one query."""
    return list(Unit.objects.filter(boat=boat).aboard().for_sheet().order_by("pk"))


def read_records(*, boat: Boat, units: list[Unit], shelf: Shelf, codes: Iterable[str]) -> Records:
    """Read all that a case about these units and these models needs."""
    shop = boat.shop
    wanted = shelf.with_successors([*codes, *(unit.model.code for unit in units)])
    ends = list(
        CableEnd.objects.filter(cable__boat=boat, cable__retired_at__isnull=True)
        .select_related("cable__part", "location", "unit")
        .order_by("cable__label", "side")
    )
    return Records(
        units=units,
        ends=ends,
        successors=shelf.successors,
        for_sale=shelf.for_sale,
        **_read_catalogue(shop, wanted, ends),
        **_read_boat(boat),
    )


def read_models(
    *, shop: Shop, codes: Iterable[str], releases: Iterable[tuple[str, str]] = ()
) -> Records:
    """Read these models alone, on no boat, with every switch in sale; eight queries at most.

    `releases` are asked about and kept even where they are withdrawn; successors are left out.
    """
    shelf = read_shelf(shop)
    nothing: dict[str, Any] = {
        name: []
        for name in (
            "locations", "routes", "units", "ends", "banks", "tees", "drops", "feeds",
            "segments", "evidence",
        )
    }  # fmt: skip
    return Records(
        boat=Boat(shop=shop),
        successors={},
        for_sale=shelf.for_sale,
        named_releases=frozenset(releases),
        **_read_catalogue(shop, {*codes, *shelf.of_kind("switch")}, []),
        **nothing,
    )


def _read_catalogue(shop: Shop, codes: Iterable[str], ends: list[CableEnd]) -> dict[str, Any]:
    models = {
        model.code: model
        for model in EquipmentModel.objects.of(shop)
        .filter(code__in=codes)
        .select_related("family__maker", "part", "adapter", "lead", "ships_with")
    }
    keys = [model.pk for model in models.values()]
    return {
        "shop": shop,
        "models": models,
        "releases": _by_model(Release.objects.filter(model__in=keys).order_by("rank")),
        "updates": _by_model(
            Update.objects.filter(model__in=keys).select_related("from_release", "to_release")
        ),
        "parts": _read_parts(shop, models.values(), ends),
        "statements": list(
            Statement.objects.of(shop).in_force().select_related("entered_by").order_by("code")
        ),
    }


def _read_boat(boat: Boat) -> dict[str, Any]:
    of_backbone = {"backbone__boat": boat}
    return {
        "boat": boat,
        "locations": list(Location.objects.filter(boat=boat)),
        "routes": list(Route.objects.filter(boat=boat).select_related("a", "b")),
        "banks": list(Bank.objects.filter(boat=boat, retired_at__isnull=True)),
        "tees": list(Tee.objects.filter(**of_backbone).select_related("backbone", "location")),
        "drops": list(
            Drop.objects.filter(tee__backbone__boat=boat).select_related("unit", "unit__model")
        ),
        "feeds": list(Feed.objects.filter(tee__backbone__boat=boat)),
        "segments": list(Segment.objects.filter(**of_backbone)),
        "evidence": list(
            Evidence.objects.filter(boat=boat, standing__in=["holds", "disputed"]).select_related(
                "by"
            )
        ),
    }


def _by_model(rows: Iterable[Any]) -> dict[int, list[Any]]:
    found = defaultdict(list)
    for row in rows:
        found[row.model_id].append(row)
    return dict(found)


def _read_parts(
    shop: Shop, models: Iterable[EquipmentModel], ends: Iterable[CableEnd]
) -> list[Part]:
    """Adapters, leads, fuses and cables in sale, and those that are aboard or called for."""
    called_for = {key for model in models for key in (model.adapter_id, model.lead_id) if key}
    called_for |= {end.cable.part_id for end in ends}
    in_sale = Q(kind__in=NETWORK_PARTS, retired_at__isnull=True, price_cents__isnull=False)
    return list(Part.objects.of(shop).filter(in_sale | Q(pk__in=called_for)).order_by("number"))
