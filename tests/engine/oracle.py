"""The right answer of a tiny case by trying everything: written apart from the engine.

Every fate, model, release and switch is tried, every labelled tree is built, and the answer is
read off the list of all plans. Slow by design; only for a handful of units.
"""

from collections import Counter
from itertools import combinations_with_replacement, product

from tests.engine.checker import (
    distances,
    request_holds,
    statement_holds,
    update_minutes,
)


def right_answer(case, options=5):
    return _Everything(case).answer(options)


class _Everything:
    def __init__(self, case):
        self.case = case
        self.cat, self.boat, self.job = case["catalogue"], case["boat"], case["job"]
        self.models = self.cat["models"]
        self.rate = self.cat["rates"]["labour_cents_per_minute"]
        self.feet = distances(self.boat)
        self.free = Counter(tuple(sorted(c["between"])) for c in self.boat["cables"])
        self.trees = {}
        self.devices = {d["id"]: d for d in self.boat["devices"]}
        self.plain = [
            d for d in self.boat["devices"] if self.models[d["model"]]["kind"] != "switch"
        ]
        self.switches = [
            d for d in self.boat["devices"] if self.models[d["model"]]["kind"] == "switch"
        ]
        self.adds = [r for r in self.job["requests"] if "add" in r]

    # -- what can become of one unit: (unit, cents, changes) -------------------------------

    def _releases(self, model, start):
        if start is None:
            return [(None, 0)]
        found = [(r, update_minutes(self.models[model], start, r))
                 for r in self.models[model]["releases"]]  # fmt: skip
        return [(r, m) for r, m in found if m is not None]

    def _bought(self, model, lead, fuse_ma):
        """Cents of a bought unit, or None."""
        cents = self.models[model]["price_cents"]
        if cents is None:
            return None
        if lead is not None:
            cents += self.cat["leads"][lead]["price_cents"]
        if fuse_ma is not None:
            sold = [f["price_cents"] for f in self.cat["fuses"].values() if f["ma"] == fuse_ma]
            if not sold:
                return None
            cents += min(sold)
        return cents

    def _replacement(self, old_name, new_name):
        old, new = self.models[old_name], self.models[new_name]
        fuse = new["fuse_ma"] if new["fuse_ma"] != old["fuse_ma"] else None
        lead = new["lead"] if new["lead"] != old["lead"] else None
        cents = self._bought(new_name, lead, fuse)
        if cents is None:
            return None
        if old["mount"] is not None and old["mount"] == new["mount"]:
            minutes = self.cat["rates"]["drop_in_minutes"]
        else:
            minutes = old["remove_minutes"] + new["fit_minutes"]
        if fuse is not None:
            minutes += self.cat["rates"]["fuse_minutes"]
        return cents + minutes * self.rate

    def _unit(self, device, fate, model, networked, release, adapters=0):
        return {"unit": device["id"], "fate": fate, "model": model, "networked": networked,
                "release": release, "location": device["location"],
                "adapters": adapters}  # fmt: skip

    def _of_device(self, device):
        model = device["model"]
        off = self.job["penalties"]["offnet_cents"] if device["networked"] else 0
        found = []
        for release, minutes in self._releases(model, device["release"]):
            for networked in (True, False):
                unit = self._unit(device, "stays", model, networked, release, device["adapters"])
                touched = release != device["release"] or networked != device["networked"]
                cost = minutes * self.rate + (0 if networked else off)
                found.append((unit, cost, int(touched)))
        allowed = set(self.models[model]["successors"])
        for request in self.job["requests"]:
            if request.get("replace") == device["id"]:
                allowed |= set(request["by"])
        for new in sorted(allowed - {model}):
            cents = self._replacement(model, new)
            if cents is None:
                continue
            for release, minutes in self._releases(new, self.models[new]["ships_with"]):
                for networked in (True, False):
                    unit = self._unit(device, "replaced", new, networked, release)
                    cost = cents + minutes * self.rate + (0 if networked else off)
                    found.append((unit, cost, 1))
        asked = any(r.get("remove") == device["id"] for r in self.job["requests"])
        cost = self.models[model]["remove_minutes"] * self.rate
        cost += 0 if asked else self.job["penalties"]["lost_cents"]
        found.append((self._unit(device, "removed", model, False, device["release"]), cost, 1))
        return found

    def _of_switch(self, device):
        model = device["model"]
        gone = self._unit(device, "disconnected", model, False, device["release"])
        found = [(gone, 0, int(device["networked"]))]
        for release, minutes in self._releases(model, device["release"]):
            unit = self._unit(device, "stays", model, True, release, device["adapters"])
            touched = release != device["release"] or not device["networked"]
            found.append((unit, minutes * self.rate, int(touched)))
        for new in sorted(set(self.job["switches"]["models"]) - {model}):
            cents = self._replacement(model, new)
            if cents is not None:
                for release, minutes in self._releases(new, self.models[new]["ships_with"]):
                    unit = self._unit(device, "replaced", new, True, release)
                    found.append((unit, cents + minutes * self.rate, 1))
        return found

    def _fresh(self, name, place, model, networked):
        data = self.models[model]
        cents = self._bought(model, data["lead"], data["fuse_ma"])
        if cents is None:
            return []
        device = {"id": name, "location": place}
        return [
            (self._unit(device, "added", model, networked, release),
             cents + (data["fit_minutes"] + minutes) * self.rate, 1)
            for release, minutes in self._releases(model, data["ships_with"])
        ]  # fmt: skip

    def _of_add(self, request):
        found = [(None, 0, 0)]
        for model in sorted(set(request["add"])):
            found += self._fresh(request["id"], request["location"], model, request["networked"])
        return found

    # -- the cheapest tree, by trying all labelled trees ------------------------------------

    def _tree_cents(self, units):
        key = tuple(sorted((u["model"], u["location"], u["adapters"]) for u in units))
        if key not in self.trees:
            self.trees[key] = self._all_trees(key)
        return self.trees[key]

    def _all_trees(self, units):
        count = len(units)
        if count < 2:
            alone = count == 1 and self.models[units[0][0]]["kind"] == "switch"
            return None if alone else 0
        best = None
        for code in product(range(count), repeat=count - 2):
            edges = _tree(code, count)
            cents = self._one_tree(units, edges)
            if cents is not None and (best is None or cents < best):
                best = cents
        return best

    def _one_tree(self, units, edges):
        degree = Counter(end for edge in edges for end in edge)
        cents = 0
        for n, (name, _, adapters) in enumerate(units):
            model = self.models[name]
            if degree[n] > model["ports"] or (degree[n] > 1 and not model["bridges"]):
                return None
            if model["kind"] == "switch" and degree[n] < 2:
                return None
            if model["adapter"] is not None:
                price = self.cat["adapters"][model["adapter"]]["price_cents"]
                cents += max(0, degree[n] - adapters) * price
        pairs = Counter(tuple(sorted((units[a][1], units[b][1]))) for a, b in edges)
        for pair, links in pairs.items():
            bought = max(0, links - self.free[pair])
            if bought:
                price = self._cable_cents(pair)
                if price is None:
                    return None
                cents += bought * price
        return cents

    def _cable_cents(self, pair):
        feet = self.feet[pair]
        if feet is None:
            return None
        sold = [c["price_cents"] for c in self.cat["cables"].values()
                if c["feet"] >= feet + self.boat["slack_ft"]]  # fmt: skip
        if not sold:
            return None
        rates = self.cat["rates"]
        minutes = rates["pull_minutes_base"] + rates["pull_minutes_per_ft"] * feet
        return min(sold) + minutes * self.rate

    # -- all plans --------------------------------------------------------------------------

    def plans(self, extra):
        """Every plan with a tree: (total, changes, behind, kind, broken ids, keeps all)."""
        spots = [
            option
            for model in self.job["switches"]["models"]
            for place in self.job["switches"]["locations"]
            for option in self._fresh("new", place, model, networked=True)
        ]
        groups = [
            group
            for size in range(self.job["switches"]["max_new"] + extra + 1)
            for group in combinations_with_replacement(spots, size)
        ]
        lists = [self._of_device(d) for d in self.plain] + [self._of_add(r) for r in self.adds]
        lists += [self._of_switch(d) for d in self.switches]
        for chosen in product(*lists):
            for group in groups:
                plan = self._plan([*chosen, *group], len(group))
                if plan is not None:
                    yield plan

    def _plan(self, chosen, new_count):
        units = [unit for unit, _, _ in chosen if unit is not None]
        joined = [u for u in units if u["networked"]]
        tree = self._tree_cents(joined)
        if tree is None:
            return None
        total = tree + sum(cents for _, cents, _ in chosen)
        changes = sum(changes for _, _, changes in chosen)
        firmware = [u for u in joined if self.models[u["model"]]["releases"]]
        behind = sum(u["release"] != self.models[u["model"]]["releases"][-1] for u in firmware)
        own = {u["unit"]: u for u in units}
        kind = tuple(
            (u["fate"], u["model"], u["networked"]) if u else None
            for u in (own.get(x["id"]) for x in (*self.plain, *self.adds))
        )
        models = Counter(u["model"] for u in joined if self.models[u["model"]]["kind"] == "switch")
        broken = self._broken(own, units, joined, new_count)
        keeps = all(self._kept(d, own[d["id"]]) for d in self.plain)
        return total, changes, behind, (kind, tuple(sorted(models.items()))), broken, keeps

    def _broken(self, own, units, joined, new_count):
        broken = set()
        for request in self.job["requests"]:
            device = next((request[k] for k in ("network", "keep", "remove", "replace")
                           if k in request), request["id"])  # fmt: skip
            if not request_holds(request, own.get(device)):
                broken.add(request["id"])
        for statement in self.cat["statements"]:
            if not statement_holds(self.case, statement["rule"], joined):
                broken.add(statement["id"])
        limit = self.boat["dc_limit_ma"]
        draw = sum(self.models[u["model"]]["draw_ma"] for u in units
                   if u["fate"] not in ("removed", "disconnected"))  # fmt: skip
        if limit is not None and draw > limit:
            broken.add("dc_limit")
        if new_count > self.job["switches"]["max_new"]:
            broken.add("max_new")
        return frozenset(broken)

    def _kept(self, device, unit):
        asks = {k for r in self.job["requests"] for k in ("remove", "replace")
                if r.get(k) == device["id"]}  # fmt: skip
        if unit["fate"] == "removed":
            return "remove" in asks
        if unit["fate"] == "replaced" and "replace" not in asks:
            return False
        return unit["networked"] or not device["networked"]

    def answer(self, count):
        right = [plan for plan in self.plans(0) if not plan[4]]
        if not right:
            return self._refusal()
        kinds = {}
        for total, _, _, kind, _, _ in right:
            kinds[kind] = min(total, kinds.get(kind, total))
        keeping = [(p[0], p[1]) for p in right if p[5]]
        return {
            "feasible": True,
            "strategies": {
                "cheapest": min((p[0], p[1]) for p in right),
                "keep_all": min(keeping) if keeping else None,
                "fewest_changes": min((p[1], p[0]) for p in right),
                "newest": min((p[2], p[0]) for p in right),
            },
            "options": sorted(kinds.values())[:count],
        }

    def _refusal(self):
        self.broken = {plan[4] for plan in self.plans(3)}
        small = {broken for broken in self.broken if len(broken) <= 2}
        minimal = [b for b in small if not any(other < b for other in small)]
        return {"feasible": False, "relaxations": sorted(sorted(b) for b in minimal)}

    def can_keep(self, names):
        """After a refusal: whether some plan keeps all of these."""
        return any(not broken & set(names) for broken in self.broken)


def _tree(code, count):
    """The edges of the labelled tree with this Prüfer code."""
    degree = [1 + code.count(n) for n in range(count)]
    edges = []
    for n in code:
        leaf = degree.index(1)
        edges.append((leaf, n))
        degree[leaf] -= 1
        degree[n] -= 1
    edges.append(tuple(n for n in range(count) if degree[n] == 1))
    return edges


def everything(case):
    """The oracle itself, for questions beyond the answer."""
    return _Everything(case)
