"""Rules in words, rules against themselves, rules against each other: no database."""

from datetime import date

import pytest

from planner.ageing import confidence_at, is_soft
from planner.statements.checks import Fault, circle_of, clashes_of, faults_of
from planner.statements.search import marks_of
from planner.statements.selectors import ModelFacts, may_overlap, within
from planner.statements.words import rule_parts, tell_rule

CATALOGUE = {
    "halo": ModelFacts("Halo 9", "display", ("1.0", "2.0")),
    "halo-12": ModelFacts("Halo 12", "display", ("3.0",)),
    "sonar": ModelFacts("Quill Sonar", "sounder", ("1.0",)),
    "s5": ModelFacts("Quill S5", "switch", ()),
}
NAMES = {code: model.name for code, model in CATALOGUE.items()}
DISPLAYS = {"kinds": ["display"]}
SOUNDERS = {"kinds": ["sounder"]}


@pytest.mark.parametrize(
    ("rule", "words"),
    [
        ({"at_most": 4, "of": DISPLAYS}, "At most 4 displays may be on the network."),
        ({"at_most": 1, "of": DISPLAYS}, "At most 1 display may be on the network."),
        ({"at_most": 0, "of": DISPLAYS}, "No display may be on the network."),
        ({"at_most": 20, "of": {}}, "At most 20 units may be on the network."),
        (
            {"at_least": 1, "of": {"models": ["s5"]}, "when": DISPLAYS},
            "Where the network has any display: "
            "at least 1 unit of model Quill S5 must be on the network.",
        ),
        (
            {"only": {"models": ["halo"], "min_release": {"halo": "2.0"}}, "of": DISPLAYS},
            "Of the displays, only units of model Halo 9 at 2.0 or later may be on the network.",
        ),
        ({"only": DISPLAYS, "of": {}}, "Only displays may be on the network."),
        (
            {"same_release": {"kinds": ["display", "sounder"]}},
            "All displays or sounders on the network stand at the same firmware release.",
        ),
        (
            {"before": {"models": ["sonar"]}, "then": DISPLAYS},
            "Units of model Quill Sonar are updated before displays.",
        ),
        (
            {"at_most": 2, "of": {"kinds": ["display"], "min_release": {"halo": "2.0"}}},
            "At most 2 displays (Halo 9 at 2.0 or later) may be on the network.",
        ),
        (
            {"at_most": 2, "of": {"models": ["halo", "gone", "halo-12"]}},
            "At most 2 units of model Halo 9, gone or Halo 12 may be on the network.",
        ),
        ({}, "A rule of no known kind."),
    ],
)
def test_rule_is_told_in_words(rule, words):
    assert tell_rule(rule, NAMES) == words


def test_rule_is_spelled_out_as_fields():
    rule = {"at_most": 2, "of": {"models": ["halo"], "min_release": {"halo": "2.0"}}}
    (part,) = rule_parts(rule | {"note": "ignored"}, NAMES)
    assert part.label == "Counted"
    assert (part.kinds, part.models) == ((), (("halo", "Halo 9"),))
    assert part.least == (("Halo 9", "2.0"),)


@pytest.mark.parametrize(
    "rule",
    [
        {"at_most": 0, "of": DISPLAYS},
        {"at_most": 4, "of": {}, "when": {"models": ["s5"]}},
        {"at_least": 1, "of": {"models": ["s5"]}},
        {"only": {"models": ["halo"], "min_release": {"halo": "2.0"}}, "of": DISPLAYS},
        {"same_release": DISPLAYS},
        {"before": {"models": ["sonar"]}, "then": DISPLAYS},
        {"at_most": 1, "of": {"kinds": ["radar"]}},
    ],
)
def test_sound_rules_are_left_alone(rule):
    assert faults_of(rule, CATALOGUE) == []


@pytest.mark.parametrize(
    ("rule", "fault"),
    [
        ({"at_most": -1, "of": {}}, Fault("count", "Write a whole number from 0 to 1000.")),
        (
            {"at_least": 0, "of": {}},
            Fault("count", "At least none always holds: this would say nothing."),
        ),
        (
            {"at_most": 1, "of": {"models": ["nothere"]}},
            Fault("of", "The catalogue has no model nothere.", "nothere"),
        ),
        (
            {"at_most": 1, "of": {"kinds": ["radar"], "models": ["halo"]}},
            Fault("of", "Halo 9 is a display, which is not ticked here.", "halo"),
        ),
        (
            {"at_most": 1, "of": {"models": ["halo"], "min_release": {"sonar": "1.0"}}},
            Fault(
                "of",
                "sonar has a least release here but is not among the models chosen.",
                "sonar",
                about_release=True,
            ),
        ),
        (
            {"at_most": 1, "of": DISPLAYS, "when": {"min_release": {"halo": "9"}}},
            Fault("when", "Halo 9 never had 9. It has 1.0, 2.0.", "halo", about_release=True),
        ),
        (
            {"at_most": 1, "of": {"min_release": {"s5": "1"}}},
            Fault("of", "Quill S5 never had 1. It has no firmware.", "s5", about_release=True),
        ),
        (
            {"at_most": 1, "of": {"kinds": ["display"], "min_release": {"sonar": "1.0"}}},
            Fault("of", "Quill Sonar is a sounder, which is not ticked here.", "sonar"),
        ),
        (
            {"only": {"models": ["sonar"]}, "of": DISPLAYS},
            Fault(
                "only", "None of these can ever be one of those: to forbid them, write at most 0."
            ),
        ),
        (
            {"before": {"kinds": ["display"]}, "then": {"models": ["halo"]}},
            Fault("then", "Halo 9 would have to be updated before itself."),
        ),
        (
            {"before": {"kinds": ["radar"]}, "then": {"kinds": ["radar", "camera"]}},
            Fault("then", "A unit of both would have to be updated before itself."),
        ),
    ],
)
def test_rule_that_contradicts_itself_is_named(rule, fault):
    assert faults_of(rule, CATALOGUE) == [fault]


