"""Ask for documents: a row in the database, and a worker is told after commit."""

from django.db import IntegrityError, transaction
from django.db.models import Max

from shopapp.accounts.models import User
from shopapp.errors import FactRefused, MoveRefused
from shopapp.jobs.models import Document, FleetSheet, Job, Quote, Survey
from shopapp.stock.models import PurchaseOrder
from shopapp.work.models import RowState
from shopapp.work.services import ring

Kinds = Document.DocumentKind
Subject = Quote | Survey | Job | PurchaseOrder | FleetSheet
OF_QUOTE = (Kinds.QUOTE,)
OF_SURVEY = (Kinds.SURVEY,)
OF_JOB = (
    Kinds.WORK_ORDER,
    Kinds.PICK_LIST,
    Kinds.TOTE_LABEL,
    Kinds.PORT_MAP,
    Kinds.LABELS,
    Kinds.CHANGE_ORDER,
    Kinds.RECORD,
    Kinds.HANDOVER,
    Kinds.REMOVED,
)
OF_ORDER = (Kinds.PURCHASE,)
OF_SHEET = (Kinds.WEEKLY,)
PAPERS_OF = {
    "quote": OF_QUOTE,
    "survey": OF_SURVEY,
    "job": OF_JOB,
    "order": OF_ORDER,
    "sheet": OF_SHEET,
}
WORK_KIND = "document"


def request_document(*, kind: str, by: User | None, **of: Subject) -> Document:
    """Ask for the next version of a paper; the one on its way is given back where there is one.

    `of` is what it is a paper of: `quote=`, `survey=`, `job=`, `order=` or `sheet=`. A paper that
    failed or was stopped is tried again instead of counted on. `by` is None where a customer's
    answer or the clock asked for it. Raises FactRefused where the kind is none of its papers.
    """
    _check_kind(kind, of)
    last = Document.objects.filter(kind=kind, **of).order_by("-version").first()
    if last is not None and last.unmade:
        return try_again(document=last)
    if last is not None and last.row_state != RowState.READY:
        return last
    return _next_version(kind, by, of)


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


def _check_kind(kind: str, of: dict[str, Subject]) -> None:
    if len(of) != 1:
        raise ValueError("a document belongs to one thing: a quote, a survey or a job")
    fitting = PAPERS_OF[next(iter(of))]
    if kind not in fitting:
        names = " or ".join(Kinds(one).label.lower() for one in fitting)
        raise FactRefused(f"There is no such paper here. Ask for a {names}.")


def _next_version(kind: str, by: User | None, of: dict[str, Subject]) -> Document:
    (subject,) = of.values()
    before = Document.objects.filter(kind=kind, **of)
    try:
        with transaction.atomic():
            newest = before.aggregate(newest=Max("version"))["newest"] or 0
            document = Document.objects.create(
                shop_id=subject.shop_id, kind=kind, version=newest + 1, asked_by=by, **of
            )
            ring(WORK_KIND, document.pk)
    except IntegrityError:
        # Somebody asked for the same version at the same moment: theirs serves both.
        return before.latest("version")
    return document
