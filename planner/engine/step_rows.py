"""One step of work, and the questions that all kinds of steps ask of a plan."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from planner.engine.facts import Case, Device, Model
from planner.engine.network import lay_out
from planner.engine.ports import BUY, KnownPorts
from planner.engine.words import Row


@dataclass(frozen=True, slots=True)
class Step:
    """One step as it will be shown."""

    kind: str
    title: str
    detail: str
    unit: str | None
    minutes: int
    caution: bool
    expect: dict[str, Any] | None
    step_key: str

    def shown(self) -> dict[str, Any]:
        """The step as plain data."""
        return {
            "kind": self.kind,
            "title": self.title,
            "detail": self.detail,
            "unit": self.unit,
            "minutes": self.minutes,
            "caution": self.caution,
            "expect": self.expect,
            "step_key": self.step_key,
        }


def step(
    kind: str,
    unit: str | None,
    title: str,
    detail: str,
    *,
    minutes: int = 0,
    key: str = "",
    expect: dict[str, Any] | None = None,
) -> Step:
    """Make a step; its key is made of kind, unit and `key`, and stays the same on every run."""
    parts = [part for part in (kind, unit or "", key) if part]
    return Step(kind, title, detail, unit, minutes, kind == "caution", expect, ":".join(parts))


def quoted(release: str | None) -> str:
    """A release in a sentence."""
    return release or "no firmware"


@dataclass(frozen=True, slots=True)
class Work:
    """A plan with the facts that its steps speak of."""

    case: Case
    plan: dict[str, Any]
    devices: Mapping[str, Device]
    links: list[dict[str, Any]]
    context: dict[str, Any]
    known: KnownPorts

    def stays_put(self, link: dict[str, Any]) -> bool:
        """Whether the link's cable stays in the two ports that it is known to be in."""
        return self.known.get(link["cable"]) == dict(
            zip(link["between"], link["ports"], strict=True)
        )

    def rewired(self) -> set[str]:
        """Units with a cable that comes, goes or moves; all, where nothing is known of ports."""
        moved = {end for link in self.links if not self.stays_put(link) for end in link["between"]}
        kept = {link["cable"] for link in self.links if self.stays_put(link)}
        return moved | {
            unit for cable, ends in self.known.items() if cable not in kept for unit in ends
        }

    @property
    def rows(self) -> list[Row]:
        """The units of the plan."""
        rows: list[Row] = self.plan["units"]
        return rows

    def row(self, unit: str) -> Row:
        """One unit of the plan."""
        return next(row for row in self.rows if row["unit"] == unit)

    def model_before(self, device: Device) -> Model:
        """The model that stands there now."""
        return self.case.models[device.model]

    def drops_in(self, row: Row, device: Device) -> bool:
        """Whether the new unit takes the holes of the old one."""
        mount = self.model_before(device).mount
        return mount is not None and mount == self.case.models[row["model"]].mount

    def removal_minutes(self, row: Row, device: Device) -> int:
        """Minutes to take the old unit out; a drop-in is counted at the fitting."""
        if row["fate"] == "replaced" and self.drops_in(row, device):
            return 0
        return self.model_before(device).remove_minutes

    def fitting_minutes(self, row: Row, device: Device | None) -> int:
        """Minutes to fit the new unit."""
        if device is not None and self.drops_in(row, device):
            return self.case.rates.drop_in_minutes
        return self.case.models[row["model"]].fit_minutes

    def fuse_minutes(self, row: Row, device: Device | None) -> int:
        """Minutes to change a fuse; for a unit fitted from nothing they lie in the fitting."""
        changed = row["fate"] == "replaced" and device is not None
        return self.case.rates.fuse_minutes if changed else 0

    def update_minutes(self) -> list[int]:
        """Minutes of each update of the plan."""
        return [
            min(
                update.minutes
                for update in self.case.models[self.row(item["unit"])["model"]].updates
                if (update.start, update.end) == (item["from"], item["to"])
            )
            for item in self.plan["updates"]
        ]

    def pull_minutes(self) -> list[int]:
        """Minutes to pull each link; an installed cable takes none."""
        wiring = lay_out(self.case)
        found = []
        for link in self.links:
            a, b = (wiring.index[self.row(end)["location"]] for end in link["between"])
            run = wiring.runs[a][b]
            found.append(run.minutes if run and link["cable"].startswith(BUY) else 0)
        return found

    def touched(self) -> list[Row]:
        """The units that somebody lays hands on."""
        linked = {end for link in self.links for end in link["between"]}
        moved = {update["unit"] for update in self.plan["updates"]}
        return [
            row
            for row in self.rows
            if row["fate"] != "stays"
            or row["unit"] in moved
            or (row["unit"] in linked and not self.devices[row["unit"]].networked)
        ]
