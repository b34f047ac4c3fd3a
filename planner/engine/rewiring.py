"""The cheapest tree over the units of a plan without one of its links: exact."""

from dataclasses import replace
from typing import Any

from planner.engine.choices import STAYS
from planner.engine.links import LinkSolver
from planner.engine.network import Wiring
from planner.engine.nodes import Node
from planner.engine.problem import Problem

JsonDict = dict[str, Any]


class Rewiring:
    """The networked units of one plan, as they stand, and other ways to join them."""

    def __init__(self, problem: Problem, plan: JsonDict) -> None:
        self.problem = problem
        self.solver = LinkSolver(problem.wiring)
        case, index = problem.case, problem.wiring.index
        there = {device.id: device.adapters for device in case.devices}
        self.nodes: dict[str, Node] = {}
        self.leaves: dict[str, int] = {}
        for row in plan["units"]:
            if not row["networked"]:
                continue
            model, place = case.models[row["model"]], index[row["location"]]
            if not (model.bridges and model.ports > 1):
                self.leaves[row["unit"]] = place
                continue
            cents = 0 if model.adapter is None else case.adapters[model.adapter]
            least = case.least_switch_links if model.kind == "switch" else 1
            spare = there.get(row["unit"], 0) if row["fate"] == STAYS and cents else 0
            self.nodes[row["unit"]] = Node(place, model.ports, least, cents, spare)

    def now_cents(self) -> int | None:
        """What the cheapest tree costs, adapters of the leaves apart."""
        return self._cents(self.solver, self.nodes, self._counts(None))

    def without(self, one: str, two: str) -> int | None:
        """The same where these two are not joined directly; None where there is no such tree."""
        if one in self.nodes and two in self.nodes:
            nodes = dict(self.nodes)
            nodes[one] = nodes[one]._replace(tag=1)
            nodes[two] = nodes[two]._replace(tag=2)
            return self._cents(self.solver, nodes, self._counts(None))
        leaf, node = (two, one) if one in self.nodes else (one, two)
        ways = [self._with_leaf_at(leaf, other) for other in self.nodes if other != node]
        return min((cents for cents in ways if cents is not None), default=None)

    def _with_leaf_at(self, leaf: str, other: str) -> int | None:
        """The cheapest tree in which this leaf hangs on this node."""
        wiring, place, node = self.problem.wiring, self.leaves[leaf], self.nodes[other]
        here = node.location
        cents = 0 if wiring.free[place][here] else wiring.price[place][here]
        if cents is None or not node.ports:
            return None
        cents += 0 if node.adapters else node.adapter_cents
        left = dict(self.nodes)
        left[other] = node._replace(
            ports=node.ports - 1,
            least_links=max(0, node.least_links - 1),
            adapters=max(0, node.adapters - 1),
        )
        solver = LinkSolver(_one_cable_less(wiring, place, here))
        rest = self._cents(solver, left, self._counts(leaf))
        return None if rest is None else cents + rest

    def _counts(self, but: str | None) -> tuple[int, ...]:
        counts = [0] * len(self.problem.wiring.price)
        for name, place in self.leaves.items():
            counts[place] += name != but
        return tuple(counts)

    def _cents(
        self, solver: LinkSolver, nodes: dict[str, Node], leaves: tuple[int, ...]
    ) -> int | None:
        links = solver.best(tuple(sorted(nodes.values())), leaves)
        return None if links is None else links.cents


def _one_cable_less(wiring: Wiring, a: int, b: int) -> Wiring:
    free = [list(row) for row in wiring.free]
    if free[a][b]:
        free[a][b] -= 1
        if a != b:
            free[b][a] -= 1
    return replace(wiring, free=tuple(tuple(row) for row in free))
