"""What the pages of statements ask for."""

from collections import defaultdict
from datetime import date, timedelta

from django.db.models import Q

from planner.ageing import SOFT_AFTER_DAYS, SOFT_AFTER_DAYS_FIRMWARE
from planner.models import Statement, StatementQuerySet
from planner.statements.selectors import ModelFacts
from planner.statements.words import VERBS
from shopapp.accounts.models import Shop
from shopapp.catalog.models import Kind, Release

LONGEST_CHAIN = 50


def catalogue_of(shop: Shop) -> dict[str, ModelFacts]:
    """Every model of the shop, retired ones too, as statements know them; two queries."""
    releases: dict[int, list[str]] = defaultdict(list)
    rows = Release.objects.filter(model__shop=shop).order_by("model_id", "rank")
    for model, name in rows.values_list("model_id", "name"):
        releases[model].append(name)
    facts = shop.models.order_by("code").values_list("pk", "code", "name", "kind")
    return {code: ModelFacts(name, kind, tuple(releases[pk])) for pk, code, name, kind in facts}


def names_of(shop: Shop) -> dict[str, str]:
    """Model code -> name."""
    return dict(shop.models.order_by().values_list("code", "name"))


def statements_found(shop: Shop, asked: dict[str, str], today: date) -> StatementQuerySet:
    """Statements by words (`q`), `rule`, `model`, `kind`, `confidence`, `age`, `state`."""
    rows = _in_state(shop.statements.matching(asked.get("q", "")), asked.get("state", ""))
    if asked.get("rule") in VERBS:
        rows = rows.filter(search__contains=f" rule:{asked['rule']} ")
    if asked.get("confidence") in Statement.Confidence.values:
        rows = rows.filter(confidence=asked["confidence"])
    if asked.get("kind") in Kind.values:
        rows = rows.filter(search__contains=f" kind:{asked['kind']} ")
    if asked.get("model"):
        rows = rows.filter(_speaks_of(shop, asked["model"]))
    if asked.get("age") in {"soft", "fresh"}:
        soft = _soft(today)
        rows = rows.filter(soft if asked["age"] == "soft" else ~soft)
    return rows


def _in_state(rows: StatementQuerySet, state: str) -> StatementQuerySet:
    if state == "superseded":
        return rows.current().filter(superseded_by__isnull=False).select_related("superseded_by")
    if state == "retired":
        return rows.filter(retired_at__isnull=False)
    return rows.in_force()


def _speaks_of(shop: Shop, code: str) -> Q:
    model = shop.models.filter(code=code).first()
    named = Q(search__contains=f" model:{code} ")
    if model is None:
        return named
    return named | Q(search__contains=f" kind:{model.kind} ") | Q(search__contains=" kind:any ")


def _soft(today: date) -> Q:
    firmware = Q(search__contains=" firmware:yes ")
    half_year = Q(seen__lt=today - timedelta(days=SOFT_AFTER_DAYS_FIRMWARE))
    return Q(seen__lt=today - timedelta(days=SOFT_AFTER_DAYS)) | (firmware & half_year)


def chain_of(statement: Statement) -> list[Statement]:
    """The statement with those before and after it by supersession, newest first."""
    later, row = [], statement
    while len(later) < LONGEST_CHAIN:
        row = Statement.objects.filter(supersedes=row).first()
        if row is None:
            break
        later.insert(0, row)
    earlier, row = [], statement.supersedes
    while row is not None and len(earlier) < LONGEST_CHAIN:
        earlier.append(row)
        row = row.supersedes
    return [*later, statement, *earlier]


def rules_in_force(shop: Shop, *, but: set[int]) -> list[tuple[str, dict]]:
    """(number, rule) of every statement in force, save those given."""
    rows = shop.statements.in_force().exclude(pk__in=but)
    return list(rows.values_list("code", "rule"))
