"""Photos for assumptions: sent from the customer's page, looked at by the desk."""

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from shopapp.accounts.access import get_for
from shopapp.errors import FactRefused, MoveRefused, UploadRefused
from shopapp.jobs.forms.customer import PhotoOfAssumptionForm
from shopapp.jobs.models import CustomerPhoto, Quote
from shopapp.jobs.services import customer_photos as service
from shopapp.jobs.views.customer import behind_token, show_quote
from shopapp.roles import needs

SHOP = "assumption__quote__shop"


@behind_token
@require_POST
def customer_photo(request: HttpRequest, quote: Quote) -> HttpResponse:
    """Send a photo of one assumption."""
    text = request.POST.get("number", "")
    number = int(text[:4]) if text.isdecimal() else 0
    form = PhotoOfAssumptionForm(request.POST, request.FILES, number=number)
    if not form.is_valid():
        return show_quote(request, quote, 422, photo_form=form)
    try:
        service.send_photo(quote=quote, number=number, **form.said())
    except (FactRefused, UploadRefused) as error:
        form.refuse(error)
        return show_quote(request, quote, error.status, photo_form=form)
    except MoveRefused as error:
        form.add_error(None, f"{error.message} {error.todo}".strip())
        return show_quote(request, quote, error.status, photo_form=form)
    page = reverse("jobs:customer_quote", args=[quote.token])
    return redirect(f"{page}#a{number}")


@needs("quotes.see")
@require_GET
def photo_of_customer(request: HttpRequest, pk: int) -> FileResponse:
    """The picture as it was sent."""
    row = get_for(request, CustomerPhoto, pk=pk, path=SHOP)
    answer = FileResponse(row.image.open("rb"), content_type="image/jpeg")
    answer["Cache-Control"] = "private, max-age=86400, immutable"
    answer["Content-Disposition"] = "inline"
    return answer


@needs("quotes.edit")
@require_POST
def photo_settle(request: HttpRequest, pk: int) -> HttpResponse:
    """The desk's word on a photo."""
    row = get_for(request, CustomerPhoto.objects.select_related("assumption"), pk=pk, path=SHOP)
    verdict = request.POST.get("verdict", "")
    row = service.settle_photo(photo=row, verdict=verdict, by=request.user)
    messages.success(request, f"The photo {row.get_verdict_display()}.")
    where = f"#a{row.assumption.number}"
    return redirect(reverse("jobs:quote", args=[row.assumption.quote_id]) + where)
