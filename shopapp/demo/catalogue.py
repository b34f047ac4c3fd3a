"""Write the demo's catalogue, statements, stock and labour table into a shop."""

import csv
import json
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path
from random import Random
from typing import Any

from planner.models import Statement
from planner.statements.search import words_of_statement
from shopapp.accounts.models import Shop, User
from shopapp.catalog.models import (
    EquipmentModel,
    Family,
    LabourTask,
    Maker,
    Part,
    PortLight,
    Release,
    Supplier,
    Update,
)
from shopapp.catalog.services.search import words_of_model, words_of_part
from shopapp.stock.models import Movement, StockItem

DATA = Path(__file__).parent / "data"
MODEL_FACTS = {
    "name": "name",
    "kind": "kind",
    "ports": "ports",
    "bridges": "bridges",
    "mount": "mount",
    "fuse_ma": "fuse_ma",
    "load_units": "load_units",
    "depth_mm": "depth_mm",
    "protected": "ignition_protected",
    "water": "water_rating",
    "compass_cm": "compass_safe_cm",
    "standby_ma": "standby_ma",
    "most_c": "most_c",
    "aerial": "aerial",
    "lifecycle": "lifecycle",
}


def read_rows(name: str) -> Iterator[dict[str, Any]]:
    """Rows of a data file: JSON lines or CSV."""
    with (DATA / name).open(encoding="utf-8", newline="") as file:
        if name.endswith(".csv"):
            yield from csv.DictReader(file)
        else:
            yield from (json.loads(line) for line in file)


def make_catalogue(*, shop: Shop, by: User, today: date, random: Random) -> None:
    """Everything that the shop knows before its first boat."""
    suppliers = [
        Supplier(shop=shop, name=name, lead_days=days, account_number=f"C-{number}", email=email)
        for name, days, number, email in (
            ("Eastlow Wholesale", 3, 4410, "orders@eastlow.example"),
            ("Brakeley & Daughters", 7, 208, ""),
        )
    ]
    Supplier.objects.bulk_create(suppliers)
    parts = make_parts(shop=shop, suppliers=suppliers, random=random)
    make_models(shop=shop, parts=parts, supplier=suppliers[0])
    make_stock(shop=shop, random=random)
    make_labour(shop=shop)
    make_statements(shop=shop, by=by, today=today)


def make_parts(*, shop: Shop, suppliers: list[Supplier], random: Random) -> dict[str, Part]:
    """Leads, adapters, fuses, cables and small parts; part number → row."""
    parts = [
        Part(
            shop=shop,
            number=row["number"],
            name=row["name"],
            kind=row["kind"],
            price_cents=int(row["price_cents"]),
            cost_cents=int(row["cost_cents"]),
            fuse_ma=int(row["fuse_ma"]) if row["fuse_ma"] else None,
            cable_ft=int(row["cable_ft"]) if row["cable_ft"] else None,
            use=row["use"],
            size=row["size"],
            pieces=int(row["pieces"] or 1),
            supplier=random.choice(suppliers),
        )
        for row in read_rows("parts.csv")
    ]
    for part in parts:
        part.search = words_of_part(part)
    return {part.number: part for part in Part.objects.bulk_create(parts)}


def make_models(*, shop: Shop, parts: dict[str, Part], supplier: Supplier) -> None:
    """Makers, families, models with releases, updates and port lights."""
    rows = list(read_rows("models.jsonl"))
    makers = {row["maker"]: None for row in rows}
    for name in makers:
        makers[name] = Maker.objects.create(shop=shop, name=name)
    families = {}
    for row in rows:
        key = (row["maker"], row["family"])
        if key not in families:
            families[key] = Family.objects.create(maker=makers[row["maker"]], name=row["family"])
    models = {
        row["code"]: make_model(
            shop=shop,
            row=row,
            family=families[row["maker"], row["family"]],
            parts=parts,
            supplier=supplier,
        )
        for row in rows
    }
    for row in rows:
        models[row["code"]].successors.set(models[code] for code in row.get("successors", ()))


