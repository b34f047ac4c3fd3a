"""A shop with a small catalogue, a boat, its planning and a quote of it, for tests.

The world is one wish on one boat: a third display at the bow, where two
displays at the console are joined by one cable. The plans are the engine's own.
"""

from copy import deepcopy
from functools import cache

from planner import engine
from planner.models import PlanRun
from shopapp.accounts.models import Shop, User
from shopapp.boats.models import Boat
from shopapp.catalog.models import LabourTask, Part
from shopapp.customers.models import Customer
from shopapp.jobs.models import Quote
from shopapp.jobs.services.quotes import create_quote
from shopapp.stock.models import StockItem
from shopapp.work.models import RowState
from tests.factories.catalog import EquipmentModelFactory, PartFactory, explain

PARTS = [
    ("EQ-R", "Bench Display R", "equipment", 89900, {}),
    ("EQ-SW", "Bench Switch", "equipment", 18900, {}),
    ("AD-1", "Adapter lead", "adapter", 2990, {}),
    ("LD-D", "Display power lead", "lead", 2490, {}),
    ("LD-W", "Switch power lead", "lead", 1990, {}),
    ("FU-1", "Fuse 1 A", "fuse", 110, {"fuse_ma": 1000}),
    ("FU-3", "Fuse 3 A", "fuse", 90, {"fuse_ma": 3000}),
    ("CA-5", "Network cable 5 ft", "cable", 2490, {"cable_ft": 5}),
    ("CA-20", "Network cable 20 ft", "cable", 3990, {"cable_ft": 20}),
    ("CAP-1", "Port cap", "small", 150, {}),
]
TASKS = [("T01", 20), ("T42", 30), ("T43", 45), ("T45", 25)]
ASSUMPTIONS = [
    {
        "key": "unit:d1:release",
        "number": 1,
        "text": "d1 is on release 2.0; its system page was not seen.",
        "decides": True,
        "missing": True,
        "confirm_by": "photo of the system page",
        "options": [0, 1, 2, 3, 4],
    },
    {
        "key": "route:console:bow",
        "number": 2,
        "text": "The tube to the bow is free.",
        "decides": False,
        "missing": False,
        "confirm_by": "a look at the tube",
        "options": [0, 2],
    },
]


def _model(kind: str, **facts: object) -> dict:
    plain = {
        "kind": kind,
        "ports": 1,
        "bridges": kind == "switch",
        "adapter": None,
        "price_cents": None,
        "fit_minutes": 60,
        "remove_minutes": 20,
        "mount": None,
        "lead": "LD-D",
        "fuse_ma": 3000,
        "draw_ma": 1500,
        "releases": [],
        "updates": [],
        "ships_with": None,
        "successors": [],
    }
    return {**plain, **facts}


def third_display() -> dict:
    """The case as the planner reads it, with the names that pages show."""
    models = {
        "disp-q": _model(
            "display",
            adapter="AD-1",
            releases=["2.0", "2.2"],
            updates=[{"from": "2.0", "to": "2.2", "minutes": 25}],
            ships_with="2.2",
        ),
        "disp-r": _model("display", price_cents=89900, mount="hole-9"),
        "sw-b": _model(
            "switch",
            ports=5,
            price_cents=18900,
            fit_minutes=50,
            lead="LD-W",
            fuse_ma=1000,
            draw_ma=300,
        ),
    }
    shelves = {kind: {} for kind in ("adapter", "lead", "fuse", "cable")}
    for number, _, kind, price, more in PARTS:
        extra = {"fuse": ("ma", "fuse_ma"), "cable": ("feet", "cable_ft")}.get(kind)
        facts = {extra[0]: more[extra[1]]} if extra else {}
        if kind in shelves:
            shelves[kind][number] = {"price_cents": price, **facts}
    return {
        "format": "refit-case/1",
        "catalogue": {
            "models": models,
            **{f"{kind}s": rows for kind, rows in shelves.items()},
            "rates": {
                "labour_cents_per_minute": 200,
                "pull_minutes_base": 10,
                "pull_minutes_per_ft": 2,
                "drop_in_minutes": 25,
                "fuse_minutes": 5,
            },
            "statements": [
                {
                    "id": "S-001",
                    "text": "The switch takes display Q from 2.2 on.",
                    "source": "Install guide, invented for tests",
                    "seen": "2026-05-02",
                    "rule": {
                        "only": {"models": ["disp-q", "disp-r"], "min_release": {"disp-q": "2.2"}},
                        "of": {"kinds": ["display"]},
                        "when": {"models": ["sw-b"]},
                    },
                }
            ],
        },
        "boat": {
            "locations": ["bow", "console"],
            "routes": [{"between": ["console", "bow"], "feet": 14}],
            "slack_ft": 2,
            "dc_limit_ma": None,
            "devices": [
                _device("d1", "disp-q", "2.0", adapters=1),
                _device("d2", "disp-r", None),
            ],
            "cables": [{"id": "in-1", "cable": "CA-5", "between": ["console", "console"]}],
        },
        "job": {
            "requests": [{"id": "wish-1", "add": ["disp-r"], "location": "bow", "networked": True}],
            "switches": {"models": ["sw-b"], "locations": ["console"], "max_new": 1},
            "penalties": {"offnet_cents": 40000, "lost_cents": 120000},
        },
        "show": {
            "models": {
                "disp-q": {"name": "Bench Display Q"},
                "disp-r": {"name": "Bench Display R"},
                "sw-b": {"name": "Bench Switch"},
            },
            "parts": {number: {"name": name} for number, name, *_ in PARTS},
        },
    }


