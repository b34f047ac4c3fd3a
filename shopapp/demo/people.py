"""The demo's shop and its people, one login for each role."""

from datetime import date
from decimal import Decimal

from planner.models import SumRules
from shopapp.accounts.models import Shop, TaxRate, User
from shopapp.roles import Role

SHOP_NAME = "Halyard Lane Marine Electronics"
PASSWORD = "tide-table-60"  # noqa: S105 -- the demo's own, printed at every start
# username, full name, role
PEOPLE = (
    ("wren", "Wren Tallow", Role.WRITER),
    ("tobin", "Tobin Reeve", Role.TECHNICIAN),
    ("iris", "Iris Maddock", Role.TECHNICIAN),
    ("marta", "Marta Quell", Role.MANAGER),
    ("pip", "Pip Lindqvist-Oar", Role.PARTS),
    ("orla", "Orla Fenn", Role.OWNER),
)
TERMS = (
    "Prices hold until the day named above. The deposit orders the parts; special-order parts "
    "are not returnable. Found work beyond 10 % of the total is agreed with you before it is done. "
    "Displays are aids to navigation: keep charts and a lookout."
)
NOT_INCLUDED = (
    "Lift and yard fees, bottom paint, woodwork, fuel, charts and subscriptions, "
    "unless a line above says so."
)


def make_shop() -> Shop:
    """The invented shop with its money rules, and one rule of its own for the sums."""
    shop = Shop.objects.create(
        name=SHOP_NAME,
        address="4 Halyard Lane\nGannet Point",
        phone="555-0142",
        email="desk@halyard-lane.example",
        time_zone="America/New_York",
        labour_cents_per_hour=13800,
        quote_terms=TERMS,
        not_included=NOT_INCLUDED,
    )
    SumRules.objects.create(
        shop=shop, compass_m=Decimal("1.000"), said_by="House rule, since a compass was swung twice"
    )
    return shop


def make_taxes(shop: Shop, today: date) -> None:
    """Two rates for goods, the older one ended; none for labour."""
    turn = date(today.year, 1, 1)
    TaxRate.objects.create(
        shop=shop,
        name="Sales tax",
        applies_to="goods",
        percent=Decimal("5.750"),
        valid_from=date(today.year - 3, 1, 1),
        valid_until=date(today.year - 1, 12, 31),
    )
    TaxRate.objects.create(
        shop=shop, name="Sales tax", applies_to="goods", percent=Decimal("6.000"), valid_from=turn
    )


def make_people(shop: Shop) -> dict[str, User]:
    """Username → person; the owner also holds the back door."""
    people = {}
    for username, name, role in PEOPLE:
        owner = role == Role.OWNER
        people[username] = User.objects.create_user(
            username,
            f"{username}@halyard-lane.example",
            PASSWORD,
            shop=shop,
            role=role,
            full_name=name,
            is_staff=owner,
            is_superuser=owner,
        )
    return people
