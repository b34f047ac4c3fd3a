"""Close a job: its outcome is written to the boat's record, its parts leave the shelf."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.db import transaction
from django.utils import timezone

from shopapp.accounts.models import User
from shopapp.boats.models import Evidence
from shopapp.boats.services.evidence import lock_boat
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Job, PickLine, PickList, WorkStep
from shopapp.jobs.services.as_built import AsBuilt
from shopapp.jobs.services.moves import move_job
from shopapp.jobs.services.releasing import drop_order, unsettled_lists
from shopapp.jobs.services.scheduling import may_work
from shopapp.jobs.services.serials import fit_pieces
from shopapp.stock.services import give_back, hand_out

AFTER_WORK = frozenset({"done", "checked", "handed_over", "billed", "closed"})
NAMED = 6
COUNTS = ["state", "picked", "reserved", "ordered", "issued", "used", "returned", "purchase_line"]


@dataclass(frozen=True)
class Closing:
    """What closing wrote: evidence on the boat's record, and the steps that were left."""

    job: Job
    written: tuple[Evidence, ...]
    left: tuple[WorkStep, ...]


@transaction.atomic
def close_job(*, job: Job, by: User, used: Mapping[int, int] | None = None) -> Closing:
    """Bring a job from “on the job” to “work done”, and write what was done to the boat.

    `used` maps pick lines to the pieces used; without it, what was reserved is used for
    the steps done, and spares go back. Closing a second time changes nothing. MoveRefused
    where cautions or steps are open (they are named), or the job is not being worked on.
    """
    rows = Job.objects.select_for_update(of=("self",)).select_related("boat", "technician")
    job = rows.get(pk=job.pk)
    if job.state in AFTER_WORK:
        return outcome_of(job)
    _check_theirs(job, by)
    steps = list(job.steps.select_related("done_by"))
    _check_answered(job, steps)
    lock_boat(job.boat)
    move_job(job=job, after=Job.State.DONE, by=by, facts={"done_at": timezone.now()})
    AsBuilt(job, [step for step in steps if step.revision == job.revision], by).write()
    _issue(job, used or {}, steps, by)
    return outcome_of(job)


def outcome_of(job: Job) -> Closing:
    """What a closed job wrote, and what it left undone; two queries."""
    rows = job.boat.evidence.filter(job_number=job.number)
    written = rows.select_related("unit__model", "cable", "by").order_by("unit", "cable", "pk")
    undone = [WorkStep.State.COULD_NOT, WorkStep.State.SKIPPED]
    left = job.steps.filter(state__in=undone).select_related("done_by")
    return Closing(job, tuple(written), tuple(left))


def open_steps(steps: Iterable[WorkStep]) -> list[WorkStep]:
    """The steps that stand between the job and its end."""
    return [step for step in steps if step.state == WorkStep.State.TODO]


def _check_theirs(job: Job, by: User) -> None:
    if not may_work(job=job, user=by):
        raise MoveRefused(
            f"{job} is {job.technician or 'nobody'}'s job.", todo="Ask the desk to give it to you."
        )
    if job.state != Job.State.ON_JOB:
        raise MoveRefused(
            f"{job} is “{job.get_state_display()}”.", todo="Only a job being worked on is closed."
        )


def _check_answered(job: Job, steps: list[WorkStep]) -> None:
    left = open_steps(steps)
    if not left:
        return
    named = "; ".join(step.title for step in left[:NAMED])
    more = f"; and {len(left) - NAMED} more" if len(left) > NAMED else ""
    what = "caution is" if len(left) == 1 and left[0].caution else "step is"
    count = f"{len(left)} steps are" if len(left) > 1 else f"1 {what}"
    raise MoveRefused(
        f"{count} not answered on {job}: {named}{more}.",
        todo="Answer each: did it, or could not with the reason.",
    )


def _issue(job: Job, used: Mapping[int, int], steps: list[WorkStep], by: User) -> None:
    """Write what was used; what never left the shelf is free again. Once only."""
    for pick_list in unsettled_lists(job).select_for_update():
        lines = list(pick_list.lines.select_related("stock", "part__model"))
        unused = _left_over(job, steps)
        for line in lines:
            _settle(job, line, used.get(line.pk, default_used(line, unused)), by)
        PickLine.objects.bulk_update(lines, COUNTS)
        pick_list.state = PickList.State.ISSUED
        pick_list.issued_at = pick_list.issued_at or timezone.now()
        pick_list.settled_at = timezone.now()
        pick_list.save(update_fields=["state", "issued_at", "settled_at"])


def _left_over(job: Job, steps: list[WorkStep]) -> dict[str, int]:
    """Model code -> how many units of it were not fitted after all."""
    models = {row["unit"]: row["model"] for row in job.plan.get("units", [])}
    found: dict[str, int] = {}
    for step in steps:
        if step.kind == "fit" and step.state != WorkStep.State.DONE and step.unit_key in models:
            code = models[step.unit_key]
            found[code] = found.get(code, 0) + 1
    return found


def default_used(line: PickLine, unused: dict[str, int]) -> int:
    """What a line is taken to have used: all that was there, save spares and units not fitted.

    Takes what it leaves from `unused`.
    """
    if line.spare:
        return 0
    code = getattr(getattr(line.part, "model", None), "code", "")
    back = min(unused.get(code, 0), line.at_hand)
    if back:
        unused[code] -= back
    return line.at_hand - back


def usage_of(job: Job) -> list[tuple[PickLine, int]]:
    """The lines of the list not settled yet, with what each is taken to have used."""
    steps = list(job.steps.all())
    unused = _left_over(job, steps)
    lines = PickLine.objects.filter(pick_list__in=unsettled_lists(job))
    rows = lines.select_related("part__model", "stock").order_by("position")
    return [(line, default_used(line, unused)) for line in rows]


def _settle(job: Job, line: PickLine, count: int, by: User) -> None:
    if not 0 <= count <= line.at_hand:
        word = "issued" if line.issued else "reserved"
        raise FactRefused(
            f"{line.part.number}: {line.at_hand} were {word}, so {count} cannot be used.",
            field=f"line-{line.pk}",
            todo="Count again; what was taken besides is corrected on the part's page.",
        )
    if not line.issued:
        _take_straight(job, line, count, by)
    line.used = count
    if line.ordered:
        drop_order(line)
    line.settle_state()
    fit_pieces(job=job, line=line)


def _take_straight(job: Job, line: PickLine, count: int, by: User) -> None:
    """Of a list that was never issued: what was used leaves the shelf, the rest lies free."""
    if line.stock is not None and line.reserved:
        words = {"ref": job.number, "by": by}
        from_tote = min(line.picked, count)
        hand_out(stock=line.stock, count=count, picked=from_tote, **words)
        rest = {"count": line.reserved - count, "picked": line.picked - from_tote}
        give_back(stock=line.stock, **rest, **words)
    line.picked = line.issued = line.reserved
    line.returned, line.reserved = line.issued - count, 0
