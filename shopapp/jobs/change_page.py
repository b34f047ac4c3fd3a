"""All that the pages of a change order show."""

from typing import Any

from django.urls import reverse

from planner.telling import opening_sentence
from shopapp.accounts.models import User
from shopapp.jobs.documents.common import site_address
from shopapp.jobs.forms.changes import HandLineForm, NoForm, YesForm
from shopapp.jobs.models import ChangeOrder
from shopapp.jobs.services.change_answers import limit_left_cents
from shopapp.jobs.services.changing import current_steps, options_of
from shopapp.roles import may


def line_rows(change: ChangeOrder) -> list[dict[str, Any]]:
    """The lines of the difference, with their place and the minutes and pieces that fall away."""
    return [
        row | {"place": place, "less": max(0, -row["minutes"]), "fewer": max(0, -row["quantity"])}
        for place, row in enumerate(change.lines)
    ]


def option_rows(change: ChangeOrder) -> list[dict[str, Any]]:
    """The options of the new plan, in a sentence each; none while it is being worked out."""
    run = change.run
    if run is None or run.answer is None or not run.feasible:
        return []
    return [
        {
            "number": number,
            "sentence": opening_sentence(run.case, plan),
        }
        for number, plan in enumerate(options_of(change, current_steps(change.job)), start=1)
    ]


def page_facts(change: ChangeOrder, user: User, **forms: Any) -> dict[str, Any]:
    """The facts of `jobs/change.html`."""
    may_make = may(user, "changes.make")
    facts = {
        "change": change,
        "job": change.job,
        "currency": change.job.quote.currency,
        "lines": line_rows(change),
        "rest": change.rest_cents,
        "options": option_rows(change) if change.state == "draft" else [],
        "may_make": may_make,
        "limit_left": limit_left_cents(change.job),
        "line_form": HandLineForm(),
        "yes_form": YesForm(initial={"version": change.version}),
        "no_form": NoForm(),
    }
    if change.token and change.is_open:
        facts["link"] = site_address(reverse("jobs:customer_change", args=[change.token]))
    return facts | forms
