"""A line on loopback that loses, doubles, delays and reorders what passes, by a seed."""

import socket
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from http.client import HTTPConnection, HTTPException, HTTPMessage
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from random import Random

HOP = {"connection", "keep-alive", "transfer-encoding", "content-length"}


@dataclass
class BadLine:
    """Forwards to `port`; requests under `/api/tablet/` are treated badly while `bad` is set."""

    port: int
    seed: int
    bad: bool = True
    done: Counter = field(default_factory=Counter)

    def __post_init__(self) -> None:
        self.random, self.lock = Random(self.seed), threading.Lock()
        handler = type("Handler", (Passing,), {"line": self})
        self.server = ThreadingHTTPServer(("127.0.0.1", 0), handler)
        self.server.daemon_threads = True
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.server.server_port}"

    def fate(self, path: str) -> tuple[str, float]:
        """What happens to this request, and by how many seconds it is late."""
        if not (self.bad and path.startswith("/api/tablet/")):
            return "passes", 0.0
        with self.lock:
            kinds = ["passes", "dropped", "answer lost", "doubled", "late", "delayed"]
            kind = self.random.choices(kinds, [50, 12, 12, 10, 8, 8])[0]
            self.done[kind] += 1
            return kind, self.random.uniform(0.05, 1.2)

    def close(self) -> None:
        self.server.shutdown()
        self.server.server_close()


class Passing(BaseHTTPRequestHandler):
    """One request through the line."""

    line: BadLine
    protocol_version = "HTTP/1.1"

    def log_message(self, *_words: object) -> None:
        """Say nothing."""

    def handle_any(self) -> None:
        body = self.rfile.read(int(self.headers.get("Content-Length") or 0))
        kind, late = self.line.fate(self.path)
        if kind == "dropped":
            return self._cut()
        if kind == "late":
            # The sender sees a broken line and sends again: this copy arrives after the newer one.
            threading.Thread(target=self._later, args=(late, body), daemon=True).start()
            return self._cut()
        if kind == "doubled":
            threading.Thread(target=self._later, args=(late, body), daemon=True).start()
        if kind == "delayed":
            time.sleep(late)
        answer = self._forward(body)
        if answer is None or kind == "answer lost":
            return self._cut()
        return self._answer(*answer)

    def do_GET(self) -> None:
        self.handle_any()

    def do_POST(self) -> None:
        self.handle_any()

    def do_PUT(self) -> None:
        self.handle_any()

    def _later(self, late: float, body: bytes) -> None:
        time.sleep(late)
        self._forward(body)

    def _forward(self, body: bytes) -> tuple[int, HTTPMessage, bytes] | None:
        connection = HTTPConnection("127.0.0.1", self.line.port, timeout=60)
        try:
            kept = {name: one for name, one in self.headers.items() if name.lower() not in HOP}
            connection.request(self.command, self.path, body or None, kept)
            answer = connection.getresponse()
            return answer.status, answer.msg, answer.read()
        except (OSError, HTTPException):
            return None
        finally:
            connection.close()

    def _answer(self, status: int, headers: HTTPMessage, body: bytes) -> None:
        self.send_response(status)
        for name, value in headers.items():
            if name.lower() not in HOP and name.lower() not in {"date", "server"}:
                self.send_header(name, value)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(body)

    def _cut(self) -> None:
        self.close_connection = True
        self.connection.shutdown(socket.SHUT_RDWR)


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]
