"""The customer's own page of a quote: no sign-in, an address that cannot be guessed."""

from collections.abc import Callable
from functools import wraps

from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST

from shopapp.errors import FactRefused, LinkGone, MoveRefused
from shopapp.jobs.documents.files import open_paper
from shopapp.jobs.forms.customer import AcceptForm, DeclineForm, QuestionForm
from shopapp.jobs.models import Document, Quote
from shopapp.jobs.photo_rows import add_photo_forms
from shopapp.jobs.quote_pages import changes_of, customer_options, sent_before
from shopapp.jobs.services.acceptance import accept_quote, decline_quote
from shopapp.jobs.services.deposits import money_of
from shopapp.jobs.services.quotes import undecided
from shopapp.jobs.services.sending import quote_behind
from shopapp.jobs.services.talk import ask_question
from shopapp.jobs.views import throttle
from shopapp.roles import open_to_all
from shopapp.work.models import RowState

Page = Callable[[HttpRequest, Quote], HttpResponse]
ANSWERED = {Quote.State.APPROVED, Quote.State.DECLINED}


def behind_token(page: Page) -> Callable[[HttpRequest, str], HttpResponse]:
    """Find the quote of the token; an address that ran out gets a page of its own, 410."""

    @wraps(page)
    def found(request: HttpRequest, token: str) -> HttpResponse:
        if throttle.is_tired(request):
            return render(request, "jobs/customer_tired.html", status=429)
        try:
            quote = quote_behind(token)
        except Http404:
            throttle.note_miss(request)
            raise
        except LinkGone as error:
            return render(request, "jobs/customer_gone.html", {"error": error}, status=410)
        answer = page(request, quote)
        # The address is the key: it must not travel on to other sites or into an index.
        # "no-referrer" would send `Origin: null` with the form, and the answer would be refused.
        answer["Referrer-Policy"] = "same-origin"
        answer["X-Robots-Tag"] = "noindex, nofollow"
        return answer

    return open_to_all(never_cache(found))


def _paper(quote: Quote) -> Document | None:
    papers = Document.objects.filter(quote=quote, kind=Document.DocumentKind.QUOTE)
    return papers.filter(row_state=RowState.READY).order_by("-version").first()


def _offer(request: HttpRequest, quote: Quote, status: int = 200, **forms: object) -> HttpResponse:
    facts = {
        "quote": quote,
        "shop": quote.shop,
        "paper": _paper(quote),
        "undecided": undecided(quote),
        "accept_form": AcceptForm(quote=quote),
        "decline_form": DeclineForm(),
        **_talk(quote),
        "changes": changes_of(quote, offered_only=True) if sent_before(quote) else None,
        **customer_options(quote),
        **forms,
    }
    add_photo_forms(quote, facts)
    return render(request, "jobs/customer_quote.html", facts, status=status)


def _answered(
    request: HttpRequest,
    quote: Quote,
    status: int = 200,
    *,
    again: bool = False,
    **forms: object,
) -> HttpResponse:
    facts = {
        "quote": quote,
        "shop": quote.shop,
        "paper": _paper(quote),
        "again": again,
        **_talk(quote),
        **forms,
    }
    if quote.accepted_option is not None:
        facts |= customer_options(quote, only=quote.accepted_option)
        facts |= {"money": money_of(quote), "approval": getattr(quote, "approval", None)}
        add_photo_forms(quote, facts)
    code = 409 if again else status
    return render(request, "jobs/customer_answered.html", facts, status=code)


def show_quote(request: HttpRequest, quote: Quote, status: int, **forms: object) -> HttpResponse:
    """The page as it stands, with a form that was refused."""
    show = _answered if quote.state in ANSWERED else _offer
    return show(request, quote, status, **forms)


def _talk(quote: Quote) -> dict[str, object]:
    asked = list(quote.messages.all())
    last = next((one.name for one in reversed(asked) if not one.from_shop), "")
    form = QuestionForm(initial={"name": last or quote.customer.name})
    return {"talk": asked, "question_form": form}


@behind_token
@require_GET
def customer_quote(request: HttpRequest, quote: Quote) -> HttpResponse:
    """The offer, or what was answered."""
    return _answered(request, quote) if quote.state in ANSWERED else _offer(request, quote)


@behind_token
@require_POST
def customer_accept(request: HttpRequest, quote: Quote) -> HttpResponse:
    """Accept one option by name and tick."""
    if quote.state in ANSWERED:
        return _answered(request, quote, again=True)
    form = AcceptForm(request.POST, quote=quote)
    if not form.is_valid():
        return _offer(request, quote, 422, accept_form=form)
    said = {"option": form.cleaned_data["option"], "name": form.cleaned_data["name"]}
    return _answer(
        request,
        quote,
        form,
        lambda: accept_quote(quote=quote, **said, **_from(request), browser=_browser(request)),
    )


@behind_token
@require_POST
def customer_decline(request: HttpRequest, quote: Quote) -> HttpResponse:
    """Decline, with a reason where one is given."""
    if quote.state in ANSWERED:
        return _answered(request, quote, again=True)
    form = DeclineForm(request.POST)
    if not form.is_valid():
        return _offer(request, quote, 422, decline_form=form)
    said = form.cleaned_data
    return _answer(
        request, quote, form, lambda: decline_quote(quote=quote, **said, **_from(request))
    )


def _from(request: HttpRequest) -> dict[str, str | None]:
    return {"address": throttle.address_of(request) or None}


def _browser(request: HttpRequest) -> str:
    return request.META.get("HTTP_USER_AGENT", "")


def _answer(
    request: HttpRequest, quote: Quote, form: AcceptForm | DeclineForm, act: Callable[[], object]
) -> HttpResponse:
    name = "accept_form" if isinstance(form, AcceptForm) else "decline_form"
    token = quote.token
    try:
        act()
    except FactRefused as error:
        form.refuse(error)
        return _offer(request, quote, error.status, **{name: form})
    except MoveRefused as error:
        return _refused(request, token, error)
    return redirect("jobs:customer_quote", token=token)


def _refused(request: HttpRequest, token: str, error: MoveRefused) -> HttpResponse:
    """Somebody answered first: show what was answered; else say why it is not open."""
    now = quote_behind(token)
    if now.state in ANSWERED:
        return _answered(request, now, again=True)
    raise error


@behind_token
@require_POST
def customer_ask(request: HttpRequest, quote: Quote) -> HttpResponse:
    """Ask the shop something; the answer stands on this page."""
    form = QuestionForm(request.POST)
    if not form.is_valid():
        return show_quote(request, quote, 422, question_form=form)
    try:
        ask_question(quote=quote, **form.cleaned_data)
    except (FactRefused, MoveRefused) as error:
        form.add_error(None, f"{error.message} {error.todo}".strip())
        return show_quote(request, quote, error.status, question_form=form)
    page = reverse("jobs:customer_quote", args=[quote.token])
    return redirect(f"{page}?asked=yes#talk")


@behind_token
@require_GET
def customer_paper(request: HttpRequest, quote: Quote) -> FileResponse:
    """The quote as PDF."""
    paper = _paper(quote)
    if paper is None:
        raise Http404("The paper is not ready yet.")
    return open_paper(paper)
