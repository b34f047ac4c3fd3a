"""The page of verdicts: does it work together?"""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from planner.reasons.asking import Asked, check_asked, read_asked
from planner.reasons.asking_forms import verdict_forms
from planner.reasons.judging import judge_asked
from shopapp.errors import FactRefused
from shopapp.roles import needs

JsonDict = dict[str, Any]


@needs("plans.see")
@require_http_methods(["GET", "HEAD", "POST"])
def verdict(request: HttpRequest) -> HttpResponse:
    """Ask whether models at releases work together; sent, the question becomes an address."""
    asked = read_asked(request.GET.getlist("unit"), request.GET.getlist("behind"))
    facts, status = _answered(request, asked)
    rows, behind = verdict_forms(request, asked, facts["keys"])
    if request.method == "POST":
        if all([rows.is_valid(), behind.is_valid()]):
            sent = Asked(tuple(rows.units), tuple(behind.units))
            return redirect(f"{reverse('planner:verdict')}?{sent.query}")
        status = 422
    facts |= {"rows": rows, "behind": behind, "asked": asked}
    return render(request, "planner/verdict.html", facts, status=status)


def _answered(request: HttpRequest, asked: Asked) -> tuple[JsonDict, int]:
    """The answer to an address, or what cannot be right in it."""
    if request.method == "POST" or not asked.all:
        return {"keys": {}}, 200
    shop = request.user.shop
    try:
        models = check_asked(shop=shop, asked=asked)
    except FactRefused as error:
        return {"keys": {}, "refused": f"{error.message} {error.todo}".strip()}, 422
    facts: JsonDict = {"keys": {code: model.pk for code, model in models.items()}}
    if asked.enough:
        facts["judged"] = judge_asked(shop=shop, asked=asked)
    return facts, 200
