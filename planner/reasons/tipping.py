"""How far a price, the labour rate or a length may move before another option is cheapest."""

from dataclasses import dataclass
from typing import Any

from planner import engine
from planner.reasons.chosen import Chosen, in_page
from planner.reasons.wording import shop_words
from planner.telling import part_name
from shopapp import money

JsonDict = dict[str, Any]
MINUTES_AN_HOUR = 60


@dataclass(frozen=True)
class Edge:
    """One number and how far it may move; "" where it may move without bound."""

    what: str
    now: str
    lowest: str
    highest: str
    below: str
    above: str
    bought: bool = True

    @property
    def bounded(self) -> bool:
        """Whether anything beyond some value is cheaper."""
        return bool(self.lowest or self.highest)


def tipping_page(chosen: Chosen) -> JsonDict:
    """The facts of the page; a page's time at most."""
    place = chosen.number - 1
    if place >= len(chosen.run.answer["options"]):
        return {"cheapest": False, "proven": True}
    told = engine.sensitivity(chosen.case, chosen.run.answer, option=place, should_stop=in_page())
    prices = _prices(chosen, told)
    used = [edge for edge in prices if edge.bought]
    used += [*_labour(chosen, told), *_routes(chosen, told)]
    return {
        "cheapest": told["cheapest"],
        "proven": told["proven"],
        "edges": [edge for edge in used if edge.bounded],
        "free": [edge.what for edge in used if not edge.bounded],
        "unbought": [edge for edge in prices if edge.bounded and not edge.bought],
        "pinned": bool(chosen.run.wishes.get("pins")),
    }


def _prices(chosen: Chosen, told: JsonDict) -> list[Edge]:
    return [
        _edge(
            chosen,
            row,
            part_name(chosen.case, row["part"]),
            "_cents",
            _money(chosen),
            bought=chosen.plan["parts"].get(row["part"], 0) > 0,
        )
        for row in told["prices"]
    ]


def _labour(chosen: Chosen, told: JsonDict) -> list[Edge]:
    """The labour rate, by the hour as people say it."""
    row = told["labour_cents_per_minute"]
    shown = _money(chosen)
    if row is None:
        return []
    return [_edge(chosen, row, "An hour of labour", "", lambda rate: shown(rate * MINUTES_AN_HOUR))]


def _routes(chosen: Chosen, told: JsonDict) -> list[Edge]:
    return [
        _edge(chosen, row, f"The way from {' to '.join(row['between'])}", "_ft", "{} ft".format)
        for row in told["routes"]
    ]


def _money(chosen: Chosen) -> Any:
    currency = chosen.run.shop.currency
    return lambda cents: money.show(cents, currency)


def _edge(
    chosen: Chosen, row: JsonDict, what: str, unit: str, shown: Any, *, bought: bool = True
) -> Edge:
    low, high = row[f"from{unit}"], row[f"to{unit}"]
    return Edge(
        what=what,
        now=shown(row[f"now{unit}"]),
        lowest="" if low is None else shown(low),
        highest="" if high is None else shown(high),
        below=_then(chosen, row["below"]),
        above=_then(chosen, row["above"]),
        bought=bought,
    )


def _then(chosen: Chosen, rival: JsonDict | None) -> str:
    """What is cheapest beyond an edge, in the shop's words."""
    if rival is None:
        return ""
    words = shop_words(chosen.case, chosen.plan, rival["text"], chosen.run.shop.currency)
    if rival["option"] is None:
        return words
    return f"option {rival['option'] + 1}: {words}"
