"""What the Ethernet shows under given faults: lights, screens, who is seen, what a swap does.

An outcome of None says that it may show either way.
"""

from collections.abc import Iterable

from planner.engine.finding.causes import Cause, cabled_units
from planner.engine.finding.network import Cable, Network

Shown = dict[str, str | None]


class EthernetModel:
    """Simulates the Ethernet of one network; what never changes is worked out once."""

    def __init__(self, network: Network) -> None:
        self.network = network
        self.cabled = cabled_units(network)
        self.displays = [key for key in self.cabled if network.units[key].kind == "display"]

    def show(self, causes: Iterable[Cause]) -> Shown:
        """All that can be looked at, under these faults together."""
        by_kind: dict[str, set[tuple[str, ...]]] = {}
        for cause in causes:
            by_kind.setdefault(cause.kind, set()).add(cause.place)
        state = _State(self.network, by_kind)
        shown: Shown = {"slow": "yes" if state.loops else "no"} if self.cabled else {}
        for key in self.cabled:
            self._show_unit(key, state, shown)
        for cable in self.network.cables.values():
            self._show_cable(cable, state, shown)
        for (key,) in by_kind.get("weak", ()):
            self._show_weak(key, state, shown)
        return shown

    def _show_weak(self, key: str, state: "_State", shown: Shown) -> None:
        """A unit short of volts may run, restart or stay dark, and what hangs on it with it."""
        if key not in state.dark:
            shown[f"volts:{key}"] = "low"
        unit = self.network.units[key]
        hanging = self.cabled if unit.bridges or key == self.network.view else [key]
        unsure = [
            f"lit:{key}",
            *(f"{kind}:{each}" for each in hanging for kind in ("seen", "smooth")),
        ]
        for cable in self.network.cables.values():
            if key in {end.unit for end in cable.ends}:
                unsure += [f"light:{end.unit}:{end.port}" for end in cable.ends]
                unsure.append(f"speed:{cable.key}")
        shown.update({look: None for look in unsure if look in shown})

    def _show_unit(self, key: str, state: "_State", shown: Shown) -> None:
        unit = self.network.units[key]
        shown[f"volts:{key}"] = "none" if key in state.dark else "ok"
        if unit.kind != "switch" or unit.lights:
            shown[f"lit:{key}"] = "on" if key not in state.idle else "dark"
        if unit.bridges:
            shown[f"extra:{key}"] = str(sum(pair.count(key) for pair in state.loops))
        if unit.kind == "switch":
            return
        if key != self.network.view and self.network.view:
            shown[f"seen:{key}"] = None if state.loops else state.seen(key)
            shown[f"smooth:{key}"] = state.smooth(key)
        shown[f"release:{key}"] = "refused" if (key,) in state.refused else "accepted"
        if unit.kind == "display" and len(self.displays) > 1:
            left_off = (key,) in state.too_many
            shown[f"one_less:{key}"] = "comes" if left_off else "same"

    def _show_cable(self, cable: Cable, state: "_State", shown: Shown) -> None:
        up, slow = state.link[cable.key], (cable.key,) in state.slow
        for end in cable.ends:
            if self.network.units[end.unit].lights:
                light = "slow" if slow else "up"
                shown[f"light:{end.unit}:{end.port}"] = light if up else "dark"
        shown[f"speed:{cable.key}"] = ("slow" if slow else "full") if up else "none"
        for part, broken in state.broken[cable.key].items():
            others = any(bad for other, bad in state.broken[cable.key].items() if other != part)
            running = all(end.unit not in state.idle for end in cable.ends)
            shown[part] = "comes" if broken and not others and running else "same"
        if slow and up:
            shown[f"swap_cable:{cable.key}"] = "comes"


class _State:
    """Which units run, which links are up, who is joined to whom."""

    def __init__(self, network: Network, by_kind: dict[str, set[tuple[str, ...]]]) -> None:
        self.network = network
        self.dark = {place[0] for place in by_kind.get("power", ())}
        self.idle = self.dark | {place[0] for place in by_kind.get("off", ())}
        self.refused = by_kind.get("refused", set())
        self.too_many = by_kind.get("too_many", set())
        self.slow = by_kind.get("speed", set())
        self.loops = list(by_kind.get("loop", ()))
        ports, adapters = by_kind.get("port", set()), by_kind.get("adapter", set())
        cables = by_kind.get("cable", set())
        self.broken: dict[str, dict[str, bool]] = {}
        self.link: dict[str, bool] = {}
        for cable in network.cables.values():
            parts = {f"swap_cable:{cable.key}": (cable.key,) in cables}
            for end in cable.ends:
                place = (end.unit, str(end.port))
                parts[f"swap_port:{end.unit}:{end.port}"] = place in ports
                if end.adapter:
                    parts[f"swap_adapter:{end.unit}:{end.port}"] = place in adapters
            self.broken[cable.key] = parts
            running = all(end.unit not in self.idle for end in cable.ends)
            self.link[cable.key] = running and not any(parts.values())
        self.reached = self._reach()

    def seen(self, key: str) -> str:
        """Whether a unit stands in the list of the display one looks at."""
        view = (self.network.view,)
        hidden = {(key,), view} & (self.refused | self.too_many)
        return "yes" if key in self.reached and not hidden else "no"

    def smooth(self, key: str) -> str | None:
        """Whether what comes from a unit runs smoothly; None where nothing comes."""
        if self.loops or self.seen(key) == "no":
            return None
        return "no" if self.reached[key] else "yes"

    def _reach(self) -> dict[str, bool]:
        """Who is joined to the display one looks at, and whether over a slow link."""
        view = self.network.view
        if view is None or view in self.idle:
            return {}
        ways = self._ways()
        reached, waiting = {view: False}, [view]
        while waiting:
            key = waiting.pop()
            if key != view and not self.network.units[key].bridges:
                continue
            for other, slow in ways.get(key, ()):
                if other not in reached:
                    reached[other] = slow or reached[key]
                    waiting.append(other)
        return reached

    def _ways(self) -> dict[str, list[tuple[str, bool]]]:
        ways: dict[str, list[tuple[str, bool]]] = {}
        for cable in self.network.cables.values():
            if self.link[cable.key]:
                one, other = (end.unit for end in cable.ends)
                slow = (cable.key,) in self.slow
                ways.setdefault(one, []).append((other, slow))
                ways.setdefault(other, []).append((one, slow))
        return ways
