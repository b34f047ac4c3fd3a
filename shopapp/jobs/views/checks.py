"""Acts on the checks of a quote and of a job: look again, take a remedy."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from shopapp.accounts.access import get_for
from shopapp.errors import FactRefused, StaleRecord
from shopapp.jobs.forms.saving import VersionForm
from shopapp.jobs.models import Job, Quote, QuoteOption
from shopapp.jobs.services import checks as service
from shopapp.roles import needs


def _version(request: HttpRequest) -> int:
    form = VersionForm(request.POST)
    if not form.is_valid():
        raise StaleRecord("It is not known which state of the quote you looked at.", todo="Reload.")
    return form.cleaned_data["version"]


def _checks_url(option: QuoteOption) -> str:
    return f"{reverse('jobs:quote', args=[option.quote_id])}?option={option.position}#checks"


@needs("quotes.edit")
@require_POST
def remedy_take(request: HttpRequest, pk: int) -> HttpResponse:
    """Put a remedy's parts and minutes onto an option."""
    rows = QuoteOption.objects.select_related("quote__run", "quote__boat__shop")
    option = get_for(request, rows, pk=pk, path="quote__shop")
    key = request.POST.get("key", "")[:200]
    try:
        remedy = service.take_remedy(option=option, key=key, seen=_version(request))
    except (FactRefused, StaleRecord) as error:
        messages.error(request, f"{error.message} {error.todo}")
    else:
        messages.success(request, f"On the quote: {remedy['words']}")
    return redirect(_checks_url(option))


@needs("quotes.edit")
@require_POST
def checks_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Check all options of an open quote with the records of today."""
    rows = Quote.objects.select_related("run", "boat__shop")
    quote = get_for(request, rows, pk=pk)
    try:
        service.look_again(quote=quote, seen=_version(request))
    except StaleRecord as error:
        messages.error(request, f"{error.message} {error.todo}")
    else:
        messages.success(request, "Checked again with the records as they stand now.")
    option = request.POST.get("option", "")
    where = f"?option={option}" if option.isdecimal() and len(option) < 4 else ""
    return redirect(f"{reverse('jobs:quote', args=[pk])}{where}#checks")


@needs("jobs.work")
@require_POST
def job_checks_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Check a job's plan with what was measured since."""
    rows = Job.objects.select_related("boat__shop", "option")
    job = get_for(request, rows, pk=pk)
    if job.closed_at or not job.plan:
        messages.error(request, "The work is done: what is aboard now is on the boat's record.")
    else:
        service.judge_job(job=job)
        messages.success(request, "Checked again with what is on record now.")
    return redirect(f"{reverse('jobs:work', args=[pk])}#checks")
