"""Cases of the size and shape of a large boat: families of displays, old and new switches.

Unlike `tests.engine.worlds`, which looks for odd corners, these look like work: most units stand
on the network, statements are those a shop writes down, and wishes are such as are asked for.
"""

from itertools import pairwise
from random import Random
from typing import Any

JsonDict = dict[str, Any]
DISPLAYS = ("display-b1", "display-b2", "display-c1", "display-c2")
FIXED = {  # kind, mount, fit minutes, price or None, draw, lead, fuse, releases
    "display-a1": ("display", "hole-7", 90, None, 1800, "lead-p", 3000, ("1.10", "1.30")),
    "display-a2": ("display", "hole-9", 120, None, 2600, "lead-p", 5000, ("1.10", "1.30")),
    "display-b1": ("display", "hole-7", 90, 80, 2000, "lead-q", 5000, ("2.40", "3.00", "3.20")),
    "display-b2": ("display", "hole-9", 120, 140, 3000, "lead-q", 5000, ("2.40", "3.00", "3.20")),
    "display-c1": ("display", "hole-7", 90, 110, 2300, "lead-q", 5000, ("3.20", "4.10")),
    "display-c2": ("display", "hole-9", 120, 220, 3900, "lead-q", 10000, ("3.20", "4.10")),
    "radar-d1": ("radar", "dome-s", 240, None, 4000, "lead-p", 10000, ()),
    "radar-d2": ("radar", "dome-s", 240, 230, 4500, "lead-r", 15000, ("5.0", "5.4")),
    "sounder-e1": ("sounder", "box-2", 75, 60, 1500, "lead-r", 3000, ("6.1", "6.2")),
    "sounder-e2": ("sounder", "box-2", 75, 105, 2200, "lead-r", 5000, ("6.2", "7.0")),
    "motor-f1": ("motor", None, 180, 300, 2000, None, None, ("8.1", "8.2")),
    "camera-g1": ("camera", None, 60, 45, 600, "lead-r", 3000, ()),
    "gateway-h1": ("gateway", None, 45, 29, 300, "lead-r", 3000, ("9.0", "9.1")),
    "switch-old": ("switch", "plate-1", 60, 33, 900, "lead-p", 3000, ()),
    "switch-new": ("switch", "plate-1", 60, 62, 700, "lead-q", 5000, ()),
}
NEXT = {
    "display-a1": ("display-b1", "display-c1"),
    "display-a2": ("display-b2", "display-c2"),
    "display-b1": ("display-c1",),
    "display-b2": ("display-c2",),
    "radar-d1": ("radar-d2",),
    "sounder-e1": ("sounder-e2",),
}
PLACES = ("helm", "bow", "nav", "stern", "mast", "cabin", "engine", "bridge")
ABOARD = [name for name in FIXED if not name.startswith("switch")]
COMMON = [*DISPLAYS, "display-a1", *DISPLAYS, "display-a2", *ABOARD[6:]]


def trade_case(seed: int, *, units: int = 16, switches: int = 3, bridging: float = 0) -> JsonDict:
    """A case of so many units and switches on eight places; the same for the same numbers.

    `bridging`: the share of two-port models that pass traffic on.
    """
    rng = Random(seed)
    models = {name: _model(rng, name, bridging) for name in FIXED}
    devices = _devices(rng, models, units, switches)
    switches_at = rng.sample(PLACES, 3)
    return {
        "format": "refit-case/1",
        "catalogue": _catalogue(rng, models),
        "boat": {
            "locations": list(PLACES),
            "routes": _routes(rng),
            "slack_ft": 2,
            "dc_limit_ma": _limit(rng, models, devices),
            "devices": devices,
            "cables": _cables(rng, devices),
        },
        "job": {
            "requests": _requests(rng, devices),
            "switches": {
                "models": rng.choice(
                    [["switch-new"], ["switch-new"], ["switch-old", "switch-new"]]
                ),
                "locations": switches_at,
                "max_new": rng.choice([1, 2, 2]),
            },
            "penalties": {
                "offnet_cents": rng.choice([20000, 50000]),
                "lost_cents": rng.choice([60000, 200000]),
            },
        },
    }


