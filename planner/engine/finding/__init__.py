"""The fault finder: what fits what was seen, and the next cheapest look that tells most.

Pure. The network is read as planned; every single fault (and pairs, where no single one fits) is
simulated on it; what it would show is held against what was seen. All weights and minutes are
common practice, no source.
"""

from planner.engine.finding.finder import find_faults
from planner.engine.finding.network import Network, NetworkFault, read_network

__all__ = ["Network", "NetworkFault", "find_faults", "read_network"]
