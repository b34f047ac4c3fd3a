"""Models are saved whole with their sheets, retired while in use, deleted only when unused."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from typing import Any

from django.db import transaction
from django.db.models import ProtectedError

from shopapp.catalog.guards import ask_guards
from shopapp.catalog.models import EquipmentModel, PortLight, Release, Update
from shopapp.catalog.queries import uses_of
from shopapp.catalog.services.search import words_of_model
from shopapp.errors import InUse

Row = Mapping[str, Any]
LAST_PLACE = Decimal(1000)


@transaction.atomic
def save_model(
    *,
    model: EquipmentModel,
    releases: list[Row],
    updates: list[Row],
    lights: list[Row],
    successors: Iterable[EquipmentModel],
    struck: Iterable[int] = (),
) -> EquipmentModel:
    """Save a model with its releases, updates, lights and successors.

    The rows are those of the sheets, already checked against each other: `releases`
    in order (a `place` moves one), `updates` naming them by text; `struck` are the
    releases to remove. Raises `FactRefused` where a statement in force forbids the change.
    """
    if model.pk is None:
        model.ships_with = None
        model.save()
    leaving = list(model.releases.filter(pk__in=struck))
    by_name = _save_releases(model, releases, {release.pk for release in leaving})
    shipping = [row["name"] for row in releases if row.get("ships")]
    model.ships_with = by_name[shipping[0]] if shipping else None
    model.search = words_of_model(model)
    model.save()
    _save_updates(model, updates, by_name)
    _save_lights(model, lights)
    model.successors.set(successors)
    for release in leaving:
        release.delete()
    ask_guards(model)
    return model


def in_order(releases: list[Row]) -> list[Row]:
    """Rows by their place; a row without one keeps behind the row above it."""
    placed, last = [], Decimal(0)
    for number, row in enumerate(releases):
        place = row.get("place")
        last = last if place is None else place
        placed.append((last, number, row))
    return [row for _, _, row in sorted(placed, key=lambda item: item[:2])]


def _save_releases(model: EquipmentModel, rows: list[Row], struck: set[int]) -> dict[str, Release]:
    kept = {release.pk: release for release in model.releases.all()}
    # Names and ranks are free for each other only after all old ones stepped aside.
    for release in kept.values():
        aside = {"name": f"~{release.pk}", "rank": 10_000 + release.rank}
        Release.objects.filter(pk=release.pk).update(**aside)
    by_name = {}
    wanted = in_order(rows)
    held = [pk for pk in kept if pk not in {row.get("pk") for row in wanted} | struck]
    for rank, row in enumerate(wanted, start=1):
        release = kept.get(row.get("pk")) or Release(model=model)
        by_name[row["name"]] = _save_release(release, row, rank)
    for rank, pk in enumerate(held, start=len(wanted) + 1):
        Release.objects.filter(pk=pk).update(name=kept[pk].name, rank=rank)
    return by_name


def _save_release(release: Release, row: Row, rank: int) -> Release:
    before = {name: getattr(release, name) for name in ("name", "rank", *RELEASE_FACTS)}
    after = {"name": row["name"], "rank": rank} | {key: row[key] for key in RELEASE_FACTS}
    for name, value in after.items():
        setattr(release, name, value)
    if release.pk and before == after:
        Release.objects.filter(pk=release.pk).update(name=release.name, rank=rank)
    else:
        release.save()
    return release


RELEASE_FACTS = ("withdrawn", "no_return", "released_on", "note")


def _save_updates(model: EquipmentModel, rows: list[Row], by_name: dict[str, Release]) -> None:
    before = {(u.from_release_id, u.to_release_id): u for u in model.updates.all()}
    for row in rows:
        ends = by_name[row["from_name"]], by_name[row["to_name"]]
        update = before.pop((ends[0].pk, ends[1].pk), None)
        update = update or Update(model=model, from_release=ends[0], to_release=ends[1])
        _save_changed(update, {key: row[key] for key in ("minutes", "means", "note")})
    for update in before.values():
        update.delete()


def _save_lights(model: EquipmentModel, rows: list[Row]) -> None:
    before = {(light.colour.casefold(), light.pattern): light for light in model.lights.all()}
    for row in rows:
        light = before.pop((row["colour"].casefold(), row["pattern"]), None)
        light = light or PortLight(model=model, pattern=row["pattern"])
        _save_changed(light, {key: row[key] for key in ("colour", "meaning", "is_fault")})
    for light in before.values():
        light.delete()


def _save_changed(record: Update | PortLight, facts: dict[str, Any]) -> None:
    changed = record.pk is None or any(getattr(record, key) != facts[key] for key in facts)
    for key, value in facts.items():
        setattr(record, key, value)
    if changed:
        record.save()


@transaction.atomic
def delete_model(*, model: EquipmentModel) -> None:
    """Delete a model that nothing refers to; raises `InUse` with where it is used."""
    uses = uses_of(model)
    todo = "Retire it instead: it leaves the lists, and what refers to it stays whole."
    if uses:
        raise InUse(f"{model} cannot be deleted: {', '.join(uses)}.", todo=todo)
    EquipmentModel.objects.filter(pk=model.pk).update(ships_with=None)
    model.ships_with = None
    try:
        model.delete()
    except ProtectedError as error:
        kinds = sorted({row._meta.verbose_name for row in error.protected_objects})
        words = f"{model} cannot be deleted: it stands in {', '.join(kinds)} records."
        raise InUse(words, todo=todo) from error