def _device(name: str, model: str, release: str | None, *, adapters: int = 0) -> dict:
    return {
        "id": name,
        "model": model,
        "location": "console",
        "release": release,
        "networked": True,
        "adapters": adapters,
    }


@cache
def _answer() -> dict:
    return engine.answer_case(third_display())


def lay_catalogue(shop: Shop) -> dict[str, Part]:
    """The parts, models and labour tasks behind the case's ids."""
    parts = {
        number: PartFactory(shop=shop, number=number, name=name, kind=kind, price_cents=price, **m)
        for number, name, kind, price, m in PARTS
    }
    for code, name, part in [
        ("disp-q", "Bench Display Q", None),
        ("disp-r", "Bench Display R", parts["EQ-R"]),
        ("sw-b", "Bench Switch", parts["EQ-SW"]),
    ]:
        EquipmentModelFactory(shop=shop, code=code, name=name, part=part)
    for code, minutes in TASKS:
        LabourTask.objects.create(
            shop=shop,
            code=code,
            name=f"Task {code}",
            low_minutes=minutes,
            typical_minutes=minutes,
            high_minutes=minutes,
        )
    return parts


def make_boat(shop: Shop, **customer: object) -> Boat:
    """A boat with its owner."""
    owner = Customer.objects.create(
        **{
            "shop": shop,
            "name": "Odile Farrow",
            "email": "odile@example.com",
            "search": "odile farrow",
            **customer,
        }
    )
    return Boat.objects.create(
        shop=shop, customer=owner, name="Second Tern", length_ft=24, search="second tern"
    )


def make_run(shop: Shop, *, boat: Boat | None = None, **changes: object) -> PlanRun:
    """A finished planning of the third display, its answer the engine's own."""
    facts = {
        "shop": shop,
        "boat": boat or make_boat(shop),
        "wishes": {"requests": []},
        "case": third_display(),
        "case_digest": "0" * 64,
        "assumptions": deepcopy(ASSUMPTIONS),
        "answer": deepcopy(_answer()),
        "engine_version": engine.ENGINE_VERSION,
        "row_state": RowState.READY,
    }
    return PlanRun.objects.create(**{**facts, **changes})


def make_quote(by: User, **changes: object) -> Quote:
    """A quote being built, with its catalogue laid down."""
    if not Part.objects.of(by.shop).filter(number="EQ-R").exists():
        lay_catalogue(by.shop)
    quote = create_quote(run=make_run(by.shop, **changes), by=by)
    return Quote.objects.get(pk=quote.pk)


def put_in_stock(shop: Shop, pieces: int = 5) -> None:
    """So many of each part on one shelf."""
    for part in Part.objects.of(shop):
        explain(StockItem.objects.create(shop=shop, part=part, place="Shelf 1", on_hand=pieces))
