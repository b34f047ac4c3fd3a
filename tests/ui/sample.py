"""A page with every part on it, and its addresses, for the tests of the shared parts."""

from pathlib import Path

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.template import engines
from django.urls import include, path
from django.views.generic import RedirectView

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.ui.forms import CentsField, DeskForm, PickField
from shopapp.ui.pick import register_pick

PAGE = (Path(__file__).parent / "sample.html").read_text(encoding="utf-8")


class Line(DeskForm):
    what = forms.CharField(label="Model", max_length=30)
    serial = forms.CharField(label="Serial", required=False)
    feet = forms.IntegerField(label="Feet", help_text="As pulled.", required=False, min_value=0)
    fitter = PickField("sample-person", label="Fitted by", required=False)
    place = forms.ChoiceField(label="Place", choices=[("helm", "Helm"), ("bow", "Bow")])

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)
        self.fields["serial"].widget.attrs["data-no-copy"] = True


Lines = forms.formset_factory(Line, extra=1, can_delete=True)


class Survey(DeskForm):
    name = forms.CharField(label="Boat's name", help_text="As painted on the hull.")
    person = PickField("sample-person", label="Surveyed by")
    berth = PickField("sample-person", free=True, label="Berth", required=False)
    seen = forms.DateField(label="Seen on", required=False)
    price = CentsField(label="Quoted", required=False)
    length = forms.DecimalField(label="Length, ft", required=False)
    afloat = forms.BooleanField(label="Lies afloat now", required=False)
    note = forms.CharField(label="Note", widget=forms.Textarea, required=False)


def person_rows(request: HttpRequest, words: list[str]) -> object:
    rows = User.objects.filter(shop=request.user.shop).order_by("full_name")
    for word in words:
        rows = rows.filter(full_name__icontains=word)
    return ((row.pk, str(row), row.get_role_display()) for row in rows[:20])


def person_row(request: HttpRequest, value: str) -> User | None:
    found = User.objects.filter(shop=request.user.shop, pk=value if value.isdigit() else None)
    return found.first()


def person_label(request: HttpRequest, value: str) -> str:
    return str(person_row(request, value) or "")


register_pick("sample-person", "boats.see", person_rows, person_label, row_of=person_row)
register_pick("sample-people", "people.edit", person_rows, person_label)


def sample(request: HttpRequest) -> HttpResponse:
    form = Survey(request.POST or None, request=request)
    formset = Lines(request.POST or None, prefix="units", form_kwargs={"request": request})
    if request.method == "POST" and form.is_valid() and formset.is_valid():
        kept = [f for f in formset if f.has_changed() and f not in formset.deleted_forms]
        messages.success(request, f"Saved {form.cleaned_data['name']}, {len(kept)} units.")
        return redirect("sample")
    body = engines["django"].from_string(PAGE).render({"form": form, "formset": formset}, request)
    return HttpResponse(body, status=422 if form.errors else 200)


def refused(request: HttpRequest) -> HttpResponse:
    raise MoveRefused("The quote was sent yesterday.", todo="Make a new revision.")


def refused_fact(request: HttpRequest) -> HttpResponse:
    raise FactRefused("A boat is not 0 ft long.", field="length")


def broken(request: HttpRequest) -> HttpResponse:
    return render(request, "500.html", status=500)


urlpatterns = [
    path("", RedirectView.as_view(pattern_name="sample"), name="home"),
    path("sample/", sample, name="sample"),
    path("refused/", refused),
    path("refused-fact/", refused_fact),
    path("broken/", broken),
    path("pick/", include("shopapp.ui.urls")),
    path("", include("shopapp.accounts.urls")),
]
