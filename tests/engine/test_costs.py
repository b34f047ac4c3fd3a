"""What a plan costs, one fact at a time; expected sums worked out by hand."""

from planner.engine import answer_case
from tests.engine.checker import faults_of
from tests.engine.small import cable, device, small_case, unit


def cheapest(case):
    answer = answer_case(case)
    plan = answer["strategies"]["cheapest"]
    assert faults_of(case, plan) == []
    return plan


def add(models, location="console", networked=True):
    return {"id": "wish", "add": models, "location": location, "networked": networked}


def test_a_boat_without_wishes_costs_nothing():
    plan = cheapest(small_case())

    assert (plan["total_cents"], plan["changes"], plan["parts"]) == (0, 0, {})
    assert plan["links"] == [{"between": ["d1", "d2"], "cable": "c1"}]


def test_adding_off_the_network_buys_unit_lead_and_cheapest_fuse():
    case = small_case(requests=[add(["plain"], networked=False)])
    case["catalogue"]["fuses"]["blade-3b"] = {"ma": 3000, "price_cents": 50}

    plan = cheapest(case)

    assert plan["parts"] == {"plain": 1, "lead-d": 1, "blade-3b": 1}
    assert plan["total_cents"] == 50000 + 2500 + 50 + 60 * 100


def test_a_third_networked_unit_brings_a_switch():
    plan = cheapest(small_case(requests=[add(["plain"])]))

    # Display 50,000 + 2,500 + 90 + 60 min; switch 20,000 + 2,000 + 110 + 60 min; the cable
    # aboard serves the bow, two runs of 5 ft at 10 min each stay in the console.
    assert plan["total_cents"] == 58590 + 28110 + 2 * (2500 + 10 * 100)
    assert [link["cable"] for link in plan["links"]] == ["buy:run-5", "c1", "buy:run-5"]
    assert plan["changes"] == 2


def test_a_device_without_price_or_fuse_cannot_be_added():
    case = small_case(requests=[add(["plain", "wide"])])
    case["catalogue"]["models"]["plain"]["price_cents"] = None
    del case["catalogue"]["fuses"]["blade-5"]

    assert answer_case(case)["conflict"] == ["wish"]


def test_swapping_on_the_same_holes_changes_the_fuse_and_keeps_the_lead():
    case = small_case(requests=[{"id": "r", "replace": "d1", "by": ["wide"]}])

    plan = cheapest(case)

    assert plan["parts"] == {"wide": 1, "blade-5": 1}
    assert plan["total_cents"] == 90000 + 95 + (25 + 5) * 100
    assert unit(plan, "d1")["fate"] == "replaced"


def test_swapping_on_other_holes_takes_out_and_fits():
    case = small_case(requests=[{"id": "r", "replace": "d1", "by": ["wide"]}])
    case["catalogue"]["models"]["wide"]["mount"] = None

    assert cheapest(case)["labour_minutes"] == 20 + 60 + 5


def test_a_unit_is_never_replaced_by_its_own_model():
    case = small_case(requests=[{"id": "r", "replace": "d1", "by": ["plain"]}])

    assert answer_case(case)["relaxations"] == [["r"]]


def test_removing_on_request_costs_no_penalty():
    plan = cheapest(small_case(requests=[{"id": "r", "remove": "d1"}]))

    assert (plan["total_cents"], plan["penalty_cents"]) == (20 * 100, 0)
    assert unit(plan, "d1") == {
        "unit": "d1",
        "model": "plain",
        "location": "console",
        "networked": False,
        "release": "1.0",
        "fate": "removed",
    }


def test_disconnecting_a_switch_is_free_but_counts_as_a_change():
    devices = [device("d1"), device("d2", location="bow"), device("h", "hub", release=None)]
    case = small_case(devices=devices, max_new=0)

    plan = cheapest(case)

    # Staying behind the switch would buy a short cable; a single link needs none.
    assert unit(plan, "h")["fate"] == "disconnected"
    assert (plan["total_cents"], plan["changes"]) == (0, 1)


def test_adapters_aboard_are_used_before_new_ones_are_bought():
    case = small_case(devices=[device("d1", adapters=1), device("d2", location="bow")])
    case["catalogue"]["models"]["plain"]["adapter"] = "tail"

    assert cheapest(case)["parts"] == {"tail": 1}


def test_a_single_networked_unit_needs_no_adapter():
    case = small_case(devices=[device("d1")], requests=[{"id": "r", "network": "d1"}])
    case["catalogue"]["models"]["plain"]["adapter"] = "tail"

    assert cheapest(case)["total_cents"] == 0


def test_a_unit_without_ports_can_only_be_the_whole_network():
    case = small_case(requests=[{"id": "r", "network": "d1"}])
    case["catalogue"]["models"]["plain"]["ports"] = 0

    plan = cheapest(case)

    assert unit(plan, "d1")["networked"]
    assert not unit(plan, "d2")["networked"]


def test_a_display_that_passes_traffic_on_saves_the_switch():
    case = small_case(requests=[add(["plain"])])
    case["catalogue"]["models"]["plain"] |= {"ports": 2, "bridges": True}

    plan = cheapest(case)

    assert "hub" not in plan["parts"]
    assert len(plan["links"]) == 2


def test_no_route_and_no_cable_means_no_link():
    case = small_case(routes=[], cables=[], requests=[{"id": "r", "network": "d1"}])

    plan = cheapest(case)

    assert not unit(plan, "d2")["networked"]
    assert plan["total_cents"] == 40000


def test_a_cable_aboard_needs_no_route():
    plan = cheapest(small_case(routes=[], cables=[cable("c9", "console", "bow", "run-5")]))

    assert plan["links"] == [{"between": ["d1", "d2"], "cable": "c9"}]


def test_the_current_limit_counts_units_off_the_network_too():
    plan = cheapest(small_case(dc_limit_ma=2000))

    assert sorted(row["fate"] for row in plan["units"]) == ["removed", "stays"]
    assert plan["penalty_cents"] == 120000


def test_putting_a_unit_on_the_network_is_a_change():
    devices = [device("d1"), device("d2", location="bow", networked=False)]
    case = small_case(devices=devices, requests=[{"id": "r", "network": "d2"}])

    plan = cheapest(case)

    assert (plan["total_cents"], plan["changes"]) == (0, 1)


def test_a_successor_may_stand_in_unasked_but_no_other_model():
    case = small_case(
        requests=[{"id": "r", "network": "d1"}],
        statements=[
            {
                "id": "s",
                "text": "No plain display.",
                "source": "bench",
                "seen": "2026-01-02",
                "rule": {"at_most": 0, "of": {"models": ["plain"]}},
            }
        ],
    )
    assert answer_case(case)["conflict"] == ["r", "s"]
    case["catalogue"]["models"]["plain"]["successors"] = ["wide"]

    assert unit(cheapest(case), "d1")["model"] == "wide"


def test_an_empty_boat_has_an_empty_plan():
    plan = cheapest(small_case(devices=[]))

    assert (plan["units"], plan["links"], plan["total_cents"]) == ([], [], 0)
