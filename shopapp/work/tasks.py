"""The one Celery task: a message carries a kind and a key, nothing else."""

from celery import shared_task

from shopapp.work.runner import run_row


@shared_task(name="work.run_row")
def run_row_task(kind: str, pk: int) -> None:
    """Advance one row; a message that comes twice or late finds nothing to claim."""
    run_row(kind, pk)
