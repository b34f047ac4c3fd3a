"""What came from the boat, as the desk sees it: clashes, entries kept back, sheets, helpers."""

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from shopapp.accounts.access import get_for
from shopapp.accounts.models import User
from shopapp.errors import MoveRefused
from shopapp.jobs.job_queries import job_for_page
from shopapp.jobs.models import Job
from shopapp.jobs.services.scheduling import may_let_in
from shopapp.roles import ACTIONS, may, needs
from shopapp.tablet.boat_side import boat_side_facts
from shopapp.tablet.models import Clash, Entry
from shopapp.tablet.services.settling import (
    add_helper,
    drop_helper,
    leave_out,
    settle_clash,
    take_after_all,
)
from shopapp.ui.forms import DeskForm


class HelperForm(DeskForm):
    """Who works beside the technician."""

    user = forms.ModelChoiceField(
        User.objects.none(), label="Also works on it", empty_label="Pick a technician"
    )

    def __init__(self, *args: object, job: Job, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        people = User.objects.filter(
            shop=job.shop_id, is_active=True, role__in=ACTIONS["jobs.work"]
        )
        self.fields["user"].queryset = people.exclude(pk=job.technician_id)


@needs("jobs.see")
@require_GET
def boat_side(request: HttpRequest, pk: int) -> HttpResponse:
    """All that came from the boat for one job."""
    job = get_for(request, job_for_page(Job.objects.all()), pk=pk)
    return _page(request, job)


def _page(
    request: HttpRequest, job: Job, form: HelperForm | None = None, status: int = 200
) -> HttpResponse:
    decides = may_let_in(job=job, user=request.user)
    facts = boat_side_facts(job) | {
        "job": job,
        "decides": decides,
        "may_schedule": may(request.user, "jobs.schedule"),
        "form": form or HelperForm(job=job),
    }
    return render(request, "tablet/boat_side.html", facts, status=status)


@needs("jobs.schedule")
@require_POST
def helpers(request: HttpRequest, pk: int) -> HttpResponse:
    """Put somebody on the job beside its technician, or take somebody off."""
    job = get_for(request, job_for_page(Job.objects.all()), pk=pk)
    if "drop" in request.POST:
        user = get_for(request, User, pk=_whole(request.POST["drop"]))
        drop_helper(job=job, user=user)
        messages.success(request, f"{user} is off {job}.")
        return redirect("tablet:boat_side", pk)
    form = HelperForm(request.POST, request=request, job=job)
    if not form.is_valid():
        return _page(request, job, form, status=422)
    row = add_helper(job=job, user=form.cleaned_data["user"])
    messages.success(request, f"{row.user} works on {job} too.")
    return redirect("tablet:boat_side", pk)


def _whole(text: str) -> int:
    return int(text) if text.isdigit() and len(text) < 19 else 0


@needs("jobs.see")
@require_POST
def clash(request: HttpRequest, pk: int) -> HttpResponse:
    """Say which of two values is right."""
    row = get_for(request, Clash.objects.select_related("job"), pk=pk, path="job__shop")
    settled = settle_clash(clash=row, chosen=request.POST.get("chosen", ""), by=request.user)
    messages.success(request, f"{settled.label}: {settled.get_chosen_display().lower()}.")
    return redirect("tablet:boat_side", settled.job_id)


@needs("jobs.see")
@require_POST
def entry(request: HttpRequest, pk: int) -> HttpResponse:
    """Take an entry that was kept back into the job, or leave it out."""
    row = get_for(request, Entry.objects.select_related("job"), pk=pk)
    if not may_let_in(job=row.job, user=request.user):
        raise MoveRefused(f"{row.job} is not yours to decide on.", todo="Ask its technician.")
    if request.POST.get("do") == "take":
        take_after_all(entry=row, by=request.user)
        messages.success(request, "The entry is in the job now.")
    else:
        leave_out(entry=row, by=request.user)
        messages.success(request, "The entry is left out; what was sent stays on record.")
    return redirect("tablet:boat_side", row.job_id)
