"""A small boat with a shop's catalogue, for the planner's tests.

Console and bow 14 ft apart; two displays linked at the console; one old and one new switch sold.
"""

from datetime import UTC, datetime, timedelta
from typing import Any

from shopapp.accounts.models import Shop
from shopapp.boats.models import Bank, Boat, Cable, CableEnd, Evidence, Location, Route, Unit
from shopapp.catalog.models import EquipmentModel, Kind, Part
from shopapp.customers.models import Customer
from tests.factories.catalog import (
    AdapterFactory,
    CablePartFactory,
    EquipmentModelFactory,
    FuseFactory,
    LeadFactory,
    SwitchFactory,
)
from tests.factories.planner import StatementFactory

NOW = datetime.now(tz=UTC)


class World:
    """A shop's catalogue and one boat; every row is at hand by its name."""

    def __init__(self, shop: Shop) -> None:
        self.shop = shop
        self.lead = LeadFactory(shop=shop, number="lead-p")
        self.adapter = AdapterFactory(shop=shop, number="adapter-x", name="Adapter lead X")
        FuseFactory(shop=shop, number="fuse-3", fuse_ma=3000)
        self.cables = {
            feet: CablePartFactory(
                shop=shop, number=f"run-{feet}", cable_ft=feet, price_cents=1000 + feet * 100
            )
            for feet in (5, 20)
        }
        self.models = self._models(shop)
        self._statements(shop)
        customer = Customer.objects.create(shop=shop, name="Ada Finch")
        self.boat = Boat.objects.create(
            shop=shop,
            customer=customer,
            name="Grey Heron",
            length_ft="24",
            beam_ft="8.5",
            fuel="diesel",
            dc_volts=12,
            dc_limit_ma=60000,
        )
        self.places = {
            name: Location.objects.create(boat=self.boat, name=name, vapour=False)
            for name in ("console", "bow")
        }
        self.route = Route.objects.create(
            boat=self.boat,
            a=self.places["console"],
            b=self.places["bow"],
            feet=14,
            sureness="high",
        )
        Bank.objects.create(boat=self.boat, name="House", use="house", chemistry="agm")
        self.units: dict[str, Unit] = {}

    def _models(self, shop: Shop) -> dict[str, EquipmentModel]:
        shared: dict[str, Any] = {"shop": shop, "fuse_ma": 3000, "lead": self.lead}
        models = {
            "display-q": EquipmentModelFactory(
                code="display-q",
                name="Plover 7",
                adapter=self.adapter,
                releases=["2.0", "2.2"],
                updates=[("2.0", "2.2", 20)],
                **shared,
            ),
            "display-r": EquipmentModelFactory(
                code="display-r", name="Plover 9", releases=["3.1"], **shared
            ),
            "sounder-s": EquipmentModelFactory(
                code="sounder-s", name="Dipper 2", kind=Kind.SOUNDER, **shared
            ),
            "switch-b": SwitchFactory(code="switch-b", name="Weir 5", **shared),
        }
        models["display-q"].successors.add(models["display-r"])
        return models

    def _statements(self, shop: Shop) -> None:
        shared = {"shop": shop, "seen": (NOW - timedelta(days=20)).date()}
        takes = {
            "only": {
                "models": ["display-q", "display-r"],
                "min_release": {"display-q": "2.2"},
            },
            "of": {"kinds": ["display"]},
            "when": {"models": ["switch-b"]},
        }
        StatementFactory(
            code="S-1", text="Weir takes Plover 7 from 2.2 and Plover 9.", rule=takes, **shared
        )
        sounders = {
            "at_most": 1,
            "of": {"kinds": ["sounder"]},
            "when": {"models": ["switch-b"]},
        }
        StatementFactory(code="S-2", text="One sounder with Weir.", rule=sounders, **shared)

    def fit(self, name: str, code: str, *, at: str = "console", **facts: Any) -> Unit:
        """Put a unit aboard, all of it seen yesterday, unless `seen=False`."""
        seen = facts.pop("seen", True)
        facts.setdefault("networked", True)
        model = self.models[code]
        if "release" not in facts:
            facts["release"] = model.releases.order_by("-rank").first()
        unit = Unit.objects.create(
            boat=self.boat,
            name=name,
            model=model,
            location=self.places[at],
            fuse_ma=3000,
            **facts,
        )
        if seen:
            for fact in ("model", "release", "networked", "location", "adapters"):
                self.note(unit, fact)
        self.units[name] = unit
        return unit

    def note(self, unit: Unit, fact: str, *, how: str = "seen", days: int = 1, **more: Any) -> None:
        """Note how a fact of a unit is known."""
        Evidence.objects.create(
            boat=self.boat,
            unit=unit,
            fact=fact,
            how=how,
            seen_at=NOW - timedelta(days=days),
            **more,
        )

    def run_cable(self, label: str, one: Unit, other: Unit, *, feet: int = 5) -> Cable:
        """Lay a cable from port 1 to port 1."""
        cable = Cable.objects.create(boat=self.boat, label=label, part=self.cables[feet])
        for side, unit in (("a", one), ("b", other)):
            CableEnd.objects.create(
                cable=cable, side=side, location=unit.location, unit=unit, port=1
            )
        return cable

    def wishes(self, *requests: dict[str, Any], **switches: Any) -> dict[str, Any]:
        """Wishes, numbered, with the new switch allowed at both places."""
        allowed = {"models": ["switch-b"], "locations": ["console", "bow"], "max_new": 2}
        return {
            "requests": [{"id": f"wish-{n}", **wish} for n, wish in enumerate(requests, 1)],
            "switches": allowed | switches,
            "options": 4,
        }


def two_displays(shop: Shop) -> World:
    """Two displays at the console, joined by one cable."""
    world = World(shop)
    one = world.fit("d1", "display-q", adapters=1)
    two = world.fit("d2", "display-r")
    world.run_cable("in-1", one, two)
    return world


def add(code: str = "display-r", *, at: str = "bow", networked: bool = True) -> dict[str, Any]:
    """The wish for one more unit."""
    return {"kind": "add", "models": [code], "location": at, "networked": networked}


def retire_price(part: Part) -> None:
    """Make a part unbuyable."""
    part.price_cents = None
    part.save()
