"""A campaign's boat follows its job: booked when it is made, done when it is done."""

from django.utils import timezone

from shopapp.fleet.models import CampaignBoat, CampaignEntry
from shopapp.jobs.models import Move

State = CampaignBoat.State


def follow_job(*, move: Move) -> None:
    """Bring the boat along with one move of a job; other jobs have no such boat."""
    if move.after in {"done", "on_job", "cancelled"}:
        row = CampaignBoat.objects.filter(job=move.job_id).first()
    elif move.after == "opened":
        row = _of_quote(move)
    else:
        return
    if row is None:
        return
    before = row.state
    _bring(row, move)
    if row.state != before:
        row.save(update_fields=["state", "job", "ended_at", "ended_note"])
        CampaignEntry.objects.create(
            row=row, before=before, after=row.state, by=move.by, note=f"Job {move.job.number}."
        )


def _of_quote(move: Move) -> CampaignBoat | None:
    """A yes to a campaign's quote made this job."""
    row = CampaignBoat.objects.filter(quote=move.job.quote_id, job=None).first()
    if row is not None and not row.is_ended:
        row.job = move.job
        return row
    return None


def _bring(row: CampaignBoat, move: Move) -> None:
    if move.after == "done":
        row.state, row.ended_at = State.DONE, timezone.now()
    elif move.after == "cancelled":
        row.state, row.job, row.ended_at = State.TOLD, None, None
    else:
        row.state, row.ended_at = State.BOOKED, None
