"""What a drawing is made of: a boat, its places, units, Ethernet runs and backbones.

Plain frozen facts, without a database, so that a survey, a quote's option and a finished job
can all hand in the same sheet.
"""

from dataclasses import dataclass

FATE_WORDS = {
    "kept": "stays",
    "new": "NEW",
    "removed": "COMES OUT",
    "replaced": "REPLACED",
    "updated": "UPDATE",
    "off-network": "OFF NETWORK",
}
LINE_WORDS = {"kept": "stays", "new": "NEW", "removed": "OUT"}


def _check_fate(fate: str, allowed: dict[str, str], *, of: str) -> None:
    if fate not in allowed:
        raise ValueError(f"{of}: fate {fate!r} is none of {', '.join(allowed)}")


@dataclass(frozen=True)
class Place:
    """A station or space; x runs 0 stern to 1 bow, y 0 port to 1 starboard, None by its kind."""

    id: str
    name: str
    kind: str = ""
    x: float | None = None
    y: float | None = None


@dataclass(frozen=True)
class Plate:
    """One unit; `ports` counts its network ports, `place` is the id of a Place.

    A unit of fate "replaced" with `model_after` is one plate with both models on it; without, the
    plate is the old unit and the new one is a plate of its own. `check` is the state ("stop",
    "unknown", "look") and the words of what a check found, both empty where nothing is to be said.
    """

    id: str
    name: str
    model: str = ""
    kind: str = ""
    place: str | None = None
    fate: str = "kept"
    release_before: str | None = None
    release_after: str | None = None
    networked: bool = True
    ports: int = 0
    model_after: str = ""
    check: tuple[str, str] = ("", "")

    def __post_init__(self) -> None:
        _check_fate(self.fate, FATE_WORDS, of=f"unit {self.name}")

    @property
    def is_switch(self) -> bool:
        """Whether every port is drawn, used or spare."""
        return "switch" in self.kind.lower()


@dataclass(frozen=True)
class Run:
    """One Ethernet cable between the units of ids `a` and `b`; a port of None is not known.

    `check` is what a check found of it, as of a Plate.
    """

    a: str
    b: str
    port_a: int | None = None
    port_b: int | None = None
    label: str = ""
    feet: float | None = None
    fate: str = "kept"
    check: tuple[str, str] = ("", "")

    def __post_init__(self) -> None:
        _check_fate(self.fate, LINE_WORDS, of=f"run {self.label or self.a}")


@dataclass(frozen=True)
class Tee:
    """One tee of a backbone: a drop to `unit`, a power feed (`power` says which), or spare.

    A tee with none of the three is drawn as "not known".
    """

    place: str | None = None
    spare: bool = False
    unit: str | None = None
    power: str = ""
    feet: float | None = None
    fate: str = "kept"

    def __post_init__(self) -> None:
        _check_fate(self.fate, LINE_WORDS, of="tee")


@dataclass(frozen=True)
class Backbone:
    """Tees in order from one end to the other; a terminator is there, missing (False) or None.

    `check` is what a check found of it, as of a Plate.
    """

    tees: tuple[Tee, ...] = ()
    name: str = "Backbone"
    feet: float | None = None
    terminator_first: bool | None = True
    terminator_last: bool | None = True
    check: tuple[str, str] = ("", "")


@dataclass(frozen=True)
class Bank:
    """A battery bank of which a check found something; `place` is the id of a Place."""

    name: str
    check: tuple[str, str]
    place: str | None = None


@dataclass(frozen=True)
class BoatSheet:
    """All that one drawing shows; lengths in feet, `beam_ft` None when nobody measured it."""

    name: str
    length_ft: float
    beam_ft: float | None = None
    kind: str = ""
    places: tuple[Place, ...] = ()
    units: tuple[Plate, ...] = ()
    runs: tuple[Run, ...] = ()
    backbone: tuple[Backbone, ...] = ()
    banks: tuple[Bank, ...] = ()


def feet_words(feet: float | None) -> str:
    """Return a length as "15 ft (4.6 m)", or "length not known"."""
    if feet is None:
        return "length not known"
    return f"{feet:g} ft ({feet * 0.3048:.1f} m)"


def release_words(unit: Plate) -> str:
    """Return "2.2 → 2.6" for a unit that is updated, else the one release that it has, or ""."""
    before, after = unit.release_before, unit.release_after
    if unit.fate == "updated" or (before and after and before != after):
        return f"{before or 'not known'} → {after or 'not known'}"
    if unit.fate == "new":
        return after or before or ""
    return before or after or ""
