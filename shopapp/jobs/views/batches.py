"""Batches of papers: ask for one, watch it, stop and resume it, take the finished papers home."""

import tempfile
import zipfile

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from shopapp.accounts.access import get_for
from shopapp.errors import MoveRefused
from shopapp.jobs import job_queries
from shopapp.jobs.documents.files import add_to_archive
from shopapp.jobs.models import Batch
from shopapp.jobs.queue import progress_of
from shopapp.jobs.services import batches
from shopapp.roles import needs
from shopapp.work.models import RowState


@needs("queue.see")
@require_POST
def batch_ask(request: HttpRequest) -> HttpResponse:
    """One paper for each job of the list that the person looks at (`q`, `state`, `who`)."""
    shop = request.user.shop
    jobs = job_queries.jobs_found(shop, request.POST)
    made = batches.request_batch(
        shop=shop, kind=request.POST.get("kind", ""), jobs=jobs, by=request.user
    )
    return redirect("jobs:batch", made.pk)


@needs("queue.see")
@require_GET
def batch(request: HttpRequest, pk: int) -> HttpResponse:
    """How far a batch is, and what failed of it."""
    row = get_for(request, Batch.objects.select_related("asked_by"), pk=pk)
    return render(request, "jobs/batch.html", _facts(row))


@needs("queue.see")
@require_GET
def batch_progress(request: HttpRequest, pk: int) -> HttpResponse:
    """The moving part; it asks for itself every second until the batch is over."""
    row = get_for(request, Batch.objects.select_related("asked_by"), pk=pk)
    return render(request, "jobs/_batch.html", _facts(row))


def _facts(row: Batch) -> dict[str, object]:
    failed = row.documents.filter(row_state=RowState.FAILED).select_related("job__boat")
    return {"progress": progress_of(row), "batch": row, "failed": failed[:50]}


@needs("queue.see")
@require_POST
def batch_stop(request: HttpRequest, pk: int) -> HttpResponse:
    """Stop it; what is made stays."""
    count = batches.stop_batch(batch=get_for(request, Batch, pk=pk), by=request.user)
    messages.info(request, f"Stopped; {count} left to make.")
    return redirect("jobs:batch", pk)


@needs("queue.see")
@require_POST
def batch_resume(request: HttpRequest, pk: int) -> HttpResponse:
    """Go on with what was stopped or failed."""
    count = batches.resume_batch(batch=get_for(request, Batch, pk=pk))
    messages.info(request, f"Going on with {count}.")
    return redirect("jobs:batch", pk)


@needs("queue.see")
@require_GET
def batch_papers(request: HttpRequest, pk: int) -> FileResponse:
    """The finished papers in one archive, under the names that a person can find again."""
    row = get_for(request, Batch, pk=pk)
    papers = row.documents.filter(row_state=RowState.READY).select_related("job", "quote")
    if not papers:
        raise MoveRefused("No paper of this batch is ready yet.", todo="Wait for the first ones.")
    archive = tempfile.TemporaryFile()  # noqa: SIM115 - the answer closes it
    with zipfile.ZipFile(archive, "w") as target:
        for paper in papers:
            add_to_archive(target, paper)
    archive.seek(0)
    name = f"{row.kind.replace('_', '-')}s-{row.pk}.zip"
    answer = FileResponse(archive, as_attachment=True, filename=name)
    answer["Cache-Control"] = "private, no-store"
    return answer