def make_model(
    *, shop: Shop, row: dict[str, Any], family: Family, parts: dict[str, Part], supplier: Supplier
) -> EquipmentModel:
    """One model, sold as a part where it can be bought."""
    model = EquipmentModel(
        shop=shop,
        family=family,
        code=row["code"],
        generation=row.get("generation", 1),
        fit_minutes=row.get("fit", 60),
        remove_minutes=row.get("remove", 20),
        draw_ma=row.get("draw_ma", 1000),
        adapter=parts.get(row.get("adapter", "")),
        lead=parts.get(row.get("lead", "")),
        part=make_equipment_part(shop=shop, row=row, supplier=supplier),
        warranty_months=24,
        volts_low="10.8",
        volts_high="32.0" if row["kind"] in {"radar", "sounder"} else "17.0",
        **dict(zip(("cutout_width_mm", "cutout_height_mm"), row.get("cutout", ()), strict=False)),
        **{ours: row[theirs] for theirs, ours in MODEL_FACTS.items() if theirs in row},
    )
    model.search = words_of_model(model)
    model.save()
    make_releases(model=model, row=row)
    PortLight.objects.bulk_create(
        PortLight(model=model, colour=colour, pattern=pattern, meaning=meaning, is_fault=fault)
        for colour, pattern, meaning, fault in row.get("lights", ())
    )
    return model


def make_equipment_part(*, shop: Shop, row: dict[str, Any], supplier: Supplier) -> Part | None:
    """The part that a model is sold as; None where it cannot be bought."""
    if row.get("price") is None:
        return None
    number = f"{row['maker'][:2].upper()}-{row['code'].upper()}"
    part = Part(
        shop=shop,
        number=number,
        name=row["name"],
        kind=Part.PartKind.EQUIPMENT,
        price_cents=row["price"],
        cost_cents=row["price"] * 3 // 4,
        supplier=supplier,
    )
    part.search = words_of_part(part)
    part.save()
    return part


def make_releases(*, model: EquipmentModel, row: dict[str, Any]) -> None:
    """Releases oldest first, each hop to the next, further hops as listed."""
    names = row.get("releases", ())
    if not names:
        return
    releases = [
        Release(
            model=model,
            name=name,
            rank=rank,
            withdrawn=name in row.get("withdrawn", ()),
            no_return=name in row.get("no_return", ()),
        )
        for rank, name in enumerate(names, 1)
    ]
    found = {release.name: release for release in Release.objects.bulk_create(releases)}
    hops = [*zip(names, names[1:], row.get("hops", ()), strict=False), *row.get("extra_hops", ())]
    Update.objects.bulk_create(
        Update(model=model, from_release=found[a], to_release=found[b], minutes=minutes)
        for a, b, minutes in hops
        if b not in row.get("withdrawn", ())
    )
    model.ships_with = found[names[-1]]
    model.save(update_fields=["ships_with"])


def make_stock(*, shop: Shop, random: Random) -> None:
    """Pieces on shelves: plenty of small things, few boxes, some shelves empty."""
    most = {"equipment": 3, "adapter": 8, "lead": 8, "fuse": 60, "cable": 14}
    items = StockItem.objects.bulk_create(
        StockItem(
            shop=shop,
            part=part,
            place=f"{'ABCDE'[random.randrange(5)]}{random.randrange(1, 9)}",
            on_hand=random.randrange(most.get(part.kind, 40) + 1),
        )
        for part in Part.objects.of(shop).order_by("pk")
    )
    Movement.objects.bulk_create(
        Movement(shop=shop, stock=item, kind="adjust", on_hand=item.on_hand, reason="First count")
        for item in items
        if item.on_hand
    )


def make_labour(*, shop: Shop) -> None:
    """The labour table's starting values (common practice, no source)."""
    LabourTask.objects.bulk_create(
        LabourTask(
            shop=shop,
            code=row["code"],
            name=row["name"],
            low_minutes=int(row["low"]),
            typical_minutes=int(row["typical"]),
            high_minutes=int(row["high"]),
        )
        for row in read_rows("labour.csv")
    )


def make_statements(*, shop: Shop, by: User, today: date) -> None:
    """Statements of compatibility, later issues superseding earlier ones."""
    made: dict[str, Statement] = {}
    for row in read_rows("statements.jsonl"):
        statement = Statement(
            shop=shop,
            code=row["code"],
            text=row["text"],
            rule=row["rule"],
            source=row["source"],
            source_kind=row["source_kind"],
            page=row["page"],
            confidence=row["confidence"],
            seen=today - timedelta(days=row["days_ago"]),
            supersedes=made[row["supersedes"]] if "supersedes" in row else None,
            entered_by=by,
        )
        statement.search = words_of_statement(statement)
        statement.save()
        made[row["code"]] = statement
