"""What each kind of entry does to the job; the shop's own services do the work."""

from collections.abc import Callable
from dataclasses import dataclass

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused, ShopError
from shopapp.jobs.models import Job, Move
from shopapp.jobs.services.closing import AFTER_WORK, close_job
from shopapp.jobs.services.finishing import check_job, hand_over_job
from shopapp.jobs.services.scheduling import hold_job, may_let_in, may_work, start_job
from shopapp.tablet.fields import checked_fields, label_of, split_target
from shopapp.tablet.merging import Merged, merge
from shopapp.tablet.models import BoatFact, Clash, Entry
from shopapp.tablet.services.evidence import note_unit
from shopapp.tablet.services.photos import announce_photo
from shopapp.tablet.services.problems import problem_from
from shopapp.tablet.services.sheets import check_sheets_done
from shopapp.tablet.services.standing import standing_of, step_of
from shopapp.tablet.services.stepping import write_step

TAKEN = Entry.Outcome.TAKEN
STEP_TITLE = 120


@dataclass(frozen=True)
class Outcome:
    """What came of an entry, in words for the person at the tablet."""

    word: str = TAKEN
    message: str = ""
    todo: str = ""


def apply_entry(entry: Entry, *, by: User) -> Outcome:
    """Do what the entry says. ShopError where that cannot be; nothing is written then.

    `by` is who sends it now: the desk, where an entry is taken after all.
    """
    do = KINDS.get(entry.kind)
    if do is None:
        raise FactRefused(
            "The desk does not know this kind of entry.",
            todo="Reload the tablet's page while there is signal: it is of another version.",
        )
    job = (
        Job.objects.select_for_update(of=("self",))
        .select_related("boat", "technician", "shop", "customer")
        .get(pk=entry.job_id)
    )
    if not may_let_in(job=job, user=by):
        raise MoveRefused(
            f"{job} is {job.technician or 'nobody'}'s job now.",
            todo="The desk sees this entry and can take it into the job.",
        )
    return do(entry, job, by)


def _set(entry: Entry, job: Job, by: User) -> Outcome:
    """Merge fields into what stands; a true clash is kept for a person."""
    head, rest = split_target(entry.target)
    fields = checked_fields(head, entry.body.get("fields"))
    base = {name: str(value) for name, value in _dict(entry.body.get("base")).items()}
    step = step_of(job, rest, lock=True) if head == "step" else None
    standing = standing_of(job, entry.target, step)
    merged = merge(standing, base, fields, tablet=entry.tablet_id, seq=entry.seq)
    if merged.taken:
        now = {name: one.value for name, one in standing.items()} | merged.taken
        if step is not None:
            write_step(step=step, entry=entry, values=now, taken=merged.taken, by=by)
        elif head == "unit":
            note_unit(job=job, name=rest, entry=entry, taken=merged.taken)
        write_facts(entry, merged.taken)
    return _outcome(entry, job, merged, step and step.title)


def _dict(value: object) -> dict:
    return value if isinstance(value, dict) else {}


def write_facts(entry: Entry, values: dict[str, str]) -> None:
    """Keep the values as the last written of their fields."""
    for name, value in values.items():
        BoatFact.objects.update_or_create(
            job_id=entry.job_id,
            target=entry.target,
            name=name,
            defaults={
                "value": value,
                "by_id": entry.by_id,
                "made_at": entry.made_at,
                "tablet_id": entry.tablet_id,
                "seq": entry.seq,
            },
        )


def _outcome(entry: Entry, job: Job, merged: Merged, title: str | None) -> Outcome:
    for name, value in merged.clashing.items():
        _keep_clash(entry, job, name, value, title)
    if merged.clashing:
        fields = ", ".join(label_of(entry.target.partition(":")[0], one) for one in merged.clashing)
        return Outcome(
            Entry.Outcome.CLASH,
            f"Somebody else wrote another {fields} meanwhile. Both are kept.",
            "Look at both values and choose the right one.",
        )
    if merged.overtaken and not merged.taken:
        return Outcome(Entry.Outcome.OVERTAKEN, "A later entry of this tablet came first.")
    return Outcome()


