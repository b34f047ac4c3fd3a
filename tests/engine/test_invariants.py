"""What must hold for any case, tried by Hypothesis on cases of all shapes."""

from copy import deepcopy

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from planner.engine import answer_case
from tests.engine.test_random_cases import as_boat, cheapest
from tests.engine.worlds import islands_case, random_case

CALM = settings(
    max_examples=40, deadline=None, derandomize=True,
    suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
)  # fmt: skip


@st.composite
def cases(draw):
    seed = draw(st.integers(0, 10**6))
    if draw(st.booleans()):
        return islands_case(seed, units=4, wishes=2, places=4, switches=1, max_new=1)
    return random_case(
        seed,
        units=draw(st.integers(1, 5)),
        switches=draw(st.integers(0, 2)),
        adds=draw(st.integers(0, 2)),
        locations=draw(st.integers(1, 4)),
        models=5,
        requests=draw(st.integers(0, 3)),
    )


def not_dearer(before, after):
    return before is None or (after is not None and after <= before)


@CALM
@given(case=cases(), data=st.data())
def test_dropping_a_statement_never_makes_the_cheapest_dearer(case, data):
    statements = case["catalogue"]["statements"]
    assume(statements)
    before = cheapest(case)

    statements.pop(data.draw(st.integers(0, len(statements) - 1)))

    assert not_dearer(before, cheapest(case))


@CALM
@given(case=cases(), more=st.integers(1, 2000))
def test_raising_a_limit_never_makes_the_cheapest_dearer(case, more):
    before = cheapest(case)

    case["job"]["switches"]["max_new"] += 1
    if case["boat"]["dc_limit_ma"] is not None:
        case["boat"]["dc_limit_ma"] += more

    assert not_dearer(before, cheapest(case))


@CALM
@given(case=cases(), data=st.data())
def test_dropping_a_wish_to_network_or_to_keep_never_makes_the_cheapest_dearer(case, data):
    wishes = [r for r in case["job"]["requests"] if "network" in r or "keep" in r]
    assume(wishes)
    before = cheapest(case)

    case["job"]["requests"].remove(data.draw(st.sampled_from(wishes)))

    assert not_dearer(before, cheapest(case))


def test_dropping_a_wish_to_remove_may_make_the_cheapest_dearer():
    found = False
    for seed in range(200):
        case = random_case(seed, units=2, models=3)
        before = cheapest(case)
        asked = [r for r in case["job"]["requests"] if "remove" in r]
        if before is not None and asked:
            case["job"]["requests"].remove(asked[0])
            after = cheapest(case)
            found = found or (after is not None and after > before)

    assert found


@CALM
@given(case=cases())
def test_a_plan_fed_back_as_the_boat_is_free_and_changes_nothing(case):
    answer = answer_case(case)
    assume(answer["feasible"])

    again = answer_case(as_boat(case, answer["strategies"]["cheapest"]))

    best = again["strategies"]["cheapest"]
    assert (best["total_cents"], best["changes"]) == (0, 0)


def renamed(case, names):
    """The case with every id of a device, request or statement renamed, and lists reversed."""
    case = deepcopy(case)
    for row in (*case["boat"]["devices"], *case["job"]["requests"]):
        row["id"] = names[row["id"]]
    for statement in case["catalogue"]["statements"]:
        statement["id"] = names[statement["id"]]
    for request in case["job"]["requests"]:
        for verb in ("network", "keep", "remove", "replace"):
            if verb in request:
                request[verb] = names[request[verb]]
    case["boat"]["devices"].reverse()
    case["job"]["requests"].reverse()
    return case


@CALM
@given(case=cases(), data=st.data())
def test_other_ids_change_nothing_but_the_names(case, data):
    old = [row["id"] for row in (*case["boat"]["devices"], *case["job"]["requests"])]
    old += [statement["id"] for statement in case["catalogue"]["statements"]]
    fresh = data.draw(st.permutations([f"x{n:02}" for n in range(len(old))]))
    names = dict(zip(old, fresh, strict=True))

    one, two = answer_case(case), answer_case(renamed(case, names))

    assert one["feasible"] == two["feasible"]
    if one["feasible"]:
        measures = ("total_cents", "changes", "behind")
        for name, plan in one["strategies"].items():
            other = two["strategies"][name]
            assert (plan is None) == (other is None)
            if name in ("cheapest", "keep_all") and plan:
                assert [plan[m] for m in measures[:2]] == [other[m] for m in measures[:2]]
        assert [p["total_cents"] for p in one["options"]] == [
            p["total_cents"] for p in two["options"]
        ]
    else:
        ways = [sorted(names.get(n, n) for n in way) for way in one["relaxations"]]
        assert sorted(ways) == two["relaxations"]
