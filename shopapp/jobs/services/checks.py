"""The checks of a quote's options: kept with each, looked at again, remedies taken and let go."""

from collections.abc import Iterable, Iterator
from typing import Any

from django.db import transaction

from planner.checks import check_plans
from shopapp.errors import FactRefused
from shopapp.jobs.models import Job, Quote, QuoteLine, QuoteOption
from shopapp.jobs.services.editing import claim_edit
from shopapp.jobs.services.lines import recount

Kinds = QuoteLine.LineKind
JsonDict = dict[str, Any]
IN_SUPPLIES = "in the shop supplies"


def kit_lines(checks: JsonDict) -> Iterator[QuoteLine]:
    """Lines for the small parts of a plan, unsaved; what the shop has no part for is left out.

    Ties, labels and the like are counted for the tote and paid with the shop supplies.
    """
    for need in checks["kit"]:
        if need["part"] is None:
            continue
        why = f"{need['why']} ({IN_SUPPLIES})" if need["supply"] else need["why"]
        yield QuoteLine(
            kind=Kinds.SMALL,
            part_id=need["part"],
            description=need["words"][:200],
            quantity=need["quantity"],
            unit_cents=0 if need["supply"] else need["unit_cents"],
            why=why[:200],
        )


def remedies_taken(lines: Iterable[QuoteLine]) -> list[str]:
    """The keys of the remedies whose lines stand on an option, in their order."""
    return list(dict.fromkeys(line.remedy for line in lines if line.remedy and not line.left_out))


@transaction.atomic
def look_again(*, quote: Quote, seen: int) -> None:
    """Check every option of an open quote anew, with the boat's records of today.

    StaleRecord where the quote changed since version `seen`.
    """
    claim_edit(quote=quote, seen=seen)
    _check(quote, list(quote.options.prefetch_related("lines")))


def _check(quote: Quote, options: list[QuoteOption]) -> None:
    found = check_plans(
        boat=quote.boat,
        case=quote.run.case,
        plans=[option.plan for option in options],
        taken=[remedies_taken(option.lines.all()) for option in options],
    )
    for option, checks in zip(options, found, strict=True):
        option.checks = checks
    QuoteOption.objects.bulk_update(options, ["checks"])


@transaction.atomic
def take_remedy(*, option: QuoteOption, key: str, seen: int) -> JsonDict:
    """Put a remedy's parts and minutes onto an open quote's option; the remedy.

    FactRefused where no check proposes it, as the records stand now; StaleRecord where the quote
    changed since version `seen`.
    """
    quote = option.quote
    claim_edit(quote=quote, seen=seen)
    _check(quote, [option])
    remedy = _offered(option, key)
    last = option.lines.order_by("-position").values_list("position", flat=True).first() or 0
    rows = list(_remedy_lines(quote, remedy))
    for position, row in enumerate(rows, start=last + 1):
        row.option, row.position, row.remedy = option, position, key
    QuoteLine.objects.bulk_create(rows)
    _check(quote, [option])
    recount(quote=quote, option=option)
    return remedy


def _offered(option: QuoteOption, key: str) -> JsonDict:
    for finding in option.checks["findings"]:
        for remedy in finding["remedies"]:
            if remedy["key"] == key:
                return remedy
    raise FactRefused(
        "No check proposes this any more.",
        field="key",
        todo="Look at the checks of the option: the records changed.",
    )


def _remedy_lines(quote: Quote, remedy: JsonDict) -> Iterator[QuoteLine]:
    why = remedy["words"][:200]
    for need in remedy["needs"]:
        unpriced = "" if need["part"] else ": set its price"
        yield QuoteLine(
            kind=Kinds.SMALL,
            part_id=need["part"],
            description=f"{need['words']}{unpriced}"[:200],
            quantity=need["quantity"],
            unit_cents=need["unit_cents"],
            why=why,
        )
    if remedy["minutes"] or not remedy["needs"]:
        yield QuoteLine(
            kind=Kinds.LABOUR,
            description=why,
            minutes=remedy["minutes"],
            unit_cents=quote.labour_cents_per_hour,
            why="a check of the plan",
        )


@transaction.atomic
def let_go_remedy(*, line: QuoteLine, seen: int) -> None:
    """Take a remedy off again, all of its lines; the checks say what is then not good."""
    option = line.option
    claim_edit(quote=option.quote, seen=seen)
    option.lines.filter(remedy=line.remedy).delete()
    _check(option.quote, [option])
    recount(quote=option.quote, option=option)


def judge_job(*, job: Job) -> None:
    """Check a job's plan with the boat's records of today, its quote's remedies taken."""
    lines = list(job.option.lines.all()) if job.option else []
    (job.checks,) = check_plans(
        boat=job.boat, case=job.case, plans=[job.plan], taken=[_renamed(job, lines)]
    )
    Job.objects.filter(pk=job.pk).update(checks=job.checks)


def _renamed(job: Job, lines: list[QuoteLine]) -> list[str]:
    """The remedies by the names that the job gave the new units."""
    before = [unit["unit"] for unit in job.option.plan["units"]] if job.option else []
    names = dict(zip(before, (unit["unit"] for unit in job.plan["units"]), strict=False))
    return [_with_name(key, names) for key in remedies_taken(lines)]


def _with_name(key: str, names: dict[str, str]) -> str:
    kind, _, about = key.rpartition(":")
    ends = [names.get(end, end) for end in about.split("--")]
    return f"{kind}:{'--'.join(ends)}"
