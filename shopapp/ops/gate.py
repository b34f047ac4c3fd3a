"""`make test`: lint, import contracts, migrations, and all tests on each database that answers.

Says at the end which backends ran. Exit status 1 where anything failed.
"""

import os
import subprocess
import sys
import time
from contextlib import ExitStack
from pathlib import Path
from tempfile import TemporaryFile
from typing import IO

import psycopg

TOP = Path(__file__).resolve().parents[2]
PG_ADDRESS = os.environ.get("DESK_TEST_DATABASE_URL", "postgres://postgres@127.0.0.1:5432/postgres")
BIN = Path(sys.executable).parent
BROWSER = "tests/browser"

LINT = [
    ("format", [BIN / "ruff", "format", "--check", "--quiet", "."]),
    ("lint", [BIN / "ruff", "check", "--quiet", "."]),
    ("import contracts", [BIN / "lint-imports", "--no-cache"]),
    ("migrations", [sys.executable, "manage.py", "makemigrations", "--check", "--dry-run"]),
]


def run(title: str, command: list, **environment: str) -> bool:
    """Run one command, say how long it took; True where it passed."""
    print(f"\n── {title}", flush=True)
    began = time.monotonic()
    done = subprocess.run(
        [str(word) for word in command], cwd=TOP, env=os.environ | environment, check=False
    )
    took = time.monotonic() - began
    word = "passed" if done.returncode == 0 else "FAILED"
    print(f"── {title}: {word} in {took:.0f} s", flush=True)
    return done.returncode == 0


def postgres_answers() -> bool:
    """Whether the PostgreSQL for tests takes connections."""
    try:
        with psycopg.connect(PG_ADDRESS, connect_timeout=3):
            return True
    except psycopg.OperationalError:
        return False


def backends() -> dict[str, str]:
    """Name → DESK_DATABASE_URL of each database to test on; empty means SQLite."""
    found = {"SQLite": ""}
    if postgres_answers():
        found["PostgreSQL"] = PG_ADDRESS
    return found


def start_tests(name: str, address: str, output: IO[bytes] | None) -> subprocess.Popen:
    """Start the tests on one backend; without `output` they print as they go."""
    command = [sys.executable, "-m", "pytest", f"--ignore={BROWSER}"]
    if name != "SQLite":
        command += ["--ignore=tests/engine"]  # pure functions: no database, tested once
    environment = os.environ | {"DESK_DATABASE_URL": address}
    return subprocess.Popen(command, cwd=TOP, env=environment, stdout=output, stderr=output)


def run_tests() -> tuple[list[str], list[str]]:
    """All tests on each backend that answers, side by side; (ran, failed) by name.

    The first prints as it goes, the others when they are done.
    """
    failed, runs = [], []
    with ExitStack() as files:
        for name, address in backends().items():
            output = files.enter_context(TemporaryFile()) if runs else None
            runs.append((name, start_tests(name, address, output), output))
        for name, process, output in runs:
            print(f"\n── tests on {name}", flush=True)
            code = process.wait()
            if output is not None:
                output.seek(0)
                print(output.read().decode(errors="replace"), flush=True)
            print(f"── tests on {name}: {'FAILED' if code else 'passed'}", flush=True)
            if code:
                failed.append(f"tests on {name}")
    return [name for name, _process, _output in runs], failed


def run_browser_tests(names: list[str]) -> list[str]:
    """The browser's tests one backend after the other, for a browser wants the machine to itself.

    All on SQLite; elsewhere the ways through the whole desk, where a database can tell.
    """
    addresses, failed = backends(), []
    for name in names:
        title = f"browser tests on {name}"
        command = [sys.executable, "-m", "pytest", BROWSER]
        if name != "SQLite":
            command += ["-k", "way or tote"]
        if not run(title, command, DESK_DATABASE_URL=addresses[name]):
            failed.append(title)
    return failed


def main() -> None:
    """Run the gate."""
    failed = [title for title, command in LINT if not run(title, command)]
    if "--lint-only" not in sys.argv:
        ran, broken = run_tests()
        failed += broken + run_browser_tests(ran)
        left_out = "" if "PostgreSQL" in ran else f"; PostgreSQL did not answer at {PG_ADDRESS}"
        print(f"\nBackends that ran: {', '.join(ran)}{left_out}.")
    if failed:
        sys.exit(f"Failed: {', '.join(failed)}.")
    print("All passed.")


if __name__ == "__main__":
    main()
