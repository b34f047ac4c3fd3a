"""The first page: what waits for this person today, and three things to try."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from django.db.models import F, QuerySet
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.text import Truncator
from django.views.decorators.http import require_GET

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat
from shopapp.jobs.models import (
    CustomerPhoto,
    Document,
    Enquiry,
    Job,
    Letter,
    PickLine,
    Problem,
    Quote,
    QuoteCheck,
    Survey,
)
from shopapp.jobs.services.customer_photos import photos_to_look_at
from shopapp.jobs.services.quotes import today_of
from shopapp.jobs.services.talk import unanswered
from shopapp.roles import Role, needs

SHOWN = 6
SOON_DAYS = 5
WITHOUT_PLAN = ("case", "plan", "ports")


@dataclass(frozen=True)
class Row:
    """One thing that waits: its address, its name, what about it."""

    url: str
    name: str
    hint: str = ""


@dataclass(frozen=True)
class Waiting:
    """A heap of things that wait; `more` where further ones are behind it."""

    title: str
    rows: list[Row]
    none: str
    more: bool = False
    url: str = ""


@dataclass(frozen=True)
class Try:
    """Something to try: for whom, what, and where it begins."""

    who: str
    what: str
    how: str
    url: str


def _url(name: str, *args: Any, query: str = "") -> str:
    try:
        return reverse(name, args=args) + query
    except NoReverseMatch:
        return ""


def _heap(
    title: str, rows: QuerySet, show: Callable[[Any], Row], none: str, url: str = ""
) -> Waiting:
    found = list(rows[: SHOWN + 1])
    return Waiting(title, [show(row) for row in found[:SHOWN]], none, len(found) > SHOWN, url)


def _jobs(shop: Shop) -> QuerySet:
    return Job.objects.of(shop).defer(*WITHOUT_PLAN).select_related("boat", "technician")


def _quotes(shop: Shop) -> QuerySet:
    return Quote.objects.of(shop).select_related("boat")


def _job_row(job: Job) -> Row:
    return Row(_url("jobs:job", job.pk), f"{job.number} {job.boat.name}", job.title)


def _work_row(job: Job) -> Row:
    berth = f"berth {job.boat.berth}" if job.boat.berth else "berth not known"
    hint = f"{job.title}. {job.boat.marina or 'Marina not known'}, {berth}"
    return Row(_url("jobs:work", job.pk), f"{job.number} {job.boat.name}", hint)


def _held_row(job: Job) -> Row:
    return Row(_url("jobs:job", job.pk), f"{job.number} {job.boat.name}", job.held_reason)


def _quote_row(quote: Quote) -> Row:
    hint = f"{quote.title}, valid until {quote.valid_until:%d %b %Y}".replace(" 0", " ")
    return Row(_url("jobs:quote", quote.pk), f"{quote} {quote.boat.name}", hint)


def _answer_row(quote: Quote) -> Row:
    hint = f"{quote.get_state_display()} by {quote.answered_by}: {quote.title}"
    return Row(_url("jobs:quote", quote.pk), f"{quote} {quote.boat.name}", hint)


def _asked_row(quote: Quote) -> Row:
    hint = f"“{quote.last_text[:110]}”"
    return Row(_url("jobs:quote", quote.pk, query="#talk"), f"{quote} {quote.boat.name}", hint)


def _look_row(check: QuoteCheck) -> Row:
    quote = check.quote
    hint = f"{check.findings[0]['text']} {check.asked_by}: “{check.reason}”"
    return Row(_url("jobs:quote", quote.pk), f"{quote} {quote.boat.name}", hint)


def _survey_row(survey: Survey) -> Row:
    boat = survey.boat
    berth = f"berth {boat.berth}" if boat.berth else "berth not known"
    hint = f"{boat.marina or 'Marina not known'}, {berth}. {survey.wish[:90]}"
    return Row(_url("jobs:survey", survey.pk), f"{survey} {boat.name}", hint)


def _photo_row(photo: CustomerPhoto) -> Row:
    assumption = photo.assumption
    quote = assumption.quote
    about = Truncator(assumption.text).words(14)
    hint = f"Photo from {photo.name} for A{assumption.number}: {about}"
    where = _url("jobs:quote", quote.pk, query=f"#a{assumption.number}")
    return Row(where, f"{quote} {quote.boat.name}", hint)


def _letter_row(letter: Letter) -> Row:
    return Row(_url(letter.page, letter.pk), f"{letter.subject} to {letter.to}", letter.reason)


def _enquiry_row(enquiry: Enquiry) -> Row:
    words = enquiry.words if len(enquiry.words) < 100 else f"{enquiry.words[:99]}…"
    hint = f"{enquiry.customer.name}: “{words}”"
    return Row(_url("jobs:enquiry", enquiry.pk) or _url("jobs:enquiries"), enquiry.number, hint)


def _problem_row(problem: Problem) -> Row:
    what = problem.model.name if problem.model else "model not known"
    name = f"{problem.get_symptom_display()}: {problem.boat.name}"
    return Row(_url("jobs:problem", problem.pk), name, what)


def _paper_row(paper: Document) -> Row:
    owner = paper.subject
    page = f"jobs:{type(owner).__name__.lower()}"
    return Row(_url(page, owner.pk), f"{paper.get_kind_display()} of {owner}", paper.reason[:120])


def _short_row(line: PickLine) -> Row:
    job = line.pick_list.job
    name = f"{line.wanted - line.reserved} × {line.part.number}"
    hint = f"{line.part.name}, for {job.number}, {job.get_state_display().lower()}"
    return Row(_url("jobs:job", job.pk, query="#parts"), name, hint)


def waiting_for(user: User) -> list[Waiting]:
    """What waits for this role; at most seven queries."""
    heaps = {
        Role.WRITER: _for_writer,
        Role.TECHNICIAN: _for_technician,
        Role.PARTS: _for_parts,
        Role.MANAGER: _for_manager,
        Role.OWNER: _for_manager,
    }
    return heaps[Role(user.role)](user)


def _for_writer(user: User) -> list[Waiting]:
    shop, today = user.shop, today_of(user.shop)
    sent = _quotes(shop).filter(state="sent", valid_until__lte=today + timedelta(days=SOON_DAYS))
    week = timezone.now() - timedelta(days=7)
    answered = _quotes(shop).filter(state__in=["approved", "declined"], answered_at__gte=week)
    enquiries = Enquiry.objects.of(shop).filter(state__in=["new", "survey"])
    asked = unanswered(shop).select_related("boat")
    photos = photos_to_look_at(shop).select_related("assumption__quote__boat")
    unsent = Letter.objects.of(shop).filter(row_state="failed").defer("body")
    return [
        _heap("Customers ask", asked, _asked_row, "Every question is answered."),
        _heap("Photos from customers", photos, _photo_row, "Every photo was looked at."),
        _heap("New enquiries", enquiries.select_related("customer"), _enquiry_row,
              "Every enquiry is quoted.", _url("jobs:enquiries")),
        _heap("Quotes to send", _quotes(shop).filter(state="ready"), _quote_row,
              "No quote is ready to send.", _url("jobs:quotes")),
        _heap("Letters that did not go out", unsent, _letter_row, "Every letter went out."),
        _heap("Answered this week", answered.order_by("-answered_at"), _answer_row,
              "No customer answered this week.", _url("jobs:quotes")),
        _heap("About to run out", sent.order_by("valid_until"), _quote_row,
              "No sent quote runs out soon.", _url("jobs:quotes")),
        _heap("Ready, no day yet", _jobs(shop).filter(state="ready"), _job_row,
              "Every ready job has its day.", _url("jobs:board")),
    ]  # fmt: skip


def _for_technician(user: User) -> list[Waiting]:
    today = today_of(user.shop)
    own = _jobs(user.shop).filter(technician=user)
    due = own.filter(state__in=["scheduled", "on_job"], planned_on__lte=today)
    later = own.filter(state="scheduled", planned_on__gt=today)
    sheets = Survey.objects.of(user.shop).filter(state="open").select_related("boat")
    return [
        _heap("Your jobs today", due.order_by("planned_on"), _work_row,
              "Nothing waits for you today.", _url("jobs:mine")),
        _heap("Your next days", later.order_by("planned_on"), _work_row,
              "Nothing is on your board yet.", _url("jobs:mine")),
        _heap("Open survey sheets", sheets, _survey_row, "No boat waits for a survey.",
              _url("jobs:surveys")),
        _heap("Held", own.filter(state="held"), _held_row, "None of your jobs is held."),
    ]  # fmt: skip


def _for_parts(user: User) -> list[Waiting]:
    lines = PickLine.objects.filter(
        pick_list__job__shop=user.shop,
        pick_list__state__in=["open", "staged"],
        spare=False,
        reserved__lt=F("wanted"),
        picked__lt=F("wanted"),
    ).select_related("part", "pick_list__job")
    lines = lines.defer(*(f"pick_list__job__{name}" for name in WITHOUT_PLAN))
    soon = _jobs(user.shop).filter(state__in=["ready", "scheduled"], pick_lists__state="open")
    return [
        _heap("Short lines", lines.order_by("pick_list__job__planned_on", "pk"), _short_row,
              "No job is short of a part.", _url("jobs:shortages")),
        _heap("Totes to pick", soon.order_by(F("planned_on").asc(nulls_last=True)), _job_row,
              "Every tote is picked.", _url("jobs:pick_lists")),
    ]  # fmt: skip


def _for_manager(user: User) -> list[Waiting]:
    shop = user.shop
    week = timezone.now() - timedelta(days=7)
    problems = Problem.objects.of(shop).filter(noted_at__gte=week).select_related("boat", "model")
    papers = (
        Document.objects.of(shop)
        .filter(row_state="failed")
        .select_related("job", "quote", "survey")
    )
    looks = QuoteCheck.objects.filter(
        quote__shop=shop, quote__state="ready", quote__version=F("quote_version"), verdict="asked"
    ).select_related("quote__boat", "asked_by")
    return [
        _heap("Quotes to look at", looks, _look_row, "No quote waits for a second look."),
        _heap("Held jobs", _jobs(shop).filter(state="held"), _held_row, "No job is held.",
              _url("jobs:jobs", query="?state=held")),
        _heap("Problems of the week", problems, _problem_row, "No problem was noted this week.",
              _url("jobs:problems")),
        _heap("Work done, to be checked", _jobs(shop).filter(state="done"), _job_row,
              "Nothing waits for a check.", _url("jobs:jobs", query="?state=done")),
        _heap("Papers that failed", papers.defer(*(f"job__{name}" for name in WITHOUT_PLAN)),
              _paper_row, "Every paper was made."),
    ]  # fmt: skip


def things_to_try(shop: Shop) -> list[Try]:
    """One thing for each of three roles, each with a place to begin; two queries."""
    boat = Boat.objects.of(shop).current().filter(units__isnull=False).only("pk", "name").first()
    job = _jobs(shop).filter(state__in=["on_job", "scheduled"]).order_by("planned_on").first()
    plan = _url("planner:wish", boat.pk) if boat else ""
    work = _url("jobs:work", job.pk) if job else _url("jobs:mine")
    return [
        Try("At the front desk", "Plan a wish and quote it",
            f"Take {boat or 'a boat'}, wish for one more display, and see the ways side by side.",
            plan or _url("boats:boats")),
        Try("At the boat", "Work a job step by step",
            f"Open {job or 'a job'} as its technician: cautions, steps, readings, then close it.",
            work),
        Try("In the office", "See what keeps failing",
            "Problems over the boats that carry the same combination, and how sure the rate is.",
            _url("insights:fleet")),
    ]  # fmt: skip


def greeting(user: User) -> str:
    """Good morning, by the clock of the shop."""
    hour = timezone.localtime().hour
    part = "morning" if hour < 12 else "afternoon" if hour < 18 else "evening"
    return f"Good {part}, {str(user).split()[0]}"


@needs("home.see")
@require_GET
def home(request: HttpRequest) -> HttpResponse:
    """What waits for the person at the screen."""
    user = request.user
    facts = {
        "greeting": greeting(user),
        "today": today_of(user.shop),
        "heaps": waiting_for(user),
        "tries": things_to_try(user.shop),
    }
    return render(request, "home.html", facts)
