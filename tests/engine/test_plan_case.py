"""The command: many files, plain words or JSON, and a fault's path instead of a traceback."""

import json
import os
import subprocess
import sys
from io import StringIO

import pytest
from django.conf import settings
from django.core.management import call_command
from django.core.management.base import CommandError

from planner.engine import answer_case
from planner.management.commands import plan_case
from tests.engine.small import device, small_case


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
    assert out.startswith("Two displays\nThe cheapest, ")
    assert "(option 1): $0.00 in all" in out
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

    refused = json.loads(out)["refused"]
    assert status == 2
    assert message in err
    assert f"{refused['path']}: {refused['message']}" in err
    assert "Traceback" not in err


def test_a_file_that_is_not_there_is_refused(tmp_path):
    status, _, err = run(tmp_path / "none.json")

    assert status == 2
    assert "the file cannot be read" in err


def test_a_file_that_is_too_large_says_so(write):
    status, _, err = run(write(b" " * (10 * 1024 * 1024 + 1)))

    assert status == 2
    assert "more than 10 MB" in err


def test_good_files_are_answered_beside_a_bad_one_each_on_its_line(write):
    good = write(small_case())
    status, out, err = run("--json", good, write("{", "bad.json"), good)

    lines = [json.loads(line) for line in out.splitlines()]
    assert status == 2
    assert [line.get("feasible") for line in lines] == [True, None, True]
    assert lines[1]["refused"]["path"] == "$"
    assert "bad.json: $: not JSON" in err


def test_a_folder_is_refused(tmp_path):
    status, out, err = run(tmp_path)

    assert (status, out) == (2, "")
    assert f"{tmp_path}: $: the file cannot be read: Is a directory" in err


def test_a_device_without_an_end_is_too_large():
    status, _, err = run("/dev/zero")

    assert status == 2
    assert "too large: more than 10 MB" in err


def test_signs_that_move_the_cursor_never_reach_the_screen(write):
    case = small_case(devices=[device("d\x1b[2J1"), device("d2")])
    case["catalogue"]["fl\x1b[31mag"] = 1

    _, out, _ = run(write(case | {"name": "Bell\x07"}))
    _, _, err = run(write(case | {"job": None}))

    assert "Bell?" in out
    assert "d?[2J1" in out
    assert "\x1b" not in out + err


@pytest.mark.parametrize(
    "wrong", [["--options", "0"], ["--options", "many"], ["--time-limit", "nan"],
              ["--time-limit", "-1"]],
    ids=" ".join,
)  # fmt: skip
def test_a_wrong_number_on_the_command_line_is_told(write, wrong):
    with pytest.raises(CommandError, match="was expected"):
        call_command("plan_case", str(write(small_case())), *wrong)


def on_the_shell(*arguments, **env):
    """The command as a shell runs it, in a process of its own."""
    return subprocess.run(
        [sys.executable, "manage.py", "plan_case", *map(str, arguments)],
        capture_output=True, cwd=settings.BASE_DIR, env=os.environ | env, check=False,
    )  # fmt: skip


def test_a_reader_that_has_seen_enough_ends_it_quietly(write):
    files = [write(small_case(), f"{n}.json") for n in range(40)]
    command = [sys.executable, "manage.py", "plan_case", "--json", *map(str, files)]
    with subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, cwd=settings.BASE_DIR
    ) as running:
        running.stdout.readline()
        running.stdout.close()
        said = running.stderr.read()

    assert said == b""
    assert running.returncode == 141


def test_a_screen_that_knows_ascii_only_still_gets_every_word(write):
    case = small_case(devices=[device("Größe"), device("d2")])
    path = write(case)

    words = on_the_shell(path, PYTHONIOENCODING="ascii")
    lines = on_the_shell("--json", path, PYTHONIOENCODING="latin-1")

    assert words.returncode == lines.returncode == 0
    assert b"Gr\\xf6\\xdfe" in words.stdout
    assert json.loads(lines.stdout) == answer_case(case)


def test_a_file_that_needs_more_memory_than_there_may_be_says_so(write, monkeypatch):
    def greedy(*_args, **_kwargs):
        return [bytes(1 << 20) for _ in range(1 << 11)]

    monkeypatch.setattr(plan_case, "answer_case", greedy)

    status, _, err = run("--json", write(small_case()))

    assert status == 2
    assert "$: this case is too large: planning it takes more than 1024 MB of memory" in err
