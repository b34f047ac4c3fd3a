"""What a new plan changes of what was agreed: parts, minutes and money, line by line. Signed."""

from collections import Counter
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from planner.sheet import step_rows
from shopapp.catalog.models import Part
from shopapp.jobs.models import ChangeOrder, Job, QuoteLine, WorkStep
from shopapp.jobs.services.lines import priced, rates_of, shelf_of
from shopapp.jobs.services.planned import bought_of
from shopapp.jobs.services.totals import Line, Totals, add_up, gross_of

JsonDict = dict[str, Any]
BUY = "buy:"
FITTED = frozenset({"added", "replaced"})


@dataclass(frozen=True)
class Sums:
    """The difference in minutes, tax and total, and what was agreed before."""

    minutes: int
    tax_cents: int
    total_cents: int
    before_cents: int


def used_parts(job: Job, steps: list[WorkStep]) -> Counter[str]:
    """How many of each part of the job's plan the steps done so far have used up.

    A fitted unit takes its model, lead and fuse; a cable run takes the cable, and an adapter at
    each end whose model needs one. Never more of a part than the plan has.
    """
    done = [step for step in steps if step.state == WorkStep.State.DONE]
    fitted = {step.unit_key for step in done if step.kind == "fit"}
    pulled = " ".join(step.key for step in done if step.kind == "cable")
    models = job.case.get("catalogue", {}).get("models", {})
    at_end = {unit["unit"]: unit["model"] for unit in job.plan.get("units", [])}
    used: Counter[str] = Counter()
    for unit in job.plan.get("units", []):
        if unit["fate"] in FITTED and unit["unit"] in fitted:
            used.update(_of_unit(job, unit["model"]))
    for link in job.ports:
        if link["cable"] in pulled and all(end in pulled for end in link["between"]):
            used.update(_of_link(models, at_end, link))
    planned = job.plan.get("parts", {})
    return Counter({part: min(count, planned.get(part, 0)) for part, count in used.items()})


def _of_unit(job: Job, code: str) -> list[str]:
    catalogue = job.case["catalogue"]
    model = catalogue["models"][code]
    fuses = [
        name for name, row in catalogue["fuses"].items() if row.get("ma") == model.get("fuse_ma")
    ]
    return [code, *filter(None, [model.get("lead")]), *fuses[:1]]


def _of_link(models: JsonDict, at_end: dict[str, str], link: JsonDict) -> list[str]:
    adapters = [models.get(at_end.get(end, ""), {}).get("adapter") for end in link["between"]]
    cable = [link["cable"].removeprefix(BUY)] if link["cable"].startswith(BUY) else []
    return [*cable, *filter(None, adapters)]


def parts_lines(*, job: Job, case: JsonDict, plan: JsonDict, steps: list[WorkStep]) -> list[dict]:
    """The parts that the job needs in all under the new plan, less those of the old one.

    More of a part is priced as today, fewer at the price that was agreed for it.
    """
    after = used_parts(job, steps) + Counter(plan["parts"])
    before = Counter(job.plan.get("parts", {}))
    today = {item.part: item.price_cents for item in bought_of(case, plan)}
    keys = sorted(set(after) | set(before))
    shelf = shelf_of(shop=job.shop, keys=set(keys))
    agreed = agreed_prices(job)
    rows = []
    for key in keys:
        count = after[key] - before[key]
        part = shelf.part(key)
        if count and part is not None:
            price = today.get(key, part.price_cents) if count > 0 else agreed.get(part.pk)
            rows.append(_part_line(part, count, price if price is not None else today.get(key, 0)))
    return rows


def how_far(job: Job, plan: JsonDict, steps: list[WorkStep]) -> tuple[int, int]:
    """How far a plan is from what was agreed: units aboard that it gives up, then pieces of parts.

    A unit is given up that was to be on the network and is not, or not aboard any more.
    """
    ends = {unit["unit"]: unit for unit in plan["units"]}
    agreed = [unit["unit"] for unit in job.plan.get("units", []) if unit["networked"]]
    given_up = sum(name in ends and not ends[name]["networked"] for name in agreed)
    return given_up, parts_apart(job, plan, steps)


def parts_apart(job: Job, plan: JsonDict, steps: list[WorkStep]) -> int:
    """How many pieces the job needs more or fewer under the plan than by what was agreed."""
    apart = used_parts(job, steps)
    apart.update(plan["parts"])
    apart.subtract(job.plan.get("parts", {}))
    return sum(abs(count) for count in apart.values())


def _part_line(part: Part, count: int, cents: int) -> dict[str, Any]:
    equipment = part.kind == Part.PartKind.EQUIPMENT
    return {
        "kind": "equipment" if equipment else "small",
        "part": part.number,
        "description": f"{part.name} ({part.number})",
        "quantity": count,
        "minutes": 0,
        "unit_cents": cents or 0,
    }


def agreed_prices(job: Job) -> dict[int, int]:
    """Part -> what the customer was to pay for one of it, after the line's discount."""
    prices = {}
    for row in job.option.lines.filter(part__isnull=False, left_out=False):
        prices[row.part_id] = row.total_cents // row.quantity
    return prices


def labour_lines(*, job: Job, case: JsonDict, plan: JsonDict, steps: list[WorkStep]) -> list[dict]:
    """One line of the minutes that the new plan takes more (or fewer), with what is done."""
    done = sum(step.minutes for step in steps if step.state == WorkStep.State.DONE)
    after = done + sum(row["minutes"] for row in step_rows(case, plan))
    before = sum(row["minutes"] for row in step_rows(job.case, job.plan))
    if after == before:
        return []
    more = after - before
    words = "More work by the new plan" if more > 0 else "Less work by the new plan"
    return [labour_line(job, words, more)]


def labour_line(job: Job, words: str, minutes: int) -> dict[str, Any]:
    """A line of labour at the rate that was agreed."""
    return {
        "kind": "labour",
        "part": "",
        "description": words,
        "quantity": 1,
        "minutes": minutes,
        "unit_cents": job.quote.labour_cents_per_hour,
    }


def sums_of(*, job: Job, lines: list[dict[str, Any]]) -> Sums:
    """The difference that these lines make to all that is agreed on the job, to the cent."""
    rates = rates_of(job.quote)
    agreed = agreed_lines(job)
    before = add_up(agreed, rates)
    after = add_up([*agreed, *(as_line(row) for row in lines)], rates)
    return Sums(
        minutes=after.minutes - before.minutes,
        tax_cents=after.tax_cents - before.tax_cents,
        total_cents=after.total_cents - before.total_cents,
        before_cents=before.total_cents,
    )


def agreed_lines(job: Job) -> list[Line]:
    """Everything agreed so far: the option's lines, then those of the changes agreed."""
    rows = [priced(row) for row in QuoteLine.objects.filter(option=job.option, left_out=False)]
    for change in job.changes.filter(state=ChangeOrder.State.AGREED).order_by("number"):
        rows += [as_line(row) for row in change.lines]
    return rows


def agreed_totals(job: Job) -> Totals:
    """The sums of all that is agreed on the job."""
    return add_up(agreed_lines(job), rates_of(job.quote))


def cents_of(row: dict[str, Any]) -> int:
    """A line's difference before tax."""
    return gross_of(as_line(row))


def as_line(row: dict[str, Any]) -> Line:
    """A kept line as the sums see it; a credit stands below zero already."""
    return Line(
        kind=row["kind"],
        quantity=row["quantity"],
        minutes=row["minutes"],
        unit_cents=row["unit_cents"],
        discount_percent=Decimal(0),
    )
