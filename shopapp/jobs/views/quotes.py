"""Pages of quotes: the list, one quote with its options, its words, its moves."""

from functools import partial

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from planner.models import PlanRun
from planner.services import start_plan
from shopapp.accounts.access import get_for
from shopapp.jobs import quote_pages
from shopapp.jobs.documents.common import site_address
from shopapp.jobs.forms.customer import ReplyForm
from shopapp.jobs.forms.lines import AddLineForm
from shopapp.jobs.forms.quotes import AssumptionForm, OptionForm, SendForm, WordsForm
from shopapp.jobs.forms.saving import saved
from shopapp.jobs.models import Assumption, Enquiry, Letter, Quote, QuoteOption
from shopapp.jobs.photo_rows import add_photos
from shopapp.jobs.queries import papers_of
from shopapp.jobs.services import quotes as service
from shopapp.jobs.services.acceptance import still_as_agreed
from shopapp.jobs.services.deposits import money_of
from shopapp.jobs.services.moves import move_quote
from shopapp.jobs.services.second_look import Look, hand_in, look_of, margins_of
from shopapp.jobs.services.sending import expire_if_over, send_quote
from shopapp.roles import needs
from shopapp.ui.lists import list_page

# More guesses than this on a quote mean: survey first (common practice, no source).
SURVEY_FIRST = 7
UNSETTLED = {Assumption.State.OPEN, Assumption.State.ASKED}
read_or_send = require_http_methods(["GET", "HEAD", "POST"])
WHOLE = (
    "shop", "boat", "customer", "run", "enquiry", "made_by", "accepted_option", "replaces",
    "approval__paper",
)  # fmt: skip


@needs("quotes.see")
@require_GET
def quotes(request: HttpRequest) -> HttpResponse:
    """All quotes, newest first."""
    words, state = request.GET.get("q", "").strip()[:80], request.GET.get("state", "")
    rows = quote_pages.quotes_listed(shop=request.user.shop, words=words, state=state)
    page = list_page(request, rows)
    for row in page.items:
        expire_if_over(row)
    quote_pages.add_lowest(page.items)
    facts = {"page": page, "states": Quote.State.choices, "state": state}
    return render(request, "jobs/quotes.html", facts)


@needs("quotes.see")
@require_GET
def quote(request: HttpRequest, pk: int) -> HttpResponse:
    """One quote: options side by side, and one of them in full."""
    row = get_for(request, Quote.objects.select_related(*WHOLE), pk=pk)
    expire_if_over(row)
    return render(request, "jobs/quote.html", _quote_facts(request, row))


def _quote_facts(request: HttpRequest, row: Quote) -> dict[str, object]:
    options = list(row.options.prefetch_related("lines"))
    assumptions = list(row.assumptions.select_related("settled_by"))
    add_photos(assumptions)
    chosen = quote_pages.chosen_option(options, request.GET.get("option", ""), row)
    sheet = quote_pages.sheet_of(row, options, assumptions)
    quote_pages.add_marks(options)
    column = sheet.columns[options.index(chosen)]
    look = look_of(row, options) if row.is_open else Look([], None)
    return {
        "quote": row,
        "options": options,
        "heads": list(zip(options, sheet.columns, strict=True)),
        "sheet": sheet,
        "turned": quote_pages.remedies_turn(options),
        "shown": quote_pages.option_page(
            quote=row, option=chosen, column=column, assumptions=assumptions
        ),
        "assumptions": assumptions,
        "many_assumptions": sum(one.state in UNSETTLED for one in assumptions) > SURVEY_FIRST,
        "assumption_states": Assumption.State.choices,
        "undecided": service.undecided_of(options, assumptions),
        "papers": papers_of(quote=row),
        **_talk_facts(row),
        "approval": getattr(row, "approval", None),
        "money": money_of(row) if row.state == Quote.State.APPROVED else None,
        "letters": row.letters.select_related("by"),
        "moves": row.moves.select_related("by"),
        "job": getattr(row, "job", None),
        "newer": getattr(row, "replaced_by", None),
        "add_form": AddLineForm(request=request),
        "send_form": SendForm(),
        "link": request.build_absolute_uri(_link(row.token)) if row.token else "",
        "changes": quote_pages.changes_of(row),
        "look": look,
        "noted": quote_pages.noted_since(row),
        "open_survey": row.surveys.filter(state="open").first() if row.is_open else None,
        "had_a_hand": look.is_asked and hand_in(row, request.user),
        "margins": margins_of(shop=row.shop, lines=list(chosen.lines.all())),
        "as_agreed": row.state != Quote.State.APPROVED or still_as_agreed(row),
    }


def _talk_facts(row: Quote) -> dict[str, object]:
    talk = list(row.messages.all())
    last = talk[-1] if talk else None
    return {
        "talk": talk,
        "talk_last": last,
        "talk_answered": last is None or last.from_shop,
        "reply_form": ReplyForm(),
    }


def _link(token: str) -> str:
    return reverse("jobs:customer_quote", args=[token])


