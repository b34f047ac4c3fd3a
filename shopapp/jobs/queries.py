"""What pages and papers read of quotes and jobs, in a fixed number of queries."""

from dataclasses import dataclass

from shopapp.jobs.models import Document, Job, Quote, Survey
from shopapp.jobs.services.papers import OF_JOB
from shopapp.stock.models import PurchaseOrder
from shopapp.work.models import RowState

PAPERS_OF_JOB = OF_JOB
PAPERS_OF_QUOTE = (Document.DocumentKind.QUOTE,)
PAPERS_OF = {
    "quote": PAPERS_OF_QUOTE,
    "survey": (Document.DocumentKind.SURVEY,),
    "job": PAPERS_OF_JOB,
    "order": (Document.DocumentKind.PURCHASE,),
    "sheet": (Document.DocumentKind.WEEKLY,),
}


@dataclass(frozen=True, slots=True)
class Paper:
    """One kind of paper of a quote, survey or job: its newest row, and the ready ones before."""

    kind: str
    label: str
    newest: Document | None
    earlier: tuple[Document, ...]
    of: str
    of_pk: int

    @property
    def unfinished(self) -> bool:
        """Whether a worker still has to make it."""
        return self.newest is not None and self.newest.row_state in UNFINISHED

    @property
    def failed(self) -> bool:
        """Whether the newest was not made: it failed, or a person stopped it."""
        return self.newest is not None and self.newest.unmade

    @property
    def ready(self) -> bool:
        """Whether the newest may be opened."""
        return self.newest is not None and self.newest.row_state == RowState.READY


UNFINISHED = {RowState.REQUESTED, RowState.RUNNING}


def papers_of(**of: Quote | Survey | Job | PurchaseOrder) -> list[Paper]:
    """Every kind of paper of a quote, a survey or a job, made or not; one query."""
    ((name, subject),) = of.items()
    rows = list(Document.objects.filter(**of).order_by("-version"))
    return [
        _paper(kind, [row for row in rows if row.kind == kind], name, subject.pk)
        for kind in PAPERS_OF[name]
    ]


def paper_of(document: Document) -> Paper:
    """The paper that this row is a version of; one query."""
    name = next(one for one in PAPERS_OF if getattr(document, f"{one}_id"))
    pk = getattr(document, f"{name}_id")
    rows = Document.objects.filter(kind=document.kind, **{f"{name}_id": pk}).order_by("-version")
    return _paper(document.kind, list(rows), name, pk)


def _paper(kind: str, rows: list[Document], of: str, of_pk: int) -> Paper:
    ready = [row for row in rows[1:] if row.row_state == RowState.READY]
    return Paper(
        kind=kind,
        label=Document.DocumentKind(kind).label,
        newest=rows[0] if rows else None,
        earlier=tuple(ready),
        of=of,
        of_pk=of_pk,
    )
