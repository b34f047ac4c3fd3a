"""What the statements leave of each unit's options once the switches are known.

Given the counts of the networked switches, every condition of a statement either holds, cannot
hold, or is branched on ("no unit meets it" against "the rest of the statement is kept"); so is
the release of every `same_release` statement. What remains are plain caps and needs.
"""

from collections.abc import Iterator
from typing import NamedTuple

from planner.engine.problem import Problem
from planner.engine.rules import ALWAYS, CountRule, SameRule


class Demand(NamedTuple):
    """What a search must keep: requests and statements as bit masks, and the two limits."""

    requests: int
    statements: int
    dc_limit_ma: int | None
    max_new: int


class Counted(NamedTuple):
    """A cap or a need that the units themselves must still keep."""

    bit: int
    quota: int


class Skeleton(NamedTuple):
    """One branch: the options left of each slot (bit masks) and the counts still to keep."""

    domains: tuple[int, ...]
    caps: tuple[Counted, ...]
    needs: tuple[Counted, ...]


Domains = list[int]


class Shaper:
    """Makes the skeletons for one demand; they depend only on what the switches count."""

    def __init__(self, problem: Problem, demand: Demand, start: tuple[int, ...]) -> None:
        self.problem = problem
        self.start = start
        book = problem.book
        self.caps = [r for r in book.caps if demand.statements >> r.statement & 1]
        self.needs = [r for r in book.needs if demand.statements >> r.statement & 1]
        self.sames = _widest(book.sames, demand, problem)
        self._known: dict[tuple[tuple[int, ...], tuple[str | None, ...]], list[Skeleton]] = {}

    def skeletons(self, have: tuple[int, ...], releases: tuple[str | None, ...]) -> list[Skeleton]:
        """All branches for these switch counts; `releases` are those fixed for `sames`."""
        key = (have, releases)
        if key not in self._known:
            self._known[key] = list(dict.fromkeys(self._branch(list(self.start), have, releases)))
        return self._known[key]

    def _branch(
        self, domains: Domains, have: tuple[int, ...], releases: tuple[str | None, ...]
    ) -> Iterator[Skeleton]:
        yield from self._conditions(domains, have, frozenset(), releases)

    def _conditions(
        self,
        domains: Domains,
        have: tuple[int, ...],
        taken: frozenset[int],
        releases: tuple[str | None, ...],
    ) -> Iterator[Skeleton]:
        active = self._propagate(domains, have, taken)
        if active is None:
            return
        open_bit = self._open_condition(domains, have, taken)
        if open_bit is None:
            yield from self._same(0, domains, have, taken, releases)
            return
        match = self.problem.match
        without = [d & ~match[i][open_bit] for i, d in enumerate(domains)]
        if all(without):
            yield from self._conditions(without, have, taken, releases)
        yield from self._conditions(list(domains), have, taken | {open_bit}, releases)

    def _same(
        self,
        at: int,
        domains: Domains,
        have: tuple[int, ...],
        taken: frozenset[int],
        releases: tuple[str | None, ...],
    ) -> Iterator[Skeleton]:
        if at == len(self.sames):
            skeleton = self._finish(domains, have, taken)
            if skeleton is not None:
                yield skeleton
            return
        bit = self.sames[at].bit
        texts = self._texts(domains, bit)
        fixed = releases[at]
        if fixed is None and len(texts) < 2:
            yield from self._same(at + 1, domains, have, taken, releases)
            return
        for text in sorted(texts) if fixed is None else (fixed,):
            left = [d & ~self._other_releases(i, d, bit, text) for i, d in enumerate(domains)]
            if all(left):
                yield from self._same(at + 1, left, have, taken, releases)

    def _texts(self, domains: Domains, bit: int) -> set[str]:
        found: set[str] = set()
        for i, domain in enumerate(domains):
            hits = domain & self.problem.match[i][bit]
            for n, option in enumerate(self.problem.options[i]):
                if hits >> n & 1 and option.choice.release is not None:
                    found.add(option.choice.release)
        return found

    def _other_releases(self, i: int, domain: int, bit: int, text: str) -> int:
        hits = domain & self.problem.match[i][bit]
        mask = 0
        for n, option in enumerate(self.problem.options[i]):
            if hits >> n & 1 and option.choice.release != text:
                mask |= 1 << n
        return mask

    def _finish(
        self, domains: Domains, have: tuple[int, ...], taken: frozenset[int]
    ) -> Skeleton | None:
        domains = list(domains)
        if self._propagate(domains, have, taken) is None:
            return None
        caps: dict[int, int] = {}
        needs: dict[int, int] = {}
        for rule in self._active(self.caps, domains, have, taken):
            limit = rule.quota - have[rule.bit]
            if self._can(domains, rule.bit) > limit:
                caps[rule.bit] = min(limit, caps.get(rule.bit, limit))
        for rule in self._active(self.needs, domains, have, taken):
            need = rule.quota - have[rule.bit]
            if self._must(domains, rule.bit) < need:
                needs[rule.bit] = max(need, needs.get(rule.bit, need))
        return Skeleton(
            tuple(domains),
            tuple(Counted(*item) for item in sorted(caps.items())),
            tuple(Counted(*item) for item in sorted(needs.items())),
        )

    def _active(
        self,
        rules: list[CountRule],
        domains: Domains,
        have: tuple[int, ...],
        taken: frozenset[int],
    ) -> Iterator[CountRule]:
        for rule in rules:
            if self._condition(rule.when, domains, have, taken) is True:
                yield rule

    def _condition(
        self, when: int, domains: Domains, have: tuple[int, ...], taken: frozenset[int]
    ) -> bool | None:
        """True: holds or is taken to hold; False: cannot hold; None: open."""
        if when == ALWAYS or have[when] or when in taken or self._must(domains, when):
            return True
        return None if self._can(domains, when) else False

    def _must(self, domains: Domains, bit: int) -> int:
        match = self.problem.match
        return sum(1 for i, d in enumerate(domains) if not d & ~match[i][bit])

    def _can(self, domains: Domains, bit: int) -> int:
        match = self.problem.match
        return sum(1 for i, d in enumerate(domains) if d & match[i][bit])

    def _open_condition(
        self, domains: Domains, have: tuple[int, ...], taken: frozenset[int]
    ) -> int | None:
        """The first condition that is open and whose rule could bite."""
        biting = [r for r in self.caps if self._can(domains, r.bit) + have[r.bit] > r.quota]
        biting += [r for r in self.needs if self._must(domains, r.bit) + have[r.bit] < r.quota]
        for rule in biting:
            if self._condition(rule.when, domains, have, taken) is None:
                return rule.when
        return None

    def _propagate(
        self, domains: Domains, have: tuple[int, ...], taken: frozenset[int]
    ) -> bool | None:
        """Cut options that an active rule forbids, in place; None where nothing is left."""
        moved = True
        while moved:
            moved = False
            for rule in self._active(self.caps, domains, have, taken):
                cut = self._cut_cap(rule, domains, have)
                if cut is None:
                    return None
                moved = moved or cut
            for rule in self._active(self.needs, domains, have, taken):
                cut = self._cut_need(rule, domains, have)
                if cut is None:
                    return None
                moved = moved or cut
        return True if all(domains) else None

    def _cut_cap(self, rule: CountRule, domains: Domains, have: tuple[int, ...]) -> bool | None:
        room = rule.quota - have[rule.bit] - self._must(domains, rule.bit)
        if room < 0:
            return None
        if room > 0:
            return False
        match, moved = self.problem.match, False
        for i, domain in enumerate(domains):
            hits = domain & match[i][rule.bit]
            if hits and hits != domain:
                domains[i] = domain & ~hits
                moved = True
        return moved

    def _cut_need(self, rule: CountRule, domains: Domains, have: tuple[int, ...]) -> bool | None:
        spare = have[rule.bit] + self._can(domains, rule.bit) - rule.quota
        if spare < 0:
            return None
        if spare > 0:
            return False
        match, moved = self.problem.match, False
        for i, domain in enumerate(domains):
            hits = domain & match[i][rule.bit]
            if hits and hits != domain:
                domains[i] = hits
                moved = True
        return moved


def _widest(sames: list[SameRule], demand: Demand, problem: Problem) -> list[SameRule]:
    """The active `same_release` rules, without those whose class lies inside another's."""
    active = {r.bit: r for r in sames if demand.statements >> r.statement & 1}
    members = {
        bit: frozenset(s for s, mask in problem.book.masks.items() if mask >> bit & 1)
        for bit in active
    }
    return [
        rule
        for bit, rule in sorted(active.items())
        if not any(members[bit] < members[other] for other in active)
    ]
