"""Bad cases are refused with the path of the fault; odd but lawful ones are read."""

from copy import deepcopy

import pytest

from planner.engine import CaseFault, check_case, check_rule
from tests.engine.small import cable, device, small_case, statement


def fault(case):
    with pytest.raises(CaseFault) as caught:
        check_case(case)
    return caught.value.path


def broken(*steps, value):
    """The small case with one value put in at a place."""
    case = deepcopy(small_case())
    place = case
    for step in steps[:-1]:
        place = place[step]
    place[steps[-1]] = value
    return case


MODEL = ("catalogue", "models", "plain")
BAD_VALUES = [
    (("format",), "refit-case/2", "$.format"),
    (("catalogue",), [], "$.catalogue"),
    (("boat",), None, "$.boat"),
    ((*MODEL, "ports"), True, "$.catalogue.models.plain.ports"),
    ((*MODEL, "ports"), -1, "$.catalogue.models.plain.ports"),
    ((*MODEL, "ports"), 1.0, "$.catalogue.models.plain.ports"),
    ((*MODEL, "ports"), float("nan"), "$.catalogue.models.plain.ports"),
    ((*MODEL, "ports"), 10**30, "$.catalogue.models.plain.ports"),
    ((*MODEL, "bridges"), 1, "$.catalogue.models.plain.bridges"),
    ((*MODEL, "kind"), "toaster", "$.catalogue.models.plain.kind"),
    ((*MODEL, "adapter"), "none", "$.catalogue.models.plain.adapter"),
    ((*MODEL, "lead"), "blade-1", "$.catalogue.models.plain.lead"),
    ((*MODEL, "price_cents"), "12", "$.catalogue.models.plain.price_cents"),
    ((*MODEL, "mount"), 3, "$.catalogue.models.plain.mount"),
    ((*MODEL, "releases"), ["1.0", "1.0"], "$.catalogue.models.plain.releases[1]"),
    ((*MODEL, "ships_with"), None, "$.catalogue.models.plain.ships_with"),
    ((*MODEL, "ships_with"), "9.9", "$.catalogue.models.plain.ships_with"),
    ((*MODEL, "successors"), ["nobody"], "$.catalogue.models.plain.successors[0]"),
    ((*MODEL, "successors"), ["hub"], "$.catalogue.models.plain.successors"),
    ((*MODEL, "updates", 0, "to"), "7.0", "$.catalogue.models.plain.updates[0].to"),
    ((*MODEL, "updates", 1, "minutes"), None, "$.catalogue.models.plain.updates[1].minutes"),
    (("catalogue", "models", "hub", "ships_with"), "1.0", "$.catalogue.models.hub.ships_with"),
    (("catalogue", "leads", "tail"), {"price_cents": 1}, "$.catalogue.leads.tail"),
    (("catalogue", "fuses", "blade-1", "ma"), -5, "$.catalogue.fuses['blade-1'].ma"),
    (("catalogue", "cables", "run-5"), {"feet": 5}, "$.catalogue.cables['run-5'].price_cents"),
    (("catalogue", "rates", "fuse_minutes"), 0.5, "$.catalogue.rates.fuse_minutes"),
    (("boat", "locations"), ["bow", "bow"], "$.boat.locations[1]"),
    (("boat", "slack_ft"), -2, "$.boat.slack_ft"),
    (("boat", "dc_limit_ma"), "5 A", "$.boat.dc_limit_ma"),
    (("boat", "routes", 0, "between"), ["bow"], "$.boat.routes[0].between"),
    (("boat", "routes", 0, "between"), ["bow", "sea"], "$.boat.routes[0].between[1]"),
    (("boat", "devices", 1, "model"), "nobody", "$.boat.devices[1].model"),
    (("boat", "devices", 1, "location"), "sea", "$.boat.devices[1].location"),
    (("boat", "devices", 1, "release"), None, "$.boat.devices[1].release"),
    (("boat", "devices", 1, "networked"), 0, "$.boat.devices[1].networked"),
    (("boat", "devices", 1, "adapters"), False, "$.boat.devices[1].adapters"),
    (("boat", "devices", 1, "id"), "d1", "$.boat.devices[1].id"),
    (("boat", "devices", 1, "id"), "dc_limit", "$.boat.devices[1].id"),
    (("boat", "devices", 1, "id"), "new12", "$.boat.devices[1].id"),
    (("boat", "cables", 0, "cable"), "rope", "$.boat.cables[0].cable"),
    (("boat", "cables"), [cable("c", "bow", "bow")] * 2, "$.boat.cables[1].id"),
    (("job", "requests"), {}, "$.job.requests"),
    (("job", "requests"), [{"id": "r"}], "$.job.requests[0]"),
    (("job", "requests"), [{"id": "d1", "keep": "d1"}], "$.job.requests[0].id"),
    (("job", "requests"), [{"id": "r", "keep": "d9"}], "$.job.requests[0].keep"),
    (("job", "requests"), [{"id": "r", "keep": "d1", "remove": "d1"}], "$.job.requests[0]"),
    (("job", "requests"), [{"id": "r", "add": ["hub"]}], "$.job.requests[0].add[0]"),
    (("job", "requests"), [{"id": "r", "replace": "d1"}], "$.job.requests[0].by"),
    (("job", "switches", "models"), ["plain"], "$.job.switches.models[0]"),
    (("job", "switches", "locations"), ["sea"], "$.job.switches.locations[0]"),
    (("job", "switches", "max_new"), -1, "$.job.switches.max_new"),
    (("job", "penalties", "lost_cents"), -1, "$.job.penalties.lost_cents"),
]


