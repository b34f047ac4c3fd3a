"""A skeleton made ready for descending: slots in order, options sorted, dominated ones dropped."""

from collections.abc import Callable
from typing import NamedTuple

from planner.engine.problem import LEAF, NODE, OFF, Option, Problem
from planner.engine.skeletons import Skeleton

_FIELD = 12


class Aim(NamedTuple):
    """What one cent, one changed unit and one unit behind weigh in the number made least."""

    cents: int
    changes: int
    behind: int

    def weigh(self, option: Option) -> int:
        """The weight of an option, without links."""
        choice = option.choice
        return (
            option.cents * self.cents + choice.changes * self.changes + choice.behind * self.behind
        )


class Row(NamedTuple):
    """One option of one slot as the descent needs it; `counted` packs the classes it meets."""

    weight: int
    link: int
    spread: int
    counted: int
    draw_ma: int
    number: int


class Step(NamedTuple):
    """What the bound needs of an option: the cheapest for each way to count and to link."""

    weight: int
    link: int
    spread: int
    counted: int


class Frame:
    """One skeleton under one aim. `order` gives the slot at each depth."""

    def __init__(self, problem: Problem, skeleton: Skeleton, cut: "Cutter") -> None:
        self.problem = problem
        self.fields = [*skeleton.caps, *skeleton.needs]
        self.caps = len(skeleton.caps)
        caps = sum(1 << c.bit for c in skeleton.caps)
        needs = sum(1 << n.bit for n in skeleton.needs)
        kept = [
            cut.left(i, domain, caps & ~needs, needs & ~caps, caps & needs)
            for i, domain in enumerate(skeleton.domains)
        ]
        places = [options[0].location for options in problem.options]
        bridging = [
            any(problem.options[i][n].link == NODE for n in numbers)
            for i, numbers in enumerate(kept)
        ]
        self.order = sorted(
            range(len(kept)), key=lambda i: (not bridging[i], places[i], len(kept[i]), i)
        )
        self.first_leaf = sum(bridging)
        self.places = [places[i] for i in self.order]
        self.fresh = [
            d <= self.first_leaf or self.places[d] != self.places[d - 1]
            for d in range(len(self.order))
        ]
        self.rows = [self._rows(i, kept[i], cut.aim) for i in self.order]
        self.steps = [_steps(rows) for rows in self.rows]
        self.least = sum(min(row.weight for row in rows) for rows in self.rows)
        self.draw_left = self._draw_left()
        self.node_places = {self.places[d] for d in range(self.first_leaf)}
        self.later_places = [
            sum(1 << place for place in set(self.places[d : self.first_leaf]))
            for d in range(self.first_leaf + 1)
        ]
        self._moves: dict[tuple[int, int], int] = {}

    def _rows(self, slot: int, numbers: tuple[int, ...], aim: Aim) -> list[Row]:
        rows = []
        for n in numbers:
            option = self.problem.options[slot][n]
            packed = sum(
                1 << (_FIELD * j) for j, f in enumerate(self.fields) if option.mask >> f.bit & 1
            )
            spread = _spread(option)
            rows.append(Row(aim.weigh(option), option.link, spread, packed, option.draw_ma, n))
        return sorted(rows)

    def _draw_left(self) -> list[int]:
        left = [0]
        for rows in reversed(self.rows):
            left.append(left[-1] + min(row.draw_ma for row in rows))
        return left[::-1]

    def advance(self, counts: int, more: int) -> int:
        """The counts after one more unit; -1 where a cap would break."""
        key = (counts, more)
        known = self._moves.get(key)
        if known is None:
            known = self._moves[key] = self._advance(counts, more)
        return known

    def _advance(self, counts: int, more: int) -> int:
        total = counts + more
        mask = (1 << _FIELD) - 1
        for j, field in enumerate(self.fields):
            here = total >> (_FIELD * j) & mask
            if here > field.quota:
                if j < self.caps:
                    return -1
                total -= (here - field.quota) << (_FIELD * j)
        return total

    def unpacked(self, counts: int) -> list[int]:
        """The count of each class."""
        mask = (1 << _FIELD) - 1
        return [counts >> (_FIELD * j) & mask for j in range(len(self.fields))]

    def satisfied(self, counts: int) -> bool:
        """Whether every need is met."""
        mask = (1 << _FIELD) - 1
        return all(
            counts >> (_FIELD * j) & mask >= field.quota
            for j, field in enumerate(self.fields)
            if j >= self.caps
        )


