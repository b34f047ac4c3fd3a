"""Ask for documents: a row in the database, and a worker is told after commit."""

from django.db import IntegrityError, transaction
from django.db.models import Max

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Document, Job, Quote
from shopapp.work.models import RowState
from shopapp.work.services import ring

Kinds = Document.DocumentKind
OF_QUOTE = (Kinds.QUOTE,)
OF_JOB = (Kinds.WORK_ORDER, Kinds.PICK_LIST)
WORK_KIND = "document"


def request_document(
    *, kind: str, by: User | None, quote: Quote | None = None, job: Job | None = None
) -> Document:
    """Ask for the next version of a paper; the one on its way is given back where there is one.

    A paper that failed or was stopped is tried again instead of counted on. `by` is None where
    a customer's answer asked for it. Raises FactRefused where the kind is none of a quote's or a
    job's papers.
    """
    _check_kind(kind, quote=quote, job=job)
    last = _last(kind, quote=quote, job=job)
    if last is not None and last.unmade:
        return try_again(document=last)
    if last is not None and last.row_state != RowState.READY:
        return last
    return _next_version(kind, by=by, quote=quote, job=job)


def try_again(*, document: Document) -> Document:
    """A person's "Try again" on a failed paper; raises MoveRefused where it did not fail."""
    with transaction.atomic():
        if not Document.objects.all().ask_again(document.pk):
            document.refresh_from_db()
            if document.row_state == RowState.READY:
                raise MoveRefused("This paper is ready; open it.", todo="Make a new one instead.")
            return document  # somebody pressed first: it is on its way
        ring(WORK_KIND, document.pk)
    document.refresh_from_db()
    return document


def _check_kind(kind: str, *, quote: Quote | None, job: Job | None) -> None:
    if (quote is None) == (job is None):
        raise ValueError("a document belongs to a quote or to a job")
    fitting = OF_JOB if quote is None else OF_QUOTE
    if kind not in fitting:
        names = " or ".join(Kinds(one).label.lower() for one in fitting)
        raise FactRefused(f"There is no such paper here. Ask for a {names}.")


def _last(kind: str, *, quote: Quote | None, job: Job | None) -> Document | None:
    return Document.objects.filter(kind=kind, quote=quote, job=job).order_by("-version").first()


def _next_version(kind: str, *, by: User | None, quote: Quote | None, job: Job | None) -> Document:
    of = job if quote is None else quote
    before = Document.objects.filter(kind=kind, quote=quote, job=job)
    try:
        with transaction.atomic():
            newest = before.aggregate(newest=Max("version"))["newest"] or 0
            document = Document.objects.create(
                shop_id=of.shop_id, kind=kind, quote=quote, job=job, version=newest + 1, asked_by=by
            )
            ring(WORK_KIND, document.pk)
    except IntegrityError:
        # Somebody asked for the same version at the same moment: theirs serves both.
        return before.latest("version")
    return document
