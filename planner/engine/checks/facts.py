"""What the checks of one plan read: plain facts of what will be aboard; None is not known.

Lengths of wire are one way, in feet, as they are measured aboard; the round trip is made of them.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

LEAD_ACID = frozenset({"flooded", "agm", "gel"})
USUAL_MINUTES: Mapping[str, int] = {
    "T06": 150, "T07": 75, "T08": 30, "T09": 50, "T16": 45, "T17": 75, "T18": 75, "T19": 45,
    "T20": 15, "T21": 45, "T22": 150, "T23": 25, "T24": 25,
}  # fmt: skip
"""Typical minutes of the trade's tasks where the shop has none: common practice, no source."""


@dataclass(frozen=True, slots=True)
class FeedFacts:
    """How one unit is fed. `is_new` says that the plan lays this feed: the wire is chosen here.

    `fuse_a` is what is or will be fitted, `called_a` what the unit's maker asks for.
    """

    key: str
    label: str
    place: str
    draw_a: float
    volts: float | None
    bank: str | None = None
    is_new: bool = False
    called_a: float | None = None
    fuse_a: float | None = None
    awg: str | None = None
    run_ft: float | None = None
    insulation_c: int | None = None
    engine_space: bool | None = None
    fuse_inches: float | None = None
    sheathed: bool | None = None
    volts_low: float | None = None
    has_cutoff: bool | None = None
    standby_ma: float | None = None
    updated: bool = False
    touched: bool = True


@dataclass(frozen=True, slots=True)
class BankFacts:
    """A battery bank with the block and the cut-off that its circuits hang on."""

    key: str
    label: str
    volts: float
    place: str = ""
    chemistry: str = ""
    capacity_ah: float | None = None
    fuse_a: float | None = None
    block_a: float | None = None
    cutoff_a: float | None = None
    rested_v: float | None = None
    has_charger: bool | None = None


@dataclass(frozen=True, slots=True)
class PlaceFacts:
    """A place aboard as far as a unit's mounting goes; an opening of 0 × 0 is none cut yet."""

    name: str
    exposure: str = ""
    vapour: bool | None = None
    hottest_c: float | None = None
    compass_cm: float | None = None
    aerial_cm: float | None = None
    in_beam: bool | None = None
    opening_mm: tuple[int, int] | None = None
    depth_mm: int | None = None


@dataclass(frozen=True, slots=True)
class SpotFacts:
    """A unit in its place, with what its model's maker says of mounting it."""

    key: str
    label: str
    model: str
    place: PlaceFacts
    is_new: bool = False
    touched: bool = True
    petrol: bool | None = None
    ignition_protected: bool | None = None
    water: str = ""
    most_c: float | None = None
    safe_cm: float | None = None
    aerial: str = ""
    cutout_mm: tuple[int, int] | None = None
    depth_mm: int | None = None
    flush: bool = False
    move_minutes: int = 0


@dataclass(frozen=True, slots=True)
class DropFacts:
    """A drop from a tee to a node; `len` of None is not known."""

    tee: str
    unit: str
    metres: float | None
    len: int | None
    label: str = ""
    is_gateway: bool = False
    is_new: bool = False
    on_spare: bool = False


@dataclass(frozen=True, slots=True)
class BoneFeed:
    """Where a backbone is fed."""

    tee: str
    volts: float | None
    fuse_a: float | None = None


@dataclass(frozen=True, slots=True)
class BoneFacts:
    """A backbone: segments are (tee, tee, metres), `places` says where each tee is."""

    key: str
    label: str
    cable: str
    segments: tuple[tuple[str, str, float], ...]
    drops: tuple[DropFacts, ...]
    feeds: tuple[BoneFeed, ...]
    terminators: tuple[str, ...]
    tees: tuple[str, ...]
    places: Mapping[str, str] = field(default_factory=dict)
    measured_ohms: float | None = None


@dataclass(frozen=True, slots=True)
class SwitchFacts:
    """A switch of the plan, as one more of its kind would be bought."""

    code: str
    name: str
    ports: int
    fuse_a: float | None = None


@dataclass(frozen=True, slots=True)
class RunFacts:
    """An Ethernet cable between two units; `way_ft` is the route as a cable runs.

    `switch` is the one at an end of it, if any: another of its kind could stand half-way.
    """

    key: str
    label: str
    ends: tuple[str, str]
    names: tuple[str, str]
    is_new: bool
    cable_ft: float | None
    way_ft: float | None
    rough: bool = False
    switch: SwitchFacts | None = None
    places: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Rules:
    """What the shop sets: areas, limits, slack, minutes, and the sizes that it sells."""

    areas: str = "sae"
    drop_percent: float = 3.0
    fuse_percent: float = 150.0
    fuse_load_percent: float = 125.0
    bus_drop_volts: float = 1.5
    bus_lowest_volts: float = 9.0
    slack_ft: float = 2.0
    slack_percent: float = 10.0
    compass_cm: float = 90.0
    smallest_awg: str = "16"
    fuse_minutes: int = 5
    pull_minutes_base: int = 10
    pull_minutes_per_ft: int = 2
    minutes: Mapping[str, int] = field(default_factory=lambda: dict(USUAL_MINUTES))
    cables_ft: tuple[int, ...] = ()
    gauges: tuple[str, ...] = ()
    current_percent: float = 100.0

    def minutes_of(self, task: str) -> int:
        """Typical minutes of a task, the shop's own before the trade's."""
        return self.minutes.get(task, USUAL_MINUTES[task])


@dataclass(frozen=True, slots=True)
class CheckFacts:
    """Everything that the checks of one plan read."""

    feeds: tuple[FeedFacts, ...] = ()
    banks: tuple[BankFacts, ...] = ()
    spots: tuple[SpotFacts, ...] = ()
    bones: tuple[BoneFacts, ...] = ()
    runs: tuple[RunFacts, ...] = ()
    places: tuple[PlaceFacts, ...] = ()
    distances: Mapping[tuple[str, str], int] = field(default_factory=dict)
    rules: Rules = field(default_factory=Rules)
    has_updates: bool = False

    def bank(self, key: str | None) -> BankFacts | None:
        """The bank of that key."""
        return next((bank for bank in self.banks if bank.key == key), None)

    def distance(self, one: str, other: str) -> int | None:
        """Feet along the routes between two places; None where no way is noted."""
        return 0 if one == other else self.distances.get((one, other))
