"""Tiny cases in which what is rare elsewhere is the rule."""

from random import Random

from tests.engine.worlds import KINDS, random_case


def odd_case(seed):
    """A tiny case of odd models, a cut-up boat, wishes that clash and rules on nobody."""
    rng = Random(seed)
    case = random_case(seed, units=2, switches=1, adds=1, locations=2, models=3, requests=0)
    models, boat, job = case["catalogue"]["models"], case["boat"], case["job"]
    for model in models.values():
        _odd_model(rng, model)
    for device in boat["devices"]:
        releases = models[device["model"]]["releases"]
        device["release"] = rng.choice(releases) if releases else None
    _odd_boat(rng, boat)
    names = [d["id"] for d in boat["devices"] if d["id"][0] == "d"]
    adds = [request for request in job["requests"] if "add" in request]
    job["requests"] = adds + _odd_wishes(rng, names, [m for m in models if m[0] == "m"])
    case["catalogue"]["statements"] = [
        {"id": f"st{n}", "text": "", "source": "", "seen": "2026-01-01", "rule": rule}
        for n, rule in enumerate(_odd_rules(rng, models))
    ]
    return case


def _odd_model(rng, model):
    """Ports none or one, joined by units that are no switches, odd fuses, prices and releases."""
    if model["kind"] != "switch":
        model["ports"] = rng.choice([0, 1, 2, 2, 3])
        model["bridges"] = rng.random() < 0.6
    model["mount"] = rng.choice(["h1", "h1", None])
    model["lead"] = rng.choice(["l1", "l2", None])
    model["fuse_ma"] = rng.choice([1000, 3000, 9000, None])
    model["price_cents"] = rng.choice([None, 0, 700, 1500])
    model["adapter"] = rng.choice([None, "ax", "ax"])
    model["releases"] = rng.choice([[], ["1.0"], ["1.0", "2.0", "3.0"], ["2.0", "3.0"]])
    model["ships_with"] = rng.choice(model["releases"]) if model["releases"] else None
    pairs = [(a, b) for a in model["releases"] for b in model["releases"]]
    model["updates"] = [
        {"from": a, "to": b, "minutes": rng.choice([0, 0, 5, 9])}
        for a, b in rng.sample(pairs, min(len(pairs), rng.randint(0, 3)))
    ]


def _odd_boat(rng, boat):
    """Islands, cables within one place, several of them, many adapters, tight current."""
    boat["routes"] = boat["routes"][: rng.randint(0, 1)]
    spots = boat["locations"]
    boat["cables"] = [
        {"id": f"run{n}", "cable": "c5", "between": [a, b]}
        for n, (a, b) in enumerate(
            rng.choice([(spots[0], spots[0]), (spots[0], spots[-1]), (spots[-1], spots[-1])])
            for _ in range(rng.randint(0, 3))
        )
    ]
    for device in boat["devices"]:
        device["adapters"] = rng.choice([0, 1, 5])
    boat["dc_limit_ma"] = rng.choice([None, 0, 2000, 4000])


def _odd_wishes(rng, names, models):
    """Several wishes for one device, also such as can never hold together."""
    name = rng.choice(names)
    pairs = [("replace", "keep"), ("remove", "network"), ("replace", "replace"), ("keep", "keep"),
             ("remove", "remove"), ("replace", "network"), ("keep", "network"), ()]  # fmt: skip
    wishes = []
    for n, verb in enumerate(rng.choice(pairs)):
        wish = {"id": f"wish{n}", verb: name}
        wishes.append(wish | {"by": rng.sample(models, 1)} if verb == "replace" else wish)
    return wishes


def _odd_rules(rng, models):
    """Rules with and without conditions, on releases, across kinds, on nobody and on everybody."""
    dated = {name: rng.choice(m["releases"]) for name, m in models.items() if m["releases"]}
    some = [
        {},
        {"kinds": []},
        {"models": []},
        {"kinds": ["switch"]},
        {"models": rng.sample(list(models), 2)},
        {"min_release": dated},
        {"kinds": list(KINDS), "min_release": dated},
        {"models": ["m0"], "min_release": {k: v for k, v in dated.items() if k == "m0"}},
    ]
    for _ in range(rng.randint(0, 3)):
        one, two, three = (rng.choice(some) for _ in range(3))
        yield rng.choice([
            {"same_release": one},
            {"at_least": rng.randint(0, 2), "of": one, "when": two},
            {"at_least": 1, "of": one},
            {"only": one, "of": two},
            {"only": one, "of": two, "when": three},
            {"at_most": rng.randint(0, 2), "of": one, "when": two},
        ])  # fmt: skip
