"""A search that is ended early never shows its best so far as the best there is."""

from planner.engine import answer_case, tell_page
from planner.engine.answer import MEASURES
from tests.engine.checker import faults_of
from tests.engine.test_cases import load
from tests.engine.worlds import random_case


class After:
    """Says stop from the n-th question on."""

    def __init__(self, count):
        self.count = count
        self.asked = 0

    def __call__(self):
        self.asked += 1
        return self.asked > self.count


def test_stopped_at_once_nothing_is_claimed():
    case, _ = load("trade-third-unit")

    answer = answer_case(case, should_stop=After(0))

    bounds = answer.pop("bounds")
    assert answer == {"feasible": None, "strategies": None, "options": [], "proven": False}
    assert list(bounds) == list(MEASURES)
    for told in bounds.values():
        assert (told["proven"], told["gap"]) == (False, None)
        assert told["bound"] >= 0
    assert "not known" in tell_page(case, answer)


def test_stopped_midway_the_plans_found_are_right_but_not_proven():
    case, expected = load("medium-004")
    asked = After(10**9)
    answer_case(case, should_stop=asked)
    seen = []
    for count in range(1, asked.asked, 7):
        answer = answer_case(case, should_stop=After(count))
        if answer["options"]:
            seen.append(answer)
            assert answer["proven"] is False
            assert faults_of(case, answer["options"][0]) == []
            assert answer["options"][0]["total_cents"] >= expected["options"][0]
            assert "Time ran out" in tell_page(case, answer)
    assert seen


def test_a_stop_that_never_comes_leaves_the_answer_proven():
    case, _ = load("trade-third-unit")

    assert answer_case(case, should_stop=lambda: False) == answer_case(case)


def test_stopped_among_the_ways_out_the_refusal_stands():
    case, _ = load("trade-impossible")
    asked = After(10**9)
    answer_case(case, should_stop=asked)

    answer = answer_case(case, should_stop=After(asked.asked - 1))

    assert answer["feasible"] is False
    assert (answer["relaxations"], answer["proven"]) == (None, False)
    assert set(answer["conflict"]) >= set(answer_case(case)["conflict"])
    assert "Perhaps fewer of them already clash" in tell_page(case, answer)


def test_each_strategy_says_how_far_it_is_proven():
    case, expected = load("medium-004")
    asked = After(10**9)
    answer_case(case, should_stop=asked)
    best = {name: value and value[0] for name, value in expected["strategies"].items()}
    gaps = []
    for count in range(1, asked.asked, 3):
        answer = answer_case(case, should_stop=After(count))
        for name, told in answer.get("bounds", {}).items():
            plan = (answer["strategies"] or {}).get(name)
            assert best[name] is None or told["bound"] <= best[name]
            if plan is not None:
                value = plan[MEASURES[name]]
                assert (plan["proven"], plan["bound"], plan["gap"]) == tuple(told.values())
                assert told["gap"] == value - told["bound"] >= 0
                assert not told["proven"] or value == best[name]
                gaps.append(told["gap"])
    assert 0 in gaps
    assert max(gaps) > 0


def test_what_is_called_proven_stays_when_the_search_goes_on():
    for seed in range(30, 42):
        case = random_case(seed, units=5, switches=1, adds=1, locations=3, models=6)
        asked = After(10**9)
        whole = answer_case(case, should_stop=asked)
        for count in range(1, asked.asked, 1 + asked.asked // 12):
            answer = answer_case(case, should_stop=After(count))
            for name, told in answer.get("bounds", {}).items():
                if told["proven"]:
                    measure, plan = MEASURES[name], whole["strategies"][name]
                    assert (plan and plan[measure]) == told["bound"]


def test_the_page_says_what_the_best_could_cost():
    case, _ = load("medium-004")
    asked = After(10**9)
    answer_case(case, should_stop=asked)
    pages = [
        tell_page(case, answer_case(case, should_stop=After(count)))
        for count in range(1, asked.asked, 5)
    ]

    assert any("Not proven: the best costs at least $" in page for page in pages)
