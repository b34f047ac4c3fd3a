"""A tiny boat as plain data, for tests that need one fact at a time."""

from copy import deepcopy

DISPLAY = {
    "kind": "display",
    "ports": 1,
    "bridges": False,
    "adapter": None,
    "price_cents": 50000,
    "fit_minutes": 60,
    "remove_minutes": 20,
    "mount": "hole-8",
    "lead": "lead-d",
    "fuse_ma": 3000,
    "draw_ma": 1500,
    "releases": ["1.0", "1.4", "2.0"],
    "updates": [
        {"from": "1.0", "to": "1.4", "minutes": 20},
        {"from": "1.4", "to": "2.0", "minutes": 10},
        {"from": "1.0", "to": "2.0", "minutes": 45},
    ],
    "ships_with": "2.0",
    "successors": [],
}
SWITCH = DISPLAY | {
    "kind": "switch",
    "ports": 5,
    "bridges": True,
    "price_cents": 20000,
    "mount": "box",
    "lead": "lead-s",
    "fuse_ma": 1000,
    "draw_ma": 300,
    "releases": [],
    "updates": [],
    "ships_with": None,
}


def small_case(**changes):
    """Two displays of one model at two places, a route of 10 ft, no switch, no wish."""
    case = {
        "format": "refit-case/1",
        "catalogue": {
            "models": {
                "plain": deepcopy(DISPLAY),
                "wide": deepcopy(DISPLAY) | {"price_cents": 90000, "fuse_ma": 5000},
                "sonar": deepcopy(DISPLAY) | {"kind": "sounder", "mount": None},
                "hub": deepcopy(SWITCH),
            },
            "adapters": {"tail": {"price_cents": 3000}},
            "leads": {"lead-d": {"price_cents": 2500}, "lead-s": {"price_cents": 2000}},
            "fuses": {
                "blade-1": {"ma": 1000, "price_cents": 110},
                "blade-3": {"ma": 3000, "price_cents": 90},
                "blade-5": {"ma": 5000, "price_cents": 95},
            },
            "cables": {
                "run-5": {"feet": 5, "price_cents": 2500},
                "run-15": {"feet": 15, "price_cents": 3500},
            },
            "rates": {
                "labour_cents_per_minute": 100,
                "pull_minutes_base": 10,
                "pull_minutes_per_ft": 2,
                "drop_in_minutes": 25,
                "fuse_minutes": 5,
            },
            "statements": [],
        },
        "boat": {
            "locations": ["bow", "console"],
            "routes": [{"between": ["bow", "console"], "feet": 10}],
            "slack_ft": 2,
            "dc_limit_ma": None,
            "devices": [device("d1"), device("d2", location="bow")],
            "cables": [cable("c1", "bow", "console")],
        },
        "job": {
            "requests": [],
            "switches": {"models": ["hub"], "locations": ["console"], "max_new": 1},
            "penalties": {"offnet_cents": 40000, "lost_cents": 120000},
        },
    }
    case["boat"] |= {k: v for k, v in changes.items() if k in case["boat"]}
    case["job"] |= {k: v for k, v in changes.items() if k in case["job"]}
    case["job"]["switches"]["max_new"] = changes.get("max_new", 1)
    case["catalogue"]["statements"] = changes.get("statements", [])
    return case


def device(name, model="plain", *, location="console", release="1.0", networked=True, adapters=0):
    return {
        "id": name,
        "model": model,
        "location": location,
        "release": release,
        "networked": networked,
        "adapters": adapters,
    }


def cable(name, a, b, kind="run-15"):
    return {"id": name, "cable": kind, "between": [a, b]}


def statement(name, rule):
    text = f"Rule {name}."
    return {"id": name, "text": text, "source": "bench", "seen": "2026-01-02", "rule": rule}


def unit(plan, name):
    return next(row for row in plan["units"] if row["unit"] == name)
