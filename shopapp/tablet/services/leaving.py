"""What must be laid down before a job leaves the desk."""

from django.db import transaction

from shopapp.jobs.models import Job
from shopapp.jobs.services.scheduling import lay_cautions
from shopapp.tablet.services.foreseeing import ask_foreseen

BEFORE_WORK = frozenset({"ready", "scheduled", "held"})


def prepare_to_leave(job: Job) -> None:
    """Lay the cautions that starting would lay, and ask for the answers that travel along.

    Without signal nobody else can: a caution that only the desk knows is not read at the boat.
    """
    ask_foreseen(job)
    if job.state not in BEFORE_WORK:
        return
    with transaction.atomic():
        Job.objects.select_for_update().only("pk").get(pk=job.pk)
        lay_cautions(job)
