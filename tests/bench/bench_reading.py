"""How long and with how much memory the worst 10 MB of text are read or refused.

Run with `make bench`, or alone: `python -m tests.bench.bench_reading`.
"""

import json
import subprocess
import sys
from collections.abc import Iterator

from planner.engine.documents import LARGEST_BYTES
from tests.engine.small import small_case, statement

WANTED_SECONDS = 5
WANTED_MB = 1024
CHILD = """
import resource, sys, time
from planner.engine import CaseFault, check_case
from planner.engine.documents import parse_document
content = sys.stdin.buffer.read()
start = time.process_time()
try:
    check_case(parse_document(content))
    said = "read"
except CaseFault as fault:
    said = f"{fault.path[:30]}: {fault.message[:60]}"
spent = time.process_time() - start
print(spent, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024, said, sep="|")
"""


def filled(item: str, start: str = "[", end: str = "]") -> str:
    """As many of an item as go into the largest file."""
    count = (LARGEST_BYTES - len(start) - len(end)) // (len(item.encode()) + 1)
    return start + ",".join([item] * count) + end


def lawful(rule: dict[str, object]) -> str:
    """A lawful case with one long rule."""
    return json.dumps(small_case(statements=[statement("s", rule)]), separators=(",", ":"))


def contents() -> Iterator[tuple[str, str]]:
    """Texts of nearly 10 MB, by what they are full of."""
    yield "numbers", filled("1")
    yield "empty lists", filled("[]")
    yield "lists in lists", filled("[[[[[]]]]]")
    yield "small objects", filled('{"":0}', '{"x":[', "]}")
    yield "doubled keys", filled('{"":0,"":0}', '{"x":[', "]}")
    yield "escaped signs", filled('{"":"\\u00e9"}', '{"x":[', "]}")
    yield "open brackets", "[" * LARGEST_BYTES
    yield "one text", '{"x":"' + "x" * (LARGEST_BYTES - 8) + '"}'
    yield "a rule's models", lawful({"at_most": 9, "of": {"models": ["hub"] * 1_700_000}})


def read(content: str) -> tuple[float, float, str]:
    """Seconds of processor time, MB at most, and what was said, in a process of its own."""
    found = subprocess.run(
        [sys.executable, "-c", CHILD], input=content.encode(), capture_output=True, check=True
    ).stdout.decode()
    seconds, megabytes, said = found.strip().split("|")
    return float(seconds), float(megabytes), said


def test_the_worst_texts() -> None:
    print("| 10 MB of | seconds | MB | said |")
    print("| --- | ---: | ---: | --- |")
    rows = [(name, *read(content)) for name, content in contents()]
    for name, seconds, megabytes, said in rows:
        print(f"| {name} | {seconds:.1f} | {megabytes:.0f} | {said} |")
    assert max(row[1] for row in rows) < WANTED_SECONDS
    assert max(row[2] for row in rows) < WANTED_MB


if __name__ == "__main__":
    test_the_worst_texts()
