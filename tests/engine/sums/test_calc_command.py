"""`calc`: one sum, many lines, the list; a fault in JSON and a status, no database anywhere."""

import json
import os
import subprocess
import sys
from io import BytesIO, StringIO, TextIOWrapper

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from planner.engine.sums import SUMS, words
from tests.engine.sums.test_bad_input import SOUND


def run(*arguments):
    out, err = StringIO(), StringIO()
    status = 0
    try:
        call_command("calc", *arguments, stdout=out, stderr=err)
    except CommandError as error:
        status = error.returncode
    return status, out.getvalue()


def run_lines(monkeypatch, *lines):
    content = "".join(f"{line}\n" for line in lines).encode("utf-8", "surrogateescape")
    monkeypatch.setattr("sys.stdin", TextIOWrapper(BytesIO(content), encoding="utf-8"))
    status, out = run("--lines")
    return status, [json.loads(line) for line in out.splitlines()]


def test_one_sum_prints_one_object_with_formula_source_and_notes():
    status, out = run("bus_units", "--json", '{"draw_ma": 151}')
    answer = json.loads(out)
    assert status == 0
    assert out.count("\n") == 1
    assert answer["len"] == 4
    assert set(answer) == {"len", "formula", "source", "notes", "inputs", "margin"}


@pytest.mark.parametrize(
    ("name", "given", "field"),
    [
        ("conductor", '{"amps": -1, "round_trip_ft": 1, "volts": 12, "drop_percent": 3}', "amps"),
        ("bus_units", '{"draw_ma": NaN}', "draw_ma"),
        ("bus_units", '{"draw_ma": 1e999}', "draw_ma"),
        ("bus_units", "{}", "draw_ma"),
        ("bus_units", "[]", "in"),
        ("bus_units", "{draw_ma: 3}", "json"),
        ("bus_units", "[" * 100_000, "json"),
        ("bus_units", '{"draw_ma": ' + "9" * 5000 + "}", "json"),
        ("no_such_sum", "{}", "name"),
    ],
)
def test_a_fault_is_told_in_json_and_ends_with_status_2(name, given, field):
    status, out = run(name, "--json", given)
    assert status == 2
    error = json.loads(out)["error"]
    assert error["field"] == field
    assert error["message"]


def test_a_sum_without_its_name_is_refused():
    status, out = run("--json", "{}")
    assert (status, json.loads(out)["error"]["field"]) == (2, "name")
    status, out = run()
    assert (status, json.loads(out)["error"]["field"]) == (2, "name")


def test_a_sum_without_its_inputs_is_refused():
    status, out = run("area")
    assert (status, json.loads(out)["error"]["field"]) == (2, "json")


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ('{"draw_ma": 1, "draw_ma": 2}', "draw_ma"),
        ('{"draw_ma": {"a": 1, "a": 1}}', "a"),
    ],
)
def test_a_name_given_twice_is_refused_not_chosen_from(given, field):
    status, out = run("bus_units", "--json", given)
    assert status == 2
    assert json.loads(out)["error"] == {"field": field, "message": "It is given twice."}


def test_the_program_itself_ends_with_status_2_and_prints_the_fault():
    command = [sys.executable, "manage.py", "calc", "bus_units", "--json", '{"draw_ma": -1}']
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == 2
    assert json.loads(done.stdout)["error"]["field"] == "draw_ma"


def test_the_list_can_be_printed_where_the_terminal_knows_ascii_only():
    command = [sys.executable, "manage.py", "calc", "--list"]
    plain = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"}
    done = subprocess.run(command, capture_output=True, check=False, env=plain)
    assert done.returncode == 0
    assert b"conductor" in done.stdout


@pytest.mark.parametrize("name", SOUND)
def test_every_sum_answers_from_the_command_line_with_its_outputs_and_cautions(name):
    status, out = run(name, "--json", json.dumps(SOUND[name]))
    answer = json.loads(out)
    assert status == 0
    assert {quantity.name for quantity in SUMS[name].outputs} <= set(answer)
    assert {"formula", "source", "notes", "inputs", "margin"} <= set(answer)
    assert answer["formula"]
    assert answer["source"]
    assert words.ESTIMATE in answer["notes"]


def test_lines_go_on_after_a_fault(monkeypatch):
    status, answers = run_lines(
        monkeypatch,
        '{"name": "bus_ohms", "in": {"terminators": 2}}',
        '{"name": "bus_ohms", "in": {"terminators": 0}}',
        "not json",
        "",
        "[1]",
        '{"in": {}}',
        '{"name": "bus_ohms"}',
        '{"name": "bus_ohms", "in": null}',
        '{"name": "bus_ohms", "in": {"terminators": 3}}',
    )
    assert status == 0
    fields = [answer.get("error", {}).get("field") for answer in answers]
    assert fields == [None, "terminators", "line", "name", "name", "terminators", "in", None]
    assert (answers[0]["ohms"], answers[-1]["ohms"]) == (60, 40)


def test_a_stray_byte_spoils_only_its_own_line(monkeypatch):
    _, answers = run_lines(
        monkeypatch, '{"name": "\udcff"}', '{"name": "bus_ohms", "in": {"terminators": 2}}'
    )
    assert answers[0]["error"]["field"] == "name"
    assert answers[1]["ohms"] == 60


def test_half_a_character_in_the_input_comes_back_as_plain_ascii(monkeypatch):
    _, answers = run_lines(monkeypatch, r'{"name": "mmsi", "in": {"text": "\ud800"}}')
    assert answers[0]["valid"] is False


def test_the_list_names_every_sum_with_inputs_units_and_source():
    status, out = run("--list")
    lines = out.splitlines()
    assert status == 0
    for name, each in SUMS.items():
        at = lines.index(name)
        assert all(quantity.name in lines[at + 1] for quantity in each.inputs)
        assert all(quantity.unit in lines[at + 1] for quantity in each.inputs)
        assert all(quantity.name in lines[at + 2] for quantity in each.outputs)
        assert lines[at + 3].endswith(each.source)


def test_the_sums_are_those_that_the_trade_agreed_on():
    assert set(SUMS) == {
        "area", "conductor", "ampacity", "metric_drop", "largest_fuse", "fuse_for_load",
        "fuse_colour", "bus_units", "bus_drop", "bus_ohms", "backbone", "switch_chain",
        "link_speed", "bend_radius", "sentence", "compass", "hull_number", "mmsi", "standby",
        "fuse_block", "update_volts", "cable_run", "ethernet_loops", "ignition", "separation",
        "splash", "cutout", "circuit_fuse", "compass_distance", "wire_colour", "poe_power",
    }  # fmt: skip
