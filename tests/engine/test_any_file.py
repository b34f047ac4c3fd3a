"""Any file at all is read or refused with a path: nothing else ever leaves the reader."""

import json
from copy import deepcopy
from random import Random

import jsonschema
import pytest
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from planner.engine import CaseFault, answer_case, check_case, tell_page
from planner.engine.documents import parse_document
from tests.engine.small import cable, device, small_case, statement
from tests.engine.test_cases import load
from tests.engine.test_schema import CHECK, places
from tests.engine.worlds import random_case

CALM = settings(
    max_examples=100, deadline=None, derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)  # fmt: skip
TEXT = json.dumps(
    small_case(
        devices=[device("d1"), device("d2", location="bow"), device("h1", "hub", release=None)],
        cables=[cable("c1", "bow", "console"), cable("c2", "console", "console")],
        statements=[
            statement("a", {"at_most": 1, "of": {"kinds": ["display"]}, "when": {}}),
            statement("b", {"before": {"kinds": ["display"]}, "then": {"kinds": ["radar"]}}),
            statement("c", {"only": {"min_release": {"plain": "1.4"}}, "of": {"models": ["wide"]}}),
            statement("d", {"same_release": {"kinds": ["display"]}}),
        ],
        requests=[
            {"id": "r1", "replace": "d1", "by": ["wide"]},
            {"id": "r2", "add": ["plain", "wide"], "location": "bow", "networked": True},
            {"id": "r3", "keep": "d2"},
        ],
    )
).encode()
ODD = [
    None, True, False, -1, 0, 1, 1.0, 1.5, -0.0, 1e300, 10**12, 10**12 + 1, 10**40, "", "x", "\0",
    "d1", "plain", "hub", "bow", "new7", "dc_limit", "\u202e", [], [[]], {}, {"": {}}, ["plain"],
    [None], {"models": ["plain", 3]}, {"min_release": {"hub": "1.0"}}, "2026-02-30", "20260101",
]  # fmt: skip
# What a schema cannot say: names that must be known or free, dates, sizes that are counted.
BEYOND_THE_SCHEMA = (
    "has the name", "is used twice", "already names another", "keeps for itself", "stands here",
    "a switch", "is not a switch", "no firmware", "has firmware", "too large",
    "runs in a circle", "such as 2026",
    "a whole number was expected",  # JSON Schema takes 1.0 for a whole number
)  # fmt: skip


def read_or_refuse(content):
    """The case in these bytes, or None where it was refused in the proper way."""
    case, fault = None, None
    try:
        case = parse_document(content)
        check_case(case)
    except CaseFault as caught:
        fault = caught
    assert fault is None or (fault.path.startswith("$") and fault.message)
    return case if fault is None else None


@CALM
@given(content=st.binary(max_size=200) | st.text(max_size=200).map(lambda text: text.encode()))
@example(content=b"\xef\xbb\xbf{}")
@example(content=b"\xef\xbb\xbf" * 2 + b"{}")
@example(content=b"\x00" * 100)
@example(content=b"{\x00}")
@example(content="{}".encode("utf-16"))
@example(content="{}".encode("utf-32-be"))
@example(content=b'{"\xed\xa0\x80": 1}')
@example(content=b'{"a":' * 50_000)
@example(content=b"[" * 50_000 + b"]" * 50_000)
@example(content=b'{"a": ' + b"9" * 5000 + b"}")
@example(content=b'{"a": 1e999}')
@example(content=b'{"a": -Infinity}')
def test_any_bytes_are_read_or_refused(content):
    assert read_or_refuse(content) is None


@CALM
@given(cut=st.integers(0, len(TEXT) - 1), put=st.binary(max_size=3), drop=st.integers(0, 30))
def test_a_damaged_file_is_read_or_refused(cut, put, drop):
    read_or_refuse(TEXT[:cut] + put + TEXT[cut + drop :])


@CALM
@given(cut=st.integers(0, len(TEXT) - 1))
def test_a_file_cut_short_is_refused(cut):
    assert read_or_refuse(TEXT[:cut]) is None


def changed(case, draw):
    """The case with a few values changed, left out or doubled."""
    case = deepcopy(case)
    for _ in range(draw(st.integers(1, 3))):
        path = draw(st.sampled_from([path for path in places(case) if path]))
        holder = case
        for step in path[:-1]:
            holder = holder[step]
        act = draw(st.sampled_from(["set", "set", "set", "drop", "double"]))
        if act == "drop":
            del holder[path[-1]]
        elif act == "double" and isinstance(holder, list):
            holder.append(deepcopy(holder[path[-1]]))
        else:
            holder[path[-1]] = deepcopy(draw(st.sampled_from(ODD)))
    return case


def agree(case):
    """Reader and schema agree on this case, save where the schema cannot speak."""
    fault = None
    try:
        check_case(case)
    except CaseFault as caught:
        fault = caught
    shape = jsonschema.exceptions.best_match(CHECK.iter_errors(case))
    if fault is None:
        assert shape is None, f"the reader takes it: {shape.json_path}: {shape.message}"
    else:
        beyond = any(words in fault.message for words in BEYOND_THE_SCHEMA)
        assert beyond or shape is not None, f"the schema takes it: {fault}"


@CALM
@given(data=st.data())
def test_reader_and_schema_agree_on_changed_cases(data):
    agree(changed(json.loads(TEXT), data.draw))


@CALM
@given(data=st.data(), seed=st.integers(0, 10_000))
def test_reader_and_schema_agree_on_changed_random_cases(data, seed):
    agree(changed(random_case(seed), data.draw))


@pytest.mark.parametrize("name", ["trade-fifth-display", "medium-001", "small-004"])
def test_reader_and_schema_agree_on_changed_kept_cases(name):
    rng = Random(name)
    case, _ = load(name)
    spots = [path for path in places(case) if path]
    for _ in range(60):
        bad = deepcopy(case)
        *above, last = rng.choice(spots)
        holder = bad
        for step in above:
            holder = holder[step]
        holder[last] = rng.choice(ODD)
        agree(bad)


@CALM
@given(data=st.data())
def test_whatever_is_read_is_answered_in_words_too(data):
    case = changed(json.loads(TEXT), data.draw)
    try:
        answer = answer_case(case)
    except CaseFault:
        return
    assert tell_page(case, answer)


def test_the_path_of_a_fault_names_control_signs_by_their_number():
    with pytest.raises(CaseFault) as caught:
        parse_document(b'{"a\\u001b\\n": {"x": 1, "x": 2}}')

    assert caught.value.path == "$['a\\u001b\\u000a'].x"


def test_a_long_name_is_cut_in_the_message():
    case = small_case(devices=[device("d1", "x" * 100_000, release=None)])

    with pytest.raises(CaseFault) as caught:
        check_case(case)

    assert len(caught.value.message) < 200
