"""Pages of sign-in, one's own account, people and the shop's settings."""

from django.contrib import messages
from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from shopapp.accounts import services
from shopapp.accounts.access import get_for
from shopapp.accounts.forms import (
    MyFactsForm,
    PasswordForm,
    PersonForm,
    ShopForm,
    SignInForm,
    TaxEndForm,
    TaxForm,
)
from shopapp.accounts.models import TaxRate, User
from shopapp.errors import FactRefused
from shopapp.roles import needs, open_to_all
from shopapp.ui.history import changes_of
from shopapp.ui.lists import list_page

read_or_send = require_http_methods(["GET", "HEAD", "POST"])


def _next_page(request: HttpRequest) -> str:
    wanted = request.POST.get("next") or request.GET.get("next") or ""
    hosts = {request.get_host()}
    if url_has_allowed_host_and_scheme(wanted, hosts, require_https=request.is_secure()):
        return wanted
    return "/"


@open_to_all
@never_cache
@sensitive_post_parameters("password")
@read_or_send
def sign_in(request: HttpRequest) -> HttpResponse:
    """Ask for name and password, then go where the person wanted to go."""
    if request.user.is_authenticated:
        return redirect(_next_page(request))
    form = SignInForm(request, data=request.POST or None)
    if request.method == "POST" and form.is_valid():
        services.begin_sign_in(request=request, user=form.get_user())
        return redirect(_next_page(request))
    facts = {"form": form, "next": _next_page(request)}
    return render(request, "accounts/sign_in.html", facts, status=422 if form.errors else 200)


@open_to_all
@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End this sign-in."""
    if request.user.is_authenticated:
        services.end_sign_ins_of_session(session_key=request.session.session_key)
    logout(request)
    messages.info(request, "You are signed out.")
    return redirect("accounts:sign_in")


@needs("self.edit")
@read_or_send
def me(request: HttpRequest) -> HttpResponse:
    """One's own facts and sign-ins."""
    form = MyFactsForm(request.POST or None, instance=request.user)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "Your details are saved.")
        return redirect("accounts:me")
    facts = {
        "form": form,
        "sign_ins": services.live_sign_ins(request.user),
        "this_session": request.session.session_key,
    }
    return render(request, "accounts/me.html", facts, status=422 if form.errors else 200)


@needs("self.edit")
@sensitive_post_parameters()
@read_or_send
def password(request: HttpRequest) -> HttpResponse:
    """Change one's own password; all other sign-ins end."""
    form = PasswordForm(request.POST or None, request=request)
    if request.method == "POST" and form.is_valid():
        services.change_own_password(
            request=request, user=request.user, fresh=form.cleaned_data["fresh"]
        )
        messages.success(request, "Your password is changed. All other sign-ins are ended.")
        return redirect("accounts:me")
    status = 422 if form.errors else 200
    return render(request, "accounts/password.html", {"form": form}, status=status)


@needs("self.edit")
@require_POST
def end_sign_in(request: HttpRequest, pk: int) -> HttpResponse:
    """End one of one's own sign-ins."""
    ended = services.end_sign_ins(user=request.user, pk=pk)
    messages.info(request, "That sign-in is ended." if ended else "That sign-in had ended before.")
    return redirect("accounts:me")


@needs("self.edit")
@require_POST
def end_other_sign_ins(request: HttpRequest) -> HttpResponse:
    """End all of one's own sign-ins but this one."""
    ended = services.end_sign_ins(user=request.user, keep_session=request.session.session_key)
    messages.info(request, f"Other sign-ins ended: {ended}.")
    return redirect("accounts:me")


@needs("people.edit")
@require_GET
def people(request: HttpRequest) -> HttpResponse:
    """Everybody of the shop."""
    rows = User.objects.filter(shop=request.user.shop).order_by("-is_active", "full_name", "pk")
    return render(request, "accounts/people.html", {"page": list_page(request, rows)})


@needs("people.edit")
@read_or_send
def add_person(request: HttpRequest) -> HttpResponse:
    """Add somebody; the temporary password is shown once."""
    form = PersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        user = form.save(commit=False)
        word = services.add_person(user=user, shop=request.user.shop)
        return render(request, "accounts/new_password.html", {"person": user, "word": word})
    status = 422 if form.errors else 200
    return render(request, "accounts/add_person.html", {"form": form}, status=status)


@needs("people.edit")
@read_or_send
def person(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a person's facts and role."""
    row = get_for(request, User, pk=pk)
    form = PersonForm(request.POST or None, instance=row)
    if request.method == "POST" and form.is_valid():
        try:
            services.save_person(user=form.instance, role=form.cleaned_data["role"])
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, f"{form.instance} is saved.")
            return redirect("accounts:people")
    facts = {"form": form, "person": get_for(request, User, pk=pk), "changes": changes_of(row)}
    return render(request, "accounts/person.html", facts, status=422 if form.errors else 200)


@needs("people.edit")
@require_POST
def reset_password(request: HttpRequest, pk: int) -> HttpResponse:
    """Give a person a new temporary password, shown once."""
    row = get_for(request, User, pk=pk)
    word = services.reset_password(user=row)
    return render(request, "accounts/new_password.html", {"person": row, "word": word})


@needs("people.edit")
@require_POST
def set_active(request: HttpRequest, pk: int) -> HttpResponse:
    """Shut a person out, or let them in again."""
    row = get_for(request, User, pk=pk)
    active = request.POST.get("active") == "yes"
    services.set_active(user=row, active=active, by=request.user)
    words = f"{row} may sign in again." if active else f"{row} can no longer sign in."
    messages.success(request, words)
    return redirect("accounts:person", pk=row.pk)


@needs("settings.edit")
@read_or_send
def shop(request: HttpRequest) -> HttpResponse:
    """The shop's name on paper, money rules, rates and taxes."""
    form = ShopForm(request.POST or None, instance=request.user.shop)
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "The settings are saved.")
        return redirect("accounts:shop")
    return _shop_page(request, form=form)


def _shop_page(request: HttpRequest, **facts: object) -> HttpResponse:
    row = request.user.shop
    facts.setdefault("form", ShopForm(instance=row))
    facts.setdefault("tax_form", TaxForm(shop=row, prefix="tax"))
    wrong = any(getattr(facts[name], "errors", None) for name in ("form", "tax_form"))
    facts |= {"taxes": row.tax_rates.all(), "changes": changes_of(row, limit=10)}
    return render(request, "accounts/shop.html", facts, status=422 if wrong else 200)


@needs("settings.edit")
@require_POST
def add_tax(request: HttpRequest) -> HttpResponse:
    """Add a tax rate from a day on."""
    form = TaxForm(request.POST, shop=request.user.shop, prefix="tax")
    if not form.is_valid():
        return _shop_page(request, tax_form=form)
    form.save()
    messages.success(request, f"{form.instance} is added.")
    return redirect("accounts:shop")


@needs("settings.edit")
@read_or_send
def end_tax(request: HttpRequest, pk: int) -> HttpResponse:
    """Name the last day of a tax rate."""
    rate = get_for(request, TaxRate, pk=pk)
    form = TaxEndForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            services.end_tax(rate=rate, last_day=form.cleaned_data["valid_until"])
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, f"{rate} ends on that day.")
            return redirect("accounts:shop")
    facts = {"form": form, "rate": rate}
    return render(request, "accounts/end_tax.html", facts, status=422 if form.errors else 200)
