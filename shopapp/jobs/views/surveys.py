"""Survey sheets: the list, one sheet on the tablet, its answers."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from shopapp.accounts.access import get_for
from shopapp.boats.models import Boat, Photo
from shopapp.boats.services.photos import add_photo
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.forms.surveys import AnswerItemForm
from shopapp.jobs.models import Enquiry, Quote, Survey, SurveyItem
from shopapp.jobs.queries import papers_of
from shopapp.jobs.services import surveys as service
from shopapp.jobs.survey_page import groups_of, surveys_listed
from shopapp.roles import needs
from shopapp.ui.lists import list_page

WHOLE = ("boat", "boat__customer", "enquiry", "quote", "made_by", "done_by", "shop")


@needs("surveys.see")
@require_GET
def surveys(request: HttpRequest) -> HttpResponse:
    """All sheets, open ones first of all."""
    state = request.GET.get("state", "")
    rows = surveys_listed(shop=request.user.shop, words=request.GET.get("q", ""), state=state)
    facts = {"page": list_page(request, rows), "state": state, "states": Survey.State.choices}
    return render(request, "jobs/surveys.html", facts)


@needs("surveys.make")
@require_POST
def survey_of_enquiry(request: HttpRequest, pk: int) -> HttpResponse:
    """Make the sheet of an enquiry, or open the one that is open."""
    row = get_for(request, Enquiry.objects.select_related("boat__shop", "boat__customer"), pk=pk)
    if row.boat is None:
        raise MoveRefused("The enquiry names no boat.", todo="Put the boat on record first.")
    made = service.make_survey(boat=row.boat, enquiry=row, by=request.user)
    return _made(request, made)


@needs("surveys.make")
@require_POST
def survey_of_quote(request: HttpRequest, pk: int) -> HttpResponse:
    """Make the sheet of a quote, or open the one that is open."""
    rows = Quote.objects.select_related("boat__shop", "boat__customer", "run__shop", "enquiry")
    row = get_for(request, rows, pk=pk)
    made = service.make_survey(boat=row.boat, quote=row, enquiry=row.enquiry, by=request.user)
    return _made(request, made)


@needs("surveys.make")
@require_POST
def survey_of_boat(request: HttpRequest, pk: int) -> HttpResponse:
    """Make a sheet of what the records of a boat leave open."""
    row = get_for(request, Boat.objects.select_related("shop", "customer"), pk=pk)
    return _made(request, service.make_survey(boat=row, by=request.user))


def _made(request: HttpRequest, survey: Survey) -> HttpResponse:
    messages.success(request, f"Survey sheet {survey}: fill it in here, or print it.")
    return redirect("jobs:survey", pk=survey.pk)


@needs("surveys.see")
@require_GET
def survey(request: HttpRequest, pk: int) -> HttpResponse:
    """One sheet, as it is filled in aboard."""
    row = get_for(request, Survey.objects.select_related(*WHOLE), pk=pk)
    groups = groups_of(row)
    items = [entry.item for group in groups for entry in group.entries]
    facts = {
        "survey": row,
        "groups": groups,
        "answered": sum(item.state != SurveyItem.State.OPEN for item in items),
        "count": len(items),
        "papers": papers_of(survey=row),
        "open_quotes": row.boat.quotes.filter(state__in=[*Quote.OPEN_STATES, "sent"])
        .only("pk", "number", "revision", "title")
        .order_by("-made_at"),
    }
    return render(request, "jobs/survey.html", facts)


def _own_item(request: HttpRequest, pk: int) -> SurveyItem:
    rows = SurveyItem.objects.select_related("survey__boat", "photo", "by")
    return get_for(request, rows, pk=pk, path="survey__shop")


@needs("surveys.fill")
@require_POST
def survey_answer(request: HttpRequest, pk: int) -> HttpResponse:
    """Keep one answer, or that it could not be seen; the answer's own part of the page comes back.

    A picture is kept even where the value beside it is refused, so that it is not taken twice.
    """
    item = _own_item(request, pk)
    form = AnswerItemForm(request.POST, request.FILES, item=item)
    if form.is_valid():
        try:
            _keep(request, item, form)
        except FactRefused as error:
            form.refuse(error)
        else:
            item.refresh_from_db()
            form = AnswerItemForm(item=item)
    if not request.htmx:
        if form.errors:
            words = " ".join(one for errors in form.errors.values() for one in errors)
            raise FactRefused(words)
        return redirect(f"{reverse('jobs:survey', args=[item.survey_id])}#i{pk}")
    facts = {"item": item, "form": form, "survey": item.survey, "saved": not form.errors}
    return render(request, "jobs/_survey_item.html", facts, status=422 if form.errors else 200)


def _keep(request: HttpRequest, item: SurveyItem, form: AnswerItemForm) -> None:
    facts = form.cleaned_data
    if "could_not" in request.POST:
        service.could_not(item=item, note=facts["note"], by=request.user)
        return
    photo = _photo(request, item, form)
    service.answer_item(
        item=item,
        value=facts.get("value", ""),
        how=facts["how"],
        seen_at=facts["seen_at"],
        note=facts["note"],
        photo=photo,
        by=request.user,
    )


def _photo(request: HttpRequest, item: SurveyItem, form: AnswerItemForm) -> Photo | None:
    upload = form.cleaned_data["image"]
    if upload is None:
        return None
    caption = f"{item.question} ({item.survey})"[:120]
    return add_photo(boat=item.survey.boat, upload=upload, by=request.user, caption=caption)


@needs("surveys.fill")
@require_POST
def survey_close(request: HttpRequest, pk: int) -> HttpResponse:
    """The visit is over."""
    row = get_for(request, Survey, pk=pk)
    service.close_survey(survey=row, by=request.user)
    messages.success(request, f"Survey {row} is done; the answers are on the boat's record.")
    return redirect("jobs:survey", pk=pk)


@needs("surveys.make")
@require_POST
def survey_drop(request: HttpRequest, pk: int) -> HttpResponse:
    """The visit will not be."""
    row = get_for(request, Survey, pk=pk)
    service.drop_survey(survey=row, by=request.user)
    messages.success(request, f"Survey {row} is dropped; what was answered stays.")
    return redirect("jobs:survey", pk=pk)
