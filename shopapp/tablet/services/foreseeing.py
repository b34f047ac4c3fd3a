"""Answers that a tablet takes along: for each finding that is likely, whether the plan stands."""

import hashlib
import json
import time
from typing import Any

from planner.finding.answers import look_of_reading, table_of
from planner.finding.boat import network_of_plan
from planner.foreseen import NOT_KNOWN, findings_of, judge_finding
from shopapp.errors import FactRefused
from shopapp.jobs.models import Job, WorkStep
from shopapp.tablet.models import Foreseen
from shopapp.work.models import RowState
from shopapp.work.services import ring

JsonDict = dict[str, Any]
KIND = "foreseen"
SECONDS_EACH = 2.0
# Well within a worker's lease, whatever the boat; what is left over is said to be not known.
SECONDS_ALL = 40.0


def ask_foreseen(job: Job) -> Foreseen | None:
    """The job's answers, asked for anew where its plan changed; None for a job without a plan."""
    plan = plan_as_planned(job)
    if not plan:
        return None
    digest = _digest(job.case, plan)
    row, made = Foreseen.objects.get_or_create(job=job, defaults={"digest": digest})
    if row.digest != digest:
        Foreseen.objects.filter(pk=row.pk).update(
            digest=digest, answers=[], finder={}, row_state=RowState.REQUESTED, tries=0, reason=""
        )
        row.refresh_from_db()
        made = True
    if made:
        ring(KIND, row.pk)
    return row


def _digest(*facts: JsonDict) -> str:
    return hashlib.sha256(json.dumps(facts, sort_keys=True).encode()).hexdigest()


def plan_as_planned(job: Job) -> JsonDict:
    """The plan with its new units called as the planner called them."""
    return job.option.plan if job.option else job.plan


def advance_foreseen(pk: int) -> bool:
    """Claim one job's answers and work them out; whether this call finished them."""
    mark = Foreseen.objects.claim(pk)
    if mark is None:
        return False
    row = Foreseen.objects.select_related("job__option", "job__boat").get(pk=pk)
    return Foreseen.objects.finish(
        pk, mark, answers=work_out(row.job), finder=finder_table(row.job)
    )


def work_out(job: Job, *, seconds: float = SECONDS_ALL) -> list[JsonDict]:
    """Each finding with its verdict; findings that time did not reach are not known."""
    plan, end = plan_as_planned(job), time.monotonic() + seconds
    found = []
    for finding in findings_of(job.case, plan):
        left = min(SECONDS_EACH, end - time.monotonic())
        if left <= 0:
            found.append(finding | {"verdict": NOT_KNOWN, "text": "Not worked out before leaving."})
            continue
        until = time.monotonic() + left
        found.append(
            judge_finding(
                case=job.case,
                plan=plan,
                finding=finding,
                should_stop=lambda until=until: time.monotonic() > until,
            )
        )
    return found


def finder_table(job: Job) -> JsonDict:
    """The fault finder's table for the network as this job plans it.

    Empty where its network cannot be read: the tablet then says that no table came along.
    """
    try:
        network = network_of_plan(shop=job.shop_id, boat=job.boat, plan=job.plan, ports=job.ports)
        table = table_of(network)
    except FactRefused:
        return {}
    return table | {"steps": _looks_of_steps(job, network, table["looks"])}


def _looks_of_steps(job: Job, network: JsonDict, looks: JsonDict) -> dict[str, str]:
    """The look that each step's reading answers, by the step's key."""
    found = {
        key: look_of_reading(network, unit=unit, unit_of_measure=measure)
        for key, unit, measure in job.steps.filter(asks=WorkStep.Asks.READING).values_list(
            "key", "unit_key", "expect_unit"
        )
    }
    return {key: look for key, look in found.items() if look in looks}
