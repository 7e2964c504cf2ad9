"""Members who use the site as members do, all at once: `python -m tests.benchmarks.members`.

Each opens pages, reads for a second or two, and now and then moves a lever on the bench step by step. Served by
gunicorn with two workers on loopback, with a club of its own that goes again. Any answer but 200 is an error.
"""

import argparse
import http.client
import os
import random
import tempfile
import threading
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from tests.benchmarks.levers import club, served, spent

TOP = "/airframes/big-glider/"
PAGES = ("/", TOP, f"{TOP}history/", f"{TOP}revisions/1/", f"{TOP}bench/", "/receivers/", "/transmitters/", "/health")
STEPS = range(-100, 101, 40)
SLOWEST_READER = 2.0


@dataclass
class Seen:
    """What the members saw: times in ms by kind of page, and every answer that was none."""

    times: dict[str, list[float]] = field(default_factory=dict)
    errors: Counter[str] = field(default_factory=Counter)
    cpu: float = 0
    """Time of a processor for one answer [ms], by all workers together: what a busy machine does not spoil."""

    def __str__(self) -> str:
        every = [ms for times in self.times.values() for ms in times]
        wrong = f"{self.errors.total()} errors {dict(self.errors) or ''}".rstrip()
        lines = [f"{len(every)} answers, {wrong}, {self.cpu:.0f} ms of a processor each"]
        for name, times in (("all", every), *sorted(self.times.items())):
            median, p95 = np.percentile(times, [50, 95])
            lines.append(f"{name:<34} {len(times):6} median {median:6.0f} ms   p95 {p95:6.0f} ms")
        return "\n".join(lines)


def ask(port: int, key: str, page: str, seen: Seen, kind: str) -> None:
    began = time.perf_counter()
    try:
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
        headers = {"Cookie": f"sessionid={key}", "Host": "localhost"}
        connection.request("GET", page, headers={**headers, "HX-Request": "true"} if kind == "a lever" else headers)
        answer = connection.getresponse()
        answer.read()
        connection.close()
    except OSError as error:
        seen.errors[type(error).__name__] += 1
        return
    if answer.status != 200:
        seen.errors[f"{answer.status} {kind}"] += 1
    seen.times.setdefault(kind, []).append(1000 * (time.perf_counter() - began))


def use(port: int, key: str, until: float, seen: Seen, chance: random.Random) -> None:
    """One member, until the time is over."""
    while time.perf_counter() < until:
        page = chance.choice(PAGES)
        ask(port, key, page, seen, page.replace("big-glider", "…"))
        if page.endswith("bench/"):
            for position in STEPS:
                time.sleep(0.15)
                ask(port, key, f"{page}?at_roll={position}&at_lever=-40", seen, "a lever")
        time.sleep(chance.uniform(0.5, SLOWEST_READER))


def measure(*, members: int, seconds: float, workers: int = 2) -> Seen:
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"HANGAR_DATA": folder, "HANGAR_BOOTSTRAP": "0"}
        keys, seen = club(members), Seen()
        with served(Path(folder) / "access.log", workers) as (port, parent):
            for page in PAGES:
                ask(port, keys[0], page, Seen(), page)
            used, until = spent(parent), time.perf_counter() + seconds
            threads = [
                threading.Thread(target=use, args=(port, key, until, seen, random.Random(number)))
                for number, key in enumerate(keys)
            ]
            for thread in threads:
                thread.start()
            for thread in threads:
                thread.join()
            seen.cpu = 1000 * (spent(parent) - used) / sum(len(times) for times in seen.times.values())
    return seen


if __name__ == "__main__":
    options = argparse.ArgumentParser(description="Members who use the site all at once.")
    options.add_argument("--members", type=int, default=50)
    options.add_argument("--seconds", type=float, default=60)
    options.add_argument("--workers", type=int, default=2)
    print(measure(**vars(options.parse_args())))
