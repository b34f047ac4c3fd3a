"""From enquiry to closed job: quotes, options, jobs, steps, pick lists, documents, letters."""

from shopapp.jobs.models.change import ChangeOrder
from shopapp.jobs.models.customer_photo import CustomerPhoto
from shopapp.jobs.models.document import Batch, Document
from shopapp.jobs.models.fleet_sheet import FleetSheet
from shopapp.jobs.models.job import Job, WorkStep
from shopapp.jobs.models.letter import Letter
from shopapp.jobs.models.offer import Approval, Deposit, QuoteCheck, QuoteMessage
from shopapp.jobs.models.picking import PickLine, PickList, PickScan
from shopapp.jobs.models.problem import Problem
from shopapp.jobs.models.quote import Assumption, Enquiry, Quote, QuoteLine, QuoteOption
from shopapp.jobs.models.record import Counter, Move
from shopapp.jobs.models.survey import Survey, SurveyItem

__all__ = [
    "Approval",
    "Assumption",
    "Batch",
    "ChangeOrder",
    "Counter",
    "CustomerPhoto",
    "Deposit",
    "Document",
    "Enquiry",
    "FleetSheet",
    "Job",
    "Letter",
    "Move",
    "PickLine",
    "PickList",
    "PickScan",
    "Problem",
    "Quote",
    "QuoteCheck",
    "QuoteLine",
    "QuoteMessage",
    "QuoteOption",
    "Survey",
    "SurveyItem",
    "WorkStep",
]
