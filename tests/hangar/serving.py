"""The site as gunicorn serves it, by the unit that DEVELOPERS.md shows, on loopback."""

import http.client
import os
import re
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from tests.patience import PATIENCE_S
from tests.ports import own_port

TOP = Path(__file__).parents[2]


def documented(port: int) -> list[str]:
    """The arguments of gunicorn in the unit, with another port."""
    (line,) = re.findall(r"ExecStart=\S+/gunicorn (.*)", (TOP / "DEVELOPERS.md").read_text(encoding="utf-8"))
    arguments: list[str] = line.replace("127.0.0.1:8000", f"127.0.0.1:{port}").split()
    assert f"127.0.0.1:{port}" in arguments
    return arguments


def ask(port: int, page: str, **headers: str) -> tuple[int, bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=PATIENCE_S)
    connection.request("GET", page, headers=headers)
    answer = connection.getresponse()
    content = answer.read()
    connection.close()
    return answer.status, content


def send(port: int, line: bytes) -> bytes:
    """The answer to a request that no browser sends: this first line, and a host."""
    with socket.create_connection(("127.0.0.1", port), timeout=PATIENCE_S) as connection:
        connection.sendall(line + b"\r\nHost: localhost\r\n\r\n")
        return connection.recv(1000)


@dataclass
class Served:
    port: int
    process: "subprocess.Popen[bytes]"
    log: Path

    def workers(self) -> set[str]:
        """The processes of workers that were started so far."""
        return set(re.findall(r"Booting worker with pid: (\d+)", self.log.read_text()))

    def wait_for_workers(self, count: int) -> None:
        ends = time.monotonic() + PATIENCE_S
        while len(self.workers()) < count:
            assert self.process.poll() is None, self.log.read_text()
            assert time.monotonic() < ends, self.log.read_text()
            time.sleep(0.05)


@contextmanager
def served(tmp_path: Path, **environment: str) -> Iterator[Served]:
    with own_port() as port, _served(port, tmp_path / "log", tmp_path / "data", **environment) as server:
        yield server


@contextmanager
def _served(port: int, log: Path, data: Path, **environment: str) -> Iterator[Served]:
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("HANGAR", "DATABASE"))}
    settings = {
        "HANGAR_DATA": str(data),
        "HANGAR_BOOTSTRAP": "0",
        "HANGAR_HTTPS": "1",
        "HANGAR_LOG": "INFO",
        **environment,
    }
    with log.open("wb") as written:
        process = subprocess.Popen(
            [sys.executable, "-m", "gunicorn", *documented(port)], env={**kept, **settings}, cwd=TOP, stderr=written
        )
    server = Served(port, process, log)
    try:
        server.wait_for_workers(1)
        yield server
    finally:
        # Its workers go with it, and their connections to the database.
        process.terminate()
        try:
            process.wait(PATIENCE_S)
        except subprocess.TimeoutExpired:
            process.kill()
