"""Write the demo's customers and boats, any number of them, in bulk."""

import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from decimal import Decimal
from itertools import islice, pairwise
from random import Random
from typing import Any

from django.db.models import Model

from shopapp.accounts.models import Shop, User
from shopapp.boats.models import (
    Backbone,
    Bank,
    Boat,
    Cable,
    CableEnd,
    Drop,
    Evidence,
    Feed,
    Location,
    Ownership,
    Route,
    Segment,
    Tee,
    Unit,
)
from shopapp.catalog.models import EquipmentModel, Part, Release
from shopapp.customers.models import Customer, Phone
from shopapp.demo.boat_plans import OLD_ADAPTER, BoatPlan, distances, plan_boat
from shopapp.demo.catalogue import DATA, search_text

BATCH = 500
CABLE_FEET = (5, 10, 15, 20, 30)
CHEMISTRIES = ("flooded", "agm", "agm", "lithium", "")
FUELS = {
    "open": ("gasoline_outboard", "gasoline_outboard", ""),
    "sterndrive": ("gasoline_inboard",),
    "cruiser": ("diesel", "diesel", "gasoline_inboard"),
    "sail": ("diesel",),
    "work": ("diesel",),
}


@dataclass(slots=True)
class Catalogue:
    """What boats are filled from, read once."""

    models: dict[str, EquipmentModel]
    releases: dict[tuple[int, str], Release]
    cables: dict[int, Part]
    words: dict[str, list[str]]
    by: User
    today: date


def read_catalogue(*, shop: Shop, by: User, today: date) -> Catalogue:
    """The shop's catalogue as dictionaries."""
    return Catalogue(
        models={model.code: model for model in EquipmentModel.objects.of(shop)},
        releases={
            (release.model_id, release.name): release
            for release in Release.objects.filter(model__shop=shop)
        },
        cables={part.cable_ft: part for part in Part.objects.of(shop).filter(kind="cable")},
        words=json.loads((DATA / "words.json").read_text(encoding="utf-8")),
        by=by,
        today=today,
    )


def batches(count: int) -> Iterator[range]:
    """Ranges of at most BATCH numbers up to `count`."""
    for start in range(0, count, BATCH):
        yield range(start, min(start + BATCH, count))


def make_fleet(*, shop: Shop, catalogue: Catalogue, boats: int, random: Random) -> None:
    """`boats` boats with their owners, units, networks and evidence."""
    for numbers in batches(boats):
        customers = make_customers(shop, catalogue, numbers, random)
        plans = [plan_boat(random) for _ in numbers]
        rows = [
            boat_row(shop, catalogue, number, plan, customer, random)
            for number, plan, customer in zip(numbers, plans, customers, strict=True)
        ]
        Boat.objects.bulk_create(rows)
        make_owners(rows, catalogue)
        fill_boats(list(zip(rows, plans, strict=True)), catalogue, random)


def make_customers(
    shop: Shop, catalogue: Catalogue, numbers: range, random: Random
) -> list[Customer]:
    """One owner for each boat, now and then the owner of the boat before."""
    words = catalogue.words
    rows: list[Customer] = []
    for number in numbers:
        name = f"{random.choice(words['first'])} {random.choice(words['last'])}"
        if number >= len(words["first"]) * len(words["last"]):
            name = f"{name} {number}"
        email = f"{name.lower().replace(' ', '.')}@example.com"
        phone = f"555-01{random.randrange(100):02d}"
        rows.append(
            Customer(
                shop=shop,
                name=name,
                email=email if random.random() < 0.8 else "",
                preferred_way=random.choice(Customer.Way.values),
                approve_limit_cents=random.choice((None, 15000, 30000)),
                search=search_text(name, email, phone),
            )
        )
        rows[-1].first_phone = phone
    Customer.objects.bulk_create(rows)
    Phone.objects.bulk_create(Phone(customer=row, number=row.first_phone) for row in rows)
    return [
        rows[place - 1] if place and random.random() < 0.08 else row
        for place, row in enumerate(rows)
    ]


def hull_number(random: Random, year: int) -> str:
    """A hull number of the right form under an invented maker code (33 CFR 181.25)."""
    serial = "".join(random.choice("ABCDEFGHJKLMNPRSTUVWXYZ0123456789") for _ in range(5))
    return f"XQZ{serial}{random.choice('ABCDEFGHIJKL')}{year % 10}{(year + 1) % 100:02d}"