def test_rule_of_no_form_is_left_to_the_planner_to_refuse():
    (fault,) = faults_of({"at_most": 1, "only": {}, "of": {}}, CATALOGUE)
    assert "Exactly one of" in fault.message


def test_overlap_looks_at_models_still_to_come():
    assert may_overlap({"kinds": ["radar"]}, {}, CATALOGUE)
    assert not may_overlap({"kinds": ["radar"]}, DISPLAYS, CATALOGUE)
    assert may_overlap({"models": ["halo"]}, DISPLAYS, CATALOGUE)
    assert not may_overlap({"models": ["halo"]}, {"models": ["sonar"]}, CATALOGUE)


def test_within_is_sure_or_false():
    assert within({"models": ["halo"]}, DISPLAYS, CATALOGUE)
    assert within(DISPLAYS, {}, CATALOGUE)
    assert not within({}, DISPLAYS, CATALOGUE)
    assert not within(DISPLAYS, {"models": ["halo", "halo-12"]}, CATALOGUE)
    assert not within(DISPLAYS, {"min_release": {"halo": "2.0"}}, CATALOGUE)


@pytest.mark.parametrize(
    ("rule", "other", "words"),
    [
        ({"at_most": 4, "of": DISPLAYS}, {"at_least": 4, "of": DISPLAYS}, None),
        ({"at_most": 4, "of": DISPLAYS}, {"at_least": 5, "of": SOUNDERS}, None),
        ({"at_most": 4, "of": DISPLAYS}, {"at_most": 3, "of": DISPLAYS}, None),
        (
            {"at_most": 4, "of": DISPLAYS, "when": SOUNDERS},
            {"at_least": 5, "of": DISPLAYS, "when": {"kinds": ["radar"]}},
            None,
        ),
        (
            {"at_most": 4, "of": DISPLAYS},
            {"at_least": 5, "of": DISPLAYS},
            "S-1 asks for at least 5 of these: both cannot hold at once.",
        ),
        (
            {"at_least": 2, "of": {"models": ["halo"]}, "when": SOUNDERS},
            {"at_most": 1, "of": DISPLAYS},
            "S-1 asks for at most 1 of these: both cannot hold at once.",
        ),
        (
            {"same_release": {"kinds": ["display", "sounder"]}},
            {"same_release": {"kinds": ["sounder", "display"]}},
            "S-1 says the same already.",
        ),
    ],
)
def test_clashes_with_other_statements_are_named(rule, other, words):
    found = [clash.message for clash in clashes_of(rule, [("S-1", other)], CATALOGUE)]
    assert found == ([words] if words else [])


def test_order_of_updates_runs_in_a_circle_over_several_statements():
    rule = {"before": {"models": ["halo"]}, "then": SOUNDERS}
    back = {"before": SOUNDERS, "then": {"models": ["halo-12"]}}
    last = {"before": {"models": ["halo-12"]}, "then": {"models": ["halo"]}}
    assert circle_of(rule, [("S-1", back)], CATALOGUE) is None
    others = [("S-1", back), ("S-2", last), ("S-3", {"at_most": 1, "of": {}})]
    way = circle_of(rule, others, CATALOGUE)
    assert way == ["Halo 9", "Quill Sonar", "Halo 12", "Halo 9"]
    assert circle_of({"at_most": 1, "of": {}}, others, CATALOGUE) is None


def test_marks_say_whom_a_rule_speaks_of():
    rule = {"at_most": 1, "of": {"kinds": ["display"], "models": ["halo"]}, "when": SOUNDERS}
    assert marks_of(rule) == ["kind:sounder", "model:halo", "rule:at_most"]
    assert marks_of({"same_release": {}}) == ["firmware:yes", "kind:any", "rule:same_release"]


COUNT, FIRMWARE = {"at_most": 1, "of": {}}, {"same_release": {}}


@pytest.mark.parametrize(
    ("rule", "seen", "soft"),
    [
        (COUNT, date(2025, 11, 25), False),
        (COUNT, date(2025, 11, 24), True),
        (FIRMWARE, date(2026, 5, 27), False),
        (FIRMWARE, date(2026, 5, 26), True),
        ({"at_most": 1, "of": {"min_release": {"halo": "1.0"}}}, date(2026, 3, 1), True),
    ],
)
def test_statements_grow_soft(rule, seen, soft):
    today = date(2026, 11, 25)
    assert is_soft(rule=rule, seen=seen, today=today) is soft
    expected = "medium" if soft else "high"
    assert confidence_at(confidence="high", rule=rule, seen=seen, today=today) == expected
    assert confidence_at(confidence="low", rule=rule, seen=seen, today=today) == "low"
