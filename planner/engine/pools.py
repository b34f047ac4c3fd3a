"""Where a search puts what it finds: the best one, or the best of each of several kinds."""

from collections import Counter
from dataclasses import dataclass, replace

from planner.engine.frames import Aim
from planner.engine.links import Links
from planner.engine.network import IMPOSSIBLE
from planner.engine.problem import NODE, OFF, Option
from planner.engine.selections import Placed

Kind = tuple[tuple[tuple[str, str, bool], ...], tuple[tuple[str, int], ...]]


@dataclass(frozen=True, slots=True)
class Found:
    """A right plan as the search holds it: one option a slot, the switches and the links."""

    weight: int
    units: tuple[Option, ...]
    placed: Placed
    links: Links

    @property
    def kind(self) -> Kind:
        """Plans of equal kind differ only in releases, in places of switches and in links."""
        selection = self.placed.selection
        models = Counter(
            o.choice.model.id for o in (*selection.switches, *selection.new) if o.link == NODE
        )
        return tuple(option.kind for option in self.units), tuple(sorted(models.items()))


def weigh(aim: Aim, units: tuple[Option, ...], placed: Placed, links: Links) -> int:
    """The weight of a whole plan; a unit that stays alone gives its adapter back."""
    joined = [option for option in units if option.link != OFF]
    cents = links.cents
    if len(joined) + len(placed.nodes) == 1:
        cents -= sum(option.adapter_cents for option in joined)
    selection = placed.selection
    every = (*units, *selection.switches, *selection.new)
    return cents * aim.cents + sum(aim.weigh(option) for option in every)


def reweigh(found: Found, aim: Aim) -> Found:
    """The same plan under another aim."""
    return replace(found, weight=weigh(aim, found.units, found.placed, found.links))


class Pool:
    """The lightest plan of each of the `size` lightest kinds."""

    def __init__(self, size: int) -> None:
        self.size = size
        self.limit = IMPOSSIBLE
        self._best: dict[Kind, Found] = {}

    def offer(self, found: Found) -> None:
        """Keep the plan where it belongs to the lightest kinds."""
        known = self._best.get(found.kind)
        if known is not None and known.weight <= found.weight:
            return
        self._best[found.kind] = found
        self._settle()

    def _settle(self) -> None:
        ranked = sorted(self._best.items(), key=lambda item: item[1].weight)
        self._best = dict(ranked[: self.size])
        if len(ranked) >= self.size:
            self.limit = ranked[self.size - 1][1].weight

    def ranked(self) -> list[Found]:
        """What is kept, lightest first."""
        return list(self._best.values())


class Single:
    """The one lightest plan; `limit` may start at what is known to be reachable."""

    size = 1

    def __init__(self, known: Found | None = None) -> None:
        self.best = known
        self.limit = IMPOSSIBLE if known is None else known.weight

    def offer(self, found: Found) -> None:
        """Keep the plan where it is lighter than the best."""
        if found.weight < self.limit:
            self.best = found
            self.limit = found.weight

    def ranked(self) -> list[Found]:
        """The best plan, if any."""
        return [] if self.best is None else [self.best]
