"""Which switches are networked: existing ones kept or replaced, and new ones by model."""

from collections import Counter
from collections.abc import Iterable, Iterator
from itertools import combinations_with_replacement, product
from typing import NamedTuple, Protocol

from planner.engine.frames import Aim
from planner.engine.nodes import Node
from planner.engine.problem import NODE, OFF, Option, Problem
from planner.engine.rules import SameRule


class SwitchGate(Protocol):
    """What decides which options switches may take; see `gates`."""

    def switch(self, _slot: int, _option: Option) -> bool:
        """Whether this existing switch may take this option."""

    def new(self, _option: Option) -> bool:
        """Whether a new switch may be this."""


class Selection(NamedTuple):
    """A choice for each existing switch, and the new switches without their places yet."""

    weight: int
    switches: tuple[Option, ...]
    new: tuple[Option, ...]
    have: tuple[int, ...]
    releases: tuple[str | None, ...]
    draw_ma: int

    @property
    def networked(self) -> int:
        """How many switches are networked."""
        return len(self.new) + sum(1 for option in self.switches if option.link == NODE)

    @property
    def spread(self) -> int:
        """How many leaves the ports of these switches take, joined to each other."""
        nodes = [o.node for o in (*self.switches, *self.new) if o.node]
        return 2 + sum(node.ports - 2 for node in nodes)


class Placed(NamedTuple):
    """A selection whose new switches stand at their places."""

    selection: Selection
    new_places: tuple[int, ...]
    nodes: tuple[Node, ...]
    places: int


def selections(
    problem: Problem,
    aim: Aim,
    sames: list[SameRule],
    max_new: int,
    gate: SwitchGate,
    *,
    by_kind: bool,
) -> Iterator[Selection]:
    """Every selection that could be part of a best plan, in a fixed order."""
    bits = [rule.bit for rule in sames]
    lists = [
        _distinct([o for o in options if gate.switch(k, o)], aim, bits, by_kind=by_kind)
        for k, options in enumerate(problem.switch_options)
    ]
    fresh = [option for option in problem.new_options if gate.new(option)]
    new = _distinct(fresh, aim, bits, by_kind=by_kind)
    most = max_new if problem.new_places else 0
    groups = [
        group for size in range(most + 1) for group in combinations_with_replacement(new, size)
    ]
    for switches in product(*lists):
        for group in groups:
            found = _selection(problem, aim, bits, switches, group)
            if found is not None:
                yield found


def _distinct(
    options: Iterable[Option], aim: Aim, bits: list[int], *, by_kind: bool
) -> list[Option]:
    """The lightest option of each lot that no statement, port or limit tells apart."""
    best: dict[object, Option] = {}
    for option in options:
        if option.link not in (OFF, NODE):
            continue
        text = option.choice.release if any(option.mask >> b & 1 for b in bits) else None
        model = option.choice.model.id if by_kind else None
        key = (option.link, option.mask, text, model, option.node, option.draw_ma)
        if key not in best or aim.weigh(option) < aim.weigh(best[key]):
            best[key] = option
    return sorted(best.values(), key=aim.weigh)


def _selection(
    problem: Problem,
    aim: Aim,
    bits: list[int],
    switches: tuple[Option, ...],
    new: tuple[Option, ...],
) -> Selection | None:
    every = (*switches, *new)
    releases: list[str | None] = []
    for bit in bits:
        texts = {o.choice.release for o in every if o.mask >> bit & 1}
        if len(texts) > 1:
            return None
        releases.append(next(iter(texts), None))
    have = tuple(sum(o.mask >> bit & 1 for o in every) for bit in range(problem.book.size))
    return Selection(
        weight=sum(aim.weigh(option) for option in every),
        switches=switches,
        new=new,
        have=have,
        releases=tuple(releases),
        draw_ma=sum(option.draw_ma for option in every),
    )


def placements(problem: Problem, selection: Selection, *, loose: bool) -> Iterator[Placed]:
    """Every way to place the new switches; with `loose` places do not matter and one will do."""
    spots = problem.new_places[:1] if loose else problem.new_places
    lots = Counter(selection.new)
    ways = [combinations_with_replacement(spots, count) for count in lots.values()]
    fixed = [o.node for o in selection.switches if o.node]
    for way in product(*ways):
        by_lot = dict(zip(lots, (list(places) for places in way), strict=True))
        new_places = tuple(by_lot[option].pop(0) for option in selection.new)
        fresh = [
            option.node._replace(location=place)
            for option, place in zip(selection.new, new_places, strict=True)
            if option.node
        ]
        nodes = tuple(sorted((*fixed, *fresh)))
        yield Placed(selection, new_places, nodes, mask_of(nodes))


def mask_of(nodes: tuple[Node, ...]) -> int:
    """The locations of these nodes as a bit mask."""
    mask = 0
    for node in nodes:
        mask |= 1 << node.location
    return mask
