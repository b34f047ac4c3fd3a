"""`make run`: migrate, load the demo into an empty database, start web and worker.

Ctrl-C stops all of it. A part that dies on its own is started again: the rows
in the database know what was unfinished.
"""

import os
import signal
import socket
import subprocess
import sys
import time
from dataclasses import dataclass
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
HOST = os.environ.get("DESK_HOST", "127.0.0.1")
PORT = os.environ.get("DESK_PORT", "8000")
WORKERS = max(1, int(os.environ.get("DESK_WORKERS", "1")))
MOST_RESTARTS = 20


@dataclass
class Part:
    """One process of the desk."""

    name: str
    command: list[str]
    process: subprocess.Popen | None = None
    restarts: int = 0

    def start(self) -> None:
        """Start it in a session of its own, so that Ctrl-C reaches it only through us."""
        self.process = subprocess.Popen(self.command, cwd=TOP, start_new_session=True)


def prepare() -> None:
    """Migrate and fill an empty database; a failure ends the start with its own message."""
    done = subprocess.run([sys.executable, "shopapp/ops/prepare.py"], cwd=TOP, check=False)
    if done.returncode:
        sys.exit(done.returncode)


def refuse_busy_port() -> None:
    """Say so when something else listens already."""
    with socket.socket(socket.AF_INET6 if ":" in HOST else socket.AF_INET) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, int(PORT)))
        except OSError as error:
            sys.exit(f"Cannot listen on {HOST}:{PORT} ({error}). Choose another with DESK_PORT.")


def parts() -> list[Part]:
    """The web server and the worker."""
    gunicorn = [
        *(sys.executable, "-m", "gunicorn", "shopapp.wsgi:application"),
        *("--bind", f"{HOST}:{PORT}", "--worker-class", "gthread"),
        *("--workers", os.environ.get("DESK_WEB_WORKERS", "1"), "--threads", "8"),
        *("--max-requests", "5000", "--log-level", "warning"),
    ]
    if os.environ.get("DESK_BROKER_URL"):
        celery = [sys.executable, "-m", "celery", "-A", "shopapp", "worker"]
        celery += ["--loglevel=WARNING", f"--concurrency={WORKERS}"]
        sweep = [sys.executable, "manage.py", "sweep"]
        return [Part("web", gunicorn), Part("worker", celery), Part("sweeper", sweep)]
    work = [sys.executable, "manage.py", "work"]
    return [Part("web", gunicorn), *(Part("worker", work) for _ in range(WORKERS))]


def watch(running: list[Part]) -> None:
    """Start again what died on its own; give up on what dies again and again."""
    while True:
        time.sleep(0.5)
        for part in running:
            if part.process.poll() is None:
                continue
            part.restarts += 1
            if part.restarts > MOST_RESTARTS:
                sys.exit(f"The {part.name} keeps stopping; see its messages above.")
            print(f"The {part.name} stopped; starting it again.", flush=True)
            part.start()


def stop(running: list[Part]) -> None:
    """Ask each to finish, then insist."""
    for part in running:
        if part.process and part.process.poll() is None:
            part.process.send_signal(signal.SIGTERM)
    for part in running:
        try:
            part.process.wait(timeout=10)
        except subprocess.TimeoutExpired:
            part.process.kill()


def main() -> None:
    """Set up, start, watch, stop."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopapp.settings")
    refuse_busy_port()
    prepare()
    running = parts()
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))
    # A shell that starts us in the background may have Ctrl-C ignored.
    signal.signal(signal.SIGINT, signal.default_int_handler)
    for part in running:
        part.start()
    print(f"\nThe refit desk is at http://{HOST}:{PORT}/ (Ctrl-C stops it all).", flush=True)
    try:
        watch(running)
    except KeyboardInterrupt:
        print("\nStopping.", flush=True)
    finally:
        stop(running)


if __name__ == "__main__":
    main()