def boat_row(
    shop: Shop,
    catalogue: Catalogue,
    number: int,
    plan: BoatPlan,
    customer: Customer,
    random: Random,
) -> Boat:
    """The boat itself."""
    words = catalogue.words
    name = words["boats"][number % len(words["boats"])]
    if number >= len(words["boats"]):
        name = f"{name} {number // len(words['boats']) + 1}"
    year = random.randrange(2004, 2025)
    hull = hull_number(random, year)
    marina, berth = (
        random.choice(words["marinas"]),
        f"{random.choice('ABCD')}{random.randrange(1, 60)}",
    )
    return Boat(
        shop=shop,
        customer=customer,
        name=name,
        hull_number_read=hull,
        hull_number=hull,
        registration=f"ZZ {random.randrange(1000, 9999)} {random.choice('ABCDEFG')}",
        builder=random.choice(words["builders"]),
        year=year,
        kind=plan.kind,
        length_ft=Decimal(plan.length_ft),
        beam_ft=Decimal(round(plan.length_ft * 0.34, 1)).quantize(Decimal("0.1")),
        fuel=random.choice(FUELS[plan.kind]),
        dc_volts=12,
        dc_limit_ma=random.choice((None, 25000, 40000)),
        hull_material=random.choice(("solid", "cored", "")),
        marina=marina,
        berth=berth,
        dock_power=random.choice((True, True, False, None)),
        search=search_text(name, customer.name, hull, marina, berth),
    )


def make_owners(boats: list[Boat], catalogue: Catalogue) -> None:
    """Who owns each boat since when."""
    since = catalogue.today - timedelta(days=800)
    Ownership.objects.bulk_create(
        Ownership(boat=boat, customer=boat.customer, since=since) for boat in boats
    )


def save_all(kind: type[Model], rows: Iterable[Model]) -> list[Any]:
    """Write rows in bounded batches; the rows, with their keys."""
    rows = iter(rows)
    written: list[Any] = []
    while chunk := list(islice(rows, 2000)):
        written += kind.objects.bulk_create(chunk)
    return written


Plans = list[tuple[Boat, BoatPlan]]


def fill_boats(plans: Plans, catalogue: Catalogue, random: Random) -> None:
    """Everything aboard of a batch of boats."""
    locations = make_locations(plans, random)
    make_routes(plans, locations, random)
    banks = make_banks(plans, random)
    units = make_units(plans, catalogue, locations, banks, random)
    make_cables(plans, catalogue, locations, units)
    make_backbones(plans, locations, units, random)
    make_evidence(units, catalogue, random)


def make_locations(plans: Plans, random: Random) -> dict[tuple[int, str], Location]:
    """(boat, name) → location."""
    rows = save_all(
        Location,
        (
            Location(
                boat=boat,
                name=name,
                x=Decimal(str(x)),
                y=Decimal(str(y)),
                exposure=exposure,
                vapour=random.choice((True, None)) if name == "engine space" else False,
                switch_place=exposure != "wet" and name != "engine space",
            )
            for boat, plan in plans
            for name, x, y, exposure in plan.places
        ),
    )
    return {(row.boat_id, row.name): row for row in rows}


def make_routes(plans: Plans, locations: dict, random: Random) -> None:
    """Ways for cables, some measured, some guessed."""
    save_all(
        Route,
        (
            Route(
                boat=boat,
                a=locations[boat.pk, a],
                b=locations[boat.pk, b],
                feet=feet,
                sureness=random.choice(("high", "medium", "medium", "low")),
            )
            for boat, plan in plans
            for a, b, feet in plan.routes
        ),
    )


def make_banks(plans: Plans, random: Random) -> dict[int, Bank]:
    """A house and a start bank for each boat; boat → its house bank."""
    rows = save_all(
        Bank,
        (
            Bank(
                boat=boat,
                name=use.capitalize(),
                use=use,
                chemistry=random.choice(CHEMISTRIES),
                volts=12,
                capacity_ah=random.choice((90, 110, 200)),
                rested_mv=random.choice((None, 12400, 12600, 12700)),
            )
            for boat, _plan in plans
            for use in ("house", "start")
        ),
    )
    return {row.boat_id: row for row in rows if row.use == "house"}


