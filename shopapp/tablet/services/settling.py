"""A person decides: which of two values is right, and what becomes of an entry kept back."""

from django.db import transaction
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused, StaleRecord
from shopapp.jobs.models import Job
from shopapp.jobs.services.scheduling import may_let_in
from shopapp.roles import may
from shopapp.tablet.models import BoatFact, Clash, Entry, Helper
from shopapp.tablet.services.evidence import note_unit
from shopapp.tablet.services.standing import standing_of, step_of
from shopapp.tablet.services.stepping import write_step
from shopapp.tablet.services.taking import run_entry

Chosen = Clash.Chosen


@transaction.atomic
def settle_clash(*, clash: Clash, chosen: str, by: User) -> Clash:
    """Say which value is right; the other one stays on record beside it.

    StaleRecord where somebody settled it differently before; MoveRefused where this person may
    not work the job.
    """
    if chosen not in {Chosen.STANDING, Chosen.OTHER}:
        raise FactRefused("Choose one of the two values.", field="chosen")
    fresh = Clash.objects.select_for_update(of=("self",)).select_related("entry", "job")
    clash = fresh.get(pk=clash.pk)
    _check_may(clash.job, by)
    if clash.chosen:
        if clash.chosen == chosen:
            return clash
        raise StaleRecord(f"{clash.settled_by} settled this first: {clash.get_chosen_display()}.")
    if chosen == Chosen.OTHER:
        _write_other(clash, by)
    clash.chosen, clash.settled_by, clash.settled_at = chosen, by, timezone.now()
    clash.save(update_fields=["chosen", "settled_by", "settled_at"])
    return clash


def _check_may(job: Job, by: User) -> None:
    if not may_let_in(job=job, user=by):
        raise MoveRefused(f"{job} is not yours to decide on.", todo="Ask its technician.")


def _write_other(clash: Clash, by: User) -> None:
    head, _, rest = clash.target.partition(":")
    taken = {clash.name: clash.other}
    job = Job.objects.select_related("boat", "technician").get(pk=clash.job_id)
    step = step_of(job, rest, lock=True) if head == "step" else None
    values = {name: one.value for name, one in standing_of(job, clash.target, step).items()}
    if step is not None:
        write_step(step=step, entry=clash.entry, values=values | taken, taken=taken, by=by)
    elif head == "unit":
        note_unit(job=job, name=rest, entry=clash.entry, taken=taken)
    BoatFact.objects.update_or_create(
        job=job,
        target=clash.target,
        name=clash.name,
        # Settled by a person: no tablet's own any more, so a later entry is weighed anew.
        defaults={
            "value": clash.other,
            "by": by,
            "made_at": timezone.now(),
            "tablet": None,
            "seq": 0,
        },
    )


@transaction.atomic
def take_after_all(*, entry: Entry, by: User) -> Entry:
    """Try an entry that was kept back once more, in the name of whoever decides.

    MoveRefused with the reason where it still cannot be written.
    """
    entry = _kept_back(entry)
    run_entry(entry, by=by)
    if entry.outcome == Entry.Outcome.REFUSED:
        raise MoveRefused(entry.message, todo=entry.todo)
    _decide(entry, by)
    return entry


@transaction.atomic
def leave_out(*, entry: Entry, by: User) -> Entry:
    """Leave an entry out of the job; what was sent stays on record."""
    entry = _kept_back(entry)
    entry.outcome = Entry.Outcome.LEFT_OUT
    entry.save(update_fields=["outcome"])
    _decide(entry, by)
    return entry


def _kept_back(entry: Entry) -> Entry:
    fresh = Entry.objects.select_for_update(of=("self",)).select_related("by").get(pk=entry.pk)
    if fresh.outcome != Entry.Outcome.REFUSED:
        raise StaleRecord(f"This entry was decided before: {fresh.get_outcome_display()}.")
    return fresh


def _decide(entry: Entry, by: User) -> None:
    entry.decided_by, entry.decided_at = by, timezone.now()
    entry.save(update_fields=["decided_by", "decided_at"])


def add_helper(*, job: Job, user: User) -> Helper:
    """Let somebody work a job beside its technician. FactRefused for who does not work on boats."""
    if user.shop_id != job.shop_id or not may(user, "jobs.work"):
        raise FactRefused(f"{user} does not work on boats.", field="user")
    row, _ = Helper.objects.get_or_create(job=job, user=user)
    return row


def drop_helper(*, job: Job, user: User) -> None:
    """Take somebody off a job; what they entered stays."""
    Helper.objects.filter(job=job, user=user).delete()
