"""Random small cases for the tests: every odd corner of the form turns up sooner or later."""

from itertools import pairwise
from random import Random

KINDS = ("display", "sounder", "radar", "gateway")


def random_case(
    seed,
    *,
    units=3,
    switches=1,
    adds=1,
    locations=3,
    models=4,
    max_new=1,
    requests=2,
    exact=False,
):
    """A case of at most these sizes; with `exact` of these sizes."""
    sizes = (units, switches, adds, locations, models, max_new, requests)
    return _World(Random(seed), *sizes, exact=exact).case()


class _World:
    def __init__(self, rng, units, switches, adds, locations, models, max_new, requests, *, exact):
        self.rng = rng
        self.exact = exact
        self.sizes = (units, switches, adds, requests)
        self.max_new = self._size(0, max_new)
        self.places = [f"p{n}" for n in range(self._size(1, locations))]
        self.models = {}
        for n in range(models):
            self.models[f"m{n}"] = self._model(rng.choice(KINDS), [f"m{k}" for k in range(models)])
        for n in range(rng.randint(1, 2)):
            self.models[f"s{n}"] = self._model("switch", [])
        self.switch_names = [name for name in self.models if name[0] == "s"]
        self.unit_names = [name for name in self.models if name[0] == "m"]

    def _size(self, least, most):
        return most if self.exact else self.rng.randint(least, most)

    def _model(self, kind, others):
        rng = self.rng
        is_switch = kind == "switch"
        releases = [f"{n}.0" for n in range(1, rng.choice([1, 1, 3, 4]))]
        if is_switch and rng.random() < 0.7:
            releases = []
        updates = []
        for _ in range(rng.randint(0, 4) if len(releases) > 1 else 0):
            start, end = rng.sample(releases, 2)
            updates.append({"from": start, "to": end, "minutes": rng.randint(0, 30)})
        return {
            "kind": kind,
            "ports": rng.choice([3, 4, 5]) if is_switch else rng.choice([1, 1, 1, 2, 2, 0, 3]),
            "bridges": is_switch or rng.random() < 0.3,
            "adapter": rng.choice([None, None, "ax", "ay"]),
            "price_cents": rng.choice([None, *(rng.randint(1, 400) * 10 for _ in range(5))]),
            "fit_minutes": rng.randint(0, 30),
            "remove_minutes": rng.randint(0, 9),
            "mount": rng.choice([None, "h1", "h2"]),
            "lead": rng.choice([None, "l1", "l2"]),
            "fuse_ma": rng.choice([None, 1000, 3000, 3000, 5000, 9000]),
            "draw_ma": rng.randint(0, 30) * 100,
            "releases": releases,
            "updates": updates,
            "ships_with": rng.choice(releases) if releases else None,
            "successors": rng.sample(others, rng.randint(0, min(2, len(others)))),
        }

    def case(self):
        rng = self.rng
        boat = self._boat()
        return {
            "format": "refit-case/1",
            "catalogue": {
                "models": self.models,
                "adapters": {"ax": {"price_cents": 55}, "ay": {"price_cents": 140}},
                "leads": {"l1": {"price_cents": 30}, "l2": {"price_cents": 75}},
                "fuses": {
                    "f1": {"ma": 1000, "price_cents": 3},
                    "f3": {"ma": 3000, "price_cents": 5},
                    "f3b": {"ma": 3000, "price_cents": 4},
                    "f5": {"ma": 5000, "price_cents": 6},
                },
                "cables": {
                    "c5": {"feet": 5, "price_cents": 50},
                    "c12": {"feet": 12, "price_cents": rng.choice([45, 90])},
                },
                "rates": {
                    "labour_cents_per_minute": rng.randint(1, 9),
                    "pull_minutes_base": rng.randint(0, 20),
                    "pull_minutes_per_ft": rng.randint(0, 3),
                    "drop_in_minutes": rng.randint(0, 20),
                    "fuse_minutes": rng.randint(0, 5),
                },
                "statements": [self._statement(n) for n in range(rng.randint(0, 5))],
            },
            "boat": boat,
            "job": self._job([d["id"] for d in boat["devices"] if d["id"][0] == "d"]),
        }

    def _selector(self):
        rng = self.rng
        found = {}
        if rng.random() < 0.6:
            found["kinds"] = rng.sample((*KINDS, "switch"), rng.randint(1, 3))
        if rng.random() < 0.4:
            found["models"] = rng.sample(list(self.models), rng.randint(1, 3))
        if rng.random() < 0.4:
            named = [name for name, model in self.models.items() if model["releases"]]
            picked = rng.sample(named, min(len(named), rng.randint(1, 2)))
            found["min_release"] = {n: rng.choice(self.models[n]["releases"]) for n in picked}
        return found

    def _statement(self, number):
        rng = self.rng
        verb = rng.choice(["at_most", "at_most", "only", "only", "at_least", "same_release"])
        rule = {}
        if verb == "same_release":
            rule = {"same_release": self._selector()}
        elif verb == "only":
            rule = {"only": self._selector(), "of": self._selector()}
        else:
            rule = {verb: rng.randint(0, 3 if verb == "at_most" else 1), "of": self._selector()}
        if verb != "same_release" and rng.random() < 0.7:
            rule["when"] = self._selector()
        if number == 4 and rng.random() < 0.7:
            rule = {"before": {"kinds": ["display"]}, "then": {"kinds": ["sounder", "radar"]}}
        return {
            "id": f"st{number}",
            "text": f"Rule {number}.",
            "source": "bench",
            "seen": "2026-01-01",
            "rule": rule,
        }

    def _boat(self):
        rng = self.rng
        units, switches, _, _ = self.sizes
        devices = []
        for n in range(self._size(1, units)):
            devices.append(self._device(f"d{n}", rng.choice(self.unit_names)))
        for n in range(self._size(0, switches)):
            devices.append(self._device(f"h{n}", rng.choice(self.switch_names)))
        routes = [
            {"between": rng.sample(self.places, 2), "feet": rng.randint(0, 9)}
            for _ in range(rng.randint(0, len(self.places) + 1) if len(self.places) > 1 else 0)
        ]
        cables = [
            {
                "id": f"run{n}",
                "cable": rng.choice(["c5", "c12"]),
                "between": [rng.choice(self.places), rng.choice(self.places)],
            }
            for n in range(rng.randint(0, 4))
        ]
        return {
            "locations": self.places,
            "routes": routes,
            "slack_ft": rng.randint(0, 2),
            "dc_limit_ma": rng.choice([None, None, rng.randint(10, 100) * 100]),
            "devices": devices,
            "cables": cables,
        }

    def _device(self, name, model):
        rng = self.rng
        releases = self.models[model]["releases"]
        return {
            "id": name,
            "model": model,
            "location": rng.choice(self.places),
            "release": rng.choice(releases) if releases else None,
            "networked": rng.random() < 0.7,
            "adapters": rng.randint(0, 2),
        }

    def _job(self, devices):
        rng = self.rng
        _, _, adds, wishes = self.sizes
        requests = []
        for n in range(self._size(0, adds)):
            requests.append(
                {
                    "id": f"rq{n}",
                    "add": rng.sample(self.unit_names, rng.randint(1, 2)),
                    "location": rng.choice(self.places),
                    "networked": rng.random() < 0.8,
                }
            )
        for n in range(self._size(0, wishes)):
            verb = rng.choice(["network", "network", "keep", "remove", "replace"])
            request = {"id": f"wish{n}", verb: rng.choice(devices)}
            if verb == "replace":
                request["by"] = rng.sample(self.unit_names, rng.randint(1, 2))
            requests.append(request)
        return {
            "requests": requests,
            "switches": {
                "models": rng.sample(self.switch_names, rng.randint(0, len(self.switch_names))),
                "locations": rng.sample(self.places, rng.randint(1, min(2, len(self.places)))),
                "max_new": self.max_new,
            },
            "penalties": {
                "offnet_cents": rng.randint(0, 60) * 10,
                "lost_cents": rng.randint(0, 200) * 10,
            },
        }


