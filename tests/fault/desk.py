"""A desk of its own in a folder of its own, driven from outside as an operator would."""

import hashlib
import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

import psycopg
from psycopg.rows import dict_row

TOP = Path(__file__).resolve().parents[2]
SETUP = "import django; django.setup()\n"


@dataclass
class Desk:
    """Commands and scripts against one data folder; every process it started is its own to end."""

    data: Path
    more: dict[str, str] = field(default_factory=dict)
    started: list[subprocess.Popen] = field(default_factory=list)

    @property
    def env(self) -> dict[str, str]:
        plain = {key: value for key, value in os.environ.items() if not key.startswith("DESK_")}
        return {
            **plain,
            "DJANGO_SETTINGS_MODULE": "shopapp.settings",
            "DESK_DATA_DIR": str(self.data),
            "DESK_WORK_LEASE_SECONDS": "5",
            "DESK_LOG_LEVEL": "ERROR",
            **self.more,
        }

    def manage(self, *words: str) -> str:
        """A management command, to its end."""
        return self._run([sys.executable, "manage.py", *words])

    def tell(self, script: str) -> object:
        """Run a script with the models loaded; it prints one line of JSON last."""
        said = self._run([sys.executable, "-c", SETUP + script])
        return json.loads(said.strip().splitlines()[-1])

    def start(self, *words: str) -> subprocess.Popen:
        """Start a process in a group of its own."""
        process = subprocess.Popen(
            [sys.executable, *words],
            cwd=TOP,
            env=self.env,
            start_new_session=True,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        self.started.append(process)
        return process

    def kill(self, process: subprocess.Popen) -> None:
        """SIGKILL to the whole group: nothing gets to tidy up."""
        if process.poll() is None:
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()

    def end(self) -> None:
        """Kill whatever is left of what was started here."""
        for process in self.started:
            self.kill(process)

    def copy_to(self, place: Path) -> "Desk":
        """The same records in another folder."""
        shutil.copytree(self.data, place)
        return Desk(place, dict(self.more))

    def papers(self) -> list[dict[str, object]]:
        """Every document row, read past Django so that looking is quick."""
        address = self.more.get("DESK_DATABASE_URL")
        if address:
            with psycopg.connect(address, row_factory=dict_row) as database:
                return database.execute("SELECT * FROM jobs_document").fetchall()
        with closing(sqlite3.connect(self.data / "desk.sqlite3", timeout=20)) as database:
            database.row_factory = sqlite3.Row
            return [dict(row) for row in database.execute("SELECT * FROM jobs_document")]

    def count(self) -> tuple[int, int]:
        """(lost, doubled): rows without their whole file; files that belong to no row."""
        rows = self.papers()
        whole = {str(row["file"]) for row in rows if self._is_whole(row)}
        lost = len(rows) - sum(row["file"] in whole for row in rows)
        found = {
            str(path.relative_to(self.data / "media"))
            for path in (self.data / "media").rglob("*")
            if path.is_file()
        }
        return lost, len(found - whole) + len(rows) - lost - len(whole)

    def _is_whole(self, row: dict[str, object]) -> bool:
        path = self.data / "media" / str(row["file"])
        if row["row_state"] != "ready" or not path.is_file():
            return False
        return hashlib.sha256(path.read_bytes()).hexdigest() == row["digest"]

    def _run(self, command: list[str]) -> str:
        done = subprocess.run(
            command, cwd=TOP, env=self.env, capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stderr[-3000:]
        return done.stdout


def wait_until(what: Callable[[], bool], *, seconds: float) -> bool:
    """Look until it is so or the time is over."""
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if what():
            return True
        time.sleep(0.05)
    return False


def report(tried: str, desk: Desk) -> tuple[int, int]:
    """Say what was tried and what came of it."""
    lost, doubled = desk.count()
    print(f"\n{tried}: lost {lost}, doubled {doubled}")
    return lost, doubled