@needs("quotes.edit")
@require_POST
def quote_from_run(request: HttpRequest, run: int) -> HttpResponse:
    """Make the quote of a planning, or the next revision where it plans a quote again."""
    planned = get_for(request, PlanRun.objects.select_related("shop", "boat__customer"), pk=run)
    asked = request.POST.get("enquiry", "")
    enquiry = get_for(request, Enquiry, pk=int(asked)) if asked.isdecimal() else None
    made = service.quote_of_run(run=planned, by=request.user, enquiry=enquiry)
    messages.success(request, f"Quote {made} is made.")
    return redirect("jobs:quote", pk=made.pk)


@needs("quotes.edit")
@read_or_send
def quote_words(request: HttpRequest, pk: int) -> HttpResponse:
    """Title, words, terms, last day and deposit."""
    row = get_for(request, Quote.objects.select_related("shop"), pk=pk)
    form = WordsForm(request.POST or None, instance=row, initial={"version": row.version})
    if request.method == "POST" and saved(form, pk, partial(_write_words, form, pk)):
        messages.success(request, "The words are saved.")
        return redirect("jobs:quote", pk=pk)
    return render(
        request, "jobs/quote_words.html", {"quote": row, "form": form}, status=form.status
    )


def _write_words(form: WordsForm, pk: int) -> None:
    # The form's own instance holds what was typed: the service gets a fresh row.
    fresh = Quote.objects.select_related("shop").get(pk=pk)
    service.change_head(quote=fresh, seen=form.cleaned_data["version"], facts=form.facts())


@needs("quotes.edit")
@read_or_send
def quote_option(request: HttpRequest, pk: int) -> HttpResponse:
    """An option's name and sentence, and whether the customer sees it."""
    rows = QuoteOption.objects.select_related("quote")
    row = get_for(request, rows, pk=pk, path="quote__shop")
    start = {"version": row.quote.version}
    form = OptionForm(request.POST or None, instance=row, initial=start)
    if request.method == "POST" and saved(form, row.quote_id, partial(_write_option, form, pk)):
        messages.success(request, "The option is saved.")
        return redirect(option_url(row))
    facts = {"quote": row.quote, "option": row, "form": form}
    return render(request, "jobs/quote_option.html", facts, status=form.status)


def _write_option(form: OptionForm, pk: int) -> None:
    fresh = QuoteOption.objects.select_related("quote").get(pk=pk)
    service.change_option(option=fresh, seen=form.cleaned_data["version"], facts=form.facts())


def option_url(option: QuoteOption) -> str:
    """The quote's page with this option open."""
    return f"{reverse('jobs:quote', args=[option.quote_id])}?option={option.position}#lines"


@needs("quotes.edit")
@require_POST
def quote_move(request: HttpRequest, pk: int, after: str) -> HttpResponse:
    """Mark ready, needs survey, or being built; all other moves have acts of their own."""
    if after not in Quote.OPEN_STATES:
        raise Http404("There is no such move here.")
    row = get_for(request, Quote, pk=pk)
    move_quote(quote=row, after=after, by=request.user, note=request.POST.get("note", ""))
    messages.success(request, f"Quote {row} is “{row.get_state_display()}”.")
    return redirect("jobs:quote", pk=pk)


@needs("quotes.send")
@require_POST
def quote_send(request: HttpRequest, pk: int) -> HttpResponse:
    """Send a ready quote by link and, where there is an address, by e-mail."""
    row = get_for(request, Quote.objects.select_related("shop", "customer", "boat"), pk=pk)
    form = SendForm(request.POST)
    form.is_valid()
    letter = send_quote(
        quote=row,
        by=request.user,
        link=site_address(_link("{token}")).replace("%7Btoken%7D", "{token}"),
        subject_ok=form.cleaned_data["subject_ok"],
    )
    messages.success(request, _letter_words(letter))
    return redirect("jobs:quote", pk=pk)


def _letter_words(letter: Letter | None) -> str:
    if letter is None:
        return "The quote is open: give the customer the link below."
    return f"The quote is sent: the letter to {letter.to} goes out with the PDF, see Letters."


@needs("quotes.edit")
@require_POST
def quote_revise(request: HttpRequest, pk: int) -> HttpResponse:
    """Make the next revision with everything copied."""
    row = get_for(request, Quote.objects.select_related("run__shop", "run__boat__customer"), pk=pk)
    fresh = service.revise_quote(quote=row, by=request.user)
    messages.success(request, f"{fresh} is the new revision; the link of {row} says so.")
    return redirect("jobs:quote", pk=fresh.pk)


@needs("plans.make")
@require_POST
def quote_again(request: HttpRequest, pk: int) -> HttpResponse:
    """Plan the same wish again with the records of today."""
    row = get_for(request, Quote.objects.select_related("run", "boat__shop"), pk=pk)
    run = start_plan(boat=row.boat, wishes=row.run.wishes, by=request.user, again_of=row.run)
    return redirect("planner:run", pk=run.pk)


@needs("quotes.edit")
@require_POST
def assumption_settle(request: HttpRequest, pk: int) -> HttpResponse:
    """Say what became of an assumption."""
    row = get_for(request, Assumption, pk=pk, path="quote__shop")
    form = AssumptionForm(request.POST)
    if form.is_valid():
        state = form.cleaned_data["state"]
        service.settle_assumption(assumption=row, state=state, by=request.user)
        messages.success(request, f"A{row.number} is “{row.get_state_display().lower()}”.")
    return redirect(f"{reverse('jobs:quote', args=[row.quote_id])}#assumptions")
