"""A case made ready for searching: options by number, classes as bits, wiring and link solver."""

from dataclasses import dataclass

from planner.engine.choices import (
    Choice,
    Slot,
    new_switch_choices,
    switch_slots,
    unit_slots,
)
from planner.engine.facts import Case
from planner.engine.links import LinkSolver
from planner.engine.network import lay_out
from planner.engine.nodes import Node
from planner.engine.rules import RuleBook, Stand

OFF, LEAF, NODE = 0, 1, 2


@dataclass(frozen=True, slots=True, eq=False)
class Option:
    """A choice with all that the search asks of it.

    `cents` holds labour, parts, penalty and, for a leaf, the adapter of its one link
    (`adapter_cents`, given back where a single unit stays without any link).
    """

    choice: Choice
    cents: int
    adapter_cents: int
    link: int
    mask: int
    draw_ma: int
    location: int
    node: Node | None

    @property
    def kind(self) -> tuple[str, str, bool]:
        """What makes two plans differ in kind, as far as this unit goes."""
        return (self.choice.fate, self.choice.model.id, self.choice.networked)

    @property
    def stand(self) -> Stand:
        """Model and release."""
        return (self.choice.model.id, self.choice.release)


class Problem:
    """All that stays the same while one case is searched for several aims."""

    def __init__(self, case: Case) -> None:
        self.case = case
        self.wiring = lay_out(case)
        self.links = LinkSolver(self.wiring)
        self.slots = unit_slots(case)
        self.switch_slots = switch_slots(case)
        new = new_switch_choices(case)
        self.book = RuleBook(case, self._stands(new))
        self.options = tuple(self._options(slot) for slot in self.slots)
        self.switch_options = tuple(self._options(slot) for slot in self.switch_slots)
        self.new_options = tuple(self._option(choice, 0) for choice in new)
        self.new_places = tuple(self.wiring.index[name] for name in case.switch_locations)
        self.match = tuple(
            tuple(
                sum(1 << n for n, option in enumerate(options) if option.mask >> bit & 1)
                for bit in range(self.book.size)
            )
            for options in self.options
        )
        self.all_linkable = all(cents is not None for row in self.wiring.price for cents in row)

    def _stands(self, new: tuple[Choice, ...]) -> set[Stand]:
        slots: tuple[Slot, ...] = (*self.slots, *self.switch_slots)
        every = [choice for slot in slots for choice in slot.choices]
        return {(c.model.id, c.release) for c in (*every, *new) if c.networked}

    def _options(self, slot: Slot) -> tuple[Option, ...]:
        place = self.wiring.index[slot.location]
        return tuple(self._option(choice, place) for choice in slot.choices)

    def _option(self, choice: Choice, place: int) -> Option:
        model = choice.model
        link = OFF
        if choice.networked:
            link = NODE if model.bridges and model.ports > 1 else LEAF
        price = 0 if model.adapter is None else self.case.adapters[model.adapter]
        rate = self.case.rates.labour_cents_per_minute
        cents = choice.parts_cents + choice.minutes * rate + choice.penalty_cents
        adapter = price if link == LEAF and choice.adapters == 0 else 0
        node = None
        if link == NODE:
            least = self.case.least_switch_links if model.kind == "switch" else 1
            spare = 0 if price == 0 else choice.adapters
            node = Node(place, model.ports, least, price, spare)
        return Option(
            choice=choice,
            cents=cents + adapter,
            adapter_cents=adapter,
            link=link,
            mask=self.book.masks[model.id, choice.release] if choice.networked else 0,
            draw_ma=model.draw_ma if choice.aboard else 0,
            location=place,
            node=node,
        )
