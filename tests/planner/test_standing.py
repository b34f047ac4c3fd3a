"""Boats in service against a rule: holds, broken, or not known; never fine by ignorance."""

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from planner.breaches import holds
from planner.standing import BROKEN, HOLDS, NOT_KNOWN, Aboard, judge, models_touched
from planner.statements.selectors import ModelFacts

CATALOGUE = {
    "plover": ModelFacts("Bench Plover", "display", ("1.0", "2.0", "3.0")),
    "gull": ModelFacts("Bench Gull", "display", ("1.0", "2.0")),
    "heron": ModelFacts("Bench Heron", "radar", ()),
    "weir": ModelFacts("Bench Weir", "switch", ()),
}
LATE = {"models": ["plover"], "min_release": {"plover": "2.0"}}
OLD, NEW, BLANK = Aboard("plover", "1.0"), Aboard("plover", "2.0"), Aboard("plover", None)
HERON, WEIR = Aboard("heron", None), Aboard("weir", None)
BESIDE = {"models": ["heron"]}
ONLY_LATE = {"only": LATE, "of": {"models": ["plover"]}, "when": BESIDE}


@pytest.mark.parametrize(
    ("units", "found"),
    [
        ([], HOLDS),
        ([OLD], HOLDS),
        ([OLD, HERON], BROKEN),
        ([NEW, HERON], HOLDS),
        ([BLANK, HERON], NOT_KNOWN),
        ([BLANK, OLD, HERON], BROKEN),
        ([OLD, Aboard("heron", None, None)], NOT_KNOWN),
        ([OLD, Aboard("heron", None, False)], HOLDS),
        ([Aboard("plover", "1.0", None), HERON], NOT_KNOWN),
        ([Aboard("gone", None), HERON], HOLDS),
    ],
)
def test_only_from_a_release_on(units, found):
    assert judge(ONLY_LATE, units, CATALOGUE) == found


@pytest.mark.parametrize(
    ("rule", "units", "found"),
    [
        ({"at_most": 1, "of": LATE}, [NEW, OLD], HOLDS),
        ({"at_most": 1, "of": LATE}, [NEW, NEW], BROKEN),
        ({"at_most": 1, "of": LATE}, [NEW, BLANK], NOT_KNOWN),
        ({"at_least": 1, "of": BESIDE}, [OLD], BROKEN),
        ({"at_least": 1, "of": BESIDE}, [HERON], HOLDS),
        ({"at_least": 1, "of": LATE}, [BLANK], NOT_KNOWN),
        ({"same_release": {"kinds": ["display"]}}, [OLD, NEW], BROKEN),
        ({"same_release": {"kinds": ["display"]}}, [OLD, OLD], HOLDS),
        ({"same_release": {"kinds": ["display"]}}, [OLD, BLANK], NOT_KNOWN),
        ({"same_release": {"kinds": ["display"]}}, [BLANK], HOLDS),
        ({"same_release": {}}, [HERON, WEIR, OLD], HOLDS),
        ({"before": BESIDE, "then": LATE}, [OLD, HERON], HOLDS),
    ],
)
def test_other_rules(rule, units, found):
    assert judge(rule, units, CATALOGUE) == found


selectors = st.fixed_dictionaries(
    {},
    optional={
        "kinds": st.lists(st.sampled_from(["display", "radar", "switch"]), max_size=2, unique=True),
        "models": st.lists(st.sampled_from(sorted(CATALOGUE)), max_size=2, unique=True),
        "min_release": st.sampled_from([{}, {"plover": "2.0"}, {"gull": "2.0", "plover": "3.0"}]),
    },
)
rules = st.one_of(
    st.fixed_dictionaries({"at_most": st.integers(0, 2), "of": selectors}),
    st.fixed_dictionaries({"at_least": st.integers(1, 2), "of": selectors}),
    st.fixed_dictionaries({"only": selectors, "of": selectors}),
    st.fixed_dictionaries({"same_release": selectors}),
)
with_when = st.tuples(rules, st.none() | selectors).map(
    lambda pair: (
        pair[0] if pair[1] is None or "same_release" in pair[0] else {**pair[0], "when": pair[1]}
    )
)


@st.composite
def units_aboard(draw):
    found = []
    for code in draw(st.lists(st.sampled_from(sorted(CATALOGUE)), max_size=4)):
        releases = CATALOGUE[code].releases
        release = draw(st.sampled_from([None, *releases])) if releases else None
        found.append(Aboard(code, release, draw(st.sampled_from([True, True, False, None]))))
    return found


def ways(units):
    """Every way in which what is not known may turn out."""
    for way in product(*(_ways(unit) for unit in units)):
        yield [unit for unit in way if unit.networked]


def _ways(unit):
    releases = CATALOGUE[unit.model].releases
    named = [unit.release] if unit.release or not releases else releases
    net = [True, False] if unit.networked is None else [unit.networked]
    return [Aboard(unit.model, release, on) for release in named for on in net]


CASE = {
    "catalogue": {
        "models": {
            code: {"kind": facts.kind, "releases": list(facts.releases)}
            for code, facts in CATALOGUE.items()
        }
    }
}


def as_planned(units):
    return [{"model": u.model, "release": u.release, "networked": True} for u in units]


@settings(max_examples=150, deadline=None)
@given(with_when, units_aboard())
def test_it_agrees_with_the_planner_however_the_unknown_turns_out(rule, units):
    found = judge(rule, units, CATALOGUE)
    outcomes = {holds(CASE, rule, as_planned(way)) for way in ways(units)}
    if found == HOLDS:
        assert outcomes == {True}
    elif found == BROKEN:
        assert outcomes == {False}
    # A boat that all is known of is never "not known".
    if all(
        u.networked is not None and (u.release or not CATALOGUE[u.model].releases) for u in units
    ):
        assert found != NOT_KNOWN


@settings(max_examples=100, deadline=None)
@given(with_when, units_aboard())
def test_a_boat_without_a_touched_model_holds(rule, units):
    touched = models_touched(rule, CATALOGUE)
    if touched is not None and not any(unit.model in touched for unit in units):
        assert judge(rule, units, CATALOGUE) == HOLDS
