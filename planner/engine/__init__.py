"""The planner engine: plain Python, exact, without clock, network, database or randomness.

A *case* (one boat, one catalogue, one job) goes in as a dict, an *answer* comes out: the best
plan of each strategy and the cheapest options of different kinds, or what stands in the way.
"""

from planner.engine.answer import answer_case
from planner.engine.faults import CaseFault
from planner.engine.reading import check_case
from planner.engine.rule_reading import check_rule

ENGINE_VERSION = "1.0"

__all__ = ["ENGINE_VERSION", "CaseFault", "answer_case", "check_case", "check_rule"]