def islands_case(seed, *, units=8, wishes=10, places=8, switches=2, adds=1, max_new=2):
    """Many units that pass traffic on, at places that cables cannot all join, all wanted."""
    rng = Random(seed)
    case = random_case(
        seed, units=1, switches=0, adds=0, locations=1, models=6, max_new=0, requests=0
    )
    models = case["catalogue"]["models"]
    for name, model in models.items():
        model["price_cents"] = model["price_cents"] or 900
        model["fuse_ma"] = None
        if name[0] == "m" and rng.random() < 0.7:
            model |= {"bridges": True, "ports": rng.choice([2, 2, 3])}
        model["ports"] = max(1, model["ports"])
    spots = [f"p{n}" for n in range(places)]
    units_at, wanted = [], []
    for n in range(units):
        units_at.append(_aboard(rng, f"d{n}", rng.choice([m for m in models if m[0] == "m"]), case))
    for n in range(switches):
        units_at.append(_aboard(rng, f"h{n}", rng.choice([m for m in models if m[0] == "s"]), case))
    for device in units_at:
        device["location"] = rng.choice(spots)
    for n in range(wishes):
        verb = rng.choice(["network"] * 5 + ["keep"])
        wanted.append({"id": f"wish{n:02}", verb: f"d{rng.randrange(units)}"})
    for n in range(adds):
        wanted.append({"id": f"add{n}", "add": ["m0", "m1"], "location": rng.choice(spots),
                       "networked": True})  # fmt: skip
    routes = [
        {"between": [a, b], "feet": rng.randint(1, 14)}
        for a, b in pairwise(spots)
        if rng.random() < 0.75
    ]
    case["boat"] |= {"locations": spots, "routes": routes, "devices": units_at, "dc_limit_ma": None}
    case["boat"]["cables"] = [
        {"id": f"run{n}", "cable": "c12", "between": rng.sample(spots, 2)}
        for n in range(rng.randint(0, 5))
    ]
    case["job"]["requests"] = wanted
    case["job"]["switches"] = {"models": [m for m in models if m[0] == "s"], "max_new": max_new,
                               "locations": rng.sample(spots, min(4, places))}  # fmt: skip
    return case


def _aboard(rng, name, model, case):
    releases = case["catalogue"]["models"][model]["releases"]
    return {
        "id": name,
        "model": model,
        "location": "",
        "release": rng.choice(releases) if releases else None,
        "networked": True,
        "adapters": 1,
    }
