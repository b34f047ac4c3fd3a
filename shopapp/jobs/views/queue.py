"""The workers' queue: what waits, runs, failed; stop and try again."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET, require_POST

from shopapp.jobs import queue as queues
from shopapp.roles import needs
from shopapp.work.registry import KINDS


def _facts(request: HttpRequest) -> dict[str, object]:
    shop = request.user.shop
    return {
        "lines": queues.lines_of(shop),
        "rows": queues.rows_of(
            shop, kind=request.GET.get("kind", ""), state=request.GET.get("state", "")
        ),
        "batches": queues.batches_of(shop),
        "asked": request.GET,
        "states": [(one.value, one.label) for one in queues.SHOWN],
        "most": queues.ROWS_SHOWN,
    }


@needs("queue.see")
@require_GET
def queue(request: HttpRequest) -> HttpResponse:
    """Every kind of work with its counts, the rows that are not ready, and the last batches."""
    return render(request, "jobs/queue.html", _facts(request))


@needs("queue.see")
@require_GET
def queue_counts(request: HttpRequest) -> HttpResponse:
    """The moving part of the page; it asks for itself every two seconds."""
    return render(request, "jobs/_queue.html", _facts(request))


def _done(request: HttpRequest, kind: str, count: int, verb: str) -> HttpResponse:
    label = queues.label_of(KINDS[kind])
    words = (
        f"{count} {label} {verb}." if count else "Nothing was left to do: look at the list anew."
    )
    messages.info(request, words)
    return redirect("jobs:queue")


def _known(kind: str) -> str:
    if kind not in KINDS:
        raise Http404("There is no such kind of work.")
    return kind


@needs("queue.see")
@require_POST
def queue_stop(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Stop one row."""
    count = queues.stop_rows(shop=request.user.shop, kind=_known(kind), by=request.user, pk=pk)
    return _done(request, kind, count, "stopped")


@needs("queue.see")
@require_POST
def queue_stop_all(request: HttpRequest, kind: str) -> HttpResponse:
    """Stop all that wait or run, of a kind."""
    count = queues.stop_rows(shop=request.user.shop, kind=_known(kind), by=request.user)
    return _done(request, kind, count, "stopped")


@needs("queue.see")
@require_POST
def queue_again(request: HttpRequest, kind: str, pk: int) -> HttpResponse:
    """Try one failed or stopped row again."""
    count = queues.again_rows(shop=request.user.shop, kind=_known(kind), pk=pk)
    return _done(request, kind, count, "asked for again")


@needs("queue.see")
@require_POST
def queue_again_all(request: HttpRequest, kind: str) -> HttpResponse:
    """Try all failed rows of a kind again."""
    count = queues.again_rows(shop=request.user.shop, kind=_known(kind))
    return _done(request, kind, count, "asked for again")
