"""How far a price, the labour rate or a route may move before another option is cheapest.

With all else fixed, what a plan costs is a line in a price, so the cheapest cost is the lower
edge of many lines. From the present value outwards: plan again at the far end; where something
is cheaper there, go back to where its line meets the present plan's, and plan again there,
until nothing is cheaper. Lengths of routes make lines in stretches only; each is gone along.
"""

from collections.abc import Callable
from typing import Any, NamedTuple

from planner.engine.aims import full_demand, most_cents
from planner.engine.explain import say_acts
from planner.engine.facts import Case
from planner.engine.faults import SearchStoppedError
from planner.engine.frames import Aim
from planner.engine.gates import OPEN, Gate
from planner.engine.kinds import SameKind, kind_of_plan
from planner.engine.network import IMPOSSIBLE
from planner.engine.plans import plan_of
from planner.engine.pools import Single
from planner.engine.problem import Problem
from planner.engine.reading import read_case
from planner.engine.search import search
from planner.engine.turning import Priced, PriceTurn, RouteTurn, Turn, price_turns, rate_turn

JsonDict = dict[str, Any]
Stop = Callable[[], bool] | None
_CENTS = Aim(1, 0, 0)


class Edge(NamedTuple):
    """The last value at which the option is cheapest, and what is cheaper beyond it."""

    last: int
    rival: JsonDict | None


def sensitivity(
    case: JsonDict, answer: JsonDict, *, option: int = 0, should_stop: Stop = None
) -> JsonDict:
    """How firmly an option of an answer is the cheapest of its kind and of all.

    Gives `cheapest` (false where the option is not: then nothing else is worked out), `prices`
    (each `part`, `now_cents`, `from_cents`, `to_cents`), `labour_cents_per_minute` (`now`,
    `from`, `to`) and `routes` (each `between`, `now_ft`, `from_ft`, `to_ft`): the whole numbers
    between which the option stays cheapest, null where there is no bound. Each row has `below`
    and `above`: what is cheaper beyond (`option`: its place among the answer's options, or null;
    `text`), or null. `then` is the text of `above`, else of `below`. Where `should_stop` ended
    it, `proven` is false and the rows that were not finished are missing.
    """
    sounding = _Sounding(read_case(case), answer, answer["options"][option], should_stop)
    told: JsonDict = {
        "cheapest": True,
        "prices": [],
        "labour_cents_per_minute": None,
        "routes": [],
        "proven": True,
    }
    try:
        if sounding.cheaper(sounding.problem, sounding.chosen["total_cents"]) is not None:
            return told | {"cheapest": False}
        sounding.fill(told)
    except SearchStoppedError:
        told["proven"] = False
    return told