@pytest.mark.parametrize(("steps", "value", "path"), BAD_VALUES, ids=str)
def test_bad_value_is_refused_where_it_stands(steps, value, path):
    assert fault(broken(*steps, value=value)) == path


BAD_RULES = [
    ({}, ""),
    ({"at_most": 1, "at_least": 1, "of": {}}, ""),
    ({"at_most": 1}, ".of"),
    ({"at_most": -1, "of": {}}, ".at_most"),
    ({"at_most": True, "of": {}}, ".at_most"),
    ({"only": {}}, ".of"),
    ({"before": {}}, ".then"),
    ({"same_release": []}, ".same_release"),
    ({"at_most": 1, "of": {"kinds": ["toaster"]}}, ".of.kinds[0]"),
    ({"at_most": 1, "of": {"models": ["nobody"]}}, ".of.models[0]"),
    ({"at_most": 1, "of": {"min_release": {"nobody": "1.0"}}}, ".of.min_release.nobody"),
    ({"at_most": 1, "of": {"min_release": {"plain": "9.9"}}}, ".of.min_release.plain"),
    ({"at_most": 1, "of": {}, "when": None}, ".when"),
]


@pytest.mark.parametrize(("rule", "tail"), BAD_RULES, ids=str)
def test_bad_rule_is_refused_where_it_stands(rule, tail):
    case = small_case(statements=[statement("s", rule)])

    assert fault(case) == "$.catalogue.statements[0].rule" + tail


@pytest.mark.parametrize("key", ["id", "text", "source", "seen", "rule"])
def test_statement_without_a_key_is_refused(key):
    case = small_case(statements=[statement("s", {"same_release": {}})])
    del case["catalogue"]["statements"][0][key]

    assert fault(case) == f"$.catalogue.statements[0].{key}"


def test_a_day_that_is_no_day_is_refused():
    case = small_case(statements=[statement("s", {"same_release": {}}) | {"seen": "last May"}])

    assert fault(case) == "$.catalogue.statements[0].seen"


@pytest.mark.parametrize("value", [None, 3, "case", [], True])
def test_what_is_no_object_is_refused_at_the_top(value):
    assert fault(value) == "$"


def order(first, then):
    return {"before": first, "then": then}


@pytest.mark.parametrize(
    "rules",
    [
        [order({"kinds": ["display"]}, {"models": ["plain"]})],
        [order({}, {"kinds": ["sounder"]})],
        [
            order({"kinds": ["display"]}, {"kinds": ["sounder"]}),
            order({"models": ["sonar"]}, {"models": ["wide"]}),
        ],
        [order({"models": ["plain"], "min_release": {"plain": "2.0"}}, {"models": ["plain"]})],
    ],
)
def test_updates_that_wait_for_each_other_are_refused(rules):
    case = small_case(statements=[statement(f"s{n}", rule) for n, rule in enumerate(rules)])

    assert fault(case).endswith(".rule")


def test_a_circle_of_models_without_updates_is_no_circle():
    case = small_case(statements=[statement("s", order({"kinds": ["switch"]}, {}))])
    for model in ("plain", "wide", "sonar"):
        case["catalogue"]["models"][model]["updates"] = []

    check_case(case)


def test_unnamed_keys_are_ignored():
    case = small_case() | {"name": float("inf"), "more": [{}]}
    case["boat"]["devices"][0]["serial"] = 12

    check_case(case)


MODELS = {"plain": ["1.0", "2.0"], "wide": [], "hub": []}


@pytest.mark.parametrize(
    "rule",
    [
        {"at_most": 0, "of": {"kinds": ["display"]}},
        {"only": {"models": ["plain"], "min_release": {"plain": "2.0"}}, "of": {}},
        {"same_release": {"models": ["plain"]}, "note": "kept"},
        {"before": {"kinds": ["display"]}, "then": {"kinds": ["radar"]}},
        {"before": {"models": ["plain"]}, "then": {"kinds": ["radar"]}},
        {"before": {"models": ["plain"]}, "then": {"models": ["wide"]}},
        {
            "before": {"models": ["plain"], "kinds": ["display"]},
            "then": {"models": ["plain"], "kinds": ["radar"]},
        },
    ],
    ids=str,
)
def test_sound_rule_passes(rule):
    check_rule(rule, models=MODELS)


@pytest.mark.parametrize(
    ("rule", "path"),
    [
        ([], "$"),
        ({"at_most": -1, "of": {}}, "$.at_most"),
        ({"at_most": 1, "of": {"models": []}}, "$.of.models"),
        (
            {"at_most": 1, "of": {"models": ["wide"], "min_release": {"plain": "2.0"}}},
            "$.of.min_release.plain",
        ),
        (
            {"at_least": 1, "of": {}, "when": {"min_release": {"wide": "2.0"}}},
            "$.when.min_release.wide",
        ),
        ({"before": {}, "then": {"kinds": ["radar"]}}, "$.before"),
        ({"before": {"kinds": ["display", "radar"]}, "then": {"kinds": ["radar"]}}, "$.before"),
        ({"before": {"models": ["plain"]}, "then": {"models": ["plain", "wide"]}}, "$.before"),
        ({"before": {"models": ["plain"]}, "then": {}}, "$.before"),
    ],
    ids=str,
)
def test_rule_that_contradicts_itself_is_refused(rule, path):
    with pytest.raises(CaseFault) as caught:
        check_rule(rule, models=MODELS)

    assert caught.value.path == path
    assert caught.value.message


def test_device_fault_names_the_place_in_the_file_not_the_sorted_one():
    devices = [device("z9"), device("a1", release="8.8")]

    assert fault(small_case(devices=devices)) == "$.boat.devices[1].release"
