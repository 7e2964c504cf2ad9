"""The unit that DEVELOPERS.md shows serves the site, and stops and reloads as it says, also while it answers."""

import http.client
import json
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]


def documented() -> list[str]:
    """The arguments of gunicorn in the unit, with a port of its own."""
    (line,) = re.findall(r"ExecStart=\S+/gunicorn (.*)", (TOP / "DEVELOPERS.md").read_text(encoding="utf-8"))
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    arguments: list[str] = line.replace("127.0.0.1:8000", f"127.0.0.1:{port}").split()
    assert f"127.0.0.1:{port}" in arguments
    return arguments


def ask(port: int, page: str, **headers: str) -> tuple[int, bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    connection.request("GET", page, headers=headers)
    answer = connection.getresponse()
    content = answer.read()
    connection.close()
    return answer.status, content


@dataclass
class Served:
    port: int
    process: "subprocess.Popen[bytes]"
    log: Path

    def workers(self) -> set[str]:
        """The processes of workers that were started so far."""
        return set(re.findall(r"Booting worker with pid: (\d+)", self.log.read_text()))

    def wait_for_workers(self, count: int) -> None:
        ends = time.monotonic() + 100
        while len(self.workers()) < count:
            assert self.process.poll() is None, self.log.read_text()
            assert time.monotonic() < ends, self.log.read_text()
            time.sleep(0.05)


@contextmanager
def served(tmp_path: Path, **environment: str) -> Iterator[Served]:
    arguments = documented()
    port, log = int(arguments[arguments.index("--bind") + 1].rpartition(":")[2]), tmp_path / "log"
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("HANGAR", "DATABASE"))}
    settings = {
        "HANGAR_DATA": str(tmp_path / "data"),
        "HANGAR_BOOTSTRAP": "0",
        "HANGAR_HTTPS": "1",
        "HANGAR_LOG": "INFO",
        **environment,
    }
    with log.open("wb") as written:
        process = subprocess.Popen(
            [sys.executable, "-m", "gunicorn", *arguments], env={**kept, **settings}, cwd=TOP, stderr=written
        )
    server = Served(port, process, log)
    try:
        server.wait_for_workers(1)
        yield server
    finally:
        process.kill()
        process.wait(30)


SECURE = {"Host": "localhost", "X-Forwarded-Proto": "https", "X-Forwarded-For": "192.0.2.7"}


def test_the_unit_serves_and_stops(tmp_path: Path) -> None:
    with served(tmp_path) as server:
        serves_and_stops(server)


def serves_and_stops(server: Served) -> None:
    port, secure = server.port, SECURE
    assert ask(port, "/health", **secure) == (200, b'{"status": "alive"}')
    assert ask(port, "/ready", **secure) == (503, b'{"status": "tables are not up to date"}')
    status, style = ask(port, "/static/base.css", **secure)
    assert (status, b"--" in style) == (200, True)
    assert ask(port, "/health", Host="localhost")[0] == 301
    assert ask(port, "/health", **{**secure, "Host": "elsewhere.example"})[0] == 400
    server.process.send_signal(signal.SIGTERM)
    assert server.process.wait(35) == 0
    lines = [json.loads(line) for line in server.log.read_text().splitlines() if line.startswith("{")]
    assert {(line["route"], line["status"]) for line in lines if line["logger"] == "hangar.requests"} >= {
        ("health", 200), ("ready", 503), ("(none)", 301), ("(none)", 400)
    }  # fmt: skip
    assert "192.0.2.7" not in server.log.read_text()


SLOW = {"DJANGO_SETTINGS_MODULE": "tests.hangar.slow_settings"}


class Asking(threading.Thread):
    """Someone who asks for a page that takes its time."""

    answer: tuple[int, bytes] = (0, b"")

    def __init__(self, server: Served, page: str) -> None:
        super().__init__()
        self.server, self.page = server, page

    def run(self) -> None:
        self.answer = ask(self.server.port, self.page, **SECURE)


def in_flight(server: Served, folder: Path) -> Asking:
    """The page is being made by a worker when this returns."""
    begun = folder / "begun"
    asking = Asking(server, f"/slow?begun={begun}")
    asking.start()
    ends = time.monotonic() + 60
    while not begun.exists():
        assert server.process.poll() is None, server.log.read_text()
        assert time.monotonic() < ends, server.log.read_text()
        time.sleep(0.02)
    return asking


def test_an_answer_that_is_being_made_is_given_whole_before_it_stops(tmp_path: Path) -> None:
    with served(tmp_path, **SLOW) as server:
        asking = in_flight(server, tmp_path)
        server.process.send_signal(signal.SIGTERM)
        refused = []
        while server.process.poll() is None:
            try:
                refused.append(ask(server.port, "/health", **SECURE) == (200, b'{"status": "alive"}'))
            except (OSError, http.client.HTTPException):
                refused.append(True)
            time.sleep(0.1)
        assert server.process.wait(35) == 0
        asking.join(60)
        assert asking.answer == (200, b"whole" * 200_000)
        # Meanwhile others were answered in full or not at all, and afterwards there is nobody.
        assert all(refused)
        with pytest.raises(ConnectionRefusedError):
            ask(server.port, "/health", **SECURE)


def test_reloading_leaves_no_gap(tmp_path: Path) -> None:
    with served(tmp_path, **SLOW) as server:
        server.wait_for_workers(2)
        asking = in_flight(server, tmp_path)
        server.process.send_signal(signal.SIGHUP)
        while asking.is_alive() or len(server.workers()) < 4:
            assert ask(server.port, "/health", **SECURE) == (200, b'{"status": "alive"}')
        assert asking.answer == (200, b"whole" * 200_000)
        assert ask(server.port, "/health", **SECURE)[0] == 200
        server.process.send_signal(signal.SIGTERM)
        assert server.process.wait(35) == 0
