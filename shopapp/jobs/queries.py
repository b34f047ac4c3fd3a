"""What pages and papers read of quotes and jobs, in a fixed number of queries."""

from dataclasses import dataclass

from shopapp.jobs.models import Document, Job, Quote
from shopapp.work.models import RowState

PAPERS_OF_JOB = (Document.DocumentKind.WORK_ORDER, Document.DocumentKind.PICK_LIST)
PAPERS_OF_QUOTE = (Document.DocumentKind.QUOTE,)


@dataclass(frozen=True, slots=True)
class Paper:
    """One kind of paper of a quote or a job: its newest row, and the ready ones before."""

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


def papers_of(*, quote: Quote | None = None, job: Job | None = None) -> list[Paper]:
    """Every kind of paper of a quote or a job, made or not; one query."""
    rows = list(Document.objects.filter(quote=quote, job=job).order_by("-version"))
    kinds = PAPERS_OF_JOB if quote is None else PAPERS_OF_QUOTE
    of, pk = ("job", job.pk) if quote is None else ("quote", quote.pk)
    return [_paper(kind, [row for row in rows if row.kind == kind], of, pk) for kind in kinds]


def paper_of(document: Document) -> Paper:
    """The paper that this row is a version of; one query."""
    rows = Document.objects.filter(
        quote_id=document.quote_id, job_id=document.job_id, kind=document.kind
    ).order_by("-version")
    of = "job" if document.quote_id is None else "quote"
    return _paper(document.kind, list(rows), of, document.job_id or document.quote_id)


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