def _model(rng: Random, name: str, bridging: float) -> JsonDict:
    kind, mount, fit, price, draw, lead, fuse, releases = FIXED[name]
    ports = rng.choice([1, 1, 2]) if name[-1] in "12" and kind in ("display", "gateway") else 1
    if kind == "switch":
        ports = 4 if name == "switch-old" else rng.choice([6, 8])
    updates = [
        {"from": a, "to": b, "minutes": rng.choice([10, 15, 25, 40])} for a, b in pairwise(releases)
    ]
    if releases and rng.random() < 0.25:
        updates.append({"from": releases[-1], "to": releases[0], "minutes": 20})
    adapters = {"display-a1": "adapter-x", "display-a2": "adapter-x", "display-b1": "adapter-y"}
    return {
        "kind": kind,
        "ports": ports,
        "bridges": kind == "switch" or (ports > 1 and rng.random() < bridging),
        "adapter": adapters.get(name),
        "price_cents": price and round(price * rng.uniform(0.85, 1.15)) * 1000 - 1,
        "fit_minutes": fit,
        "remove_minutes": fit // 3,
        "mount": mount,
        "lead": lead,
        "fuse_ma": fuse,
        "draw_ma": draw,
        "releases": list(releases),
        "updates": updates,
        "ships_with": rng.choice(releases) if releases else None,
        "successors": [one for one in NEXT.get(name, ()) if rng.random() < 0.7],
    }


def _catalogue(rng: Random, models: JsonDict) -> JsonDict:
    fuses = (3000, 5000, 10000, 15000)
    return {
        "models": models,
        "adapters": {"adapter-x": {"price_cents": 2500}, "adapter-y": {"price_cents": 3900}},
        "leads": {f"lead-{n}": {"price_cents": rng.randrange(900, 3500, 10)} for n in "pqr"},
        "fuses": {f"fuse-{ma // 1000}": {"ma": ma, "price_cents": 290} for ma in fuses},
        "cables": {
            f"cable-{feet}": {"feet": feet, "price_cents": rng.randrange(1500, 2500) + 90 * feet}
            for feet in (6, 15, 25)
        },
        "rates": {
            "labour_cents_per_minute": rng.choice([150, 200]),
            "pull_minutes_base": 30,
            "pull_minutes_per_ft": 1,
            "drop_in_minutes": 30,
            "fuse_minutes": 5,
        },
        "statements": _statements(rng),
    }


def _statements(rng: Random) -> list[JsonDict]:
    old, new = {"models": ["switch-old"]}, {"models": ["switch-new"]}
    shown, switch = {"kinds": ["display"]}, {"kinds": ["switch"]}
    late = {name: rng.choice(FIXED[name][7]) for name in DISPLAYS if rng.random() < 0.6}
    b_family, b_and_c = list(DISPLAYS[:2]), list(DISPLAYS)
    rules = [
        {"at_most": rng.choice([4, 5, 8]), "of": shown, "when": old},
        {"at_most": 3, "of": switch, "when": old},
        {"at_most": rng.choice([5, 8, 10]), "of": shown, "when": new},
        {"at_most": 5, "of": switch, "when": new},
        {"at_most": 20, "of": {}, "when": new},
        {"only": {"models": b_and_c, "min_release": late}, "of": shown, "when": new},
        {"at_most": rng.choice([0, 1]), "of": old, "when": new},
        {
            "at_least": 1,
            "of": {"models": ["display-c1", "display-c2"]},
            "when": {"models": ["radar-d2"]},
        },
        {"at_least": 2, "of": {"models": b_and_c[1:]}, "when": {"kinds": ["motor"]}},
        {"same_release": {"models": b_family}},
        {"same_release": {"models": b_and_c}},
        {
            "at_most": 0,
            "of": {"models": ["display-a1", "display-a2"]},
            "when": {"models": b_and_c[2:]},
        },
        {"at_most": 1, "of": {"kinds": ["radar"]}},
        {"at_least": 1, "of": shown},
        {"before": shown, "then": {"kinds": ["radar", "sounder", "motor"]}},
    ]
    chosen = sorted(rng.sample(range(len(rules)), rng.randint(7, 11)))
    facts = {"source": "bench notes", "seen": "2026-01-01"}
    return [{"id": f"st-{n:02}", "text": f"Rule {n}.", **facts, "rule": rules[n]} for n in chosen]


