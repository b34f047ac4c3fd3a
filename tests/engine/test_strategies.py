"""The four strategies, the options of different kinds, and the ways out of a conflict."""

from planner.engine import answer_case
from tests.engine.small import device, small_case, statement, unit
from tests.engine.test_cases import kind_of


def test_keep_all_is_null_where_a_unit_must_leave_the_network():
    case = small_case(statements=[statement("s", {"at_most": 1, "of": {"kinds": ["display"]}})])

    assert answer_case(case)["strategies"]["keep_all"] is None


def test_keep_all_lets_a_unit_go_where_that_is_the_wish():
    case = small_case(requests=[{"id": "r", "remove": "d2"}])

    assert answer_case(case)["strategies"]["keep_all"]["total_cents"] == 2000


def test_keep_all_keeps_a_replaced_unit_on_the_network_that_it_was_on():
    case = small_case(
        requests=[{"id": "r", "replace": "d1", "by": ["wide"]}], penalties={"offnet_cents": 0}
    )
    case["job"]["penalties"] = {"offnet_cents": 0, "lost_cents": 0}
    case["boat"]["cables"] = []

    answer = answer_case(case)

    assert not unit(answer["strategies"]["cheapest"], "d1")["networked"]
    assert unit(answer["strategies"]["keep_all"], "d1")["networked"]


def test_newest_updates_all_that_is_on_the_network():
    answer = answer_case(small_case())

    newest = answer["strategies"]["newest"]

    assert newest["behind"] == 0
    assert newest["total_cents"] == 6000
    assert answer["strategies"]["cheapest"]["behind"] == 2


def test_fewest_changes_pays_for_a_steady_hand():
    devices = [device("d1"), device("d2", location="bow"), device("h", "hub", release=None)]
    case = small_case(devices=devices, max_new=0)

    fewest = answer_case(case)["strategies"]["fewest_changes"]

    assert (fewest["changes"], fewest["total_cents"]) == (0, 2500 + 10 * 100)


def test_options_differ_in_kind_and_rise_in_cost():
    case = small_case()

    plans = answer_case(case, options=4)["options"]

    assert len({kind_of(case, plan) for plan in plans}) == len(plans) == 4
    assert [p["total_cents"] for p in plans] == sorted(p["total_cents"] for p in plans)


def test_fewer_options_where_there_are_fewer_kinds():
    case = small_case(devices=[device("d1")], max_new=0)

    plans = answer_case(case, options=9)["options"]

    # On the network, off it, or taken out.
    assert [unit(p, "d1")["fate"] for p in plans] == ["stays", "stays", "removed"]


def test_dropping_max_new_allows_three_more_switches():
    wish = {"id": "w", "add": ["plain"], "location": "console", "networked": True}
    keep = [{"id": f"n{d}", "network": d} for d in ("d1", "d2")]
    case = small_case(requests=[wish, *keep], max_new=0)

    answer = answer_case(case)

    assert answer["relaxations"] == [["max_new"], ["n" + "d1"], ["nd2"], ["w"]]
    assert answer["conflict"] == ["max_new", "nd1", "nd2", "w"]


def test_a_dropped_wish_may_still_be_fitted_as_asked():
    need = statement("s", {"at_least": 1, "of": {"kinds": ["sounder"]}})
    forbid = statement("t", {"at_most": 1, "of": {}})
    case = small_case(
        requests=[
            {"id": "w", "add": ["sonar"], "location": "console", "networked": True},
            {"id": "n", "network": "d1"},
        ],
        statements=[need, forbid],
    )

    answer = answer_case(case)

    # Leaving the wish out helps nobody: then nothing meets s, so w never stands alone.
    assert answer["relaxations"] == [["n"], ["s", "w"], ["t"]]


def test_contradicting_wishes_are_a_conflict_not_a_fault():
    case = small_case(requests=[{"id": "k", "keep": "d1"}, {"id": "r", "remove": "d1"}])

    answer = answer_case(case)

    assert answer == {
        "feasible": False,
        "conflict": ["k", "r"],
        "relaxations": [["k"], ["r"]],
    }


def test_a_dropped_replace_still_allows_its_models():
    rule = statement("s", {"at_most": 0, "of": {"models": ["plain"]}})
    case = small_case(
        requests=[
            {"id": "a", "replace": "d1", "by": ["wide"]},
            {"id": "k", "replace": "d1", "by": ["sonar"]},
            {"id": "n", "network": "d1"},
        ],
        statements=[rule],
    )

    answer = answer_case(case)

    assert answer["relaxations"] == [["a"], ["k"]]


def test_a_boat_without_locations_has_the_plan_of_doing_nothing():
    case = small_case()
    case["boat"] |= {"locations": [], "routes": [], "devices": [], "cables": []}
    case["job"] |= {"requests": [], "switches": {"models": [], "locations": [], "max_new": 0}}

    answer = answer_case(case)

    assert answer["feasible"]
    assert answer["options"][0]["total_cents"] == 0