def make_units(
    plans: Plans, catalogue: Catalogue, locations: dict, banks: dict[int, Bank], random: Random
) -> dict[tuple[int, str], Unit]:
    """(boat, short name) → unit."""
    rows = []
    for boat, plan in plans:
        for unit in plan.units:
            model = catalogue.models[unit.model]
            release = catalogue.releases.get((model.pk, unit.release))
            rows.append(
                Unit(
                    boat=boat,
                    name=unit.name,
                    model=model,
                    serial=f"{unit.model[:2].upper()}{random.randrange(10**7):07d}",
                    release=release if unit.release_known else None,
                    location=locations[boat.pk, unit.place],
                    networked=unit.networked,
                    adapters=1 if unit.model in OLD_ADAPTER and unit.networked else 0,
                    bank=banks[boat.pk],
                    fuse_ma=model.fuse_ma if random.random() < 0.7 else None,
                    fuse_place="electronics block" if random.random() < 0.7 else "",
                    cutoff="electronics" if random.random() < 0.7 else "",
                    fitted_on=catalogue.today - timedelta(days=random.randrange(200, 2000)),
                )
            )
    return {(row.boat_id, row.name): row for row in save_all(Unit, rows)}


def make_cables(plans: Plans, catalogue: Catalogue, locations: dict, units: dict) -> None:
    """The network as it lies, each cable long enough for its way."""
    cables, ends = [], []
    for boat, plan in plans:
        far = distances(plan)
        places = {unit.name: unit.place for unit in plan.units}
        for number, (one, port, other, other_port) in enumerate(plan.cables, 1):
            run_ft = far[places[one], places[other]] + 1
            feet = next((feet for feet in CABLE_FEET if feet >= run_ft), CABLE_FEET[-1])
            cable = Cable(boat=boat, label=f"N{number}", part=catalogue.cables[feet])
            cables.append(cable)
            for side, name, at in (("a", one, port), ("b", other, other_port)):
                ends.append(
                    CableEnd(
                        cable=cable,
                        side=side,
                        location=locations[boat.pk, places[name]],
                        unit=units[boat.pk, name],
                        port=at,
                    )
                )
    save_all(Cable, cables)
    save_all(CableEnd, ends)


def make_backbones(plans: Plans, locations: dict, units: dict, random: Random) -> None:
    """A backbone on every boat that carries a node for it."""
    nodes = {
        boat.pk: [
            units[boat.pk, unit.name]
            for unit in plan.units
            if unit.model.startswith(("bearing", "hail-b", "teller-2"))
        ]
        for boat, plan in plans
    }
    backbones = save_all(Backbone, (Backbone(boat=boat) for boat, _plan in plans if nodes[boat.pk]))
    for backbone in backbones:
        make_backbone(backbone, nodes[backbone.boat_id], locations, random)


def make_backbone(backbone: Backbone, nodes: list[Unit], locations: dict, random: Random) -> None:
    """Tees in a line, terminators at both ends, a drop for each node, power in the middle."""
    place = nodes[0].location
    count = len(nodes) + 3
    tees = save_all(
        Tee,
        (
            Tee(
                backbone=backbone,
                name=f"T{position}",
                position=position,
                location=place,
                terminated=position in {1, count},
            )
            for position in range(1, count + 1)
        ),
    )
    save_all(
        Segment,
        (
            Segment(
                backbone=backbone,
                from_tee=one,
                to_tee=other,
                metres=Decimal(random.choice(("0.50", "1.00", "2.00", "4.00"))),
            )
            for one, other in pairwise(tees)
        ),
    )
    save_all(
        Drop,
        (
            Drop(tee=tee, unit=unit, metres=Decimal("2.00"), load_units=unit.model.load_units)
            for tee, unit in zip(tees[2:], nodes, strict=False)
        ),
    )
    Feed.objects.create(tee=tees[1], fuse_ma=3000, cutoff="electronics", volts=Decimal("12.6"))


def make_evidence(units: dict, catalogue: Catalogue, random: Random) -> None:
    """How model and release of each unit are known, some of it old, some only said."""
    rows = []
    for unit in units.values():
        how = random.choices(("seen", "bus", "photo", "job", "customer"), (40, 25, 10, 15, 10))[0]
        age = timedelta(days=random.choice((20, 60, 120, 400, 900)))
        seen_at = datetime.combine(catalogue.today, time(15), UTC) - age
        facts = {"model": unit.model.name}
        if unit.release is not None:
            facts["release"] = unit.release.name
        rows += [
            Evidence(
                boat_id=unit.boat_id,
                unit=unit,
                fact=fact,
                value=value,
                how=how,
                sureness="medium" if how == "customer" else "high",
                seen_at=seen_at,
                noted_at=seen_at,
                by=catalogue.by,
            )
            for fact, value in facts.items()
        ]
    save_all(Evidence, rows)
