"""The catalogue of a case: models, parts, rates and the statements that can matter."""

from collections.abc import Collection
from typing import Any

from planner.loaders.narrowing import narrow_rule, releases_named
from planner.loaders.records import Records
from shopapp.catalog.models import EquipmentModel, Part, Release

# A cable aboard that is no longer sold must be known by its name, yet never be bought: it is
# given no length, and a price beyond any refit.
NOT_FOR_SALE_CENTS = 10**9


def catalogue_of(records: Records) -> dict[str, Any]:
    """The `catalogue` of the case; amounts in cents, feet, mA and minutes."""
    named = releases_named(statement.rule for statement in records.statements)
    named |= records.named_releases
    models = {code: _model(records, model, named) for code, model in records.models.items()}
    return {
        "models": models,
        "adapters": _priced(records, {model["adapter"] for model in models.values()}),
        "leads": _priced(records, {model["lead"] for model in models.values()}),
        "fuses": {
            part.number: {"ma": part.fuse_ma, "price_cents": part.price_cents}
            for part in records.parts
            if part.kind == Part.PartKind.FUSE and in_sale(part)
        },
        "cables": {
            part.number: _cable(part) for part in records.parts if part.kind == Part.PartKind.CABLE
        },
        "rates": _rates(records),
        "statements": _statements(records, models),
    }


def in_sale(part: Part) -> bool:
    """Whether the part can be bought."""
    return part.retired_at is None and part.price_cents is not None


def _rates(records: Records) -> dict[str, int]:
    shop = records.shop
    return {
        "labour_cents_per_minute": shop.labour_cents_per_minute,
        "pull_minutes_base": shop.pull_minutes_base,
        "pull_minutes_per_ft": shop.pull_minutes_per_ft,
        "drop_in_minutes": shop.drop_in_minutes,
        "fuse_minutes": shop.fuse_minutes,
    }


def _priced(records: Records, called_for: Collection[str | None]) -> dict[str, Any]:
    """Adapters or leads; one without a price counts as nothing, which is an assumption."""
    return {
        part.number: {"price_cents": part.price_cents or 0}
        for part in records.parts
        if part.number in called_for
    }


def _cable(part: Part) -> dict[str, Any]:
    if in_sale(part):
        return {"feet": part.cable_ft, "price_cents": part.price_cents}
    return {"feet": 0, "price_cents": NOT_FOR_SALE_CENTS, "not_in_sale": True}


def _model(records: Records, model: EquipmentModel, named: set[tuple[str, str]]) -> dict[str, Any]:
    releases = releases_of(records, model, named)
    names = [release.name for release in releases]
    sold = model.code in records.for_sale
    return {
        "kind": model.kind,
        "ports": model.ports,
        "bridges": model.bridges,
        "adapter": model.adapter.number if model.adapter else None,
        "price_cents": model.part.price_cents if sold else None,
        "fit_minutes": model.fit_minutes,
        "remove_minutes": model.remove_minutes,
        "mount": model.mount or None,
        "lead": model.lead.number if model.lead else None,
        "fuse_ma": model.fuse_ma,
        "draw_ma": model.draw_ma,
        "releases": names,
        "updates": _updates(records, model, names),
        "ships_with": _ships_with(model, releases),
        "successors": [
            code for code in records.successors.get(model.code, []) if code != model.code
        ],
    }


def releases_of(
    records: Records, model: EquipmentModel, named: set[tuple[str, str]]
) -> list[Release]:
    """The releases, oldest first, without withdrawn ones at the end that nobody has or names.

    A withdrawn release is no goal; left at the end, no unit could ever be up to date.
    """
    releases = list(records.releases.get(model.pk, []))
    aboard = {unit.release_id for unit in records.units}
    while releases and releases[-1].withdrawn and not _in_use(releases[-1], model, aboard, named):
        releases.pop()
    return releases


def _in_use(
    release: Release, model: EquipmentModel, aboard: set[int], named: set[tuple[str, str]]
) -> bool:
    return (
        release.pk in aboard
        or release.pk == model.ships_with_id
        or (model.code, release.name) in named
    )


def _ships_with(model: EquipmentModel, releases: list[Release]) -> str | None:
    if not releases:
        return None
    return model.ships_with.name if model.ships_with else releases[0].name


def _updates(records: Records, model: EquipmentModel, names: list[str]) -> list[dict[str, Any]]:
    return [
        {
            "from": update.from_release.name,
            "to": update.to_release.name,
            "minutes": update.minutes,
            "means": update.get_means_display(),
            "no_return": update.to_release.no_return,
        }
        for update in records.updates.get(model.pk, [])
        if not update.to_release.withdrawn
        and update.from_release.name in names
        and update.to_release.name in names
    ]


def _statements(records: Records, models: dict[str, Any]) -> list[dict[str, Any]]:
    found = []
    for statement in records.statements:
        rule = narrow_rule(statement.rule, models)
        if rule is not None:
            found.append(
                {
                    "id": statement.code,
                    "text": statement.text,
                    "source": statement.source,
                    "seen": statement.seen.isoformat(),
                    "rule": rule,
                    "source_kind": statement.get_source_kind_display(),
                    "page": statement.page,
                    "confidence": statement.confidence,
                    "entered_by": str(statement.entered_by or ""),
                }
            )
    return found
