"""Checks on a plan: what is aboard, read in a fixed number of queries, judged by the engine."""

from planner.checks.judging import check_plan, check_plans, open_measurements
from planner.checks.records import CheckRecords, read_check_records

__all__ = [
    "CheckRecords",
    "check_plan",
    "check_plans",
    "open_measurements",
    "read_check_records",
]
