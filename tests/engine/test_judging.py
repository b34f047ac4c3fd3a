"""Verdicts for units asked for directly."""

import pytest

from planner.engine import CaseFault, judge
from tests.engine.small import small_case, statement

SPEAKS = statement("s", {"at_most": 4, "of": {"kinds": ["display", "sounder"]}})
ON_HUB = statement(
    "h",
    {"at_most": 9, "of": {"kinds": ["display", "sounder"]}, "when": {"models": ["hub"]}},
)


def catalogue(*statements):
    return small_case(statements=list(statements))["catalogue"]


def asked(model, release=None, behind=None):
    return {"model": model, "release": release, "behind": behind}


def word(known, *units, **kwargs):
    return judge(known, list(units), **kwargs)["verdict"]


def test_works_as_it_is():
    told = judge(catalogue(SPEAKS), [asked("plain", "2.0"), asked("sonar", "1.0")])

    assert told["verdict"] == "works"
    assert told["statements"] == [
        {"id": "s", "text": "Rule s.", "source": "bench", "seen": "2026-01-02", "role": "limits"}
    ]


def test_what_no_statement_speaks_of_is_never_shown_as_fine():
    told = judge(catalogue(), [asked("plain", "2.0"), asked("sonar", "1.0")])

    assert told["verdict"] == "not_known"
    assert "No statement speaks of plain and sonar together." in told["text"]


def test_works_after_an_update_over_a_stepping_stone():
    rule = {"only": {"min_release": {"plain": "2.0"}}, "of": {"models": ["plain"]},
            "when": {"models": ["sonar"]}}  # fmt: skip

    told = judge(catalogue(statement("u", rule)), [asked("plain", "1.0"), asked("sonar", "1.0")])

    assert told["verdict"] == "works_after_update"
    assert "1.0 to 1.4 to 2.0" in told["text"]
    assert told["statements"][0]["role"] == "asks"


def test_a_release_that_is_not_known_and_matters_is_not_known():
    rule = {"only": {"min_release": {"plain": "1.4"}}, "of": {"models": ["plain"]},
            "when": {"models": ["sonar"]}}  # fmt: skip
    known = catalogue(statement("u", rule))
    known["models"]["plain"]["updates"] = []

    told = judge(known, [asked("plain"), asked("sonar", "1.0")])

    assert told["verdict"] == "not_known"
    assert told["needs"][0]["by_release"] == {
        "1.0": "does_not_work",
        "1.4": "works",
        "2.0": "works",
    }
    assert told["needs"][0]["text"] == (
        "Read the release of the plain: at 1.0: does not work; at 1.4 and 2.0: works."
    )


def test_a_release_that_is_not_known_and_does_not_matter_is_no_doubt():
    assert word(catalogue(SPEAKS), asked("plain"), asked("sonar")) == "works"


def test_a_part_that_is_needed_is_named():
    known = catalogue(SPEAKS)
    known["models"]["plain"]["adapter"] = "tail"

    told = judge(known, [asked("plain", "2.0"), asked("sonar", "1.0")])

    assert told["verdict"] == "works_with_part"
    assert told["needs"][0]["part"] == "tail"


def test_three_units_need_a_switch_that_somebody_speaks_of():
    three = [asked("plain", "2.0"), asked("sonar", "1.0"), asked("wide", "2.0")]

    assert word(catalogue(SPEAKS, ON_HUB), *three) == "works_with_part"
    assert word(catalogue(SPEAKS), *three) == "not_known"


def test_a_rule_that_says_no_is_told_apart_from_no_rule():
    rule = {"at_most": 0, "of": {"models": ["plain"]}, "when": {"models": ["sonar"]}}

    told = judge(catalogue(statement("no", rule)), [asked("plain", "2.0"), asked("sonar", "1.0")])

    assert told["verdict"] == "does_not_work"
    assert told["statements"][0]["role"] == "forbids"


def test_the_rest_may_work_with_one_unit_off_the_network():
    rule = {"at_most": 0, "of": {"models": ["plain"]}, "when": {"models": ["hub"]}}
    units = [asked("plain", "2.0", "hub"), asked("sonar", "1.0", "hub")]

    told = judge(catalogue(ON_HUB, statement("no", rule)), units)

    assert told["verdict"] == "only_if_isolated"
    assert [need["model"] for need in told["needs"]] == ["plain"]
    assert {p["verdict"] for p in told["pairs"] if "hub" in p["models"]} == {
        "does_not_work",
        "works",
    }


def test_what_is_missing_though_it_joins_is_works_reduced():
    meta = {"s": {"confidence": "high", "reduced": "No sonar picture on the display."}}

    told = judge(
        catalogue(SPEAKS), [asked("plain", "2.0"), asked("sonar", "1.0")], statements_meta=meta
    )

    assert told["verdict"] == "works_reduced"
    assert told["statements"][0]["confidence"] == "high"
    assert "No sonar picture" in told["text"]


def test_a_switch_between_must_be_spoken_of_with_each():
    units = [asked("plain", "2.0", "hub"), asked("sonar", "1.0", "hub")]

    assert word(catalogue(SPEAKS), *units) == "not_known"
    assert word(catalogue(SPEAKS, ON_HUB), *units) == "works"


BAD = [
    ([], "$.units"),
    ([{"model": "none"}], "$.units[0].model"),
    ([{"model": "plain", "release": "9"}], "$.units[0].release"),
    ([{"model": "plain", "behind": "wide"}], "$.units[0].behind"),
    ([{"model": "plain"}] * 25, "$.units"),
]


@pytest.mark.parametrize(("units", "path"), BAD, ids=range(len(BAD)))
def test_what_cannot_be_asked_is_refused_with_its_path(units, path):
    with pytest.raises(CaseFault) as caught:
        judge(catalogue(), units)

    assert caught.value.path == path
