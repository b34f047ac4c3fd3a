"""The customer's own page of a change order: no sign-in, an address that cannot be guessed."""

from collections.abc import Callable
from functools import wraps

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.change_page import line_rows
from shopapp.jobs.forms.changes import CustomerYesForm, NoForm
from shopapp.jobs.models import ChangeOrder
from shopapp.jobs.services import change_answers
from shopapp.roles import open_to_all

Page = Callable[[HttpRequest, ChangeOrder], HttpResponse]


def behind_token(page: Page) -> Callable[[HttpRequest, str], HttpResponse]:
    """Find the change of the token; 404 where there is none (any more)."""

    @wraps(page)
    def found(request: HttpRequest, token: str) -> HttpResponse:
        answer = page(request, change_answers.change_behind(token))
        answer["Referrer-Policy"] = "same-origin"
        answer["X-Robots-Tag"] = "noindex, nofollow"
        return answer

    return open_to_all(never_cache(found))


def _shown(
    request: HttpRequest, change: ChangeOrder, status: int = 200, **forms: object
) -> HttpResponse:
    facts = {
        "change": change,
        "job": change.job,
        "quote": change.job.quote,
        "shop": change.shop,
        "lines": line_rows(change),
        "rest": change.rest_cents,
        "yes_form": CustomerYesForm(initial={"version": change.version}),
        "no_form": NoForm(),
        **forms,
    }
    return render(request, "jobs/customer_change.html", facts, status=status)


@behind_token
@require_GET
def customer_change(request: HttpRequest, change: ChangeOrder) -> HttpResponse:
    """What was found and what it changes, or what was answered."""
    return _shown(request, change)


@behind_token
@require_POST
def customer_yes(request: HttpRequest, change: ChangeOrder) -> HttpResponse:
    """Yes, by a typed name."""
    form = CustomerYesForm(request.POST)
    return _answered(
        request,
        change,
        form,
        "yes_form",
        lambda: change_answers.agree_change(
            change=change,
            name=form.cleaned_data["name"],
            how=ChangeOrder.How.LINK,
            address=request.META.get("REMOTE_ADDR"),
            seen=form.cleaned_data["version"],
        ),
    )


@behind_token
@require_POST
def customer_no(request: HttpRequest, change: ChangeOrder) -> HttpResponse:
    """No; the job goes on as agreed before."""
    form = NoForm(request.POST)
    return _answered(
        request,
        change,
        form,
        "no_form",
        lambda: change_answers.decline_change(
            change=change, address=request.META.get("REMOTE_ADDR"), **form.cleaned_data
        ),
    )


def _answered(
    request: HttpRequest,
    change: ChangeOrder,
    form: CustomerYesForm | NoForm,
    slot: str,
    act: Callable[[], object],
) -> HttpResponse:
    if not form.is_valid():
        return _shown(request, change, 422, **{slot: form})
    try:
        act()
    except FactRefused as error:
        form.refuse(error)
        return _shown(request, change, error.status, **{slot: form})
    except MoveRefused as error:
        now = change_answers.change_behind(change.token)
        return _shown(request, now, error.status, trouble=error)
    return redirect("jobs:customer_change", token=change.token)
