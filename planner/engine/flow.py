"""Handing leaves to ports at least cost: a small exact transport problem.

Leaves stand at locations, ports at the locations of the nodes. A leaf at `a` on a port at `b`
takes an installed cable between the two while there is one, else a bought cable. The first
pass lets each direction between two locations use all installed cables of the pair; where
both directions together took more than there are, the pair's cables are shared out every way.
"""

from dataclasses import dataclass
from typing import NamedTuple

from planner.engine.network import Wiring

_FORCE = 10**15


class Ports(NamedTuple):
    """The ports of one node that are still free: how many must be used, what each costs."""

    location: int
    least: int
    cents: tuple[int, ...]


Spread = tuple[int, tuple[tuple[int, int], ...]]
Shares = dict[tuple[int, int], int]


@dataclass(slots=True)
class _Sockets:
    """All free ports at one location, in the order in which they are taken."""

    cents: list[int]
    nodes: list[int]


def spread_leaves(
    wiring: Wiring,
    leaves: tuple[int, ...],
    ports: list[Ports],
    used: dict[tuple[int, int], int],
) -> Spread | None:
    """Hand every leaf to a port; gives the cents and (leaf location, node) for each leaf.

    `used` counts the links between nodes for each pair of locations: these take installed
    cables first. None where the ports or the cables do not reach.
    """
    sockets = _sockets(ports)
    must = sum(p.least for p in ports)
    shares: Shares = {}
    for a, count in enumerate(leaves):
        for b in sockets if count else ():
            shares[a, b] = max(0, wiring.free[a][b] - used.get((min(a, b), max(a, b)), 0))
    return _settle(wiring, leaves, sockets, shares, must, frozenset())


def _sockets(ports: list[Ports]) -> dict[int, _Sockets]:
    gathered: dict[int, list[tuple[int, int]]] = {}
    for node, port in enumerate(ports):
        if len(port.cents) < port.least:
            return {}
        rows = gathered.setdefault(port.location, [])
        for n, cents in enumerate(port.cents):
            rows.append((cents - _FORCE if n < port.least else cents, node))
    found = {}
    for place, rows in sorted(gathered.items()):
        rows.sort()
        found[place] = _Sockets([c for c, _ in rows], [n for _, n in rows])
    return found


def _settle(
    wiring: Wiring,
    leaves: tuple[int, ...],
    sockets: dict[int, _Sockets],
    shares: Shares,
    must: int,
    shared: frozenset[tuple[int, int]],
) -> Spread | None:
    """Solve with these shares; where a pair was used twice over, try every way to share it."""
    flow = _Flow(wiring, sockets, shares)
    if not flow.push_nearest(leaves):
        flow = _Flow(wiring, sockets, shares)
        if not flow.push_all(leaves):
            return None
    if flow.forced() < must:
        return None
    pair = flow.overdrawn(shared)
    if pair is None:
        return flow.cents + must * _FORCE, flow.pairs()
    a, b = pair
    have = shares[a, b]
    best: Spread | None = None
    for mine in range(have + 1):
        part = {**shares, (a, b): mine, (b, a): have - mine}
        answer = _settle(wiring, leaves, sockets, part, must, shared | {pair})
        if answer is not None and (best is None or answer[0] < best[0]):
            best = answer
    return best


