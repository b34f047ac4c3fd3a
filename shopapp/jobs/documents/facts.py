"""Gather what a paper shows, and tell whether it has changed since."""

import hashlib
import json

from shopapp.jobs.documents.common import Facts
from shopapp.jobs.documents.job_sheet import job_for_paper, work_order_facts
from shopapp.jobs.documents.offer_sheet import quote_facts, quote_for_paper
from shopapp.jobs.documents.pick_sheet import pick_job_for_paper, pick_list_facts
from shopapp.jobs.models import Document, Job, Quote
from shopapp.work.models import RowState

Kinds = Document.DocumentKind


def subject_of(document: Document) -> Job | Quote:
    """The quote or job with all that this kind of paper shows; a fixed number of queries."""
    if document.kind == Kinds.QUOTE:
        return quote_for_paper(document.quote_id)
    if document.kind == Kinds.PICK_LIST:
        return pick_job_for_paper(document.job_id)
    return job_for_paper(document.job_id)


def facts_of(kind: str, subject: Job | Quote) -> Facts:
    """What the paper says, as plain data; the same records give equal facts."""
    sheets = {
        Kinds.QUOTE: quote_facts,
        Kinds.PICK_LIST: pick_list_facts,
        Kinds.WORK_ORDER: work_order_facts,
    }
    return sheets[Kinds(kind)](subject)


def digest_of(facts: Facts) -> str:
    """SHA-256 of the facts; no order of keys and no clock comes into it."""
    text = json.dumps(facts, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


def facts_changed(document: Document) -> bool:
    """Whether a ready paper no longer says what the records say; False while it is not ready."""
    if document.row_state != RowState.READY:
        return False
    return digest_of(facts_of(document.kind, subject_of(document))) != document.facts_digest
