"""The trade's sums: pure functions, each with its formula, source, cautions and margin.

Every function takes its inputs by name, refuses what cannot be used with a SumFault that names
the field, and gives back a SumResult with unrounded values. Nothing is clamped.
"""

from planner.engine.sums.faults import SumFault
from planner.engine.sums.register import SUMS, run_sum
from planner.engine.sums.results import SumResult
from planner.engine.sums.shapes import Quantity, Sum

__all__ = ["SUMS", "Quantity", "Sum", "SumFault", "SumResult", "run_sum"]
