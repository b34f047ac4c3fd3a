"""An independent check of a PLAN against its case: right or not, and what it costs.

Written from the rules of the case alone, on the raw JSON, without the engine. `faults_of` gives
a list of sentences, empty for a right plan whose sums are all correct.
"""

from collections import Counter, defaultdict


def faults_of(case, plan):
    return list(_Check(case, plan).faults())


def distances(boat):
    feet = {(a, b): (0 if a == b else None) for a in boat["locations"] for b in boat["locations"]}
    for route in boat["routes"]:
        a, b = route["between"]
        for pair in ((a, b), (b, a)):
            if feet[pair] is None or route["feet"] < feet[pair]:
                feet[pair] = route["feet"]
    for mid in boat["locations"]:
        for a in boat["locations"]:
            for b in boat["locations"]:
                if feet[a, mid] is not None and feet[mid, b] is not None:
                    way = feet[a, mid] + feet[mid, b]
                    if feet[a, b] is None or way < feet[a, b]:
                        feet[a, b] = way
    return feet


def update_minutes(model, start, end):
    """Fewest minutes from one release to another; None where there is no way (Bellman-Ford)."""
    best = {start: 0}
    for _ in range(len(model["releases"]) + 1):
        for step in model["updates"]:
            if step["from"] in best:
                minutes = best[step["from"]] + step["minutes"]
                if minutes < best.get(step["to"], minutes + 1):
                    best[step["to"]] = minutes
    return best.get(end)


def matches(case, selector, unit):
    model = case["catalogue"]["models"][unit["model"]]
    if "kinds" in selector and model["kind"] not in selector["kinds"]:
        return False
    if "models" in selector and unit["model"] not in selector["models"]:
        return False
    least = selector.get("min_release", {}).get(unit["model"])
    if least is None:
        return True
    order = model["releases"]
    return unit["release"] is not None and order.index(unit["release"]) >= order.index(least)


def statement_holds(case, rule, units):
    """Whether a rule holds for these networked units (each with `model` and `release`)."""
    if "same_release" in rule:
        return len({u["release"] for u in units if matches(case, rule["same_release"], u)
                    and case["catalogue"]["models"][u["model"]]["releases"]}) < 2  # fmt: skip
    if "before" in rule:
        return True
    if "when" in rule and not any(matches(case, rule["when"], u) for u in units):
        return True
    hits = [u for u in units if matches(case, rule["of"], u)]
    if "only" in rule:
        return all(matches(case, rule["only"], u) for u in hits)
    if "at_most" in rule:
        return len(hits) <= rule["at_most"]
    return len(hits) >= rule["at_least"]


def request_holds(request, unit):
    if "add" in request:
        return unit is not None
    if "network" in request:
        return unit["networked"]
    if "keep" in request:
        return unit["fate"] == "stays"
    if "remove" in request:
        return unit["fate"] == "removed"
    return unit["fate"] == "replaced" and unit["model"] in request["by"]