class _Flow:
    """Successive cheapest paths; every single leaf is one unit of flow."""

    def __init__(self, wiring: Wiring, sockets: dict[int, _Sockets], shares: Shares) -> None:
        self.price = wiring.price
        self.sockets = sockets
        self.shares = shares
        self.sent: dict[tuple[int, int], int] = dict.fromkeys(shares, 0)
        self.taken: dict[int, int] = dict.fromkeys(sockets, 0)
        self.cents = 0
        self._known_steps: dict[int, list[tuple[int, int]]] = {}

    def push_all(self, leaves: tuple[int, ...]) -> bool:
        """Place every leaf; False where one cannot be placed."""
        return all(self._push(a) for a, count in enumerate(leaves) for _ in range(count))

    def push_nearest(self, leaves: tuple[int, ...]) -> bool:
        """Give each leaf its nearest port: best of all where no port is dear, short or idle."""
        if any(cents not in (0, -_FORCE) for s in self.sockets.values() for cents in s.cents):
            return False
        for a, count in enumerate(leaves):
            if count and not self._nearest(a, count):
                return False
        for b, sockets in self.sockets.items():
            taken = sockets.cents[: self.taken[b]]
            if len(taken) < self.taken[b] or len(taken) < sockets.cents.count(-_FORCE):
                return False
            self.cents += sum(taken)
        return True

    def _nearest(self, a: int, count: int) -> bool:
        for b in self.sockets:
            here = min(count, self.shares[a, b])
            self.sent[a, b] += here
            self.taken[b] += here
            count -= here
        if not count:
            return True
        prices = [(cents, b) for b in self.sockets if (cents := self.price[a][b]) is not None]
        if not prices:
            return False
        cents, b = min(prices)
        self.sent[a, b] += count
        self.taken[b] += count
        self.cents += cents * count
        return True

    def forced(self) -> int:
        """How many of the ports that must be used are used."""
        return sum(
            sum(1 for cents in s.cents[: self.taken[b]] if cents < 0)
            for b, s in self.sockets.items()
        )

    def overdrawn(self, shared: frozenset[tuple[int, int]]) -> tuple[int, int] | None:
        """The first pair whose installed cables were used by both directions beyond count."""
        for a, b in self.shares:
            if a < b and (b, a) in self.shares and (a, b) not in shared:
                have = self.shares[a, b]
                if min(self.sent[a, b], have) + min(self.sent[b, a], have) > have:
                    return a, b
        return None

    def pairs(self) -> tuple[tuple[int, int], ...]:
        """Each leaf's location and the node that takes it."""
        left = {b: list(s.nodes[: self.taken[b]]) for b, s in self.sockets.items()}
        return tuple(
            (a, left[b].pop(0)) for (a, b), count in sorted(self.sent.items()) for _ in range(count)
        )

    def _step(self, a: int, b: int) -> int | None:
        return 0 if self.sent[a, b] < self.shares[a, b] else self.price[a][b]

    def _refund(self, a: int, b: int) -> int:
        return 0 if self.sent[a, b] <= self.shares[a, b] else (self.price[a][b] or 0)

    def _push(self, start: int) -> bool:
        return self._push_straight(start) or self._push_around(start)

    def _push_straight(self, start: int) -> bool:
        """Take a free port if moving other leaves cannot be cheaper.

        What has been sent is at its best, so a way that makes room at `b` costs at least the
        step to `b` and the last port taken there.
        """
        straight: tuple[int, int] | None = None
        around: int | None = None
        for b, step in self._steps(start):
            sockets = self.sockets[b]
            taken = self.taken[b]
            if taken < len(sockets.cents):
                cents = step + sockets.cents[taken]
                if straight is None or cents < straight[0]:
                    straight = (cents, b)
            if taken:
                cents = step + sockets.cents[taken - 1]
                around = cents if around is None else min(around, cents)
        if straight is None or (around is not None and around < straight[0]):
            return False
        self.cents += straight[0]
        self.taken[straight[1]] += 1
        self._send(start, straight[1], 1)
        return True

    def _send(self, a: int, b: int, more: int) -> None:
        self.sent[a, b] += more
        self._known_steps.pop(a, None)

    def _push_around(self, start: int) -> bool:
        reach, back = self._paths(start)
        goal = None
        for b, cents in reach.items():
            sockets = self.sockets[b]
            if self.taken[b] < len(sockets.cents):
                total = cents + sockets.cents[self.taken[b]]
                if goal is None or total < goal[0]:
                    goal = (total, b)
        if goal is None:
            return False
        self.cents += goal[0]
        b = goal[1]
        self.taken[b] += 1
        while b in back:
            a, before = back[b]
            self._send(a, b, 1)
            self._send(a, before, -1)
            b = before
        self._send(start, b, 1)
        return True

    def _paths(self, start: int) -> tuple[dict[int, int], dict[int, tuple[int, int]]]:
        """Cheapest way from a leaf's location to every port location, over moved leaves too."""
        reach = dict(self._steps(start))
        back: dict[int, tuple[int, int]] = {}
        moves = self._moves()
        moved = bool(moves)
        while moved:
            moved = False
            for (b, other), (cents, a) in moves.items():
                base = reach.get(b)
                if base is not None and base + cents < reach.get(other, base + cents + 1):
                    reach[other] = base + cents
                    back[other] = (a, b)
                    moved = True
        return reach, back

    def _steps(self, a: int) -> list[tuple[int, int]]:
        """Each port location that a leaf's location can be linked to, and the cents of one more."""
        known = self._known_steps.get(a)
        if known is None:
            priced = [(b, self._step(a, b)) for b in self.sockets]
            known = self._known_steps[a] = [(b, c) for b, c in priced if c is not None]
        return known

    def _moves(self) -> dict[tuple[int, int], tuple[int, int]]:
        """From one port location to another: the cents of moving the leaf for which it is
        cheapest, and that leaf's location.
        """
        moves: dict[tuple[int, int], tuple[int, int]] = {}
        for (a, b), count in self.sent.items():
            if not count:
                continue
            refund = self._refund(a, b)
            for other, cents in self._steps(a):
                known = moves.get((b, other))
                if other != b and (known is None or cents - refund < known[0]):
                    moves[b, other] = (cents - refund, a)
        return moves
