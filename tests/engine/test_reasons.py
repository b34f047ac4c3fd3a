"""Why each unit and link is as it is: checked by trying everything where that can be done."""

from itertools import product

import pytest

from planner.engine import answer_case, explain_plan, plan_with
from tests.engine.oracle import _tree, everything
from tests.engine.test_cases import load
from tests.engine.worlds import random_case

SEEDS = range(1060, 1090)


@pytest.mark.parametrize("seed", SEEDS)
def test_what_else_a_unit_could_be_costs_what_trying_everything_finds(seed):
    case = random_case(seed, units=2, models=3)
    answer = answer_case(case)
    plan = answer["strategies"]["cheapest"] if answer["feasible"] else None
    oracle = everything(case)
    names = [d["id"] for d in oracle.plain] + [r["id"] for r in oracle.adds]
    right = [p for p in oracle.plans(0) if not p[4]]

    units = explain_plan(case, plan)["units"] if plan else []

    assert plan or not right
    rows = {row["unit"]: row for row in plan["units"]} if plan else {}
    for told in units:
        if told["unit"] not in names or not any(f["fact"] == "fate" for f in told["facts"]):
            continue
        row, place = rows[told["unit"]], names.index(told["unit"])
        fate = next(fact for fact in told["facts"] if fact["fact"] == "fate")
        others = [p for p in right if p[3][0][place][:2] != (row["fate"], row["model"])]
        assert fate["next_best_cents"] == (
            min(p[0] for p in others) - plan["total_cents"] if others else None
        )
        assert bool(fate["forced_by"]) or bool(others)


@pytest.mark.parametrize("seed", SEEDS)
def test_the_next_best_wiring_is_what_all_trees_give(seed):
    case = random_case(seed, units=3, models=3)
    answer = answer_case(case)
    plan = answer["strategies"]["cheapest"] if answer["feasible"] else {"links": [], "units": []}
    oracle = everything(case)
    there = {d["id"]: d["adapters"] for d in case["boat"]["devices"]}
    joined = [row for row in plan["units"] if row["networked"]]
    units = [
        (r["model"], r["location"], there.get(r["unit"], 0) if r["fate"] == "stays" else 0)
        for r in joined
    ]

    links = explain_plan(case, plan, units=())["links"] if not joined else (
        explain_plan(case, plan)["links"] if len(joined) <= 6 else []
    )  # fmt: skip

    spots = {row["unit"]: n for n, row in enumerate(joined)}
    best = oracle._all_trees(units) if links else None
    for link in links:
        barred = {spots[end] for end in link["between"]}
        costs = [
            cents
            for code in product(range(len(units)), repeat=len(units) - 2)
            if all(set(edge) != barred for edge in _tree(code, len(units)))
            and (cents := oracle._one_tree(units, _tree(code, len(units)))) is not None
        ]
        assert link["next_best_cents"] == (min(costs) - best if costs else None)


@pytest.mark.parametrize("name", ["medium-002", "trade-third-unit"])
def test_a_forced_unit_is_freed_by_dropping_what_forces_it(name):
    case, _ = load(name)
    plan = answer_case(case)["strategies"]["cheapest"]

    told = explain_plan(case, plan)

    forced = [row for row in told["units"] if row["forced_by"]]
    assert forced
    assert len(told["links"]) == len(plan["links"])
    for row in told["units"]:
        assert (row["next_best_cents"] is None) == bool(row["forced_by"])
        assert row["text"]
    for row in forced:
        dropped = row["forced_by"][0]
        freed = {
            **case,
            "catalogue": case["catalogue"] | {"statements": [
                s for s in case["catalogue"]["statements"] if s["id"] in row["forced_by"][1:]
            ]},
            "job": case["job"] | {"requests": [
                r for r in case["job"]["requests"]
                if r["id"] in row["forced_by"][1:] or r["id"] == row["unit"] != dropped
            ]},
        }  # fmt: skip
        if row["unit"] != dropped:
            now = next(one for one in plan["units"] if one["unit"] == row["unit"])
            facts = {key: now[key] for key in ("fate", "model", "networked")}
            release = {"release": now["release"]} if now["release"] else {}
            pin = {"pin": "unit", "unit": row["unit"], "not": True, **facts, **release}
            assert plan_with(freed, [pin], options=1)["feasible"]


def test_only_the_units_asked_for_are_told():
    case, _ = load("trade-third-unit")
    plan = answer_case(case)["strategies"]["cheapest"]
    name = plan["units"][0]["unit"]

    told = explain_plan(case, plan, units=[name])

    assert [row["unit"] for row in told["units"]] == [name]
    assert all(name in link["between"] for link in told["links"])


def test_time_that_runs_out_is_said():
    case, _ = load("medium-002")
    plan = answer_case(case)["strategies"]["cheapest"]

    told = explain_plan(case, plan, should_stop=lambda: True)

    assert {row["proven"] for row in told["units"]} == {False}