class _Check:
    def __init__(self, case, plan):
        self.case, self.plan = case, plan
        self.models = case["catalogue"]["models"]
        self.units = {u["unit"]: u for u in plan["units"]}
        self.devices = {d["id"]: d for d in case["boat"]["devices"]}
        self.requests = {r["id"]: r for r in case["job"]["requests"]}
        self.parts = Counter()
        self.minutes = 0
        self.penalty = 0
        self.changes = 0

    def faults(self):
        yield from self._roll_call()
        for unit in self.plan["units"]:
            yield from self._unit(unit)
        yield from self._tree()
        yield from self._requests()
        yield from self._statements()
        yield from self._updates()
        self._adapters()
        yield from self._sums()

    def _roll_call(self):
        names = [u["unit"] for u in self.plan["units"]]
        if len(names) != len(set(names)):
            yield "a unit stands in the plan twice"
        wanted = set(self.devices) | {i for i, r in self.requests.items() if "add" in r}
        new = [n for n in names if n not in wanted]
        if not wanted <= set(names):
            yield "a unit is missing"
        if sorted(new) != sorted(f"new{n}" for n in range(1, len(new) + 1)):
            yield f"new switches are named {new}"
        if len(new) > self.case["job"]["switches"]["max_new"]:
            yield "too many new switches"

    def _unit(self, unit):
        name = unit["unit"]
        if name in self.devices:
            device = self.devices[name]
            if unit["location"] != device["location"]:
                yield f"{name} moved"
            yield from self._existing(unit, device)
        elif name in self.requests:
            request = self.requests[name]
            if unit["fate"] != "added" or unit["model"] not in request["add"]:
                yield f"{name} is not what was asked"
            if unit["location"] != request["location"]:
                yield f"{name} stands elsewhere"
            if unit["networked"] != request["networked"]:
                yield f"{name} is on or off the network against the wish"
            yield from self._added(unit)
        else:
            switches = self.case["job"]["switches"]
            if unit["model"] not in switches["models"]:
                yield f"{name} is not an allowed switch"
            if unit["location"] not in switches["locations"]:
                yield f"{name} stands at a place not allowed"
            if unit["fate"] != "added" or not unit["networked"]:
                yield f"{name} is not a new networked switch"
            yield from self._added(unit)

    def _released(self, unit, start):
        model = self.models[unit["model"]]
        if not model["releases"]:
            if unit["release"] is not None:
                yield f"{unit['unit']} has a release without firmware"
            return
        minutes = update_minutes(model, start, unit["release"])
        if minutes is None:
            yield f"{unit['unit']} cannot reach {unit['release']}"
        else:
            self.minutes += minutes

    def _added(self, unit):
        self.changes += 1
        model = self.models[unit["model"]]
        self.minutes += model["fit_minutes"]
        yield from self._buy(unit, lead=model["lead"], fuse_ma=model["fuse_ma"])
        yield from self._released(unit, model["ships_with"])

    def _buy(self, unit, *, lead, fuse_ma):
        model = self.models[unit["model"]]
        if model["price_cents"] is None:
            yield f"{unit['model']} cannot be bought"
            return
        self.parts[unit["model"]] += 1
        if lead is not None:
            self.parts[lead] += 1
        if fuse_ma is not None:
            sold = {k: f["price_cents"] for k, f in self.case["catalogue"]["fuses"].items()
                    if f["ma"] == fuse_ma}  # fmt: skip
            if not sold:
                yield f"nobody sells the fuse of {unit['model']}"
            else:
                cheapest = [k for k, cents in sold.items() if cents == min(sold.values())]
                used = [k for k in cheapest if k in self.plan["parts"]]
                self.parts[(used or cheapest)[0]] += 1

    def _existing(self, unit, device):
        old = self.models[device["model"]]
        is_switch = old["kind"] == "switch"
        fate = unit["fate"]
        if fate == "removed":
            yield from self._gone(unit, device, switch=is_switch)
            self.minutes += old["remove_minutes"]
            self.changes += 1
            if not any(r.get("remove") == device["id"] for r in self.requests.values()):
                self.penalty += self.case["job"]["penalties"]["lost_cents"]
        elif fate == "disconnected":
            yield from self._gone(unit, device, switch=not is_switch)
            self.changes += device["networked"]
        elif fate == "stays":
            yield from self._stays(unit, device, is_switch)
        elif fate == "replaced":
            yield from self._replaced(unit, device, is_switch)
        else:
            yield f"{unit['unit']}: no such fate"

    def _gone(self, unit, device, *, switch):
        if switch:
            yield f"{unit['unit']} cannot have this fate"
        same = (unit["model"], unit["release"]) == (device["model"], device["release"])
        if not same or unit["networked"]:
            yield f"{unit['unit']} does not show what it had"

    def _stays(self, unit, device, is_switch):
        if unit["model"] != device["model"]:
            yield f"{unit['unit']} stays as another model"
        if is_switch and not unit["networked"]:
            yield f"switch {unit['unit']} stays off the network"
        yield from self._released(unit, device["release"])
        moved = unit["release"] != device["release"]
        self.changes += moved or unit["networked"] != device["networked"]
        self._off(unit, device)

    def _off(self, unit, device):
        if device["networked"] and not unit["networked"]:
            self.penalty += self.case["job"]["penalties"]["offnet_cents"]

    def _replaced(self, unit, device, is_switch):
        old, new = self.models[device["model"]], self.models[unit["model"]]
        allowed = set(old["successors"])
        for request in self.requests.values():
            if request.get("replace") == device["id"]:
                allowed |= set(request["by"])
        if is_switch:
            allowed = set(self.case["job"]["switches"]["models"])
            if not unit["networked"]:
                yield f"switch {unit['unit']} is replaced and off the network"
        if unit["model"] not in allowed or unit["model"] == device["model"]:
            yield f"{unit['unit']} may not become {unit['model']}"
        self.changes += 1
        rates = self.case["catalogue"]["rates"]
        drop_in = old["mount"] is not None and old["mount"] == new["mount"]
        own = old["remove_minutes"] + new["fit_minutes"]
        self.minutes += rates["drop_in_minutes"] if drop_in else own
        fuse = new["fuse_ma"] if new["fuse_ma"] != old["fuse_ma"] else None
        if fuse is not None:
            self.minutes += rates["fuse_minutes"]
        lead = new["lead"] if new["lead"] != old["lead"] else None
        yield from self._buy(unit, lead=lead, fuse_ma=fuse)
        yield from self._released(unit, new["ships_with"])
        self._off(unit, device)

    def _tree(self):
        joined = [u for u in self.plan["units"] if u["networked"]]
        degree = Counter(end for link in self.plan["links"] for end in link["between"])
        names = {u["unit"] for u in joined}
        if set(degree) - names:
            yield "a link ends at a unit that is not networked"
            return
        if len(self.plan["links"]) != max(0, len(joined) - 1) or not self._connected(names):
            yield "the network is no tree"
        for unit in joined:
            model, links = self.models[unit["model"]], degree[unit["unit"]]
            if links > model["ports"]:
                yield f"{unit['unit']} has more links than ports"
            if links > 1 and not model["bridges"]:
                yield f"{unit['unit']} passes nothing on"
            if model["kind"] == "switch" and links < 2:
                yield f"switch {unit['unit']} has fewer than two links"
        self.degree = degree
        yield from self._cables()

    def _connected(self, names):
        reached, waiting = set(), sorted(names)[:1]
        while waiting:
            name = waiting.pop()
            reached.add(name)
            for link in self.plan["links"]:
                if name in link["between"]:
                    waiting.extend(e for e in link["between"] if e not in reached)
        return reached == names

    def _cables(self):
        boat, catalogue = self.case["boat"], self.case["catalogue"]
        feet = distances(boat)
        aboard = {c["id"]: c for c in boat["cables"]}
        free = Counter(tuple(sorted(c["between"])) for c in boat["cables"])
        by_pair = defaultdict(list)
        for link in self.plan["links"]:
            pair = tuple(sorted(self.units[end]["location"] for end in link["between"]))
            by_pair[pair].append(link["cable"])
        used = [link["cable"] for link in self.plan["links"] if link["cable"] in aboard]
        if len(used) != len(set(used)):
            yield "a cable is used twice"
        for pair, cables in by_pair.items():
            bought = [c for c in cables if c not in aboard]
            for cable in set(cables) - set(bought):
                if tuple(sorted(aboard[cable]["between"])) != pair:
                    yield f"{cable} does not lie there"
            if len(bought) != max(0, len(cables) - free[pair]):
                yield "cables aboard are not used as far as they reach"
            for cable in bought:
                if feet[pair] is None:
                    yield "a cable is pulled where there is no way"
                    continue
                sold = {k: c["price_cents"] for k, c in catalogue["cables"].items()
                        if c["feet"] >= feet[pair] + boat["slack_ft"]}  # fmt: skip
                name = cable.removeprefix("buy:")
                if name not in sold or sold[name] > min(sold.values()):
                    yield f"{cable} is not the cheapest that is long enough"
                rates = catalogue["rates"]
                self.minutes += rates["pull_minutes_base"]
                self.minutes += rates["pull_minutes_per_ft"] * feet[pair]
                self.parts[name] += 1

    def _adapters(self):
        for unit in self.plan["units"]:
            adapter = self.models[unit["model"]]["adapter"]
            there = 0
            if unit["fate"] == "stays":
                there = self.devices[unit["unit"]]["adapters"]
            need = getattr(self, "degree", Counter())[unit["unit"]] - there
            if adapter is not None and need > 0:
                self.parts[adapter] += need

    def _requests(self):
        for name, request in self.requests.items():
            device = next((request[k] for k in ("network", "keep", "remove", "replace")
                           if k in request), name)  # fmt: skip
            if not request_holds(request, self.units.get(device)):
                yield f"{name} is not met"
        limit = self.case["boat"]["dc_limit_ma"]
        draw = sum(self.models[u["model"]]["draw_ma"] for u in self.plan["units"]
                   if u["fate"] not in ("removed", "disconnected"))  # fmt: skip
        if limit is not None and draw > limit:
            yield "too much current"

    def _statements(self):
        joined = [u for u in self.plan["units"] if u["networked"]]
        for statement in self.case["catalogue"]["statements"]:
            if not statement_holds(self.case, statement["rule"], joined):
                yield f"{statement['id']} is broken"

    def _updates(self):
        stands = {}
        for name, unit in self.units.items():
            fresh = unit["fate"] in ("added", "replaced")
            stands[name] = (
                self.models[unit["model"]]["ships_with"] if fresh else self.devices[name]["release"]
            )
        for n, step in enumerate(self.plan["updates"]):
            model = self.models[self.units[step["unit"]]["model"]]
            if stands[step["unit"]] != step["from"]:
                yield f"update {n} starts from a release that is not there"
            if not any(u["from"] == step["from"] and u["to"] == step["to"]
                       for u in model["updates"]):  # fmt: skip
                yield f"update {n} does not exist"
            stands[step["unit"]] = step["to"]
        for name, unit in self.units.items():
            if unit["fate"] not in ("removed", "disconnected") and stands[name] != unit["release"]:
                yield f"{name} does not end at its release"
        yield from self._order()

    def _order(self):
        for statement in self.case["catalogue"]["statements"]:
            rule = statement["rule"]
            if "before" not in rule:
                continue
            first = self._moments(rule["before"])
            then = self._moments(rule["then"])
            for a, one in first.items():
                for b, two in then.items():
                    if a != b and max(one) > min(two):
                        yield f"{statement['id']}: {a} is updated after {b}"

    def _moments(self, selector):
        found = defaultdict(list)
        for n, step in enumerate(self.plan["updates"]):
            unit = self.units[step["unit"]]
            if unit["networked"] and matches(self.case, selector, unit):
                found[step["unit"]].append(n)
        return found

    def _sums(self):
        catalogue = self.case["catalogue"]
        prices = {}
        for group in ("models", "adapters", "leads", "fuses", "cables"):
            prices |= {k: v["price_cents"] for k, v in catalogue[group].items()}
        parts = sum(prices[k] * n for k, n in self.parts.items())
        labour = self.minutes * catalogue["rates"]["labour_cents_per_minute"]
        joined = [u for u in self.plan["units"] if u["networked"]]
        firmware = [u for u in joined if self.models[u["model"]]["releases"]]
        behind = sum(u["release"] != self.models[u["model"]]["releases"][-1] for u in firmware)
        right = {
            "parts_cents": parts,
            "labour_minutes": self.minutes,
            "penalty_cents": self.penalty,
            "total_cents": parts + labour + self.penalty,
            "changes": self.changes,
            "behind": behind,
            "parts": dict(self.parts),
        }
        for key, value in right.items():
            if self.plan[key] != value:
                yield f"{key} says {self.plan[key]}, {value} is right"
