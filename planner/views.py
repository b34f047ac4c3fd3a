"""Pages of plans: the form of wishes, the options, what changed, a boat's plans."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from planner.forms import SwitchForm, WishFormSet, initial_rows
from planner.models import PlanRun
from planner.pages import changes_page, changes_today, conflict_page, options_page
from planner.pins import pins_words
from planner.services import OPTIONS, plan_again, start_plan, stop_plan, try_again
from shopapp.accounts.access import get_for
from shopapp.boats.models import Boat, Unit
from shopapp.catalog.models import Kind
from shopapp.errors import FactRefused
from shopapp.roles import needs
from shopapp.ui.lists import list_page
from shopapp.work.models import RowState

JsonDict = dict[str, Any]


def _run_of(request: HttpRequest, pk: int) -> PlanRun:
    rows = PlanRun.objects.select_related("boat__customer", "boat__shop", "shop", "asked_by")
    return get_for(request, rows, pk=pk)


@needs("plans.make")
@require_http_methods(["GET", "HEAD", "POST"])
def wish(request: HttpRequest, pk: int) -> HttpResponse:
    """Wishes for a boat; sent, they are planned."""
    boat = get_for(request, Boat.objects.select_related("shop", "customer"), pk=pk)
    rows, switches = _wish_forms(request, boat)
    refused = ""
    if request.method == "POST" and all([rows.is_valid(), switches.is_valid()]):
        try:
            run = start_plan(boat=boat, wishes=_wishes(request, rows, switches), by=request.user)
        except FactRefused as error:
            refused = f"{error.message} {error.todo}"
        else:
            return redirect("planner:run", pk=run.pk)
    wrong = request.method == "POST"
    facts = {"boat": boat, "rows": rows, "switches": switches, "refused": refused}
    return render(request, "planner/wish.html", facts, status=422 if wrong else 200)


def _wish_forms(request: HttpRequest, boat: Boat) -> tuple[WishFormSet, SwitchForm]:
    places = list(boat.locations.all())
    units = (
        Unit.objects.filter(boat=boat)
        .aboard()
        .exclude(model__kind=Kind.SWITCH)
        .select_related("model", "location")
        .order_by("pk")
    )
    shared = {
        "units": {unit.name: unit for unit in units},
        "places": [place.name for place in places],
        "request": request,
    }
    kept = _kept_wishes(request, boat)
    data = request.POST if request.method == "POST" else None
    rows = WishFormSet(data, prefix="wish", initial=initial_rows(kept), form_kwargs=shared)
    switches = SwitchForm(
        data, prefix="switches", boat=boat, places=places, initial=dict(kept.get("switches", {}))
    )
    return rows, switches


def _kept_wishes(request: HttpRequest, boat: Boat) -> JsonDict:
    """The wishes of the plan named by `?from=`, to be changed; none otherwise."""
    text = request.GET.get("from", "")
    if not text.isdecimal() or len(text) > 17:
        return {}
    run = PlanRun.objects.filter(boat=boat, pk=int(text)).only("wishes").first()
    return run.wishes if run else {}


def _wishes(request: HttpRequest, rows: WishFormSet, switches: SwitchForm) -> JsonDict:
    requests = [{"id": f"wish-{n}", **form.wish} for n, form in enumerate(rows.wished, 1)]
    wishes: JsonDict = {
        "requests": requests,
        "switches": switches.switches,
        "options": OPTIONS,
    }
    enquiry = request.GET.get("enquiry", "")
    if enquiry.isdecimal() and len(enquiry) < 18:
        wishes["enquiry"] = int(enquiry)
    return wishes


@needs("plans.see")
@require_GET
def run(request: HttpRequest, pk: int) -> HttpResponse:
    """A plan: its options, or what stands in the way, or how far it is."""
    plan = _run_of(request, pk)
    return render(request, "planner/run.html", _run_facts(request, plan))


def _run_facts(request: HttpRequest, plan: PlanRun) -> JsonDict:
    facts = {"run": plan, "wishes": plan.case["job"]["requests"], "boat": plan.boat}
    facts["pins"] = pins_words(plan.case, plan.wishes.get("pins", []))
    if plan.row_state != RowState.READY:
        return facts
    if plan.answer["feasible"]:
        text = request.GET.get("option", "1")
        number = int(text) if text.isdecimal() and len(text) < 4 else 1
        facts |= options_page(plan, number)
        # The drawing is made by the server out of escaped words.
        facts["picture"] = mark_safe(facts["picture"])  # noqa: S308
    else:
        facts |= conflict_page(plan)
    return facts | {"newer": plan.repeats.order_by("-pk").only("pk").first()}


@needs("plans.see")
@require_GET
def run_state(request: HttpRequest, pk: int) -> HttpResponse:
    """How far the plan is; once it is ready or failed the page is asked to load anew."""
    plan = _run_of(request, pk)
    if plan.row_state == RowState.READY or plan.unmade:
        return HttpResponse(headers={"HX-Refresh": "true"})
    return render(request, "planner/_progress.html", {"run": plan})


@needs("plans.make")
@require_POST
def again(request: HttpRequest, pk: int) -> HttpResponse:
    """Plan the same wishes with the records of today, less those that are dropped."""
    plan = _run_of(request, pk)
    fresh = plan_again(run=plan, by=request.user, drop=tuple(request.POST.getlist("drop")))
    messages.success(request, "Planned again with the records as they stand now.")
    return redirect("planner:run", pk=fresh.pk)


@needs("plans.make")
@require_POST
def retry(request: HttpRequest, pk: int) -> HttpResponse:
    """Try a failed plan once more."""
    try_again(run=_run_of(request, pk))
    return redirect("planner:run", pk=pk)


@needs("plans.make")
@require_POST
def stop(request: HttpRequest, pk: int) -> HttpResponse:
    """Stop a plan that is being worked out."""
    stop_plan(run=_run_of(request, pk), by=request.user)
    return redirect("planner:run", pk=pk)


@needs("plans.see")
@require_GET
def changes(request: HttpRequest, pk: int) -> HttpResponse:
    """What changed since the plan before; what changed since this one comes after."""
    rows = PlanRun.objects.select_related("boat__shop", "shop", "again_of")
    plan = get_for(request, rows, pk=pk)
    return render(request, "planner/changes.html", {"run": plan, **changes_page(plan)})


@needs("plans.see")
@require_GET
def changes_since(request: HttpRequest, pk: int) -> HttpResponse:
    """What the records of today say otherwise: read anew, so it is asked for apart."""
    plan = _run_of(request, pk)
    try:
        since, refused = changes_today(plan), ""
    except FactRefused as error:
        since, refused = None, f"{error.message} {error.todo}"
    facts = {"run": plan, "since": since, "refused": refused}
    return render(request, "planner/_changes_since.html", facts)


@needs("plans.see")
@require_GET
def plans(request: HttpRequest, pk: int) -> HttpResponse:
    """A boat's plans, newest first."""
    boat = get_for(request, Boat, pk=pk)
    rows = PlanRun.objects.filter(boat=boat).for_list()
    return render(request, "planner/plans.html", {"boat": boat, "page": list_page(request, rows)})
