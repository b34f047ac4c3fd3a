"""The fault finder of a job: what was seen, the causes that fit, the next look, in one address."""

from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import render
from django.views.decorators.http import require_GET

from planner.finding.answers import ask_finder, look_of_reading
from shopapp.accounts.access import get_for
from shopapp.errors import FactRefused
from shopapp.jobs.faults import network_of_job
from shopapp.jobs.models import Job, WorkStep
from shopapp.jobs.work_page import jobs_for_work
from shopapp.roles import needs

JsonDict = dict[str, Any]
BETWEEN = "~"
MOST_SEEN = 300


@needs("jobs.see")
@require_GET
def fault_finder(request: HttpRequest, pk: int) -> HttpResponse:
    """Narrow a fault down, one look after the other; the address holds all that was seen."""
    job = get_for(request, jobs_for_work(), pk=pk)
    network = network_of_job(job)
    seen = _seen(request.GET) | _of_step(request.GET, job, network)
    refused = ""
    try:
        told = ask_finder(network=network, seen=seen)
    except FactRefused as error:
        refused, seen = error.message, {}
        told = ask_finder(network=network, seen=seen)
    facts = {"job": job, "refused": refused} | _dressed(told, seen)
    name = "jobs/_fault_finder.html" if request.htmx else "jobs/fault_finder.html"
    return render(request, name, facts, status=422 if refused else 200)


def _seen(query: QueryDict) -> JsonDict:
    pairs = (row.rpartition(BETWEEN) for row in query.getlist("a")[:MOST_SEEN])
    return {look: answer for look, _between, answer in pairs if look}


def _of_step(query: QueryDict, job: Job, network: JsonDict) -> JsonDict:
    """The reading of the step from which the finder was opened."""
    number = query.get("step", "")
    if not number.isdecimal() or len(number) > 17:
        return {}
    step = WorkStep.objects.filter(job=job, pk=int(number)).exclude(reading=None).first()
    if step is None:
        return {}
    look = look_of_reading(network, unit=step.unit_key, unit_of_measure=step.expect_unit)
    return {look: float(step.reading)} if look else {}


def _dressed(told: JsonDict, seen: JsonDict) -> JsonDict:
    """Every answer with the address that it leads to."""
    known = {row["look"]: row["value"] for row in told["seen"]}

    def query(changed: JsonDict) -> str:
        rows = QueryDict(mutable=True)
        rows.setlist("a", [f"{look}{BETWEEN}{answer}" for look, answer in changed.items()])
        return rows.urlencode(safe=f"{BETWEEN}:")

    def answered(look: JsonDict) -> JsonDict:
        answers = [
            each | {"query": query(known | {look["look"]: each["value"]})}
            for each in look["answers"]
        ]
        return look | {"answers": answers}

    taken_back = [
        row | {"without": query({k: v for k, v in known.items() if k != row["look"]})}
        for row in told["seen"]
    ]
    others = [
        answered(look) for look in told["looks"] if look["at_first"] and look["look"] not in known
    ]
    return {
        "told": told,
        "seen": taken_back,
        "next": [answered(look) for look in told["next"]],
        "others": others,
        "first": told["causes"][:3],
        "rest": told["causes"][3:],
        "asked": bool(seen),
    }
