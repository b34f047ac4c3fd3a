"""How the demo's units are fed and where they are mounted: much of it measured, some of it not."""

from random import Random

from shopapp.boats.models import Backbone, Bank, Boat, Location, Unit

MEASURED = 0.75
BANK_PLACES = ("engine space", "console locker", "console")
# (hottest °C, cm to a compass, cm to an antenna, in a radar's beam, opening, room behind in mm)
PLACES = {
    "console": (48, 70, 250, False, (0, 0), 140),
    "bow": (45, 200, 320, False, (0, 0), 110),
    "transom": (45, 260, 260, False, (0, 0), 90),
    "console locker": (50, 45, 180, False, (0, 0), 300),
    "hardtop": (52, 150, 120, None, (0, 0), 60),
    "helm": (46, 75, 310, False, (302, 196), 150),
    "flybridge": (55, 90, 160, None, (238, 140), 95),
    "cabin": (38, 180, 350, False, (0, 0), 200),
    "electronics locker": (44, 110, 330, False, (0, 0), 400),
    "radar arch": (50, 240, 140, True, (0, 0), 60),
    "engine space": (65, 300, 400, False, (0, 0), 300),
}
GAUGES = {600: "16", 2000: "14", 4000: "12", 10_000: "10"}


def make_feeds(boats: list[Boat], seed: int) -> None:
    """Measure most of the feeds, places, banks and backbones of a batch of boats."""
    random = Random(seed)  # noqa: S311 -- an invented fleet, not a secret
    places = list(Location.objects.filter(boat__in=boats).order_by("pk"))
    for place in places:
        measure_place(place, random)
    Location.objects.bulk_update(
        places,
        [
            "hottest_c", "compass_cm", "aerial_cm", "in_beam", "opening_width_mm",
            "opening_height_mm", "depth_mm",
        ],
        batch_size=500,
    )  # fmt: skip
    by_boat: dict[int, dict[str, Location]] = {}
    for place in places:
        by_boat.setdefault(place.boat_id, {})[place.name] = place
    _measure_banks(boats, by_boat, random)
    _measure_units(boats, random)
    bones = list(Backbone.objects.filter(boat__in=boats).order_by("pk"))
    for bone in bones:
        bone.measured_ohms = random.choice((None, 60, 60, 60, 120))
    Backbone.objects.bulk_update(bones, ["measured_ohms"], batch_size=500)


def measure_place(place: Location, random: Random) -> None:
    """What a tape and a look say of a place; each but now and then."""
    hottest, compass, aerial, beam, opening, depth = PLACES[place.name]
    facts = {
        "hottest_c": hottest,
        "compass_cm": compass,
        "aerial_cm": aerial,
        "in_beam": beam,
        "depth_mm": depth,
    }
    for name, value in facts.items():
        setattr(place, name, value if random.random() < MEASURED else None)
    if random.random() < MEASURED:
        place.opening_width_mm, place.opening_height_mm = opening


def _measure_banks(boats: list[Boat], places: dict, random: Random) -> None:
    banks = list(Bank.objects.filter(boat__in=boats).order_by("pk"))
    for bank in banks:
        there = places.get(bank.boat_id, {})
        name = next((name for name in BANK_PLACES if name in there), None)
        bank.location = there[name] if name and random.random() < 0.9 else None
        bank.block_a = random.choice((None, 30, 60, 60, 100))
        bank.cutoff_a = random.choice((None, 100, 100, 300))
        bank.charger = random.choice(("", "40 A charger", "none", "20 A charger"))
    Bank.objects.bulk_update(
        banks, ["location", "block_a", "cutoff_a", "charger"], batch_size=500
    )  # fmt: skip


def _measure_units(boats: list[Boat], random: Random) -> None:
    units = list(Unit.objects.filter(boat__in=boats).select_related("model").order_by("pk"))
    for unit in units:
        if random.random() < MEASURED:
            wide = next((awg for most, awg in GAUGES.items() if unit.model.draw_ma <= most), "8")
            unit.wire_awg = random.choice((wide, wide, wide, "18"))
            unit.wire_run_ft = random.randrange(4, 26)
            unit.wire_insulation_c = random.choice((105, 105, 75, None))
            unit.wire_engine_space = random.choice((False, False, None))
            unit.fuse_inches = random.choice((4, 6, 7, 7, 30, 60, None))
            unit.wire_sheathed = random.choice((True, True, None))
    Unit.objects.bulk_update(
        units,
        [
            "wire_awg", "wire_run_ft", "wire_insulation_c", "wire_engine_space", "fuse_inches",
            "wire_sheathed",
        ],
        batch_size=500,
    )  # fmt: skip
