"""What a backbone shows under given faults: ohms, volts, who is on the list, what halving tells.

An outcome of None says that it may show either way.
"""

from collections.abc import Iterable

from planner.engine.finding.causes import Cause
from planner.engine.finding.network import Line

Shown = dict[str, str | None]
_BY_COUNT = {0: "open", 1: "120", 2: "60", 3: "40", 4: "30"}


class LineModel:
    """Simulates one backbone; what never changes is worked out once."""

    def __init__(self, line: Line) -> None:
        self.line = line
        self.sides = {
            (segment, at): self._side(segment, at)
            for segment, pair in line.segments.items()
            for at in pair
        }

    def show(self, causes: Iterable[Cause]) -> Shown:
        """All that can be looked at, under these faults together."""
        line, key = self.line, self.line.key
        by_kind: dict[str, list[tuple[str, ...]]] = {}
        for cause in causes:
            if cause.place[0] == key:
                by_kind.setdefault(cause.kind, []).append(cause.place[1:])
        state = _LineState(line, by_kind)
        shown: Shown = {}
        for unit in line.drops:
            self._show_unit(unit, state, shown)
        self._show_ends(state, shown)
        for segment in line.segments:
            shown[f"segment:{key}:{segment}"] = "open" if segment in state.opened else "whole"
        shown[f"second:{key}"] = "found" if state.joined else "none"
        for at, side in self.sides.items():
            shown[f"halve:{key}:{at[0]}:{at[1]}"] = state.halve(side)
        return shown

    def _show_ends(self, state: "_LineState", shown: Shown) -> None:
        line, key = self.line, self.line.key
        for tee in dict.fromkeys((*line.ends, *line.tees[:1])):
            shown[f"ohms:{key}:{tee}"] = state.ohms(tee)
        for tee in line.ends:
            shown[f"terminator:{key}:{tee}"] = "none" if tee in state.missing else "120"
        for tee in line.feeds:
            shown[f"fuse:{key}:{tee}"] = state.fuse(tee)
            shown[f"feed_volts:{key}:{tee}"] = state.feed_volts(tee)

    def _show_unit(self, unit: str, state: "_LineState", shown: Shown) -> None:
        key = self.line.key
        shown[f"node_volts:{key}:{unit}"] = state.volts(unit)
        if unit != self.line.view:
            shown[f"listed:{key}:{unit}"] = state.listed(unit)
        shown[f"other_drop:{key}:{unit}"] = "comes" if unit in state.drops else "same"
        shown[f"other_node:{key}:{unit}"] = "comes" if unit in state.dead else "same"
        shown[f"unplug:{key}:{unit}"] = "changes" if unit in state.pulls else "same"

    def _side(self, segment: str, at: str) -> frozenset[tuple[str, str]]:
        """What stays on the side of `at` when the segment is unplugged from it there.

        The segment itself stays with the other side.
        """
        line = self.line
        reached, waiting = {at}, [at]
        inside: set[tuple[str, str]] = set()
        while waiting:
            tee = waiting.pop()
            inside.add(("tee", tee))
            for other, pair in line.segments.items():
                if other == segment or tee not in pair:
                    continue
                inside.add(("segment", other))
                far = pair[0] if pair[1] == tee else pair[1]
                if far not in reached:
                    reached.add(far)
                    waiting.append(far)
        inside |= {("drop", unit) for unit, tee in line.drops.items() if tee in reached}
        return frozenset(inside)


class _LineState:
    """Pieces, terminators, feeds and shorts under the faults given."""

    def __init__(self, line: Line, by_kind: dict[str, list[tuple[str, ...]]]) -> None:
        self.line = line

        def names(kind: str) -> set[str]:
            return {place[0] for place in by_kind.get(kind, [])}

        self.missing, self.opened = names("terminator"), names("open")
        self.drops, self.dead = names("drop"), names("node")
        self.extra = names("extra_terminator")
        self.weak, self.cut = names("weak_feed"), names("feed")
        self.joined, self.blown = "joined" in by_kind, "power_short" in by_kind
        self.shorts = {(place[0], place[1]) for place in by_kind.get("short", [])}
        self.pulls = self.extra | {name for part, name in self.shorts if part == "drop"}
        self.piece = self._pieces()

    def ohms(self, tee: str) -> str:
        """What a meter reads between the data conductors, power off."""
        if any(self._piece_of(spot) == self.piece[tee] for spot in self.shorts):
            return "short"
        here = [end for end in self.line.ends if end not in self.missing]
        count = sum(self.piece[end] == self.piece[tee] for end in here)
        count += sum(
            self.piece[self.line.drops[unit]] == self.piece[tee]
            for unit in self.extra
            if unit not in self.drops
        )
        return _BY_COUNT.get(count + (2 if self.joined else 0), "30")

    def fuse(self, tee: str) -> str:
        """The feed's fuse: whole, blown, or blown again when renewed."""
        if self.blown:
            return "blows again"
        return "blown" if tee in self.cut else "whole"

    def feed_volts(self, tee: str) -> str:
        """Volts where the backbone is fed."""
        if self.blown or tee in self.cut:
            return "none"
        return "low" if tee in self.weak else "ok"

    def volts(self, unit: str) -> str:
        """Volts at a unit's plug."""
        if unit in self.drops or self.blown:
            return "none"
        piece = self.piece[self.line.drops[unit]]
        fed = [tee for tee in self.line.feeds if self.piece[tee] == piece and tee not in self.cut]
        if not fed:
            return "none"
        return "low" if all(tee in self.weak for tee in fed) else "ok"

    def listed(self, unit: str) -> str | None:
        """Whether a unit stands in the device list; a wrong termination may or may not show."""
        view = self.line.view
        if unit in self.dead or self.volts(unit) == "none" or view is None:
            return "no"
        home = self.piece[self.line.drops[view]]
        if self.piece[self.line.drops[unit]] != home:
            return "no"
        if view in self.dead or self.volts(view) == "none":
            return "no"
        reading = self.ohms(self.line.drops[view])
        if reading == "short":
            return "no"
        sure = reading == "60" and "low" not in {self.volts(unit), self.volts(view)}
        return "yes" if sure else None

    def halve(self, side: frozenset[tuple[str, str]]) -> str:
        """Which half still reads short; "none" where no half does."""
        if not self.shorts:
            return "none"
        inside = any(spot in side for spot in self.shorts)
        outside = any(spot not in side for spot in self.shorts)
        if inside and outside:
            return "both"
        return "this" if inside else "other"

    def _piece_of(self, spot: tuple[str, str]) -> int:
        part, name = spot
        if part == "segment":
            return self.piece[self.line.segments[name][0]]
        return self.piece[name if part == "tee" else self.line.drops[name]]

    def _pieces(self) -> dict[str, int]:
        piece = {tee: number for number, tee in enumerate(self.line.tees)}
        for segment, (one, other) in self.line.segments.items():
            if segment in self.opened or piece[one] == piece[other]:
                continue
            old, new = piece[other], piece[one]
            for tee, number in piece.items():
                if number == old:
                    piece[tee] = new
        return piece
