"""The cheapest tree of cables against every labelled tree."""

from collections import Counter
from itertools import product
from random import Random

import pytest

from planner.engine import growing
from planner.engine.links import LinkSolver
from planner.engine.network import Wiring
from planner.engine.nodes import Node
from tests.engine.oracle import _tree


def wiring(free, price):
    return Wiring({}, (), {}, tuple(map(tuple, free)), tuple(map(tuple, price)))


def node(location, ports=4, least_links=1, adapter_cents=0, adapters=0):
    return Node(location, ports, least_links, adapter_cents, adapters)


def test_nothing_to_join_costs_nothing():
    solver = LinkSolver(wiring([[0]], [[5]]))

    assert solver.best((), (0,)).cents == 0
    assert solver.best((), (1,)).cents == 0


def test_two_leaves_share_one_link():
    assert LinkSolver(wiring([[0]], [[5]])).best((), (2,)).cents == 5


def test_three_leaves_without_a_node_cannot_be_joined():
    assert LinkSolver(wiring([[0]], [[5]])).best((), (3,)) is None


def test_a_switch_needs_two_links():
    solver = LinkSolver(wiring([[0]], [[5]]))

    assert solver.best((node(0, least_links=2),), (1,)) is None
    assert solver.best((node(0, least_links=2),), (2,)).cents == 10


def test_a_cable_aboard_serves_either_direction_but_only_once():
    solver = LinkSolver(wiring([[0, 1], [1, 0]], [[9, 20], [20, 9]]))

    links = solver.best((node(0), node(1)), (1, 1))

    assert links.cents == 0 + 9 + 9


def test_a_node_with_few_ports_sends_leaves_further():
    solver = LinkSolver(wiring([[0, 0], [0, 0]], [[1, 10], [10, 1]]))

    links = solver.best((node(0, ports=2), node(1, ports=4)), (3, 0))

    assert links.cents == 10 + 1 + 10 + 10


def test_adapters_are_counted_for_every_used_port_of_a_node():
    solver = LinkSolver(wiring([[3]], [[5]]))

    links = solver.best((node(0, adapter_cents=7, adapters=1),), (3,))

    assert links.cents == 14


def test_no_cable_long_enough_means_no_link():
    assert LinkSolver(wiring([[0, 0], [0, 0]], [[1, None], [None, 1]])).best((), (1, 1)) is None


@pytest.mark.parametrize("chunk", range(20))
def test_solver_agrees_with_every_labelled_tree(chunk):
    for seed in range(chunk * 20, chunk * 20 + 20):
        wires, nodes, leaves = random_links(Random(seed))
        answer = LinkSolver(wires).best(nodes, leaves)

        assert (answer and answer.cents) == by_all_trees(wires, nodes, leaves), seed


def random_links(rng):
    size = rng.randint(1, 4)
    free, price = ([[0] * size for _ in range(size)] for _ in range(2))
    for a in range(size):
        for b in range(a, size):
            free[a][b] = free[b][a] = rng.choice([0, 0, 1, 2])
            price[a][b] = price[b][a] = rng.choice([None, *(rng.randint(0, 50) for _ in range(3))])
    nodes = []
    for _ in range(rng.randint(1, 4)):
        dear = rng.choice([0, 0, 7])
        spare = rng.choice([0, 0, 1, 2]) if dear else 0
        nodes.append(node(rng.randrange(size), rng.randint(2, 5), rng.choice([1, 2]), dear, spare))
    leaves = [0] * size
    for _ in range(rng.randint(0, 6 - len(nodes))):
        leaves[rng.randrange(size)] += 1
    return wiring(free, price), tuple(sorted(nodes)), tuple(leaves)


def by_all_trees(wires, nodes, leaves):
    units = list(nodes) + [node(a, 1) for a, count in enumerate(leaves) for _ in range(count)]
    if len(units) < 2:
        return None if units and units[0].least_links > 1 else 0
    best = None
    for code in product(range(len(nodes)), repeat=len(units) - 2):
        cents = tree_cents(wires, units, _tree(code, len(units)))
        if cents is not None and (best is None or cents < best):
            best = cents
    return best


def tree_cents(wires, units, edges):
    degree = Counter(end for edge in edges for end in edge)
    cents = 0
    for n, one in enumerate(units):
        if not one.least_links <= degree[n] <= one.ports:
            return None
        cents += max(0, degree[n] - one.adapters) * one.adapter_cents
    pairs = Counter(tuple(sorted((units[a].location, units[b].location))) for a, b in edges)
    for (a, b), count in pairs.items():
        bought = max(0, count - wires.free[a][b])
        if bought and wires.price[a][b] is None:
            return None
        cents += bought * (wires.price[a][b] or 0)
    return cents


class EndedError(Exception):
    """What the caller raises to end a search."""


def test_a_long_search_among_trees_can_be_ended(monkeypatch):
    monkeypatch.setattr(growing, "_PATIENCE", 4)
    rng = Random(5)
    size = 8
    price = [[0] * size for _ in range(size)]
    for a in range(size):
        for b in range(a, size):
            price[a][b] = price[b][a] = rng.randint(20, 60)
    solver = LinkSolver(wiring([[0] * size] * size, price))
    asked = []

    def end():
        asked.append(1)
        raise EndedError

    solver.ground.breathe = end
    nodes = tuple(sorted(node(a, 2 + a % 2, adapter_cents=5) for a in range(size)))

    with pytest.raises(EndedError):
        solver.best(nodes, (0, 0, 1, 1, 0, 1, 0, 0))
    assert asked == [1]


@pytest.mark.parametrize("chunk", range(10))
def test_a_tree_is_told_where_it_costs_less_than_asked_and_never_else(chunk):
    for seed in range(chunk * 20, chunk * 20 + 20):
        wires, nodes, leaves = random_links(Random(seed))
        truth = LinkSolver(wires).best(nodes, leaves)
        solver = LinkSolver(wires)
        for below in (0, 7, 30, 60, 90, 1000):
            found = solver.best(nodes, leaves, below)
            least = solver.least(nodes, leaves)
            if truth is None:
                assert found is None
            else:
                assert least <= truth.cents
                assert truth.cents >= below or found == truth
                assert found in (None, truth)


def test_a_set_of_nodes_is_hopeless_once_no_tree_was_found():
    solver = LinkSolver(wiring([[0, 0], [0, 0]], [[1, None], [None, 1]]))
    apart = (node(0), node(1))

    assert not solver.hopeless(apart, (0, 0))
    assert solver.best(apart, (0, 0)) is None
    assert solver.hopeless(apart, (0, 0))
