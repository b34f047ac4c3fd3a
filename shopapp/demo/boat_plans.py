"""What the demo's boats are like: pure plans of boats, drawn from a seeded generator."""

import itertools
from dataclasses import dataclass, field
from random import Random

OPEN_PLACES = (
    ("console", 0.48, 0.5, "splash"),
    ("bow", 0.88, 0.5, "splash"),
    ("transom", 0.06, 0.5, "wet"),
    ("console locker", 0.40, 0.4, "dry"),
    ("hardtop", 0.52, 0.62, "wet"),
)
CRUISER_PLACES = (
    ("helm", 0.46, 0.68, "dry"),
    ("flybridge", 0.40, 0.4, "wet"),
    ("cabin", 0.68, 0.5, "dry"),
    ("electronics locker", 0.55, 0.25, "dry"),
    ("radar arch", 0.28, 0.5, "wet"),
    ("engine space", 0.16, 0.5, "dry"),
    ("bow", 0.92, 0.5, "splash"),
)
# (from, to, share of the boat's length): how cables run
OPEN_ROUTES = (
    ("console", "console locker", 0.13),
    ("console", "bow", 0.62),
    ("console", "transom", 0.55),
    ("console", "hardtop", 0.48),
)
CRUISER_ROUTES = (
    ("helm", "electronics locker", 0.16),
    ("helm", "flybridge", 0.4),
    ("electronics locker", "cabin", 0.3),
    ("electronics locker", "radar arch", 0.52),
    ("electronics locker", "engine space", 0.42),
    ("cabin", "bow", 0.36),
)

LANTERN_1 = ("lantern-7", "lantern-9")
LANTERN_2 = ("lantern-7-2", "lantern-9-2")
LANTERN_3 = ("lantern-10-3", "lantern-12-3")
LANTERN_4 = ("lantern-12-4", "lantern-16-4")


@dataclass(frozen=True, slots=True)
class Network:
    """A family of gear that lives together: displays, switch, modules, loose units."""

    share: int
    displays: tuple[str, ...]
    releases: tuple[str, ...]
    switch: str
    most_displays: int
    modules: tuple[tuple[str, str], ...]
    loose: tuple[str, ...]


# Weights in per cent; releases are such as boats really stand at: many behind.
NETWORKS = (
    Network(16, LANTERN_1, ("4.10", "4.30"), "knot-5", 3, (("sweep-18", "7.0"),), ("teller-1",)),
    Network(
        18,
        LANTERN_2,
        ("5.00", "5.20", "5.20", "5.60"),
        "knot-5",
        4,
        (("plumb-1", "1.10"), ("sweep-18", "7.2"), ("peephole-2", "")),
        ("bearing-s",),
    ),
    Network(
        24,
        LANTERN_3,
        ("2.90", "3.10", "3.40", "3.40", "3.60"),
        "knot-5",
        4,
        (("plumb-1", "1.30"), ("sweep-18", "7.2"), ("drover-80", "2.4"), ("peephole-2", "")),
        ("bearing-s", "hail-b"),
    ),
    Network(
        16,
        (*LANTERN_3, *LANTERN_4),
        ("3.40", "3.60"),
        "knot-5-b",
        5,
        (("sweep-24", "8.0"), ("plumb-1", "1.30"), ("drover-80-n", "3.1"), ("peephole-3", "1.0")),
        ("bearing-s2",),
    ),
    Network(8, ("fjeld-8",), ("9.1", "9.4"), "fork-4", 2, (("lodd-2", "3.0"),), ("teller-1",)),
    Network(
        10,
        ("fjeld-8-b", "fjeld-10-b"),
        ("10.2", "10.2", "10.6"),
        "fork-8",
        4,
        (("lodd-2", "3.0"), ("runde-20", "4.0"), ("spyhole-1", "")),
        ("hail-b", "bearing-s"),
    ),
    Network(
        8,
        ("slate-7", "slate-9"),
        ("22.1", "22.4"),
        "slatebox-5",
        3,
        (("slatebox-dome", "22.1"), ("fathomer-3", "3.1"), ("spyhole-1", "")),
        ("teller-2",),
    ),
)
KIND_NAMES = {
    "lantern": "d",
    "fjeld": "d",
    "slate": "d",
    "plumb": "sonar",
    "lodd": "sonar",
    "fathomer": "sonar",
    "sweep": "radar",
    "runde": "radar",
    "drover": "motor",
    "peephole": "cam",
    "spyhole": "cam",
    "teller": "gate",
    "bearing": "heading",
    "hail": "ais",
    "knot": "sw",
    "fork": "sw",
    "slatebox": "sw",
}
OLD_ADAPTER = {*LANTERN_1, *LANTERN_2, "fjeld-8"}
LANTERN_4_RELEASES = {"3.40": "1.20", "3.60": "1.40"}


@dataclass(slots=True)
class UnitPlan:
    """One unit to be: short name, model, place, release ("" none or not known)."""

    name: str
    model: str
    place: str
    release: str
    networked: bool
    release_known: bool = True


@dataclass(slots=True)
class BoatPlan:
    """One boat to be."""

    kind: str
    length_ft: int
    places: tuple[tuple[str, float, float, str], ...]
    routes: list[tuple[str, str, int]]
    units: list[UnitPlan] = field(default_factory=list)
    cables: list[tuple[str, int, str, int]] = field(default_factory=list)


