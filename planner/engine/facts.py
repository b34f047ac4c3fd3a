"""The facts of a case as frozen values, in one canonical order.

Amounts are integers with the unit in the name: cents, feet, milliamperes, minutes.
"""

from dataclasses import dataclass

KINDS = ("display", "switch", "sounder", "radar", "motor", "camera", "gateway", "other")
DC_LIMIT = "dc_limit"
MAX_NEW = "max_new"


@dataclass(frozen=True, slots=True)
class Update:
    """One firmware update that exists: from one release to another."""

    start: str
    end: str
    minutes: int


@dataclass(frozen=True, slots=True)
class Model:
    """One model of the catalogue."""

    id: str
    kind: str
    ports: int
    bridges: bool
    adapter: str | None
    price_cents: int | None
    fit_minutes: int
    remove_minutes: int
    mount: str | None
    lead: str | None
    fuse_ma: int | None
    draw_ma: int
    releases: tuple[str, ...]
    updates: tuple[Update, ...]
    ships_with: str | None
    successors: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Selector:
    """Which units a rule speaks of; None stands for a key that was left out."""

    kinds: frozenset[str] | None
    models: frozenset[str] | None
    min_release: tuple[tuple[str, str], ...]

    def names(self, model: Model) -> bool:
        """Tell whether the model meets `kinds` and `models`, whatever its release."""
        if self.kinds is not None and model.kind not in self.kinds:
            return False
        return self.models is None or model.id in self.models

    def matches(self, model: Model, release: str | None) -> bool:
        """Tell whether a unit of this model at this release meets every key."""
        if not self.names(model):
            return False
        least = dict(self.min_release).get(model.id)
        if least is None:
            return True
        if release is None:
            return False
        return model.releases.index(release) >= model.releases.index(least)


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: `verb` is at_most, only, at_least, same_release or before.

    `of` is the selector counted (S for at_most, at_least, same_release and before; E for only),
    `target` the second one (S for only, T for before), `when` the condition (None: always).
    """

    verb: str
    count: int
    of: Selector
    target: Selector | None
    when: Selector | None


@dataclass(frozen=True, slots=True)
class Statement:
    """What is known of what works with what, and who says so."""

    id: str
    text: str
    source: str
    seen: str
    rule: Rule


@dataclass(frozen=True, slots=True)
class Fuse:
    """A fuse that somebody sells."""

    id: str
    ma: int
    price_cents: int


@dataclass(frozen=True, slots=True)
class CableSold:
    """A cable of the catalogue."""

    id: str
    feet: int
    price_cents: int


@dataclass(frozen=True, slots=True)
class Rates:
    """What labour costs and how long the common jobs take."""

    labour_cents_per_minute: int
    pull_minutes_base: int
    pull_minutes_per_ft: int
    drop_in_minutes: int
    fuse_minutes: int


@dataclass(frozen=True, slots=True)
class Device:
    """A unit that is aboard now."""

    id: str
    model: str
    location: str
    release: str | None
    networked: bool
    adapters: int


@dataclass(frozen=True, slots=True)
class CableAboard:
    """A cable that lies in the boat now, between two locations (`a` <= `b`)."""

    id: str
    cable: str
    a: str
    b: str


@dataclass(frozen=True, slots=True)
class Request:
    """One wish of the job; `verb` is add, network, keep, remove or replace."""

    id: str
    verb: str
    device: str | None
    models: tuple[str, ...]
    location: str | None
    networked: bool


@dataclass(frozen=True, slots=True)
class Case:
    """One boat, one catalogue, one job: everything that a plan depends on.

    The last two are never read from a document: replacements (device, model) that a question
    allows beyond the successors, and the links that a networked switch needs.
    """

    models: dict[str, Model]
    adapters: dict[str, int]
    leads: dict[str, int]
    fuses: tuple[Fuse, ...]
    cables_sold: tuple[CableSold, ...]
    rates: Rates
    statements: tuple[Statement, ...]
    locations: tuple[str, ...]
    routes: tuple[tuple[str, str, int], ...]
    slack_ft: int
    dc_limit_ma: int | None
    devices: tuple[Device, ...]
    cables: tuple[CableAboard, ...]
    requests: tuple[Request, ...]
    switch_models: tuple[str, ...]
    switch_locations: tuple[str, ...]
    max_new: int
    offnet_cents: int
    lost_cents: int
    allowed_swaps: tuple[tuple[str, str], ...] = ()
    least_switch_links: int = 2

    @property
    def units(self) -> tuple[Device, ...]:
        """The existing devices that are not switches."""
        return tuple(d for d in self.devices if self.models[d.model].kind != "switch")

    @property
    def switches(self) -> tuple[Device, ...]:
        """The existing switches."""
        return tuple(d for d in self.devices if self.models[d.model].kind == "switch")

    @property
    def adds(self) -> tuple[Request, ...]:
        """The requests that fit a new unit."""
        return tuple(r for r in self.requests if r.verb == "add")
