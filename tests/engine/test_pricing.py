"""Prices for what runs short: the same answers at any prices, and bounds never too high."""

from random import Random

import pytest

from planner.engine import answer_case, growing, leafing
from planner.engine.climbing import climb
from planner.engine.links import LinkSolver
from planner.engine.nodes import Node, laid_pairs
from planner.engine.outlook import Outlook
from planner.engine.pricing import Prices
from tests.engine.test_links import by_all_trees, random_links
from tests.engine.test_random_cases import TINY, agrees_with_trying_everything
from tests.engine.worlds import islands_case, random_case


@pytest.fixture
def impatient(monkeypatch):
    """Every search looks for prices as soon as it has begun."""
    monkeypatch.setattr(leafing, "_FIRST_PATIENCE", 1)
    monkeypatch.setattr(leafing, "_PATIENCE", 1)
    monkeypatch.setattr(leafing, "_LONGER", 3)
    monkeypatch.setattr(leafing, "_FEW_NODES", 1)
    monkeypatch.setattr(growing, "_EAGER", 0)
    monkeypatch.setattr(growing, "_PRICED", 1)


@pytest.mark.usefixtures("impatient")
@pytest.mark.parametrize("seed", TINY[:60])
def test_priced_searches_agree_with_trying_everything(seed):
    agrees_with_trying_everything(random_case(seed, units=2, models=3))


@pytest.mark.usefixtures("impatient")
@pytest.mark.parametrize("seed", range(20))
def test_whatever_the_prices_are_the_answer_is_the_same(seed, monkeypatch):
    case = random_case(seed, units=5, switches=2, adds=1, locations=3, models=5)
    rng = Random(seed)

    def guessed(wiring, _frame, settled, _cents, _goal, *, heavy, start=None):
        ports = tuple(rng.randint(0, 4000) for _ in wiring.price)
        laid = tuple(rng.randint(0, 4000) for _ in laid_pairs(wiring))
        draw = 0 if settled.power_ma is None else rng.randint(0, 5)
        return Prices(ports, laid, draw, heavy)

    monkeypatch.setattr(leafing, "tuned", guessed)
    priced = answer_case(case)
    monkeypatch.undo()

    assert priced == answer_case(case)


@pytest.mark.usefixtures("impatient")
@pytest.mark.parametrize("seed", range(5))
def test_priced_searches_agree_where_cables_cannot_join_all_places(seed, monkeypatch):
    case = islands_case(seed, units=6, wishes=5, places=6)
    priced = answer_case(case)
    monkeypatch.undo()

    plain = answer_case(case)

    assert priced["feasible"] == plain["feasible"]
    assert priced.get("relaxations") == plain.get("relaxations")
    totals = [[p["total_cents"] for p in answer.get("options", [])] for answer in (priced, plain)]
    assert totals[0] == totals[1]


@pytest.mark.usefixtures("impatient")
@pytest.mark.parametrize("chunk", range(5))
def test_priced_trees_agree_with_every_labelled_tree(chunk):
    for seed in range(chunk * 30, chunk * 30 + 30):
        wires, nodes, leaves = random_links(Random(seed))
        solver = LinkSolver(wires)
        cheapest = by_all_trees(wires, nodes, leaves)

        found = solver.best(nodes, leaves)
        some = LinkSolver(wires).some(nodes, leaves)

        assert (found and found.cents) == cheapest, seed
        assert (some is None) == (cheapest is None), seed


@pytest.mark.parametrize("chunk", range(5))
def test_no_prices_put_the_outlook_above_the_cheapest_tree(chunk):
    tried = 0
    for seed in range(chunk * 30, chunk * 30 + 30):
        rng = Random(seed)
        wires, nodes, leaves = random_links(rng)
        cheapest = by_all_trees(wires, nodes, leaves)
        if cheapest is None:
            continue
        lots = sorted(set(nodes))
        counts = [nodes.count(lot) for lot in lots]
        for heavy, most in ((1, cheapest), (0, 0)):
            look = Outlook(wires, lots, counts, leaves, heavy=heavy)
            size = len(lots) + len(laid_pairs(wires))
            look.set([rng.randint(0, 80) for _ in range(size)])
            assert look.least() <= most, seed
        tried += 1
    assert tried > 5


def test_prices_lift_the_outlook_where_ports_are_few():
    wires, _, _ = random_links(Random(1))
    price = ((1, 50), (50, 1))
    wires = type(wires)({}, (), {}, ((0, 0), (0, 0)), price)
    node = Node(0, 3, 1, 0, 0)
    far = Node(1, 9, 1, 0, 0)
    look = Outlook(wires, [node, far], [1, 1], (5, 0), heavy=1)
    plain = look.least()

    tuned = look.tune()

    exact = LinkSolver(wires).best((node, far), (5, 0)).cents
    assert plain == 50 + 5
    assert exact == 50 + 2 + 3 * 50
    assert plain < tuned <= exact
    assert tuned > exact - 10


def test_climbing_ends_at_its_goal_and_keeps_the_best():
    asked = []

    def hill(prices):
        asked.append(prices)
        return -abs(prices[0] - 30), [1.0 if prices[0] < 30 else -1.0]

    value, prices = climb(hill, [0.0], -4.0)

    assert value >= -4.0
    assert abs(prices[0] - 30) <= 4
    assert len(asked) < 20


def test_no_price_is_ever_below_nothing():
    _, prices = climb(lambda p: (-p[0], [-1.0]), [8.0], None)

    assert prices[0] >= 0.0