def plan_boat(random: Random) -> BoatPlan:
    """One boat with its network, drawn at random."""
    kind = random.choices(("open", "sterndrive", "cruiser", "sail", "work"), (45, 15, 22, 12, 6))[0]
    cruiser = kind in {"cruiser", "sail", "work"}
    length_ft = random.randrange(28, 44) if cruiser else random.randrange(18, 29)
    routes = [
        (a, b, max(2, round(share * length_ft)))
        for a, b, share in (CRUISER_ROUTES if cruiser else OPEN_ROUTES)
    ]
    boat = BoatPlan(kind, length_ft, CRUISER_PLACES if cruiser else OPEN_PLACES, routes)
    network = random.choices(NETWORKS, [network.share for network in NETWORKS])[0]
    place_units(boat, network, random, cruiser=cruiser)
    join_units(boat)
    return boat


def place_units(boat: BoatPlan, network: Network, random: Random, *, cruiser: bool) -> None:
    """Displays at the stations, modules where they belong, loose units off the network."""
    stations = (
        ("helm", "flybridge", "cabin", "helm") if cruiser else ("console", "bow", "console", "bow")
    )
    release = random.choice(network.releases)
    for number in range(1 + random.randrange(network.most_displays)):
        model = random.choice(network.displays)
        add_unit(boat, model, stations[number % 4], display_release(model, release), random)
    for model, at_release in network.modules:
        if random.random() < 0.42:
            add_unit(boat, model, module_place(model, cruiser=cruiser), at_release, random)
    networked = sum(unit.networked for unit in boat.units)
    if networked > 2:
        switch_place = "electronics locker" if cruiser else "console"
        while free_switch_ports(boat, network.switch) < networked:
            add_unit(boat, network.switch, switch_place, "", random)
    for model in network.loose:
        if random.random() < 0.4:
            add_unit(boat, model, "cabin" if cruiser else "console", "", random, networked=False)


def display_release(model: str, release: str) -> str:
    """The generation IV stands at its own release of the same season."""
    return LANTERN_4_RELEASES[release] if model in LANTERN_4 else release


def module_place(model: str, *, cruiser: bool) -> str:
    """Where a module of this model sits."""
    if model.startswith(("sweep", "runde", "slatebox")):
        return "radar arch" if cruiser else "hardtop"
    if model.startswith("drover"):
        return "bow"
    if model.startswith(("peephole", "spyhole")):
        return "engine space" if cruiser else "transom"
    return "electronics locker" if cruiser else "console locker"


def free_switch_ports(boat: BoatPlan, switch: str) -> int:
    """Ports left for units on a chain of the switches aboard: P·n - 2·(n - 1)."""
    ports = {"knot-5": 5, "knot-5-b": 5, "fork-4": 4, "fork-8": 8, "slatebox-5": 5}[switch]
    count = sum(unit.model == switch for unit in boat.units)
    return ports * count - 2 * (count - 1) if count else 0


def add_unit(
    boat: BoatPlan, model: str, place: str, release: str, random: Random, *, networked: bool = True
) -> None:
    """Add a unit under the next free short name of its kind."""
    stem = KIND_NAMES["slatebox" if model == "slatebox-5" else model.split("-", maxsplit=1)[0]]
    stem = "radar" if model == "slatebox-dome" else stem
    count = sum(unit.name.rstrip("0123456789") == stem for unit in boat.units) + 1
    known = not release or random.random() < 0.97
    boat.units.append(UnitPlan(f"{stem}{count}", model, place, release, networked, known))


def join_units(boat: BoatPlan) -> None:
    """Cables: two units directly, more of them on a chain of switches in one line."""
    networked = [unit for unit in boat.units if unit.networked]
    switches = [unit for unit in networked if unit.name.startswith("sw")]
    others = [unit for unit in networked if not unit.name.startswith("sw")]
    if not switches:
        if len(others) == 2:
            boat.cables.append((others[0].name, 1, others[1].name, 1))
        return
    used = {unit.name: 0 for unit in networked}
    size = 8 if switches[0].model == "fork-8" else 4 if switches[0].model == "fork-4" else 5
    for one, other in itertools.pairwise(switches):
        join(boat, used, one.name, other.name)
    for unit in others:
        switch = next(switch for switch in switches if used[switch.name] < size)
        join(boat, used, switch.name, unit.name)


def join(boat: BoatPlan, used: dict[str, int], one: str, other: str) -> None:
    """One cable between the next free ports of two units."""
    used[one] += 1
    used[other] += 1
    boat.cables.append((one, used[one], other, used[other]))


def distances(boat: BoatPlan) -> dict[tuple[str, str], int]:
    """Shortest way in ft between every two places of the boat."""
    names = [place[0] for place in boat.places]
    far = {(a, b): 0 if a == b else 10_000 for a in names for b in names}
    for a, b, feet in boat.routes:
        far[a, b] = far[b, a] = feet
    for middle in names:
        for a in names:
            for b in names:
                far[a, b] = min(far[a, b], far[a, middle] + far[middle, b])
    return far
