"""Nothing in an order of work needs what comes later: each need is read off case and plan."""

from collections import Counter

from hypothesis import assume, given

from planner.engine import answer_case, order_of_work
from tests.engine.checker import matches
from tests.engine.small import device, small_case
from tests.engine.test_invariants import CALM, cases


class Work:
    """An order of work, asked where a step stands."""

    def __init__(self, case, plan):
        self.case, self.plan = case, plan
        self.models = case["catalogue"]["models"]
        self.rows = {row["unit"]: row for row in plan["units"]}
        self.devices = {one["id"]: one for one in case["boat"]["devices"]}
        self.steps = order_of_work(case, plan)

    def at(self, kind, unit=None, title=""):
        """The places of the steps of a kind, for a unit, with these words in their title."""
        return [
            n for n, step in enumerate(self.steps)
            if step["kind"] == kind and unit in (None, step["unit"]) and title in step["title"]
        ]  # fmt: skip

    def links(self):
        """Each link of the plan with the places of its steps."""
        for link in self.plan["links"]:
            wanted = (*link["between"], link["cable"])
            yield link, [n for n in self.at("cable") if self._ends(n) == wanted]

    def _ends(self, n):
        one, two, cable = self.steps[n]["step_key"].removeprefix("cable:").split("--")
        return one.rsplit(":", 1)[0], two.rsplit(":", 1)[0], cable

    def needs(self):
        """Pairs of places: the second needs that the first is done."""
        yield from self._of_updates()
        yield from self._of_units()
        off, on = self.at("power", title=" off"), self.at("power", title="up")
        hands = [n for kind in ("remove", "fit", "cable", "fuse") for n in self.at(kind)]
        yield from ((first, then) for first in off for then in hands)
        yield from ((first, then) for first in self.at("update") for then in off)
        yield from ((first, then) for first in self.at("backup") for then in off)
        yield from ((first, then) for first in hands for then in on)
        after = [n for kind in ("reading", "light", "check") for n in self.at(kind)]
        yield from ((first, then) for first in on for then in after)
        for link, steps in self.links():
            for end in link["between"]:
                yield from ((first, then) for first in self.at("fit", end) for then in steps)
                yield from ((first, then) for first in self.at("remove", end) for then in steps)

    def _of_updates(self):
        updates = self.at("update")
        for n, place in enumerate(updates):
            unit = self.plan["updates"][n]["unit"]
            yield from ((first, place) for first in self.at("backup", unit))
            if self.rows[unit]["fate"] in ("added", "replaced"):
                yield from ((place, then) for then in self.at("fit", unit))
            for m, other in enumerate(self.plan["updates"]):
                if self.comes_before(self.rows[unit], self.rows[other["unit"]]):
                    yield place, updates[m]

    def comes_before(self, one, two):
        rules = [statement["rule"] for statement in self.case["catalogue"]["statements"]]
        return any(
            "before" in rule
            and matches(self.case, rule["before"], one) and matches(self.case, rule["then"], two)
            and one["networked"] and two["networked"]
            for rule in rules
        )  # fmt: skip

    def _of_units(self):
        for unit in self.rows:
            for out in self.at("remove", unit):
                yield from ((first, out) for first in self.at("backup", unit))
                yield from ((out, then) for then in self.at("fit", unit))
            for fit in self.at("fit", unit):
                yield from ((fit, then) for then in self.at("fuse", unit))
                yield from ((fit, then) for then in self.at("reading", unit))


@CALM
@given(case=cases())
def test_nothing_needs_what_comes_later(case):
    answer = answer_case(case)
    assume(answer["feasible"])

    for plan in answer["options"]:
        work = Work(case, plan)
        assert all(first < then for first, then in work.needs())


@CALM
@given(case=cases())
def test_the_work_holds_all_that_the_plan_does(case):
    answer = answer_case(case)
    assume(answer["feasible"])

    for plan in answer["options"]:
        work = Work(case, plan)
        for unit, row in work.rows.items():
            fresh = row["fate"] in ("added", "replaced")
            gone = row["fate"] in ("replaced", "removed")
            assert len(work.at("fit", unit)) == fresh
            assert len(work.at("remove", unit)) >= gone
            if gone and work.models[work.devices[unit]["model"]]["kind"] != "switch":
                has_firmware = bool(work.models[work.devices[unit]["model"]]["releases"])
                assert len(work.at("backup", unit)) == has_firmware
        assert all(len(steps) == 1 for _, steps in work.links())
        assert len(work.at("update")) == len(plan["updates"])
        assert bought(work) == Counter(plan["parts"])


def bought(work):
    """What the steps put to use of what is bought, counted by their words."""
    found = Counter()
    fuses = work.case["catalogue"]["fuses"]
    for unit in (step["unit"] for step in work.steps if step["kind"] == "fit"):
        row = work.rows[unit]
        found[row["model"]] += 1
        lead = work.models[row["model"]]["lead"]
        if lead and f"Run its power lead ({lead})" in work.steps[work.at("fit", unit)[0]]["detail"]:
            found[lead] += 1
    for n in work.at("fuse"):
        ma = work.steps[n]["expect"]["low"] * 1000
        cheapest = min((f["price_cents"], name) for name, f in fuses.items() if f["ma"] == ma)
        found[cheapest[1]] += 1
    for n in work.at("cable", title="Pull new cable "):
        found[work.steps[n]["step_key"].rsplit("--buy:", 1)[1]] += 1
    for row in work.rows.values():
        adapter = work.models[row["model"]]["adapter"]
        ends = sum(row["unit"] in link["between"] for link in work.plan["links"])
        said = sum(
            f"and {row['unit']} goes its adapter: {adapter}" in step["detail"]
            for step in work.steps
            if step["kind"] == "cable"
        )
        if adapter:
            assert said == ends
            there = work.devices.get(row["unit"], {}).get("adapters", 0)
            more = max(0, ends - (there if row["fate"] == "stays" else 0))
            found[adapter] += more
    return +found


def test_the_power_goes_off_after_the_updates_and_before_any_hand_is_put_on():
    case = small_case(devices=[device("d1"), device("d2", location="bow"), device("d3")])
    case["job"]["requests"] = [
        {"id": "r", "remove": "d1"},
        {"id": "w", "replace": "d3", "by": ["wide"]},
    ]
    work = Work(case, answer_case(case)["strategies"]["cheapest"])

    (off,) = work.at("power", title="Batteries, chargers and shore power off")

    assert max(work.at("backup")) < off < min(work.at("remove"))


def test_a_plan_without_work_by_hand_switches_nothing_off():
    case = small_case(devices=[device("d1")], cables=[])
    case["job"]["requests"] = [{"id": "k", "keep": "d1"}]

    assert Work(case, answer_case(case)["strategies"]["cheapest"]).at("power", title=" off") == []
