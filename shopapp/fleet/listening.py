"""Changes of statements, releases, models, units and boats ask for a check of what they touch.

What changes in one transaction is gathered and asked for once it is committed. Rows written in
bulk send no word: `manage.py recheck` checks all.
"""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from django.db import transaction
from django.db.models.signals import post_delete, post_save, pre_save

from planner.models import Statement
from planner.statements.queries import catalogue_of
from shopapp.accounts.models import Shop
from shopapp.boats.models import Boat, Unit
from shopapp.catalog.models import EquipmentModel, Release
from shopapp.fleet.impact import touched_boats
from shopapp.fleet.services.campaign_moves import follow_job
from shopapp.fleet.services.campaigns import look_again
from shopapp.fleet.services.rechecks import ask_recheck
from shopapp.jobs.models import Move

# More changed boats than this wait for the nightly search of each campaign.
LOOKED_AT_ONCE = 50


@dataclass
class Heard:
    """Numbers of what changed, and the rules as they were before."""

    statements: set[int] = field(default_factory=set)
    old_rules: list[tuple[int, dict]] = field(default_factory=list)
    models: set[int] = field(default_factory=set)
    boats: set[int] = field(default_factory=set)
    asked: bool = False

    def ask(self) -> None:
        """Ask for the checks."""
        self.asked = True
        _ask_of_statements(self)
        _ask_of_models(self.models)
        _ask_of_boats(self.boats)


def _hear(add: Callable[[Heard], object]) -> None:
    """Add to what this transaction heard; a rollback forgets it with the rest."""
    for _, waiting, _ in transaction.get_connection().run_on_commit:
        heard = getattr(waiting, "__self__", None)
        if isinstance(heard, Heard) and not heard.asked:
            add(heard)
            return
    heard = Heard()
    add(heard)
    transaction.on_commit(heard.ask, robust=True)


def _ask_of_statements(heard: Heard) -> None:
    rules: dict[int, list[dict]] = {}
    codes: dict[int, list[str]] = {}
    rows = Statement.objects.filter(pk__in=heard.statements).select_related("supersedes")
    for row in rows:
        codes.setdefault(row.shop_id, []).append(row.code)
        before = [row.supersedes.rule] if row.supersedes else []
        rules.setdefault(row.shop_id, []).extend([row.rule, *before])
    for shop, rule in heard.old_rules:
        rules.setdefault(shop, []).append(rule)
    for shop in Shop.objects.filter(pk__in=rules):
        boats = touched_boats(shop, rules[shop.pk], catalogue_of(shop))
        changed = ", ".join(codes.get(shop.pk, ["A statement"]))
        ask_recheck(shop=shop, why=f"{changed} changed", boats=boats)


def _ask_of_models(models: set[int]) -> None:
    for model in EquipmentModel.objects.filter(pk__in=models).select_related("shop"):
        units = Unit.objects.of(model.shop).aboard().filter(model=model)
        boats = units.order_by().values_list("boat", flat=True)
        ask_recheck(shop=model.shop, why=f"{model} or its releases changed", boats=boats)


def _ask_of_boats(boats: set[int]) -> None:
    by_shop: dict[int, list[Boat]] = {}
    for boat in Boat.objects.filter(pk__in=boats).only("pk", "name", "shop"):
        by_shop.setdefault(boat.shop_id, []).append(boat)
    for shop in Shop.objects.filter(pk__in=by_shop):
        changed = by_shop[shop.pk]
        why = f"{changed[0].name} changed" if len(changed) == 1 else f"{len(changed)} boats changed"
        numbers = [boat.pk for boat in changed]
        ask_recheck(shop=shop, why=why, boats=numbers)
        if len(numbers) <= LOOKED_AT_ONCE:
            look_again(shop=shop, boats=numbers)


def _statement_before(instance: Statement, **_: Any) -> None:
    if instance.pk is None:
        return
    old = Statement.objects.filter(pk=instance.pk).values_list("rule", flat=True).first()
    if old is not None and old != instance.rule:
        _hear(lambda heard: heard.old_rules.append((instance.shop_id, old)))


def _statement_after(instance: Statement, **_: Any) -> None:
    _hear(lambda heard: heard.statements.add(instance.pk))


def _release(instance: Release, **_: Any) -> None:
    _hear(lambda heard: heard.models.add(instance.model_id))


def _model(instance: EquipmentModel, **_: Any) -> None:
    _hear(lambda heard: heard.models.add(instance.pk))


def _unit(instance: Unit, **_: Any) -> None:
    _hear(lambda heard: heard.boats.add(instance.boat_id))


def _boat(instance: Boat, **_: Any) -> None:
    _hear(lambda heard: heard.boats.add(instance.pk))


def _move(instance: Move, created: bool, **_: Any) -> None:
    if created and instance.job_id:
        follow_job(move=instance)


def listen() -> None:
    """Begin to listen; once, when the room starts."""
    pre_save.connect(_statement_before, sender=Statement, dispatch_uid="fleet-before")
    for sender, heard in (
        (Statement, _statement_after),
        (Release, _release),
        (EquipmentModel, _model),
        (Unit, _unit),
        (Boat, _boat),
        (Move, _move),
    ):
        post_save.connect(heard, sender=sender, dispatch_uid=f"fleet-{sender.__name__}")
    for sender, heard in ((Release, _release), (Unit, _unit)):
        post_delete.connect(heard, sender=sender, dispatch_uid=f"fleet-gone-{sender.__name__}")
