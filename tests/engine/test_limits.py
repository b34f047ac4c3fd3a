"""A case that is too large says so, and a large file is read in good time."""

import json
import subprocess
import sys
from copy import deepcopy

import pytest

from planner.engine import CaseFault, check_case, conflict, limits
from planner.engine.limits import MOST
from tests.engine.small import DISPLAY, SWITCH, cable, device, small_case, statement


def many_models(count, start=DISPLAY):
    return {f"extra{n}": deepcopy(start) for n in range(count)}


def too_large():
    wide = small_case()
    wide["catalogue"]["models"] |= many_models(5001)
    yield "$.catalogue.models", wide
    yield "$.boat.devices", small_case(devices=[device(f"d{n}") for n in range(101)])
    yield "$.boat.cables", small_case(cables=[cable(f"c{n}", "bow", "bow") for n in range(1001)])
    yield "$.job.switches.max_new", small_case(max_new=21)
    switches = small_case(max_new=20)
    switches["catalogue"]["models"] |= many_models(8, SWITCH)
    switches["job"]["switches"]["models"] = [f"extra{n}" for n in range(8)]
    yield "$.job.switches", switches
    places = small_case(max_new=4, locations=[f"l{n}" for n in range(30)], devices=[], routes=[],
                        cables=[])  # fmt: skip
    places["job"]["switches"]["locations"] = places["boat"]["locations"]
    yield "$.job.switches.locations", places
    fates = small_case(devices=[device(f"d{n}") for n in range(100)])
    fates["catalogue"]["models"] |= many_models(40)
    fates["catalogue"]["models"]["plain"]["successors"] = [f"extra{n}" for n in range(40)]
    yield "$.boat.devices", fates
    rule = {"before": {"kinds": ["display"]}, "then": {"kinds": ["radar"]}}
    orders = [statement(f"s{n}", rule) for n in range(301)]
    yield "$.catalogue.statements", small_case(statements=orders)


@pytest.mark.parametrize(("path", "case"), list(too_large()), ids=range(8))
def test_a_case_that_is_too_large_says_so(path, case):
    with pytest.raises(CaseFault, match="too large") as caught:
        check_case(case)

    assert caught.value.path == path


def test_as_many_more_switches_are_counted_as_giving_up_their_limit_allows():
    assert limits.EXTRA_SWITCHES == conflict.EXTRA_SWITCHES


READING = """
import sys
from planner.engine import CaseFault, check_case
from planner.engine.documents import parse_document
from planner.memory import bounded_memory
content = sys.stdin.buffer.read()
with bounded_memory():
    try:
        check_case(parse_document(content))
    except CaseFault as fault:
        print("refused", fault.path)
"""
ANSWERING = """
import resource, sys, time
from planner.engine import answer_case, check_case
from planner.engine.documents import parse_document
content = sys.stdin.buffer.read()
start = time.process_time()
case = parse_document(content)
check_case(case)
print(time.process_time() - start)
print(answer_case(case)["feasible"])
print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
"""


def told_by(program, content):
    """What a fresh process, with no other test's memory in it, prints of this content."""
    command = [sys.executable, "-c", program]
    return subprocess.run(command, input=content, capture_output=True, check=True).stdout.decode()


@pytest.mark.parametrize("item", ["[[[[[]]]]]", '{"":0,"":0}'])
def test_the_worst_texts_are_refused_within_the_memory_there_may_be(item):
    content = ('{"x":[' + ",".join([item] * (10_400_000 // (len(item) + 1))) + "]}").encode()

    assert told_by(READING, content).startswith("refused $")


def large_case():
    """As much catalogue as is taken on, just under 10 MB of text."""
    case = small_case()
    case["catalogue"]["models"] |= many_models(MOST["models"] - 4)
    rule = {
        "only": {"models": [f"extra{n}" for n in range(60)]},
        "of": {"kinds": ["display"]},
        "when": {"models": ["extra1"]},
    }
    case["catalogue"]["statements"] = [statement(f"s{n}", rule) for n in range(2500)]
    before = {"before": {"kinds": ["display"]}, "then": {"kinds": ["sounder"]}}
    case["catalogue"]["models"]["sonar"]["updates"] = []
    case["catalogue"]["statements"] += [statement(f"b{n}", before) for n in range(300)]
    return case


def test_ten_megabytes_are_read_and_answered_in_time_and_memory():
    text = json.dumps(large_case())
    content = (text[:-1] + ', "note": "' + "x" * (10_400_000 - len(text)) + '"}').encode()

    seconds, feasible, most_kib = told_by(ANSWERING, content).split()

    assert len(content) > 10_000_000
    assert float(seconds) < 5
    assert feasible == "True"
    assert int(most_kib) < 1024 * 1024
