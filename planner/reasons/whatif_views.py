"""Pages of "what if?": the pins, the plan held to them beside the one that was asked of."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from planner.models import PlanRun
from planner.pages import conflict_page
from planner.pins import pins_words
from planner.reasons.chosen import Chosen, chosen_of, number_in, run_of
from planner.reasons.comparing import asked_of, comparison
from planner.reasons.whatif_forms import PinFormSet
from planner.reasons.whynot import answer_of, question_of, questions_of
from planner.services import start_what_if
from shopapp.errors import FactRefused
from shopapp.roles import needs
from shopapp.work.models import RowState


@needs("plans.make")
@require_http_methods(["GET", "HEAD", "POST"])
def what_if(request: HttpRequest, pk: int) -> HttpResponse:
    """Hold a plan to pins; sent, it is planned again beside the first."""
    chosen = chosen_of(request, pk)
    data = request.POST if request.method == "POST" else None
    rows = PinFormSet(data, prefix="pin", form_kwargs={"case": chosen.case})
    if data is not None and rows.is_valid():
        fresh = _planned(request, chosen, rows)
        if fresh is not None:
            return redirect("planner:compare", pk=fresh.pk)
    facts = {"chosen": chosen, "run": chosen.run, "boat": chosen.run.boat, "rows": rows}
    facts["questions"] = questions_of(chosen)
    return render(request, "planner/what_if.html", facts, status=200 if data is None else 422)


def _planned(request: HttpRequest, chosen: Chosen, rows: PinFormSet) -> PlanRun | None:
    """The new plan; None where the planner refused a pin, told beside its row."""
    try:
        return start_what_if(run=chosen.run, pins=rows.pins, by=request.user, option=chosen.number)
    except FactRefused as error:
        rows.refuse(error)
        return None


@needs("plans.make")
@require_POST
def what_if_asked(request: HttpRequest, pk: int) -> HttpResponse:
    """Plan it as one of the usual questions asks."""
    chosen = chosen_of(request, pk)
    question = question_of(chosen, number_in(request, "question", 0))
    fresh = start_what_if(
        run=chosen.run, pins=[question.pin], by=request.user, option=chosen.number
    )
    return redirect("planner:compare", pk=fresh.pk)


@needs("plans.see")
@require_GET
def compare(request: HttpRequest, pk: int) -> HttpResponse:
    """A what-if beside the plan that it was asked of."""
    run = run_of(request, pk)
    first = asked_of(run)
    if first is None or run.row_state != RowState.READY:
        return redirect("planner:run", pk=pk)
    facts = {"run": run, "first": first, "boat": run.boat}
    facts["pins"] = pins_words(run.case, run.wishes.get("pins", []))
    facts |= comparison(first, run) if run.feasible else conflict_page(run)
    return render(request, "planner/compare.html", facts)


@needs("plans.see")
@require_GET
def questions(request: HttpRequest, pk: int) -> HttpResponse:
    """What people ask of this plan, each with a button that finds out."""
    chosen = chosen_of(request, pk)
    facts = {"chosen": chosen, "run": chosen.run, "boat": chosen.run.boat}
    facts |= {"questions": questions_of(chosen), "part": "planner/_questions.html"}
    name = facts["part"] if request.htmx else "planner/reasons.html"
    return render(request, name, facts | {"heading": "Why not otherwise?"})


@needs("plans.see")
@require_GET
def why_not(request: HttpRequest, pk: int) -> HttpResponse:
    """The answer to one of the usual questions."""
    chosen = chosen_of(request, pk)
    question = question_of(chosen, number_in(request, "question", 0))
    facts = {"chosen": chosen, "run": chosen.run, "boat": chosen.run.boat}
    facts |= {"answer": answer_of(chosen, question), "part": "planner/_why_not.html"}
    name = facts["part"] if request.htmx else "planner/reasons.html"
    return render(request, name, facts | {"heading": question.words})
