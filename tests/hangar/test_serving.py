"""The unit that DEVELOPERS.md shows serves the site, and stops and reloads as it says, also while it answers."""

import http.client
import json
import signal
import threading
import time
from pathlib import Path

import pytest

from tests.hangar.serving import Served, ask, send, served
from tests.patience import PATIENCE_S

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
    for wrong in (b"GET /link/token-of-nora\x00 HTTP/1.1", b"GET /link/token-of-nora HTTP/9.9"):
        assert send(port, wrong).startswith(b"HTTP/1.1 400")
    server.process.send_signal(signal.SIGTERM)
    assert server.process.wait(PATIENCE_S) == 0
    assert server.log.read_text().count('"Invalid request"') == 2
    assert "token-of-nora" not in server.log.read_text()
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
    ends = time.monotonic() + PATIENCE_S
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
        assert server.process.wait(PATIENCE_S) == 0
        asking.join(PATIENCE_S)
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
        assert server.process.wait(PATIENCE_S) == 0
