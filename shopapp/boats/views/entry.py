"""Adding, editing and copying a boat, and the survey's sheets."""

from django.contrib import messages
from django.db import IntegrityError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods

from shopapp.accounts.access import get_for
from shopapp.boats.forms.boats import BoatForm
from shopapp.boats.forms.sections import SECTIONS, Section
from shopapp.boats.forms.seen import SeenForm
from shopapp.boats.hull_number import read_hull_number
from shopapp.boats.models import Boat
from shopapp.boats.services import boats as services
from shopapp.boats.services.copies import copy_boat
from shopapp.boats.views.boats import own_boat
from shopapp.catalog.models import EquipmentModel
from shopapp.customers.models import Customer
from shopapp.errors import FactRefused, StaleRecord
from shopapp.roles import needs

read_or_send = require_http_methods(["GET", "HEAD", "POST"])
AT_ONCE = "Somebody saved the same thing at the same moment. Look at the rows and save again."
LIKE = (
    "kind", "builder", "year", "length_ft", "beam_ft", "draught_ft", "air_draught_ft",
    "hull_material", "fuel", "engines", "dc_volts", "dc_limit_ma", "slack_ft",
)  # fmt: skip


def _like(request: HttpRequest) -> Boat | None:
    number = request.GET.get("like", "")
    return own_boat(request, int(number)) if number.isdigit() else None


def _owner(request: HttpRequest) -> Customer | None:
    number = request.GET.get("owner", "")
    return get_for(request, Customer, pk=int(number)) if number.isdigit() else None


@needs("boats.edit")
@read_or_send
def add(request: HttpRequest) -> HttpResponse:
    """Add a boat; `?like=` copies another one's places, units and cables, `?owner=` names one."""
    like, owner = _like(request), _owner(request)
    initial = {name: getattr(like, name) for name in LIKE} if like else {}
    form = BoatForm(
        request.POST or None,
        instance=Boat(shop=request.user.shop),
        initial={**initial, "customer": owner},
        request=request,
    )
    seen = SeenForm(request.POST or None, request=request)
    if request.method == "POST" and all([form.is_valid(), seen.is_valid()]):
        try:
            row = _added(request, form, seen, like)
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, f"{row} is on record. Enter what is aboard.")
            return redirect("boats:survey", row.pk, "places")
    return _boat_page(request, form, seen, like=like)


def _added(request: HttpRequest, form: BoatForm, seen: SeenForm, like: Boat | None) -> Boat:
    facts = {
        "shop": request.user.shop,
        "values": dict(form.cleaned_data),
        "seen": seen.seen(request.user),
    }
    return copy_boat(like=like, **facts) if like else services.add_boat(**facts)


@needs("boats.edit")
@read_or_send
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Edit a boat's own facts; each changed value gets the evidence of the bar."""
    form = BoatForm(request.POST or None, instance=own_boat(request, pk), request=request)
    seen = SeenForm(request.POST or None, request=request)
    if request.method == "POST" and all([form.is_valid(), seen.is_valid()]):
        kept = services.change_boat(
            boat=form.instance, values=form.changed_values(), seen=seen.seen(request.user)
        )
        _say_saved(request, kept)
        return redirect("boats:boat", pk)
    return _boat_page(request, form, seen, boat=own_boat(request, pk))


def _boat_page(
    request: HttpRequest,
    form: BoatForm,
    seen: SeenForm,
    *,
    boat: Boat | None = None,
    like: Boat | None = None,
) -> HttpResponse:
    facts = {"form": form, "seen": seen, "boat": boat, "like": like}
    facts |= _hull_facts(request, form.hull_text, boat)
    return render(request, "boats/edit.html", facts, status=422 if form.is_bound else 200)


def _hull_facts(request: HttpRequest, text: str, boat: Boat | None) -> dict[str, object]:
    return {
        "hull": read_hull_number(text),
        "same_hull": services.same_hull_number(shop=request.user.shop, text=text, besides=boat),
    }


@needs("boats.edit")
@require_GET
def hull_number(request: HttpRequest) -> HttpResponse:
    """What is odd about a hull number, to be shown beside its field; it never refuses."""
    number = request.GET.get("boat", "")
    besides = own_boat(request, int(number)) if number.isdigit() else None
    text = read_hull_number(request.GET.get("hull_number_read", "")).text
    return render(request, "boats/_hull.html", _hull_facts(request, text, besides))


@needs("boats.edit")
@require_GET
def releases(request: HttpRequest) -> HttpResponse:
    """The releases of a model (`?model=`) as options, newest first."""
    number = request.GET.get("model", "")
    if not number.isdigit():
        raise Http404("No such model.")
    model = get_for(request, EquipmentModel, pk=int(number))
    rows = model.releases.order_by("-rank")
    return render(request, "boats/_releases.html", {"releases": rows})


@needs("boats.edit")
@read_or_send
def survey(request: HttpRequest, pk: int, section: str = "places") -> HttpResponse:
    """One section of the survey as fast sheets, all under one evidence bar."""
    boat = own_boat(request, pk)
    if section not in SECTIONS:
        raise Http404(f"The survey has no section {section}.")
    sheets = SECTIONS[section](boat, request)
    seen = SeenForm(sheets.data, boat=boat, request=request)
    if request.method == "POST" and all([seen.is_valid(), sheets.is_valid()]):
        if seen.is_stale:
            seen.renew()
            sheets.mark_differences()
            return _survey_page(request, boat, sheets, seen, status=409)
        if _saved(request, sheets, seen):
            return redirect("boats:survey", pk, _next(request, section))
    return _survey_page(request, boat, sheets, seen, status=200 if sheets.data is None else 422)


def _saved(request: HttpRequest, sheets: Section, seen: SeenForm) -> bool:
    try:
        kept = sheets.save(seen.seen(request.user))
    except (FactRefused, StaleRecord) as error:
        seen.add_error(None, f"{error.message} {error.todo}".strip())
    except IntegrityError:
        seen.add_error(None, AT_ONCE)
    else:
        _say_saved(request, kept)
        return True
    return False


def _say_saved(request: HttpRequest, kept: int) -> None:
    messages.success(request, "Saved, with its evidence.")
    if kept:
        values = "One value was" if kept == 1 else f"{kept} values were"
        messages.warning(
            request,
            f"{values} not taken over: stronger or newer evidence says otherwise. "
            "Settle it on the boat's sheet.",
        )


def _next(request: HttpRequest, section: str) -> str:
    keys = list(SECTIONS)
    place = keys.index(section)
    return keys[min(place + 1, len(keys) - 1)] if "on" in request.POST else section


def _survey_page(
    request: HttpRequest, boat: Boat, sheets: Section, seen: SeenForm, *, status: int
) -> HttpResponse:
    keys = list(SECTIONS)
    place = keys.index(sheets.key)
    facts = {
        "boat": boat,
        "tab": "survey",
        "section": sheets,
        "sections": SECTIONS.values(),
        "following": SECTIONS[keys[place + 1]] if place + 1 < len(keys) else None,
        "seen": seen,
    }
    return render(request, "boats/survey.html", facts, status=status)
