"""Gather what a paper shows, and tell whether it has changed since."""

import hashlib
import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from shopapp.jobs.documents.change_sheet import change_facts, change_job_for_paper
from shopapp.jobs.documents.common import Facts
from shopapp.jobs.documents.finish_sheet import finish_job_for_paper, handover_facts, record_facts
from shopapp.jobs.documents.job_sheet import job_for_paper, work_order_facts
from shopapp.jobs.documents.map_sheet import label_facts, map_job_for_paper, port_map_facts
from shopapp.jobs.documents.offer_sheet import quote_facts, quote_for_paper
from shopapp.jobs.documents.pick_sheet import pick_job_for_paper, pick_list_facts
from shopapp.jobs.documents.removed_sheet import removed_facts, removed_job_for_paper
from shopapp.jobs.documents.store_sheets import (
    order_for_paper,
    purchase_facts,
    tote_label_facts,
)
from shopapp.jobs.documents.visit_sheet import survey_facts, survey_for_paper
from shopapp.jobs.documents.weekly_sheet import sheet_for_paper, weekly_facts
from shopapp.jobs.models import Document, FleetSheet, Job, Quote, Survey
from shopapp.stock.models import PurchaseOrder
from shopapp.work.models import RowState

Kinds = Document.DocumentKind
Subject = Quote | Survey | Job | PurchaseOrder | FleetSheet


@dataclass(frozen=True, slots=True)
class Sheet:
    """How a kind of paper is filled: what it is of, how that is fetched, what it shows."""

    of: str
    fetch: Callable[[int], Subject]
    facts: Callable[[Any], Facts]


SHEETS = {
    Kinds.QUOTE: Sheet("quote", quote_for_paper, quote_facts),
    Kinds.SURVEY: Sheet("survey", survey_for_paper, survey_facts),
    Kinds.PICK_LIST: Sheet("job", pick_job_for_paper, pick_list_facts),
    Kinds.TOTE_LABEL: Sheet("job", pick_job_for_paper, tote_label_facts),
    Kinds.PURCHASE: Sheet("order", order_for_paper, purchase_facts),
    Kinds.WEEKLY: Sheet("sheet", sheet_for_paper, weekly_facts),
    Kinds.WORK_ORDER: Sheet("job", job_for_paper, work_order_facts),
    Kinds.PORT_MAP: Sheet("job", map_job_for_paper, port_map_facts),
    Kinds.LABELS: Sheet("job", map_job_for_paper, label_facts),
    Kinds.CHANGE_ORDER: Sheet("job", change_job_for_paper, change_facts),
    Kinds.RECORD: Sheet("job", finish_job_for_paper, record_facts),
    Kinds.HANDOVER: Sheet("job", finish_job_for_paper, handover_facts),
    Kinds.REMOVED: Sheet("job", removed_job_for_paper, removed_facts),
}


def subject_of(document: Document) -> Subject:
    """What it is a paper of, with all that this kind of paper shows; a fixed number of queries."""
    sheet = SHEETS[Kinds(document.kind)]
    return sheet.fetch(getattr(document, f"{sheet.of}_id"))


def facts_of(kind: str, subject: Subject) -> Facts:
    """What the paper says, as plain data; the same records give equal facts."""
    return SHEETS[Kinds(kind)].facts(subject)


def digest_of(facts: Facts) -> str:
    """SHA-256 of the facts; no order of keys and no clock comes into it."""
    text = json.dumps(facts, sort_keys=True, separators=(",", ":"), ensure_ascii=True)
    return hashlib.sha256(text.encode()).hexdigest()


def facts_changed(document: Document) -> bool:
    """Whether a ready paper no longer says what the records say; False while it is not ready."""
    if document.row_state != RowState.READY:
        return False
    return digest_of(facts_of(document.kind, subject_of(document))) != document.facts_digest
