"""Many papers in one stroke: asked for together, stopped and resumed together."""

from django.db import transaction
from django.db.models import Max, QuerySet
from django.utils import timezone

from shopapp.accounts.models import Shop, User
from shopapp.errors import FactRefused
from shopapp.jobs.models import Batch, Document, Job
from shopapp.jobs.services.papers import OF_JOB, WORK_KIND
from shopapp.work.models import RowState
from shopapp.work.services import ring_all

MOST_PAPERS = 2000
Kinds = Document.DocumentKind


@transaction.atomic
def request_batch(*, shop: Shop, kind: str, jobs: QuerySet[Job], by: User) -> Batch:
    """Ask for one paper of a kind for each of these jobs; seven queries however many.

    A job whose paper is already on its way is left out of the batch: its paper comes anyway.
    FactRefused where the kind is no paper of a job, nothing is left to make, or they are more
    than `MOST_PAPERS`.
    """
    if kind not in OF_JOB:
        raise FactRefused("There is no such paper of a job.", field="kind")
    wanted = list(jobs.values_list("pk", flat=True)[: MOST_PAPERS + 1])
    if len(wanted) > MOST_PAPERS:
        raise FactRefused(
            f"More than {MOST_PAPERS} jobs are in this list.",
            field="kind",
            todo="Narrow the list by state, technician or words, then ask again.",
        )
    papers = _papers(shop, kind, wanted, by)
    if not papers:
        raise FactRefused(
            "No paper is left to ask for: there is no job in the list, or all are on their way.",
            field="kind",
        )
    label = Kinds(kind).label
    many = f"{label}s" if len(papers) > 1 else label
    title = f"{len(papers)} {many[:1].lower()}{many[1:]}"
    batch = Batch.objects.create(shop=shop, kind=kind, title=title, asked_by=by)
    for paper in papers:
        paper.batch = batch
    made = Document.objects.bulk_create(papers, batch_size=200)
    ring_all(WORK_KIND, [paper.pk for paper in made])
    return batch


def _papers(shop: Shop, kind: str, jobs: list[int], by: User) -> list[Document]:
    before = Document.objects.of(shop).filter(kind=kind, job__isnull=False)
    moving = set(before.unfinished().values_list("job", flat=True))
    newest = dict(before.order_by().values_list("job").annotate(newest=Max("version")))
    now = timezone.now()
    return [
        Document(
            shop=shop,
            kind=kind,
            job_id=pk,
            version=newest.get(pk, 0) + 1,
            asked_by=by,
            in_bulk=True,
            requested_at=now,
        )
        for pk in jobs
        if pk not in moving
    ]


@transaction.atomic
def stop_batch(*, batch: Batch, by: User) -> int:
    """Take what is not made yet out of the line; what is made stays. How many were stopped."""
    stopped = batch.documents.all().stop(by=str(by))
    Batch.objects.filter(pk=batch.pk).update(stopped_at=timezone.now())
    batch.refresh_from_db()
    return stopped


@transaction.atomic
def resume_batch(*, batch: Batch) -> int:
    """Bring stopped and failed papers of the batch back into the line; how many."""
    left = batch.documents.filter(row_state__in=[RowState.STOPPED, RowState.FAILED])
    pks = list(left.values_list("pk", flat=True))
    again = batch.documents.filter(pk__in=pks).ask_all_again()
    Batch.objects.filter(pk=batch.pk).update(stopped_at=None)
    batch.refresh_from_db()
    ring_all(WORK_KIND, pks)
    return again