def _routes(rng: Random) -> list[JsonDict]:
    ways = [(PLACES[n], PLACES[rng.randrange(n)]) for n in range(1, len(PLACES))]
    ways += [tuple(rng.sample(PLACES, 2)) for _ in range(2)]
    seen: dict[frozenset[str], tuple[str, str]] = {frozenset(way): way for way in ways}
    return [{"between": list(way), "feet": rng.randint(3, 17)} for way in seen.values()]


def _devices(rng: Random, models: JsonDict, units: int, switches: int) -> list[JsonDict]:
    chosen = [rng.choice(COMMON) for _ in range(units)]
    rows = [
        {
            "id": f"unit-{n + 1:02}",
            "model": model,
            "location": rng.choice(PLACES),
            "release": rng.choice(models[model]["releases"] or [None]),
            "networked": rng.random() < 0.85,
            "adapters": 1 if models[model]["adapter"] else 0,
        }
        for n, model in enumerate(chosen)
    ]
    for n in range(switches):
        model = rng.choice(["switch-old", "switch-old", "switch-new"])
        hub = {"id": f"hub-{n + 1}", "model": model, "location": rng.choice(PLACES)}
        rows.append({**hub, "release": None, "networked": True, "adapters": 0})
    return rows


def _cables(rng: Random, devices: list[JsonDict]) -> list[JsonDict]:
    hubs = [row["location"] for row in devices if row["id"].startswith("hub")]
    ends = [row["location"] for row in devices if row["networked"]]
    pairs = [(end, rng.choice(hubs)) for end in ends if rng.random() < 0.8]
    pairs += [tuple(rng.sample(PLACES, 2)) for _ in range(3)]
    return [
        {
            "id": f"run-{n + 1:02}",
            "cable": rng.choice(["cable-15", "cable-25"]),
            "between": list(pair),
        }
        for n, pair in enumerate(pairs)
    ]


def _limit(rng: Random, models: JsonDict, devices: list[JsonDict]) -> int | None:
    drawn = sum(models[row["model"]]["draw_ma"] for row in devices)
    return None if rng.random() < 0.4 else drawn + rng.randrange(-2000, 9000)


def _requests(rng: Random, devices: list[JsonDict]) -> list[JsonDict]:
    rows: list[JsonDict] = []
    for _ in range(rng.randint(1, 3)):
        wanted = rng.choice(
            [["camera-g1"], ["sounder-e2"], ["display-c1", "display-b1"], ["radar-d2"]]
        )
        rows.append(
            {"add": wanted, "location": rng.choice(PLACES), "networked": rng.random() < 0.85}
        )
    named = [row for row in devices if row["id"].startswith("unit")]
    asked = rng.sample(named, min(len(named), rng.randint(4, 9)))
    for row in asked:
        word = rng.choice(["network", "network", "network", "keep", "remove", "replace"])
        after = NEXT.get(row["model"])
        if word == "replace" and after:
            rows.append({"replace": row["id"], "by": [rng.choice(after)]})
        elif word != "replace":
            rows.append({word: row["id"]})
    return [{"id": f"rq-{n + 1:02}", **row} for n, row in enumerate(rows)]
