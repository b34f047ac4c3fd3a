"""Change orders: from what the technician finds to a yes, within the limits that were agreed."""

import secrets
from typing import Any

from django.db import transaction
from django.db.models import F, Max
from django.utils import timezone

from planner.plans import plan_columns
from planner.services import start_plan
from shopapp.accounts.models import User
from shopapp.boats.services.evidence import lock_boat
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import ChangeOrder, Job, Move, WorkStep
from shopapp.jobs.services import differences
from shopapp.jobs.services.as_built import AsBuilt
from shopapp.jobs.services.naming import with_unit_names

JsonDict = dict[str, Any]
State = ChangeOrder.State
CHANGEABLE = ("ready", "waiting", "scheduled", "on_job", "held")
MOST_HOURS = 200
MOST_CENTS = 10_000_000


@transaction.atomic
def begin_change(
    *, job: Job, ground: str, found: str, wishes: list[JsonDict], by: User
) -> ChangeOrder:
    """A change order of what was found: what is done so far is written to the boat's record, then
    the wishes that are left, with `wishes` more, are planned from the records as they are now.

    FactRefused without words; MoveRefused where the job is not in work, has no quote, or another
    change of it is open.
    """
    words = found.strip()
    if not words:
        raise FactRefused("Write what was found, or what is asked for.", field="found")
    job = locked(job)
    _check_may_change(job)
    steps = current_steps(job)
    lock_boat(job.boat)
    AsBuilt(job, steps, by).write()
    number = (job.changes.aggregate(last=Max("number"))["last"] or 0) + 1
    change = ChangeOrder.objects.create(
        shop_id=job.shop_id, job=job, number=number, ground=ground, found=words, made_by=by
    )
    change.run = start_plan(boat=job.boat, wishes=wishes_left(job, steps, wishes), by=by)
    change.save(update_fields=["run"])
    record(job, by, f"Change order {change}: {words}")
    return change


def locked(job: Job) -> Job:
    """The job's row, held until the transaction ends."""
    rows = Job.objects.select_for_update(of=("self",))
    return rows.select_related("boat", "shop", "quote__run", "option", "technician").get(pk=job.pk)


def current_steps(job: Job) -> list[WorkStep]:
    """The steps of the plan that counts now; those of an earlier plan are on record already."""
    return list(job.steps.filter(revision=job.revision).select_related("done_by"))


def _check_may_change(job: Job) -> None:
    if job.state not in CHANGEABLE:
        raise MoveRefused(
            f"{job} is “{job.get_state_display()}”; its plan is not changed any more.",
            todo="Open a comeback, or make a new quote.",
        )
    if job.quote is None or job.option is None:
        raise MoveRefused(
            f"{job} has no quote that could be changed.", todo="Make a quote of the new work."
        )
    if job.changes.filter(state__in=ChangeOrder.OPEN).exists():
        raise MoveRefused(
            f"Another change of {job} is still open.", todo="Have it answered or withdraw it."
        )


def wishes_left(job: Job, steps: list[WorkStep], more: list[JsonDict]) -> JsonDict:
    """The wishes of the plan that counts, without those that are built already, and `more`.

    What was fitted for a wish to add or replace is kept, and stays on the network.
    """
    agreed = job.changes.filter(state=State.AGREED).select_related("run").order_by("-number")
    last = next((change.run for change in agreed if change.plan), job.quote.run)
    source = last.wishes
    fitted = {step.unit_key for step in steps if step.kind == "fit" and step.state == "done"}
    gone = {step.unit_key for step in steps if step.kind == "remove" and step.state == "done"}
    left: list[JsonDict] = []
    for wish in source.get("requests", []):
        left += _left_of(wish, job, fitted, gone)
    requests = [*left, *more]
    for number, wish in enumerate(requests, start=1):
        wish["id"] = f"wish-{number}"
    return {**source, "requests": requests, "pins": []}


def _left_of(wish: JsonDict, job: Job, fitted: set[str], gone: set[str]) -> list[JsonDict]:
    wish = dict(wish)
    if wish["kind"] == "add":
        unit = _unit_of(wish, job)
        if unit in fitted:
            kind = "network" if wish.get("networked", True) else "keep"
            return [{"kind": kind, "device": unit}]
    if wish["kind"] == "replace" and wish["device"] in fitted:
        return [{"kind": "keep", "device": wish["device"]}]
    if wish["kind"] == "remove" and wish["device"] in gone:
        return []
    return [wish]


def _unit_of(wish: JsonDict, job: Job) -> str:
    """The unit that the plan adds for a wish to add: at its place, of one of its models."""
    for unit in job.plan.get("units", []):
        right = unit["fate"] == "added" and unit["location"] == wish["location"]
        if right and (not wish.get("models") or unit["model"] in wish["models"]):
            return unit["unit"]
    return ""


