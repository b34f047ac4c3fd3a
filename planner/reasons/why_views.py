"""Pages of reasons: why a line of a plan is so, what could tip it, what to measure first."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from planner.reasons.chosen import Chosen, chosen_of
from planner.reasons.measuring import measure_page
from planner.reasons.tipping import tipping_page
from planner.reasons.why import why_line, why_lines
from shopapp.roles import needs


def _shown(
    request: HttpRequest, chosen: Chosen, part: str, heading: str, **facts: Any
) -> HttpResponse:
    """The part alone for htmx, else a page of its own around it."""
    shared = {"chosen": chosen, "run": chosen.run, "boat": chosen.run.boat, "part": part}
    name = part if request.htmx else "planner/reasons.html"
    return render(request, name, shared | {"heading": heading} | facts)


@needs("plans.see")
@require_GET
def why(request: HttpRequest, pk: int) -> HttpResponse:
    """Why one line of a plan is so (`?line=`), or every line of it."""
    chosen = chosen_of(request, pk)
    key = request.GET.get("line", "")
    lines = [why_line(chosen, key)] if key else why_lines(chosen)
    return _shown(request, chosen, "planner/_why_lines.html", "Why each line is so", lines=lines)


@needs("plans.see")
@require_GET
def tipping(request: HttpRequest, pk: int) -> HttpResponse:
    """How far prices, labour and lengths may move before another option is cheapest."""
    chosen = chosen_of(request, pk)
    facts = tipping_page(chosen)
    return _shown(request, chosen, "planner/_tipping.html", "What could tip it", **facts)


@needs("plans.see")
@require_GET
def measure_first(request: HttpRequest, pk: int) -> HttpResponse:
    """What to measure first: the unknowns that would change the plan, most valuable first."""
    chosen = chosen_of(request, pk)
    facts = measure_page(chosen)
    return _shown(request, chosen, "planner/_measure.html", "Measure first", **facts)
