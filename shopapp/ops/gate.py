"""`make test`: lint, import contracts, migrations, and all tests on each database that answers.

Says at the end which backends ran. Exit status 1 where anything failed.
"""

import os
import subprocess
import sys
import time
from pathlib import Path

import psycopg

TOP = Path(__file__).resolve().parents[2]
PG_ADDRESS = os.environ.get("DESK_TEST_DATABASE_URL", "postgres://postgres@127.0.0.1:5432/postgres")
BIN = Path(sys.executable).parent

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


def main() -> None:
    """Run the gate."""
    failed = [title for title, command in LINT if not run(title, command)]
    ran = []
    if "--lint-only" not in sys.argv:
        for name, address in backends().items():
            command = [sys.executable, "-m", "pytest"]
            if not run(f"tests on {name}", command, DESK_DATABASE_URL=address):
                failed.append(f"tests on {name}")
            ran.append(name)
        left_out = "" if "PostgreSQL" in ran else f"; PostgreSQL did not answer at {PG_ADDRESS}"
        print(f"\nBackends that ran: {', '.join(ran)}{left_out}.")
    if failed:
        sys.exit(f"Failed: {', '.join(failed)}.")
    print("All passed.")


if __name__ == "__main__":
    main()
