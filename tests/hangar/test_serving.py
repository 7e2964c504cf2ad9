"""The unit that DEVELOPERS.md shows serves the site, and stops as it says."""

import http.client
import json
import os
import re
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
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


@pytest.fixture
def server(tmp_path: Path) -> Iterator["tuple[int, subprocess.Popen[bytes], Path]"]:
    arguments = documented()
    port, log = int(arguments[arguments.index("--bind") + 1].rpartition(":")[2]), tmp_path / "log"
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("HANGAR", "DATABASE"))}
    settings = {
        "HANGAR_DATA": str(tmp_path / "data"),
        "HANGAR_BOOTSTRAP": "0",
        "HANGAR_HTTPS": "1",
        "HANGAR_LOG": "INFO",
    }
    with log.open("wb") as written:
        process = subprocess.Popen(
            [sys.executable, "-m", "gunicorn", *arguments], env={**kept, **settings}, cwd=TOP, stderr=written
        )
    try:
        ends = time.monotonic() + 100
        while b"Booting worker" not in log.read_bytes():
            assert process.poll() is None, log.read_text()
            assert time.monotonic() < ends, log.read_text()
            time.sleep(0.05)
        yield port, process, log
    finally:
        process.kill()
        process.wait(30)


def test_the_unit_serves_and_stops(server: "tuple[int, subprocess.Popen[bytes], Path]") -> None:
    port, process, log = server
    secure = {"Host": "localhost", "X-Forwarded-Proto": "https", "X-Forwarded-For": "192.0.2.7"}
    assert ask(port, "/health", **secure) == (200, b'{"status": "alive"}')
    assert ask(port, "/ready", **secure) == (503, b'{"status": "tables are not up to date"}')
    status, style = ask(port, "/static/base.css", **secure)
    assert (status, b"--" in style) == (200, True)
    assert ask(port, "/health", Host="localhost")[0] == 301
    assert ask(port, "/health", **{**secure, "Host": "elsewhere.example"})[0] == 400
    process.send_signal(signal.SIGTERM)
    assert process.wait(35) == 0
    lines = [json.loads(line) for line in log.read_text().splitlines() if line.startswith("{")]
    assert {(line["route"], line["status"]) for line in lines if line["logger"] == "hangar.requests"} >= {
        ("health", 200), ("ready", 503), ("(none)", 301), ("(none)", 400)
    }  # fmt: skip
    assert "192.0.2.7" not in log.read_text()
