"""A boat of twelve units with its network, and sheets as a browser sends them."""

from datetime import timedelta

from django.utils import timezone

from shopapp.accounts.models import Shop
from shopapp.boats.models import Boat, Evidence, Unit
from tests.factories.boats import (
    BackboneFactory,
    BankFactory,
    BoatFactory,
    CableFactory,
    DropFactory,
    FeedFactory,
    LocationFactory,
    RouteFactory,
    SegmentFactory,
    TeeFactory,
    UnitFactory,
)
from tests.factories.catalog import CablePartFactory, EquipmentModelFactory, SwitchFactory


def twelve_units(shop: Shop) -> Boat:
    """Twelve units at four places, a switch with cables to four of them, one backbone."""
    boat = BoatFactory(shop=shop, name="Twelve")
    places = [LocationFactory(boat=boat, name=name) for name in ("console", "bow", "stern", "mast")]
    for place in places[1:]:
        RouteFactory(boat=boat, a=places[0], b=place)
    bank = BankFactory(boat=boat)
    model = EquipmentModelFactory(shop=shop, releases=["1.0", "2.0"])
    release = model.releases.get(name="2.0")
    units = [
        UnitFactory(
            boat=boat, name=f"d{n}", model=model, release=release, location=places[n % 4], bank=bank
        )
        for n in range(1, 12)
    ]
    switch = UnitFactory(
        boat=boat, name="sw1", model=SwitchFactory(shop=shop), location=places[0], bank=bank
    )
    part = CablePartFactory(shop=shop)
    for port, unit in enumerate(units[:4], 1):
        CableFactory(boat=boat, part=part, ends=[(switch, port), (unit, 1)])
    bone = BackboneFactory(boat=boat)
    tees = [
        TeeFactory(backbone=bone, location=places[0], position=n, terminated=n in (1, 3))
        for n in (1, 2, 3)
    ]
    SegmentFactory(backbone=bone, from_tee=tees[0], to_tee=tees[1])
    DropFactory(tee=tees[1], unit=units[0])
    FeedFactory(tee=tees[0])
    for unit in [*units, switch]:
        note(unit, "model", unit.model.code)
    return boat


def note(unit: Unit, fact: str, value: str, *, how: str = "seen", days: int = 0) -> Evidence:
    """Evidence of a unit's fact, so many days old."""
    return Evidence.objects.create(
        boat=unit.boat,
        unit=unit,
        fact=fact,
        value=value,
        how=how,
        seen_at=timezone.now() - timedelta(days=days),
    )


def sheet(prefix: str, rows: list[dict], *, initial: int = 0) -> dict[str, str]:
    """Rows as a formset's fields; `initial` of them are on record."""
    data = {f"{prefix}-TOTAL_FORMS": str(len(rows)), f"{prefix}-INITIAL_FORMS": str(initial)}
    for place, row in enumerate(rows):
        data |= {f"{prefix}-{place}-{name}": str(value) for name, value in row.items()}
    return data


def seen(boat: Boat, how: str = "seen", **facts: str) -> dict[str, str]:
    """The evidence bar as the page just made would send it."""
    boat.refresh_from_db()
    bar = {"how": how, "sureness": "high", "stamp": boat.facts_changed_at.isoformat(), **facts}
    return {f"seen-{name}": value for name, value in bar.items()}
