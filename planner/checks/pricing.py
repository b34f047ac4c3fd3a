"""What needs cost: each met by a part of the shop, in whole pieces, at the price of today."""

import math
from dataclasses import dataclass
from typing import Any

from planner.engine.checks import Need, Remedy
from shopapp.catalog.models import Part

JsonDict = dict[str, Any]
AT_LEAST = frozenset({"block", "cutoff", "drop", "bus_cable"})
"""Uses of which a larger one does as well."""
WORDS = {use.value: use.label for use in Part.Use}
UNITS = {
    "wire": "AWG, ft", "terminal": "AWG", "block": "A", "cutoff": "A", "fuse": "A", "cable": "ft",
    "drop": "m", "bus_cable": "m",
}  # fmt: skip


@dataclass(frozen=True)
class Priced:
    """A need with the part that meets it; without one nobody can price it."""

    need: Need
    part: Part | None

    @property
    def quantity(self) -> int:
        """Pieces to buy."""
        return math.ceil(self.need.count / self.part.pieces) if self.part else self.need.count

    @property
    def cents(self) -> int:
        """Price of all of them; nothing where there is no part."""
        return self.quantity * self.part.price_cents if self.part else 0

    @property
    def words(self) -> str:
        """What it is, as the shop calls it."""
        if self.part:
            return f"{self.part.name} ({self.part.number})"
        size = f", {self.need.size} {UNITS.get(self.need.use, '')}".rstrip(" ,")
        name = {"fuse": "Blade fuse", "cable": "Network cable", "switch": "Switch"}.get(
            self.need.use
        )
        return f"{name or WORDS.get(self.need.use, self.need.use)}{size}"

    def as_dict(self) -> JsonDict:
        """Plain values, to be kept with a quote's option."""
        return self.need.as_dict() | {
            "part": self.part.pk if self.part else None,
            "words": self.words,
            "quantity": self.quantity,
            "unit_cents": self.part.price_cents if self.part else 0,
            "cents": self.cents,
            "supply": bool(self.part and self.part.kind == Part.PartKind.SUPPLY),
        }


def price_needs(needs: list[Need] | tuple[Need, ...], parts: list[Part]) -> list[Priced]:
    """Each need with its part: of those that fit, the smallest and then the cheapest."""
    return [Priced(need, _part_for(need, parts)) for need in needs]


def price_remedy(remedy: Remedy, parts: list[Part], cents_per_minute: int) -> JsonDict:
    """A remedy with its parts and what it costs in all, labour at the shop's rate."""
    needs = price_needs(remedy.needs, parts)
    return remedy.as_dict() | {
        "needs": [need.as_dict() for need in needs],
        "cents": sum(need.cents for need in needs) + remedy.minutes * cents_per_minute,
        "priced": all(need.part for need in needs),
    }


def _part_for(need: Need, parts: list[Part]) -> Part | None:
    fitting = [part for part in parts if _fits(need, part)]
    if need.use in AT_LEAST:
        fitting.sort(key=lambda part: _size(part.size) or 0)
    exact = [part for part in fitting if part.size == need.size]
    return next(iter(exact or fitting), None)


def _fits(need: Need, part: Part) -> bool:
    if need.use == "fuse":
        return part.kind == Part.PartKind.FUSE and part.fuse_ma == round(float(need.size) * 1000)
    if need.use == "cable":
        return part.kind == Part.PartKind.CABLE and part.cable_ft == int(need.size)
    if need.use == "switch":
        return hasattr(part, "model") and part.model.code == need.size
    if part.use != need.use:
        return False
    if need.use in AT_LEAST:
        size, wanted = _size(part.size), _size(need.size)
        return size is not None and wanted is not None and size >= wanted
    return part.size == need.size or (part.size == "" and need.use != "wire")


def _size(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None