def _spread(option: Option) -> int:
    """What this option does to the count of leaves that find a port."""
    if option.node is not None:
        return option.node.ports - 2
    return -1 if option.link == LEAF else 0


def _steps(rows: list[Row]) -> list[Step]:
    best: dict[tuple[int, int, int], int] = {}
    for row in rows:
        key = (row.link, row.spread, row.counted)
        if key not in best or row.weight < best[key]:
            best[key] = row.weight
    return sorted(Step(weight, *key) for key, weight in best.items())


class Cutter:
    """Drops options that another option of the same slot beats in every way that counts."""

    def __init__(
        self,
        problem: Problem,
        aim: Aim,
        *,
        by_kind: bool,
        limited_draw: bool,
    ) -> None:
        self.problem = problem
        self.aim = aim
        self.by_kind = by_kind
        self.limited_draw = limited_draw
        self._known: dict[tuple[int, int, int, int, int], tuple[int, ...]] = {}

    def left(self, slot: int, domain: int, worse: int, better: int, equal: int) -> tuple[int, ...]:
        """Numbers of the options of a domain that stay; classes in `worse` hurt to meet,
        those in `better` help, those in `equal` do both.
        """
        key = (slot, domain, worse, better, equal)
        if key not in self._known:
            self._known[key] = self._cut(*key)
        return self._known[key]

    def _cut(self, slot: int, domain: int, worse: int, better: int, equal: int) -> tuple[int, ...]:
        options = self.problem.options[slot]
        numbers = [n for n in range(len(options)) if domain >> n & 1]
        numbers.sort(key=lambda n: (self.aim.weigh(options[n]), n))
        kept: list[int] = []
        classes = (worse, better, equal)
        for n in numbers:
            beaten = any(self._beats(options[k], options[n], *classes) for k in kept)
            if not beaten:
                kept = [k for k in kept if not self._as_light(options[n], options[k], *classes)]
                kept.append(n)
        return tuple(kept)

    def _as_light(self, one: Option, two: Option, worse: int, better: int, equal: int) -> bool:
        """Whether `one`, no heavier, beats an option that came before it."""
        same = self.aim.weigh(one) == self.aim.weigh(two)
        return same and self._beats(one, two, worse, better, equal)

    def _beats(self, one: Option, two: Option, worse: int, better: int, equal: int) -> bool:
        """Whether `one`, not dearer, can stand in for `two` in any plan."""
        if self.by_kind and one.kind != two.kind:
            return False
        if self.limited_draw and one.draw_ma > two.draw_ma:
            return False
        extra, missing = one.mask & ~two.mask, two.mask & ~one.mask
        if extra & (worse | equal) or missing & (better | equal):
            return False
        return _LINKS_AS_WELL[one.link, two.link](one, two, self.aim)


def _always(_one: Option, _two: Option, _aim: Aim) -> bool:
    return True


def _never(_one: Option, _two: Option, _aim: Aim) -> bool:
    return False


def _leaf_as_well(one: Option, two: Option, aim: Aim) -> bool:
    if not one.choice.model.ports and two.choice.model.ports:
        return False
    alone = one.adapter_cents - two.adapter_cents
    return aim.weigh(one) - aim.weigh(two) <= alone * aim.cents


def _node_as_well(one: Option, two: Option, _aim: Aim) -> bool:
    if one.node is None or two.node is None or one.node.ports < two.node.ports:
        return False
    if one.node.adapter_cents == 0:
        return True
    return (
        one.node.adapter_cents <= two.node.adapter_cents and one.node.adapters >= two.node.adapters
    )


_LINKS_AS_WELL: dict[tuple[int, int], Callable[[Option, Option, Aim], bool]] = {
    (a, b): _never for a in (OFF, LEAF, NODE) for b in (OFF, LEAF, NODE)
}
_LINKS_AS_WELL[OFF, OFF] = _always
_LINKS_AS_WELL[LEAF, LEAF] = _leaf_as_well
_LINKS_AS_WELL[NODE, NODE] = _node_as_well
