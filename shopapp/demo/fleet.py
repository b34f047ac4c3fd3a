"""Write the demo's customers and boats, any number of them, in bulk."""

from collections.abc import Iterable, Iterator
from datetime import timedelta
from decimal import Decimal
from random import Random

from shopapp.accounts.models import Shop
from shopapp.boats.models import (
    Bank,
    Boat,
    Location,
    Ownership,
    Route,
    Unit,
)
from shopapp.boats.services.words import freshen
from shopapp.customers.models import Customer, Phone
from shopapp.customers.services import search_text
from shopapp.demo.boat_plans import OLD_ADAPTER, BoatPlan, plan_boat
from shopapp.demo.copies import copy_boats, drawing_of, last_keys
from shopapp.demo.evidence import FULL_UP_TO, make_evidence
from shopapp.demo.feeds import make_feeds
from shopapp.demo.networks import make_backbones, make_cables
from shopapp.demo.reading import Catalogue, Plans, save_all

BATCH = 500
CHEMISTRIES = ("flooded", "agm", "agm", "lithium", "")
FUELS = {
    "open": ("gasoline_outboard", "gasoline_outboard", ""),
    "sterndrive": ("gasoline_inboard",),
    "cruiser": ("diesel", "diesel", "gasoline_inboard"),
    "sail": ("diesel",),
    "work": ("diesel",),
}


def batches(first: int, count: int) -> Iterator[range]:
    """Ranges of at most BATCH numbers, `count` in all."""
    for start in range(first, first + count, BATCH):
        yield range(start, min(start + BATCH, first + count))


def make_fleet(*, shop: Shop, catalogue: Catalogue, boats: int, random: Random) -> None:
    """`boats` boats with their owners, units, networks and evidence.

    A large fleet is drawn in part and copied by the database.
    """
    catalogue.full_evidence = boats <= FULL_UP_TO
    drawing = drawing_of(boats)
    draw_boats(shop, catalogue, batches(0, drawing.rest), random)
    after = last_keys()
    draw_boats(shop, catalogue, batches(drawing.rest, drawing.drawn), random)
    if drawing.copies:
        copy_boats(after=after, copies=drawing.copies)


def draw_boats(shop: Shop, catalogue: Catalogue, numbered: Iterable[range], random: Random) -> None:
    """Boats with all that is aboard, in batches."""
    for numbers in numbered:
        customers = make_customers(shop, catalogue, numbers, random)
        plans = [plan_boat(random) for _ in numbers]
        rows = [
            boat_row(shop, catalogue, number, plan, customer, random)
            for number, plan, customer in zip(numbers, plans, customers, strict=True)
        ]
        save_all(Boat, rows)
        make_owners(rows, catalogue)
        fill_boats(list(zip(rows, plans, strict=True)), catalogue, random)
        make_feeds(rows, seed=numbers.start)


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
            )
        )
        rows[-1].first_phone = phone
        rows[-1].search = search_text(customer=rows[-1], numbers=[phone])
    save_all(Customer, rows)
    save_all(Phone, (Phone(customer=row, number=row.first_phone) for row in rows))
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
    boat = Boat(
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
        dc_limit_ma=random.choice((None, 30000, 40000, 40000, 50000, 50000, 60000)),
        hull_material=random.choice(("solid", "cored", "")),
        marina=marina,
        berth=berth,
        dock_power=random.choice((True, True, False, None)),
    )
    freshen(boat)
    return boat


def make_owners(boats: list[Boat], catalogue: Catalogue) -> None:
    """Who owns each boat since when."""
    since = catalogue.today - timedelta(days=800)
    save_all(
        Ownership, (Ownership(boat=boat, customer=boat.customer, since=since) for boat in boats)
    )


def fill_boats(plans: Plans, catalogue: Catalogue, random: Random) -> None:
    """Everything aboard of a batch of boats."""
    locations = make_locations(plans, random)
    make_routes(plans, locations, random)
    banks = make_banks(plans, random)
    units = make_units(plans, catalogue, locations, banks, random)
    make_cables(plans, catalogue, locations, units)
    make_backbones(plans, locations, units, random)
    make_evidence(plans, catalogue, random)


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
