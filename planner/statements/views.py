"""Pages of statements."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from planner.ageing import soft_after_days
from planner.models import Statement
from planner.statements import queries, services
from planner.statements.forms import SLOTS, StatementForm
from planner.statements.words import VERBS, models_query, rule_parts, tell_rule, verb_of
from shopapp.accounts.access import get_for
from shopapp.catalog.models import Kind
from shopapp.errors import FactRefused, MoveRefused
from shopapp.roles import needs
from shopapp.ui.history import changes_of
from shopapp.ui.lists import list_page

read_or_send = require_http_methods(["GET", "HEAD", "POST"])
STATES = [("", "In force"), ("superseded", "Superseded"), ("retired", "Retired")]


@needs("statements.see")
@require_GET
def statements(request: HttpRequest) -> HttpResponse:
    """Statements in force, or those superseded or retired, by words and filters."""
    shop = request.user.shop
    rows = queries.statements_found(shop, request.GET, timezone.localdate())
    facts = {
        "page": list_page(request, rows),
        "verbs": VERBS.items(),
        "kinds": Kind.choices,
        "confidences": Statement.Confidence.choices,
        "states": STATES,
        "models": queries.names_of(shop).items(),
        "asked": request.GET,
    }
    return render(request, "planner/statements.html", facts)


def _statement(request: HttpRequest, pk: int) -> Statement:
    rows = Statement.objects.select_related("supersedes", "superseded_by", "entered_by", "shop")
    return get_for(request, rows, pk=pk)


@needs("statements.see")
@require_GET
def statement(request: HttpRequest, pk: int) -> HttpResponse:
    """One statement: in words, as fields, who says so, how sure, what it supersedes."""
    row = _statement(request, pk)
    names = queries.names_of(row.shop)
    facts = {
        "statement": row,
        "in_words": tell_rule(row.rule, names),
        "verb": VERBS.get(verb_of(row.rule), "Not known"),
        "count": row.rule.get(verb_of(row.rule)),
        "parts": rule_parts(row.rule, names),
        "asks": models_query(row.rule, names),
        "soft_months": 6 if soft_after_days(row.rule) < 365 else 12,
        "later": getattr(row, "superseded_by", None),
        "chain": queries.chain_of(row),
        "changes": changes_of(row, limit=15),
    }
    return render(request, "planner/statement.html", facts)


@needs("statements.see")
@require_GET
def statement_called(request: HttpRequest, code: str) -> HttpResponse:
    """The statement of a number, for pages that keep only that."""
    row = get_for(request, Statement.objects.only("pk"), code=code)
    return redirect("planner:statement", row.pk)


@needs("statements.edit")
@read_or_send
def add(request: HttpRequest) -> HttpResponse:
    """Add a statement."""
    return _edit(request, Statement())


@needs("statements.edit")
@read_or_send
def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Mend a statement in force; a new paper supersedes it instead."""
    row = _statement(request, pk)
    _check_in_force(row)
    return _edit(request, row)


@needs("statements.edit")
@read_or_send
def supersede(request: HttpRequest, pk: int) -> HttpResponse:
    """Enter the statement that takes another's place, begun from its rule."""
    old = _statement(request, pk)
    _check_in_force(old)
    fresh = Statement(
        rule=old.rule,
        text=old.text,
        source=old.source,
        source_kind=old.source_kind,
        confidence=old.confidence,
        supersedes=old,
    )
    return _edit(request, fresh)


def _check_in_force(row: Statement) -> None:
    later = getattr(row, "superseded_by", None)
    if later:
        words = f"{row.code} is superseded by {later.code} and stays as it was."
        raise MoveRefused(words, todo=f"Change {later.code} instead.")
    if row.retired_at:
        raise MoveRefused(f"{row.code} is retired.", todo="Bring it back first.")


def _edit(request: HttpRequest, row: Statement) -> HttpResponse:
    name, old = row.code if row.pk else "", row.supersedes
    form = StatementForm(request.POST or None, request=request, instance=row)
    if request.method == "POST" and form.is_valid():
        try:
            accept = form.cleaned_data["accept"]
            services.save_statement(
                statement=form.save_rule(), by=request.user, accept_clash=accept
            )
        except FactRefused as error:
            form.refuse(error)
        else:
            messages.success(request, f"{row.code} is saved and in force.")
            return redirect("planner:statement", row.pk)
    facts = {"form": form, "row": row, "name": name, "old": old, "slots": SLOTS}
    status = 422 if request.method == "POST" else 200
    return render(request, "planner/statement_edit.html", facts, status=status)


@needs("statements.edit")
@require_POST
def retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a statement out of force, or put it back."""
    row = _statement(request, pk)
    if request.POST.get("retired") == "yes":
        services.retire_statement(statement=row)
        messages.success(request, f"{row.code} is retired and out of force.")
    else:
        services.restore_statement(statement=row)
        messages.success(request, f"{row.code} is back.")
    return redirect("planner:statement", row.pk)
