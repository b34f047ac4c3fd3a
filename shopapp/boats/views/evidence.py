"""Settling disputed facts, and photos."""

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopapp.accounts.access import get_for
from shopapp.boats.forms.boats import PhotoForm, SettleForm
from shopapp.boats.models import Evidence, Photo
from shopapp.boats.services.evidence import settle_dispute
from shopapp.boats.services.photos import add_photo, remove_photo
from shopapp.boats.views.boats import own_boat
from shopapp.errors import FactRefused, UploadRefused
from shopapp.roles import needs
from shopapp.ui.lists import list_page


@needs("boats.edit")
@require_POST
def settle(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a disputed value, or settle against it."""
    row = get_for(request, Evidence.objects.select_related("boat"), pk=pk, path="boat__shop")
    form = SettleForm(request.POST)
    if not form.is_valid():
        raise FactRefused("Say which of the two values holds.", field="keep")
    settle_dispute(disputed=row, keep=form.cleaned_data["keep"] == "yes", by=request.user)
    messages.success(request, "Settled. Both values stay readable in the history.")
    return redirect("boats:boat", row.boat_id)


@needs("boats.see")
@require_http_methods(["GET", "HEAD", "POST"])
def photos(request: HttpRequest, pk: int) -> HttpResponse:
    """A boat's photos; those who may edit add more."""
    boat = own_boat(request, pk)
    form = PhotoForm(request=request)
    if request.method == "POST":
        return _add_photo(request, boat)
    return _photo_page(request, boat, form, status=200)


def _photo_page(
    request: HttpRequest, boat: object, form: PhotoForm, *, status: int
) -> HttpResponse:
    page = list_page(request, boat.photos.select_related("by"), per_page=24)
    facts = {"boat": boat, "tab": "photos", "form": form, "page": page}
    return render(request, "boats/photos.html", facts, status=status)


@needs("boats.edit")
def _add_photo(request: HttpRequest, boat: object) -> HttpResponse:
    form = PhotoForm(request.POST, request.FILES, request=request)
    if form.is_valid():
        facts = form.cleaned_data
        try:
            add_photo(boat=boat, upload=facts["image"], caption=facts["caption"], by=request.user)
        except UploadRefused as error:
            form.refuse(error)
        else:
            messages.success(request, "The photo is kept.")
            return redirect("boats:photos", boat.pk)
    return _photo_page(request, boat, form, status=422)


@needs("boats.see")
@require_GET
def photo(request: HttpRequest, pk: int) -> FileResponse:
    """One picture; a picture never changes under its number."""
    row = get_for(request, Photo, pk=pk, path="boat__shop")
    answer = FileResponse(row.image.open("rb"), content_type="image/jpeg")
    answer["Cache-Control"] = "private, max-age=86400, immutable"
    answer["Content-Disposition"] = "inline"
    return answer


@needs("boats.edit")
@require_POST
def drop_photo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a photo away that backs no evidence."""
    row = get_for(request, Photo.objects.select_related("boat"), pk=pk, path="boat__shop")
    remove_photo(photo=row)
    messages.info(request, "The photo is taken away.")
    return redirect("boats:photos", row.boat_id)
