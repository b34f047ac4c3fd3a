"""Statements as counts over classes of units.

Every selector becomes a *class*: the set of (model, release) pairs that it matches among those
that can occur networked at all. Selectors that match the same pairs share one class, numbered
as a bit. `only S of E` is "at most none of E without S".
"""

from collections.abc import Iterable
from typing import NamedTuple

from planner.engine.facts import Case, Model, Selector

ALWAYS = -1
Stand = tuple[str, str | None]


class CountRule(NamedTuple):
    """At most (or at least) `quota` networked units of class `bit` when class `when` occurs."""

    statement: int
    quota: int
    bit: int
    when: int


class SameRule(NamedTuple):
    """All networked units of class `bit` that have firmware stand at one release."""

    statement: int
    bit: int


class RuleBook:
    """The statements of a case over the classes; `statement` numbers follow the case's order."""

    def __init__(self, case: Case, stands: Iterable[Stand]) -> None:
        self._models = case.models
        self._stands = sorted(stands, key=lambda s: (s[0], s[1] or ""))
        self._bits: dict[frozenset[Stand], int] = {}
        self.caps: list[CountRule] = []
        self.needs: list[CountRule] = []
        self.sames: list[SameRule] = []
        for number in range(len(case.statements)):
            self._add(case, number)
        self.masks: dict[Stand, int] = {
            stand: sum(1 << bit for members, bit in self._bits.items() if stand in members)
            for stand in self._stands
        }

    @property
    def size(self) -> int:
        """How many classes there are."""
        return len(self._bits)

    def _add(self, case: Case, number: int) -> None:
        rule = case.statements[number].rule
        if rule.verb == "before":
            return
        of = self._members(rule.of)
        if rule.verb == "same_release":
            with_firmware = frozenset(stand for stand in of if stand[1] is not None)
            self.sames.append(SameRule(number, self._bit(with_firmware)))
            return
        when = ALWAYS if rule.when is None else self._bit(self._members(rule.when))
        if rule.verb == "only" and rule.target is not None:
            wrong = of - self._members(rule.target)
            self.caps.append(CountRule(number, 0, self._bit(wrong), when))
        elif rule.verb == "at_most":
            self.caps.append(CountRule(number, rule.count, self._bit(of), when))
        else:
            self.needs.append(CountRule(number, rule.count, self._bit(of), when))

    def _members(self, selector: Selector) -> frozenset[Stand]:
        return frozenset(
            (name, release)
            for name, release in self._stands
            if selector.matches(self._model(name), release)
        )

    def _model(self, name: str) -> Model:
        return self._models[name]

    def _bit(self, members: frozenset[Stand]) -> int:
        return self._bits.setdefault(members, len(self._bits))


def broken_statements(book: RuleBook, networked: Iterable[Stand]) -> set[int]:
    """The numbers of the counting statements broken by exactly these networked units."""
    units = list(networked)
    counts = [0] * book.size
    texts: dict[int, set[str | None]] = {}
    for stand in units:
        mask = book.masks[stand]
        for bit in range(book.size):
            if mask >> bit & 1:
                counts[bit] += 1
                texts.setdefault(bit, set()).add(stand[1])
    broken = {
        rule.statement
        for rule in book.caps
        if (rule.when == ALWAYS or counts[rule.when]) and counts[rule.bit] > rule.quota
    }
    broken |= {
        rule.statement
        for rule in book.needs
        if (rule.when == ALWAYS or counts[rule.when]) and counts[rule.bit] < rule.quota
    }
    return broken | {rule.statement for rule in book.sames if len(texts.get(rule.bit, ())) > 1}
