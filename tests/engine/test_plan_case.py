"""The command: many files, plain words or JSON, and a fault's path instead of a traceback."""

import json
from io import StringIO

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from planner.engine import answer_case
from tests.engine.small import small_case


def run(*arguments):
    out, err = StringIO(), StringIO()
    status = 0
    try:
        call_command("plan_case", *map(str, arguments), stdout=out, stderr=err)
    except CommandError as error:
        status = error.returncode
    return status, out.getvalue(), err.getvalue()


@pytest.fixture
def write(tmp_path):
    def _write(content, name="case.json"):
        path = tmp_path / name
        if isinstance(content, dict):
            content = json.dumps(content)
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    return _write


def test_each_file_gives_one_line_of_json_in_order(write):
    first = write(small_case(), "b.json")
    second = write(small_case(devices=[]), "a.json")

    status, out, _ = run("--json", first, second)

    lines = [json.loads(line) for line in out.splitlines()]
    assert status == 0
    assert lines == [answer_case(small_case()), answer_case(small_case(devices=[]))]


def test_without_json_a_page_of_words(write):
    status, out, _ = run(write(small_case() | {"name": "Two displays"}))

    assert status == 0
    assert out.startswith("Two displays\nThe cheapest: $0.00")
    assert "Option 1. The cheapest way: nothing needs to change." in out


def test_a_case_that_cannot_be_met_is_answered_too(write):
    case = small_case(requests=[{"id": "k", "keep": "d1"}, {"id": "r", "remove": "d1"}])

    status, out, _ = run("--json", write(case))

    assert status == 0
    assert json.loads(out)["conflict"] == ["k", "r"]


def test_the_number_of_options_is_heeded(write):
    _, out, _ = run("--json", "--options", "2", write(small_case()))

    assert len(json.loads(out)["options"]) == 2


def test_a_time_limit_of_nothing_claims_nothing(write):
    status, out, _ = run("--json", "--time-limit", "0", write(small_case()))

    assert status == 0
    assert json.loads(out)["proven"] is False


BAD_FILES = [
    ("", "$: not JSON"),
    ("{", "$: not JSON"),
    ("[]", "$: an object was expected"),
    ("nul", "$: not JSON"),
    ('"case"', "$: an object was expected"),
    (b"\xff\xfe\x00", "$: not text in UTF-8"),
    ("[" * 100000, "$: nested deeper"),
    ('{"format": NaN}', "$: not a JSON number"),
    ('{"boat": {"a": 1, "a": 2}}', "$.boat.a: this key stands here twice"),
    ('{"x": [{"b c": 1, "b c": 2}]}', "$.x[0]['b c']: this key stands here twice"),
    ("{}", "$.format: this key is missing"),
    ("1" * 5000, "$: not a JSON number"),
    ('{"boat": ["\\ud800"]}', "$.boat[0]: this text holds half a sign"),
    ('{"\\ud800": 1}', "$: this text holds half a sign"),
]


@pytest.mark.parametrize(("content", "message"), BAD_FILES, ids=range(len(BAD_FILES)))
def test_a_bad_file_is_refused_with_its_path(write, content, message):
    status, out, err = run("--json", write(content))

    assert status == 2
    assert out == ""
    assert message in err
    assert "Traceback" not in err


def test_a_file_that_is_not_there_is_refused(tmp_path):
    status, _, err = run(tmp_path / "none.json")

    assert status == 2
    assert "the file cannot be read" in err


def test_a_file_that_is_too_large_says_so(write):
    status, _, err = run(write(b" " * (10 * 1024 * 1024 + 1)))

    assert status == 2
    assert "larger than 10 MB" in err


def test_good_files_are_answered_beside_a_bad_one(write):
    status, out, err = run("--json", write("{", "bad.json"), write(small_case()))

    assert status == 2
    assert json.loads(out)["feasible"] is True
    assert "bad.json: $: not JSON" in err
