"""What can be turned, and by how much: a part's price, the labour rate, the length of a route.

A turn makes the case with the value at `x`, says where the costs of plans stop being straight
lines in `x`, and what a given plan would cost there.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

from planner.engine.facts import Case
from planner.engine.network import Wiring, lay_out
from planner.engine.ports import BUY

JsonDict = dict[str, Any]


@dataclass(frozen=True)
class Priced:
    """A plan and the `x` that it was costed at."""

    plan: JsonDict
    x: int


class Turn:
    """One number of a case that may move; `now` is what it is."""

    now: int

    def case_at(self, x: int) -> Case:
        """The case with this number at `x`."""
        raise NotImplementedError

    def cents_at(self, priced: Priced, x: int) -> int | None:
        """What the very same plan costs at `x`; None where it cannot be made there."""
        raise NotImplementedError

    def stops(self, step: int, far: int) -> list[int]:
        """Ends of the stretches on which all costs are lines, in the way of `step`."""
        raise NotImplementedError


class PriceTurn(Turn):
    """The price of one part, or the labour rate: every plan's cost is one line."""

    def __init__(
        self, now: int, case_at: Callable[[int], Case], count: Callable[[JsonDict], int]
    ) -> None:
        self.now = now
        self.count = count
        self._case_at = case_at

    def case_at(self, x: int) -> Case:
        """The case with this price."""
        return self._case_at(x)

    def cents_at(self, priced: Priced, x: int) -> int | None:
        """A line: what is bought of it, times how far it moved."""
        total: int = priced.plan["total_cents"]
        return total + self.count(priced.plan) * (x - priced.x)

    def stops(self, step: int, far: int) -> list[int]:
        """One stretch."""
        return [far if step > 0 else 0]


def price_turns(case: Case) -> list[tuple[str, PriceTurn]]:
    """A turn for each part that has a price, by id."""
    turns = [(name, _model_turn(case, name)) for name in case.models]
    turns += [
        (name, _part_turn(name, cents, _dict_setter(case, table, name)))
        for table in ("adapters", "leads")
        for name, cents in getattr(case, table).items()
    ]
    turns += [
        (part.id, _part_turn(part.id, part.price_cents, _tuple_setter(case, table, n)))
        for table in ("fuses", "cables_sold")
        for n, part in enumerate(getattr(case, table))
    ]
    return sorted((name, turn) for name, turn in turns if turn is not None)


def rate_turn(case: Case) -> PriceTurn:
    """The labour rate."""

    def case_at(x: int) -> Case:
        return replace(case, rates=replace(case.rates, labour_cents_per_minute=x))

    return PriceTurn(
        case.rates.labour_cents_per_minute, case_at, lambda plan: int(plan["labour_minutes"])
    )


def _part_turn(name: str, now: int, case_at: Callable[[int], Case]) -> PriceTurn:
    return PriceTurn(now, case_at, lambda plan: int(plan["parts"].get(name, 0)))


def _model_turn(case: Case, name: str) -> PriceTurn | None:
    model = case.models[name]
    if model.price_cents is None:
        return None

    def case_at(x: int) -> Case:
        return replace(case, models={**case.models, name: replace(model, price_cents=x)})

    return _part_turn(name, model.price_cents, case_at)


def _dict_setter(case: Case, table: str, name: str) -> Callable[[int], Case]:
    def case_at(x: int) -> Case:
        changed: dict[str, Any] = {table: {**getattr(case, table), name: x}}
        return replace(case, **changed)

    return case_at


def _tuple_setter(case: Case, table: str, n: int) -> Callable[[int], Case]:
    parts = getattr(case, table)

    def case_at(x: int) -> Case:
        part = replace(parts[n], price_cents=x)
        changed: dict[str, Any] = {table: (*parts[:n], part, *parts[n + 1 :])}
        return replace(case, **changed)

    return case_at


class RouteTurn(Turn):
    """The length of one route."""

    def __init__(self, case: Case, number: int) -> None:
        self.case = case
        self.number = number
        self.now = case.routes[number][2]
        self._wirings: dict[int, Wiring] = {}

    def case_at(self, x: int) -> Case:
        """The case with this route so long."""
        routes, n = self.case.routes, self.number
        changed = (*routes[n][:2], x)
        return replace(self.case, routes=(*routes[:n], changed, *routes[n + 1 :]))

    def _wiring(self, x: int) -> Wiring:
        if x not in self._wirings:
            self._wirings[x] = lay_out(self.case_at(x))
        return self._wirings[x]

    def cents_at(self, priced: Priced, x: int) -> int | None:
        """The plan with each cable that it buys bought and pulled anew."""
        index = self._wiring(x).index
        places = {row["unit"]: index[row["location"]] for row in priced.plan["units"]}
        total: int = priced.plan["total_cents"]
        for link in priced.plan["links"]:
            if link["cable"].startswith(BUY):
                a, b = (places[end] for end in link["between"])
                was, now = self._wiring(priced.x).price[a][b], self._wiring(x).price[a][b]
                if was is None or now is None:
                    return None
                total += now - was
        return total

    def stops(self, step: int, far: int) -> list[int]:
        """Where a way over this route stops being the shortest, or another cable is needed."""
        ends = {end for end in self._ends() if end >= 0}
        if step > 0:
            return sorted({end for end in ends if end > self.now} | {max((*ends, self.now)) + 1})
        return sorted({end + 1 for end in ends if end + 1 < self.now} | {0}, reverse=True)

    def _ends(self) -> set[int]:
        long = sum(feet for _, _, feet in self.case.routes) + 1
        feet = [cable.feet - self.case.slack_ft for cable in self.case.cables_sold]
        found = set()
        short, gone = _feet(self.case_at(0)), _feet(self.case_at(long))
        for pair, least in short.items():
            most = gone[pair]
            if most < long and most > least:
                found.add(most - least)
            if most > least:
                found |= {reach - least for reach in feet}
        return found


def _feet(case: Case) -> dict[tuple[str, str], int]:
    """The distance of every two locations that are joined."""
    found = {(a, a): 0 for a in case.locations}
    for a, b, feet in case.routes:
        for pair in ((a, b), (b, a)):
            found[pair] = min(feet, found.get(pair, feet))
    for mid in case.locations:
        for a in case.locations:
            for b in case.locations:
                if (a, mid) in found and (mid, b) in found:
                    way = found[a, mid] + found[mid, b]
                    found[a, b] = min(way, found.get((a, b), way))
    return found
