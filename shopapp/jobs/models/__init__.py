"""From enquiry to closed job: quotes, options, jobs, steps, pick lists, documents."""

from shopapp.jobs.models.document import Document
from shopapp.jobs.models.job import Job, PickLine, PickList, Problem, WorkStep
from shopapp.jobs.models.quote import Assumption, Enquiry, Quote, QuoteLine, QuoteOption
from shopapp.jobs.models.record import Counter, Move

__all__ = [
    "Assumption",
    "Counter",
    "Document",
    "Enquiry",
    "Job",
    "Move",
    "PickLine",
    "PickList",
    "Problem",
    "Quote",
    "QuoteLine",
    "QuoteOption",
    "WorkStep",
]
