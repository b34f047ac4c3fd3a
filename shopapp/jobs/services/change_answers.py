"""The answer to a change order: a yes with its name and way, a no, or taken back by the shop."""

import hashlib
import json

from django.db import transaction
from django.http import Http404
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.jobs.models import ChangeOrder, Job
from shopapp.jobs.services.changing import open_change, record
from shopapp.jobs.services.revising import revise_job
from shopapp.money import percent_of

State = ChangeOrder.State
How = ChangeOrder.How


def limit_left_cents(job: Job) -> int:
    """How much may still be changed with a note alone, by the shop's share of what was agreed."""
    share = percent_of(job.option.total_cents, job.shop.change_limit_percent)
    gone = job.changes.filter(state=State.AGREED, answered_how=How.LIMIT, total_cents__gt=0)
    return max(0, share - sum(gone.values_list("total_cents", flat=True)))


@transaction.atomic
def agree_change(
    *,
    change: ChangeOrder,
    name: str,
    how: str,
    note: str = "",
    address: str | None = None,
    by: User | None = None,
    seen: int | None = None,
) -> ChangeOrder:
    """The yes: who, how, what exactly; then steps, parts and papers of the job are revised.

    By phone the read-back stands in `note`; within the limit `note` says why nobody was asked.
    FactRefused beside `name` or `note`; MoveRefused where it is answered already or over the
    limit; StaleRecord where it changed since version `seen`. Twice agreed is revised once.
    """
    change, job = open_change(change, State.OFFERED)
    _check_answer(change, job, name, how, note, by)
    if seen is not None and seen != change.version:
        raise StaleRecord("The change was written anew meanwhile.", todo="Read it again, please.")
    change.answered_by = name.strip()[:120]
    change.answered_how, change.answer_note = how, note.strip()[:2000]
    change.answered_at, change.answered_from = timezone.now(), address
    change.digest = digest_of(change)
    change.state = State.AGREED
    change.version += 1
    change.save()
    revise_job(job=job, change=change, by=by)
    words = f"{change} agreed by {change.answered_by}, {change.get_answered_how_display()}."
    record(job, by, words)
    return change


def _check_answer(
    change: ChangeOrder, job: Job, name: str, how: str, note: str, by: User | None
) -> None:
    if not name.strip():
        raise FactRefused("Write the name of who says yes.", field="name")
    if how not in How.values or (by is None) != (how == How.LINK):
        raise FactRefused("Say how the yes was given.", field="how")
    if how == How.PHONE and not note.strip():
        raise FactRefused("Write what you read back on the phone.", field="note")
    if how == How.LIMIT:
        if not note.strip():
            raise FactRefused("Write why it was done without asking.", field="note")
        if change.total_cents > limit_left_cents(job):
            raise MoveRefused(
                "This is over the limit that may be changed without asking.",
                todo="Stop here, make it safe, and ask the customer.",
            )


@transaction.atomic
def decline_change(
    *, change: ChangeOrder, name: str, note: str, address: str | None = None, by: User | None = None
) -> ChangeOrder:
    """The no, with its name; the job goes on as it was agreed before."""
    change, job = open_change(change, State.OFFERED)
    if not name.strip():
        raise FactRefused("Write the name of who says no.", field="name")
    change.state, change.answered_at = State.DECLINED, timezone.now()
    change.answered_by, change.answer_note = name.strip()[:120], note.strip()[:2000]
    change.answered_from = address
    change.version += 1
    change.save()
    record(job, by, f"{change} declined by {change.answered_by}. {note}")
    return change


@transaction.atomic
def withdraw_change(*, change: ChangeOrder, by: User) -> ChangeOrder:
    """The shop takes it back; its link is dead."""
    change, job = open_change(change, *ChangeOrder.OPEN)
    change.state, change.token = State.WITHDRAWN, None
    change.version += 1
    change.save()
    record(job, by, f"{change} withdrawn.")
    return change


def digest_of(change: ChangeOrder) -> str:
    """SHA-256 of all that is agreed: what was found, the lines, the sums, the plan."""
    agreed = [
        str(change), change.found, change.lines, change.minutes,
        change.total_cents, change.before_cents, change.plan,
    ]  # fmt: skip
    text = json.dumps(agreed, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


def change_behind(token: str) -> ChangeOrder:
    """The change behind a customer's link; Http404 where there is none."""
    rows = ChangeOrder.objects.select_related(
        "shop", "job__boat", "job__customer", "job__quote", "job__option", "job__shop"
    )
    change = rows.filter(token=token).first() if len(token) <= 64 else None
    if change is None:
        raise Http404("There is no change order behind this address.")
    return change