@transaction.atomic
def choose_plan(*, change: ChangeOrder, option: int, by: User) -> ChangeOrder:
    """Take one option (from 1) of the new plan: the difference is written line by line.

    MoveRefused while the plan is not worked out, or where there is none.
    """
    change, job = open_change(change, State.DRAFT)
    steps = current_steps(job)
    plans = options_of(change, steps)
    if not 1 <= option <= len(plans):
        raise FactRefused("The new plan has no such option.", field="option")
    case = change.run.case
    change.plan = with_unit_names(case, plans[option - 1])
    facts = {"job": job, "case": case, "plan": change.plan, "steps": steps}
    kept = [row for row in change.lines if row.get("by_hand")]
    change.lines = [*differences.parts_lines(**facts), *differences.labour_lines(**facts), *kept]
    change.planned_at = timezone.now()
    return _summed(change, job)


def options_of(change: ChangeOrder, steps: list[WorkStep]) -> list[JsonDict]:
    """The plans of the new planning, the one nearest to what was agreed first.

    Near means that nothing agreed is given up, then few parts more or fewer. MoveRefused where
    there is no plan.
    """
    run = change.run
    if run is None or run.answer is None:
        raise MoveRefused("The new plan is not worked out yet.", todo="Wait until it is.")
    if not run.feasible:
        raise MoveRefused(
            "Nothing works with what was found and what was wished.",
            todo="Look at the plan's page for the ways out, then begin the change anew.",
        )
    plans = [column.plan for column in plan_columns(run.answer)]
    return sorted(plans, key=lambda plan: differences.how_far(change.job, plan, steps))


@transaction.atomic
def add_by_hand(
    *, change: ChangeOrder, words: str, minutes: int, cents: int, by: User
) -> ChangeOrder:
    """A line that no plan knows: a rotten panel, the yard's lift. Hours, or a sum, or both.

    FactRefused beside `words`, `minutes` or `cents` where they cannot be right.
    """
    if not words.strip():
        raise FactRefused("Say what it is.", field="words")
    if not (minutes or cents):
        raise FactRefused("Write the hours or the sum.", field="minutes")
    if not 0 <= minutes <= MOST_HOURS * 60:
        raise FactRefused(f"At most {MOST_HOURS} hours.", field="minutes")
    if abs(cents) > MOST_CENTS:
        raise FactRefused("This sum is too large.", field="cents")
    change, job = open_change(change, State.DRAFT)
    said = words.strip()[:200]
    rows = []
    if minutes:
        rows.append(differences.labour_line(job, said, minutes))
    if cents:
        rows.append(_sum_line(said, cents))
    change.lines = [*change.lines, *(row | {"by_hand": True} for row in rows)]
    return _summed(change, job)


def _sum_line(words: str, cents: int) -> JsonDict:
    kind = "outside" if cents > 0 else "credit"
    return {
        "kind": kind,
        "part": "",
        "description": words,
        "quantity": 1,
        "minutes": 0,
        "unit_cents": cents,
    }


@transaction.atomic
def drop_line(*, change: ChangeOrder, place: int) -> ChangeOrder:
    """Take a line that was written by hand off again (its place from 0)."""
    change, job = open_change(change, State.DRAFT)
    if not (0 <= place < len(change.lines) and change.lines[place].get("by_hand")):
        raise FactRefused("That line is the plan's; choose another option instead.")
    change.lines = [row for number, row in enumerate(change.lines) if number != place]
    return _summed(change, job)


def _summed(change: ChangeOrder, job: Job) -> ChangeOrder:
    change.lines = [row | {"cents": differences.cents_of(row)} for row in change.lines]
    sums = differences.sums_of(job=job, lines=change.lines)
    if sums.before_cents + sums.total_cents < 0:
        raise FactRefused("The credits are larger than everything that was agreed.", field="cents")
    change.minutes, change.tax_cents = sums.minutes, sums.tax_cents
    change.total_cents, change.before_cents = sums.total_cents, sums.before_cents
    change.version += 1
    change.save()
    return change


@transaction.atomic
def offer_change(*, change: ChangeOrder, by: User) -> ChangeOrder:
    """Close the draft and give it a link for the customer. MoveRefused where it says nothing."""
    change, job = open_change(change, State.DRAFT)
    if not change.lines and not change.plan:
        raise MoveRefused("This change changes nothing yet.", todo="Choose a plan or add a line.")
    change.state, change.token = State.OFFERED, secrets.token_urlsafe(32)
    change = _summed(change, job)
    record(job, by, f"{change} waits for the customer's yes.")
    return change


def open_change(change: ChangeOrder, *states: str) -> tuple[ChangeOrder, Job]:
    """The change and its job, both locked; MoveRefused where it is not in one of these states."""
    job = locked(change.job)
    row = (
        ChangeOrder.objects.select_for_update(of=("self",)).select_related("run").get(pk=change.pk)
    )
    row.job = job
    if row.state not in states:
        raise MoveRefused(
            f"{row} is “{row.get_state_display()}”.",
            todo="Load the page again; nothing was written.",
        )
    if job.state not in CHANGEABLE:
        raise MoveRefused(f"{job} is “{job.get_state_display()}” by now.")
    return row, job


def record(job: Job, by: User | None, words: str) -> None:
    """A note among the job's moves; the job's version tells others that it changed."""
    Move.objects.create(job=job, before=job.state, after=job.state, by=by, note=words[:300])
    Job.objects.filter(pk=job.pk).update(version=F("version") + 1)
