"""Members who move levers on the bench all at once: `python -m tests.benchmarks.levers`.

Makes a club of its own in a folder that goes again, serves it with gunicorn on loopback as a club would, and lets each
member move one lever from end to end without a pause, one request at a time, as the page does. Server time is what
gunicorn measured from the request to the answer; round trips also wait for a free worker.
"""

import argparse
import http.client
import os
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np

SETUP = Path(__file__).parents[1] / "mixing" / "data" / "electric_glider.json"


@dataclass(frozen=True)
class Times:
    """What was measured, in ms."""

    server: list[float]
    round_trip: list[float]
    cpu: float
    """Time of a processor for one answer, by all workers together: what a busy machine does not spoil."""

    def __str__(self) -> str:
        lines = [f"processor    {self.cpu:.1f} ms an answer"]
        for name, times in (("server time", self.server), ("round trip", self.round_trip)):
            median, p95, p99 = np.percentile(times, [50, 95, 99])
            lines.append(f"{name:<12} median {median:6.1f} ms   p95 {p95:6.1f} ms   p99 {p99:6.1f} ms")
        return f"{len(self.server)} answers\n" + "\n".join(lines)


def club(members: int) -> list[str]:
    """A database with one airframe and members who are signed in; their session keys."""
    import django

    os.environ["DJANGO_SETTINGS_MODULE"] = "hangar.settings"
    django.setup()
    from django.contrib.auth import BACKEND_SESSION_KEY, HASH_SESSION_KEY, SESSION_KEY
    from django.contrib.sessions.backends.db import SessionStore
    from django.core.management import call_command

    from mixing import Setup
    from tests.factories import AirframeFactory, MemberFactory, record_first

    call_command("migrate", verbosity=0)
    record_first(AirframeFactory.create(slug="big-glider"), Setup.from_text(SETUP.read_bytes()))
    keys = []
    for _ in range(members):
        member, session = MemberFactory.create(), SessionStore()
        session[SESSION_KEY] = str(member.pk)
        session[BACKEND_SESSION_KEY] = "django.contrib.auth.backends.ModelBackend"
        session[HASH_SESSION_KEY] = member.get_session_auth_hash()
        session.create()
        keys.append(str(session.session_key))
    return keys


def spent(parent: int) -> float:
    """Seconds of a processor that the children of a process have used (Linux: proc(5), stat fields 4, 14 and 15)."""
    total = 0
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(fields[1]) == parent:
            total += int(fields[11]) + int(fields[12])
    return total / os.sysconf("SC_CLK_TCK")


@contextmanager
def served(log: Path, workers: int) -> Iterator[tuple[int, int]]:
    """The site on loopback with that many workers; its port and its process."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port: int = free.getsockname()[1]
    log_options = ["--access-logfile", str(log), "--access-logformat", "%(s)s %(D)s", "--log-level", "warning"]
    bound = ["--workers", str(workers), "--bind", f"127.0.0.1:{port}", "--preload", "--no-control-socket"]
    command = [sys.executable, "-m", "gunicorn", *bound, *log_options, "hangar.wsgi"]
    server = subprocess.Popen(command)
    try:
        for _ in range(200):
            with socket.socket() as probe:
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    break
            time.sleep(0.1)
        yield port, server.pid
    finally:
        server.terminate()
        server.wait(20)


def move(port: int, key: str, until: float, found: list[float], control: str) -> None:
    """One member, who pushes one lever to and fro until the time is over."""
    headers = {"Cookie": f"sessionid={key}", "HX-Request": "true", "Host": "localhost"}
    position, step = -100, 7
    while time.perf_counter() < until:
        began = time.perf_counter()
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        connection.request("GET", f"/airframes/big-glider/bench/?at_{control}={position}&at_lever=-40", headers=headers)
        answer = connection.getresponse()
        body = answer.read()
        connection.close()
        if answer.status != 200 or b"bench-table" not in body:
            raise RuntimeError(f"the bench answered {answer.status}")
        found.append(1000 * (time.perf_counter() - began))
        if not -100 <= position + step <= 100:
            step = -step
        position += step


def together(port: int, keys: list[str], seconds: float, found: list[float]) -> None:
    """Every member moves a lever for that long."""
    until = time.perf_counter() + seconds
    threads = [
        threading.Thread(target=move, args=(port, key, until, found, ("roll", "pitch", "yaw")[n % 3]))
        for n, key in enumerate(keys)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()


def measure(*, members: int, seconds: float, workers: int = 2) -> Times:
    """Let that many members move levers for that long."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"HANGAR_DATA": folder, "HANGAR_BOOTSTRAP": "0"}
        keys, log = club(members), Path(folder) / "access.log"
        with served(log, workers) as (port, parent):
            # Every worker works out the envelope and the findings of a setup once.
            together(port, keys, 3.0, [])
            before, used = len(log.read_text().splitlines()), spent(parent)
            found: list[float] = []
            together(port, keys, seconds, found)
            used = spent(parent) - used
        lines = [line.split() for line in log.read_text().splitlines()[before:]]
    return Times([int(line[1]) / 1000 for line in lines], found, 1000 * used / len(lines))


if __name__ == "__main__":
    options = argparse.ArgumentParser(description="Members who move levers on the bench all at once.")
    options.add_argument("--members", type=int, default=20)
    options.add_argument("--seconds", type=float, default=20)
    options.add_argument("--workers", type=int, default=2)
    print(measure(**vars(options.parse_args())))
