"""Pages of the bench sums: the list, a form a sum, the shop's own rules."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods

from planner.benchsums.answers import all_groups, answer_sum
from planner.benchsums.forms import SumForm, all_faults, form_of, plain_number
from planner.benchsums.from_boat import backbone_address, backbones_of, cables_address
from planner.benchsums.rows import KINDS, RowSheet
from planner.benchsums.rules import rules_of
from planner.benchsums.rules_form import SumRulesForm, rules_in_force
from planner.benchsums.take_form import TakeForm
from planner.benchsums.words import PAGES
from planner.engine.sums import SumFault
from planner.engine.sums.local_rules import LocalRules
from planner.sum_rules import SumRules
from shopapp.accounts.access import get_for
from shopapp.boats.models import Boat
from shopapp.roles import needs
from shopapp.ui.history import changes_of

JsonDict = dict[str, Any]
LONGEST_ADDRESS = 3000
"""Servers cut lines of an address off at about four thousand signs."""
RULED = {
    "slack_ft": "slack_ft",
    "slack_percent": "slack_percent",
    "drop_percent": "drop_percent",
}


@needs("sums.use")
@require_GET
def sums(request: HttpRequest) -> HttpResponse:
    """All sums by what they are about."""
    return render(request, "planner/sums.html", {"groups": all_groups()})


@needs("sums.use")
@require_http_methods(["GET", "HEAD", "POST"])
def one_sum(request: HttpRequest, name: str) -> HttpResponse:
    """One sum: its form, and its answer once it is asked."""
    if name not in PAGES:
        raise Http404("No such sum.")
    if name in KINDS:
        return _row_sum(request, name)
    rules = rules_of(request.user.shop_id)
    form = _form(request, name, rules)
    facts: JsonDict = {"form": form, "answer": None}
    if form.is_bound and form.is_valid():
        facts["answer"] = _answer(name, form, rules)
    return _page(request, name, facts, wrong=form.is_bound and not facts["answer"])


def _form(request: HttpRequest, name: str, rules: LocalRules) -> SumForm:
    ruled = {field: plain_number(rules.value(rule)) for field, rule in RULED.items()}
    initial = ruled | {"areas": rules.areas}
    data = request.GET if request.GET else None
    return form_of(name)(data, initial=initial, request=request)


def _answer(name: str, form: SumForm | RowSheet, rules: LocalRules) -> object | None:
    try:
        return answer_sum(name=name, given=form.given(), rules=rules)
    except SumFault as fault:
        faults = all_faults(form.sum, form.given()) if isinstance(form, SumForm) else [fault]
        for each in faults:
            form.put_fault(each)
        return None


def _row_sum(request: HttpRequest, name: str) -> HttpResponse:
    if request.method == "GET" and "boat" in request.GET:
        return _taken(request, name)
    sheet = RowSheet(name, request)
    facts: JsonDict = {"sheet": sheet, "answer": None, "take": TakeForm(request=request)}
    if sheet.asked and sheet.is_valid():
        address = f"{reverse('planner:sum', args=[name])}?{sheet.query()}"
        if sheet.sent is not None and sheet.has_rows and len(address) <= LONGEST_ADDRESS:
            return redirect(address)
        facts["long"] = len(address) > LONGEST_ADDRESS
        facts["answer"] = _answer(name, sheet, rules_of(request.user.shop_id))
    return _page(request, name, facts, wrong=sheet.asked and not facts["answer"])


def _taken(request: HttpRequest, name: str) -> HttpResponse:
    """Fill the rows from a boat's record; several backbones are told apart."""
    take = TakeForm(request.GET, request=request)
    facts: JsonDict = {"sheet": RowSheet(name, request), "answer": None, "take": take}
    if not take.is_valid():
        return _page(request, name, facts, wrong=True)
    boat = get_for(request, Boat, pk=take.cleaned_data["boat"].pk)
    found = _addresses(name, boat)
    if len(found) == 1 and "~" in found[0][1]:
        return redirect(f"{reverse('planner:sum', args=[name])}?{found[0][1]}")
    facts |= {"found": found if len(found) > 1 else [], "nothing_of": len(found) < 2 and boat}
    return _page(request, name, facts, wrong=False)


def _addresses(name: str, boat: Boat) -> list[tuple[str, str]]:
    if name == "backbone":
        return [(row.name, backbone_address(row)) for row in backbones_of(boat)]
    return [(boat.name, cables_address(boat))]


def _page(request: HttpRequest, name: str, facts: JsonDict, *, wrong: bool) -> HttpResponse:
    facts |= {"name": name, "page": PAGES[name]}
    return render(request, "planner/sum.html", facts, status=422 if wrong else 200)


@needs("settings.edit")
@require_http_methods(["GET", "HEAD", "POST"])
def rules(request: HttpRequest) -> HttpResponse:
    """The shop's own rules, stricter than the built-in ones."""
    shop = request.user.shop
    row = SumRules.objects.filter(shop=shop).first() or SumRules(shop=shop)
    form = SumRulesForm(request.POST or None, instance=row, request=request)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "The rules are saved; every sum and check asks them from now on.")
        return redirect("planner:sum_rules")
    kept = SumRules.objects.filter(shop=shop).first()
    facts = {"form": form, "in_force": rules_in_force(kept), "kept": kept}
    facts["changes"] = changes_of(kept, limit=10) if kept else []
    wrong = request.method == "POST"
    return render(request, "planner/sum_rules.html", facts, status=422 if wrong else 200)