class _Sounding:
    def __init__(self, case: Case, answer: JsonDict, chosen: JsonDict, stop: Stop) -> None:
        self.case = case
        self.problem = Problem(case)
        self.chosen = chosen
        self.should_stop = stop
        self.far = most_cents(self.problem) + 1
        self.kinds = [kind_of_plan(self.problem, plan) for plan in answer["options"]]

    def fill(self, told: JsonDict) -> None:
        """Work out every row; what the option pays for first, in case time runs out."""
        rate = self._row(rate_turn(self.case), "")
        told["labour_cents_per_minute"] = rate
        turns = price_turns(self.case)
        self._fill_prices(told, [turn for turn in turns if turn[0] in self.chosen["parts"]])
        for number, (a, b, _) in enumerate(self.case.routes):
            row = self._row(RouteTurn(self.case, number), "_ft")
            told["routes"].append({"between": [a, b]} | row)
        self._fill_prices(told, [turn for turn in turns if turn[0] not in self.chosen["parts"]])

    def _fill_prices(self, told: JsonDict, turns: list[tuple[str, PriceTurn]]) -> None:
        for name, turn in turns:
            told["prices"].append({"part": name} | self._row(turn, "_cents"))
            told["prices"].sort(key=lambda row: str(row["part"]))

    def _row(self, turn: Turn, unit: str) -> JsonDict:
        below, above = self._edge(turn, -1), self._edge(turn, 1)
        ends = {"below": self._told(below), "above": self._told(above)}
        then = ends["above"] or ends["below"]
        return {
            f"now{unit}": turn.now,
            f"from{unit}": None if below is None else below.last,
            f"to{unit}": None if above is None else above.last,
            **ends,
            "then": None if then is None else then["text"],
        }

    def _told(self, edge: Edge | None) -> JsonDict | None:
        if edge is None:
            return None
        if edge.rival is None:
            return {"option": None, "text": "no plan is right"}
        kind = kind_of_plan(self.problem, edge.rival)
        return {
            "option": self.kinds.index(kind) if kind in self.kinds else None,
            "text": say_acts(self.case, edge.rival),
        }

    def _edge(self, turn: Turn, step: int) -> Edge | None:
        """Go outwards from the present value until another kind is cheaper."""
        here, x = Priced(self.chosen, turn.now), turn.now
        problems = _Problems(turn, self.problem)
        stops = turn.stops(step, self.far)
        while (stops[-1] - x) * step > 0:
            flat = turn.cents_at(here, stops[-1]) == turn.cents_at(here, x)
            if flat and step > 0:
                return None
            if flat and isinstance(turn, RouteTurn):
                x = self._halved(turn, problems, here, x, stops[-1])
            else:
                stop = next(stop for stop in stops if (stop - x) * step >= 0)
                x = self._along(turn, problems, here, x, stop)
            if x == stops[-1]:
                return None
            x += step
            like = self._best_like(problems.at(x))
            least = IMPOSSIBLE if like is None else like["total_cents"]
            rival = self.cheaper(problems.at(x), least)
            if rival is not None or like is None:
                return Edge(x - step, rival)
            here = Priced(like, x)
        return None

    def _along(self, turn: Turn, problems: "_Problems", here: Priced, x: int, stop: int) -> int:
        """The last value from `x` to `stop`, all costs lines, at which no plan is cheaper."""
        while x != stop:
            cents = turn.cents_at(here, stop)
            rival = self.cheaper(problems.at(stop), IMPOSSIBLE if cents is None else cents)
            if rival is None:
                break
            stop = _meeting(turn, here, Priced(rival, stop), x, stop)
        return stop

    def _halved(self, turn: Turn, problems: "_Problems", here: Priced, x: int, stop: int) -> int:
        """The same for a plan that costs the same all along, while others only get cheaper."""
        cents = turn.cents_at(here, x) or 0
        if self.cheaper(problems.at(stop), cents) is None:
            return stop
        while abs(stop - x) > 1:
            mid = (x + stop) // 2
            if self.cheaper(problems.at(mid), cents) is None:
                x = mid
            else:
                stop = mid
        return x

    def cheaper(self, problem: Problem, cents: int) -> JsonDict | None:
        """The cheapest plan if it costs less than this."""
        return self._least(problem, OPEN, cents)

    def _best_like(self, problem: Problem) -> JsonDict | None:
        """The cheapest plan of the chosen option's kind."""
        return self._least(problem, Gate((SameKind(problem, self.chosen),)), IMPOSSIBLE)

    def _least(self, problem: Problem, gate: Gate, below: int) -> JsonDict | None:
        pool = Single()
        pool.limit = below
        demand = full_demand(problem.case)
        search(problem, demand, _CENTS, pool, should_stop=self.should_stop, gate=gate)
        return None if pool.best is None else plan_of(problem, pool.best)


class _Problems:
    """The case made ready at each value that is looked at."""

    def __init__(self, turn: Turn, now: Problem) -> None:
        self.turn = turn
        self._known = {turn.now: now}

    def at(self, x: int) -> Problem:
        """The problem with the number at `x`."""
        if x not in self._known:
            self._known[x] = Problem(self.turn.case_at(x))
        return self._known[x]


def _meeting(turn: Turn, here: Priced, rival: Priced, x: int, stop: int) -> int:
    """The last value from `x` towards `stop` at which `here` costs no more; at `stop` it does."""
    while abs(stop - x) > 1:
        mid = (x + stop) // 2
        mine, its = turn.cents_at(here, mid), turn.cents_at(rival, mid)
        if mine is not None and (its is None or mine <= its):
            x = mid
        else:
            stop = mid
    return x
