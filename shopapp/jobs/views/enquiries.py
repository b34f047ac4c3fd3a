"""Pages of enquiries: what customers asked for, in their own words."""

from django.contrib import messages
from django.db.models import Q, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopapp.accounts.access import get_for
from shopapp.jobs.forms.enquiries import EnquiryForm
from shopapp.jobs.models import Enquiry
from shopapp.jobs.services import enquiries as service
from shopapp.jobs.survey_page import surveys_listed
from shopapp.roles import needs
from shopapp.ui.history import changes_of
from shopapp.ui.lists import list_page

read_or_send = require_http_methods(["GET", "HEAD", "POST"])
OPEN = [Enquiry.State.NEW, Enquiry.State.SURVEY]
WORDS_LIMIT = 8


@needs("enquiries.see")
@require_GET
def enquiries(request: HttpRequest) -> HttpResponse:
    """The list: open ones first of all, searched by number, customer, boat or words."""
    state = request.GET.get("state", "")
    rows = Enquiry.objects.of(request.user.shop_id).select_related("customer", "boat", "taken_by")
    rows = _matching(rows, request.GET.get("q", ""))
    if state in Enquiry.State.values:
        rows = rows.filter(state=state)
    elif state != "all":
        rows = rows.filter(state__in=OPEN)
    facts = {"page": list_page(request, rows), "state": state, "states": Enquiry.State.choices}
    return render(request, "jobs/enquiries.html", facts)


def _matching(rows: QuerySet[Enquiry], text: str) -> QuerySet[Enquiry]:
    for word in text.lower().split()[:WORDS_LIMIT]:
        rows = rows.filter(
            Q(number__iexact=word)
            | Q(customer__search__contains=word)
            | Q(boat__search__contains=word)
            | Q(words__icontains=word)
        )
    return rows


@needs("enquiries.see")
@require_GET
def enquiry(request: HttpRequest, pk: int) -> HttpResponse:
    """One enquiry with its quotes and changes."""
    rows = Enquiry.objects.select_related("customer", "boat", "taken_by")
    row = get_for(request, rows, pk=pk)
    surveys = list(surveys_listed(shop=row.shop_id, words="", state="all").filter(enquiry=row))
    facts = {
        "enquiry": row,
        "surveys_made": surveys,
        "open_survey": any(survey.state == "open" for survey in surveys),
        "phones": row.customer.phones.all(),
        "quotes": row.quotes.order_by("-made_at"),
        "changes": changes_of(row, limit=20),
    }
    return render(request, "jobs/enquiry.html", facts)


@needs("enquiries.edit")
@read_or_send
def enquiry_add(request: HttpRequest) -> HttpResponse:
    """Take down what a customer asks for."""
    start = {name: request.GET[name] for name in ("customer", "boat") if name in request.GET}
    form = EnquiryForm(request.POST or None, request=request, initial=start)
    if request.method == "POST" and form.is_valid():
        row = service.take_enquiry(enquiry=form.instance, by=request.user)
        messages.success(request, f"Enquiry {row} is taken down.")
        return redirect("jobs:enquiry", pk=row.pk)
    status = 422 if form.errors else 200
    return render(request, "jobs/enquiry_edit.html", {"form": form}, status=status)


@needs("enquiries.edit")
@read_or_send
def enquiry_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change an enquiry."""
    row = get_for(request, Enquiry.objects.select_related("customer", "boat"), pk=pk)
    number = row.number
    form = EnquiryForm(request.POST or None, instance=row, request=request)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, f"Enquiry {number} is saved.")
        return redirect("jobs:enquiry", pk=pk)
    facts = {"form": form, "enquiry": row, "number": number}
    return render(request, "jobs/enquiry_edit.html", facts, status=422 if form.errors else 200)


@needs("enquiries.edit")
@require_POST
def enquiry_close(request: HttpRequest, pk: int) -> HttpResponse:
    """Close an enquiry; one press opens it again."""
    row = get_for(request, Enquiry, pk=pk)
    service.close_enquiry(enquiry=row)
    messages.success(request, f"Enquiry {row} is closed.")
    return redirect("jobs:enquiry", pk=pk)


@needs("enquiries.edit")
@require_POST
def enquiry_reopen(request: HttpRequest, pk: int) -> HttpResponse:
    """Open a closed enquiry again."""
    row = get_for(request, Enquiry, pk=pk)
    service.reopen_enquiry(enquiry=row)
    messages.success(request, f"Enquiry {row} is open again.")
    return redirect("jobs:enquiry", pk=pk)