def _keep_clash(entry: Entry, job: Job, name: str, value: str, title: str | None) -> None:
    head, rest = split_target(entry.target)
    fact = BoatFact.objects.filter(job=job, target=entry.target, name=name).first()
    step = step_of(job, rest) if head == "step" else None
    now = standing_of(job, entry.target, step).get(name)
    noted = fact is not None and now is not None and fact.value == now.value
    Clash.objects.create(
        job=job,
        entry=entry,
        target=entry.target,
        name=name,
        label=f"{(title or rest)[:STEP_TITLE]}: {label_of(head, name)}",
        standing=now.value if now else "",
        standing_by_id=fact.by_id if noted else getattr(step, "done_by_id", None),
        standing_at=fact.made_at if noted else getattr(step, "done_at", None),
        other=value,
        other_by_id=entry.by_id,
        other_at=entry.made_at,
    )


def _start(entry: Entry, job: Job, by: User) -> Outcome:
    if job.state != Job.State.ON_JOB:
        if job.state in AFTER_WORK:
            raise MoveRefused(f"{job} is “{job.get_state_display()}” already.")
        start_job(job=job, by=_mover(entry, job, by))
        if job.started_at is None:
            Job.objects.filter(pk=job.pk).update(started_at=entry.made_at)
    return Outcome()


def _mover(entry: Entry, job: Job, by: User) -> User:
    """Who moves the job: its author while they work it, else who takes the entry into it."""
    return entry.by if may_work(job=job, user=entry.by) else by


def _hold(entry: Entry, job: Job, by: User) -> Outcome:
    reason = str(entry.body.get("reason", ""))
    hold_job(job=job, reason=reason, by=_mover(entry, job, by))
    return Outcome()


def _close(entry: Entry, job: Job, by: User) -> Outcome:
    """Close the job with what was used; pieces come as text by the line's number."""
    used = {}
    for line, count in _dict(entry.body.get("used")).items():
        if not (str(line).isdigit() and isinstance(count, int) and 0 <= count < 100_000):
            raise FactRefused("Pieces used are whole numbers.", field="used")
        used[int(line)] = count
    close_job(job=job, by=_mover(entry, job, by), used=used)
    return Outcome()


def _move(entry: Entry, job: Job, by: User) -> Outcome:
    """Checked, or handed over: the sheets must say so first."""
    after = str(entry.body.get("after", ""))
    if after not in {Job.State.CHECKED, Job.State.HANDED_OVER}:
        raise MoveRefused("This move is made at the desk.", todo="Ask the desk.")
    check_sheets_done(job, after)
    if job.state == after:
        return Outcome()
    if after == Job.State.CHECKED:
        check_job(job=job, by=_mover(entry, job, by), words=str(entry.body.get("words", ""))[:300])
    else:
        signer = BoatFact.objects.get(job=job, target="sign:customer", name="name")
        hand_over_job(job=job, reason=signer.value, by=_mover(entry, job, by))
    return Outcome()


def _problem(entry: Entry, job: Job, _by: User) -> Outcome:
    problem = problem_from(job=job, entry=entry)
    entry.body["problem"] = problem.pk
    return Outcome()


def _photo(entry: Entry, job: Job, _by: User) -> Outcome:
    announce_photo(entry=entry, job=job)
    return Outcome()


KINDS: dict[str, Callable[[Entry, Job, User], Outcome]] = {
    "set": _set,
    "start": _start,
    "hold": _hold,
    "close": _close,
    "move": _move,
    "problem": _problem,
    "photo": _photo,
}


def words_for_moved_job(entry: Entry, by: User, error: ShopError) -> tuple[str, str]:
    """Why an entry was not written, and what to do; a job that moved meanwhile is said so."""
    job = Job.objects.select_related("technician").get(pk=entry.job_id)
    if not isinstance(error, MoveRefused):
        return error.message, error.todo or "Put it right and save it again."
    last = Move.objects.filter(job=job).select_related("by").last()
    who = f" by {last.by or last.by_name}" if last and (last.by or last.by_name) else ""
    if job.state == Job.State.CANCELLED:
        why = f" ({last.note})" if last and last.note else ""
        return (
            f"{job} was cancelled{who}{why}. Nothing more is written to it.",
            "The desk sees this entry. Ask there whether the work still counts.",
        )
    if not may_let_in(job=job, user=by):
        return error.message, "The desk sees this entry and can take it into the job."
    return error.message, error.todo or "The desk sees this entry."
