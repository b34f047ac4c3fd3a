"""Leaving cables where they are: among links of equal cost, those that lie there now.

The planner proves what a plan costs, not which of equal trees is the least trouble. Here links
are swapped for links between the same locations, one at a time, so that as many cables as can
stay in the ports that they are in; sums, parts and every rule of the network stay as they were.
Pure: works on the case and the plan alone.
"""

from collections import Counter, defaultdict
from typing import Any

JsonDict = dict[str, Any]
Pair = frozenset[str]
MOST_ROUNDS = 200


def leave_cables(case: JsonDict, answer: JsonDict) -> JsonDict:
    """The answer with every plan's links settled; other answers pass through."""
    if not answer.get("feasible"):
        return answer
    strategies = {
        name: plan and settle_links(case, plan) for name, plan in answer["strategies"].items()
    }
    options = [settle_links(case, plan) for plan in answer["options"]]
    return answer | {"strategies": strategies, "options": options}


def settle_links(case: JsonDict, plan: JsonDict) -> JsonDict:
    """The plan with its tree brought as near to the present cables as equal cost allows."""
    network = Network(case, plan)
    if not network.safe:
        return plan
    pairs = network.settle([frozenset(link["between"]) for link in plan["links"]])
    return plan | {"links": network.name_cables(pairs, plan["links"])}


class Network:
    """What a swap must respect: places, ports, bridges, adapters, and the cables in place."""

    def __init__(self, case: JsonDict, plan: JsonDict) -> None:
        models = case["catalogue"]["models"]
        units = {unit["unit"]: unit for unit in plan["units"] if unit["networked"]}
        self.place = {name: unit["location"] for name, unit in units.items()}
        self.model = {name: models[unit["model"]] for name, unit in units.items()}
        self.wired: dict[Pair, list[str]] = defaultdict(list)
        self.cable_places: dict[str, Pair] = {}
        for cable in case["boat"]["cables"]:
            ends = frozenset(cable.get("ends", {}))
            self.cable_places[cable["id"]] = frozenset(cable["between"])
            if len(ends) == 2 and ends <= set(units) and self.lies(ends) == self._span(cable):
                self.wired[ends].append(cable["id"])
        # A branching unit with an adapter: a swap would change how many are bought.
        self.safe = not any(m["bridges"] and m["adapter"] for m in self.model.values())

    def _span(self, cable: JsonDict) -> Pair:
        return frozenset(cable["between"])

    def lies(self, pair: Pair) -> Pair:
        """The locations that a link joins; one alone within a location."""
        return frozenset(self.place[name] for name in pair)

    def settle(self, pairs: list[Pair]) -> list[Pair]:
        """Swap links one at a time while that keeps one more cable in place."""
        for _ in range(MOST_ROUNDS):
            better = self._one_swap(pairs)
            if better is None:
                return pairs
            pairs = better
        return pairs

    def _one_swap(self, pairs: list[Pair]) -> list[Pair] | None:
        for wanted in sorted(self.wired, key=sorted):
            if wanted in pairs:
                continue
            for index, pair in enumerate(pairs):
                if pair in self.wired or self.lies(pair) != self.lies(wanted):
                    continue
                tried = [*pairs[:index], wanted, *pairs[index + 1 :]]
                if self._holds(tried):
                    return tried
        return None

    def _holds(self, pairs: list[Pair]) -> bool:
        degree = Counter(name for pair in pairs for name in pair)
        for name, model in self.model.items():
            used = degree[name]
            if used > model["ports"] or (used > 1 and not model["bridges"]):
                return False
            if model["kind"] == "switch" and used < 2:
                return False
        return self._joined(pairs)

    def _joined(self, pairs: list[Pair]) -> bool:
        beside: dict[str, set[str]] = defaultdict(set)
        for pair in pairs:
            a, b = pair
            beside[a].add(b)
            beside[b].add(a)
        seen: set[str] = set()
        waiting = [next(iter(self.place))] if self.place else []
        while waiting:
            name = waiting.pop()
            if name not in seen:
                seen.add(name)
                waiting.extend(beside[name] - seen)
        return len(seen) == len(self.place)

    def name_cables(self, pairs: list[Pair], links: list[JsonDict]) -> list[JsonDict]:
        """Give each link a cable: its own where it is wired now, else another of that way."""
        chosen: dict[int, str] = {}
        for span in {self.lies(pair) for pair in pairs}:
            places = [index for index, pair in enumerate(pairs) if self.lies(pair) == span]
            told = [k["cable"] for k in links if self.lies(frozenset(k["between"])) == span]
            chosen |= self._share_out(span, {index: pairs[index] for index in places}, told)
        return [
            {"between": sorted(pair), "cable": chosen[index]} for index, pair in enumerate(pairs)
        ]

    def _share_out(self, span: Pair, pairs: dict[int, Pair], told: list[str]) -> dict[int, str]:
        bought = [cable for cable in told if cable.startswith("buy:")]
        reused = len(told) - len(bought)
        free = [name for name, ends in self.cable_places.items() if ends == span]
        chosen: dict[int, str] = {}
        for index, pair in pairs.items():
            own = [name for name in self.wired.get(pair, ()) if name in free]
            if own and len(chosen) < reused:
                chosen[index] = own[0]
                free.remove(own[0])
        rest = [*free[: reused - len(chosen)], *bought]
        open_places = [index for index in pairs if index not in chosen]
        return chosen | dict(zip(open_places, rest, strict=True))
