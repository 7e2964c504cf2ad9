"""Timings of the computation as ratios within one run: `python -m tests.benchmarks.table`.

Each line times two ways of the same work in turns and takes the best of each, so that a busy machine spoils both alike.
"""

import time
from collections.abc import Callable, Iterator
from typing import Any, NamedTuple

import numpy as np

from mixing import Rig, Setup, audit, envelope

from . import linkages
from .wing import plain, positions, wing


class Line(NamedTuple):
    """One line of the table: what was timed against what [s]."""

    what: str
    seconds: float
    against: str
    other_seconds: float

    def __str__(self) -> str:
        ratio = self.seconds / self.other_seconds
        return (
            f"{self.what:<44}{1000 * self.seconds:>10.2f} ms  {self.against:<40}{1000 * self.other_seconds:>10.2f} ms"
            f"  ratio {ratio:.3g}"
        )


def best_of_both(first: Callable[[], Any], second: Callable[[], Any], rounds: int) -> tuple[float, float]:
    """The shortest time of each [s], taken in turns."""
    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(rounds):
        for place, run in zip(times, (first, second), strict=True):
            start = time.perf_counter()
            run()
            place.append(time.perf_counter() - start)
    return min(times[0]), min(times[1])


def rig_against_plain(count: int, rounds: int) -> Line:
    """Forward evaluation against the same arithmetic written out by hand for this one setup."""
    setup, at = wing(), positions(count)
    rig = Rig(setup)
    return Line(
        f"Rig.at, {count:,} positions",
        *_swap(best_of_both(lambda: rig.at(at), lambda: plain(setup, at), rounds), "by hand"),
    )


def rig_against_a_tenth(count: int, rounds: int) -> Line:
    """Ten times as many positions: a ratio of 10 is linear."""
    rig = Rig(wing())
    many, few = positions(count), positions(count // 10)
    return Line(
        f"Rig.at, {count:,} positions",
        *_swap(best_of_both(lambda: rig.at(many), lambda: rig.at(few), rounds), f"{count // 10:,} positions"),
    )


def envelope_against_grid(steps: int, rounds: int) -> Line:
    """Exact extremes of everything against a grid over the three controls that meet on the ailerons, no more.

    A grid over all five controls of this setup would have steps² times as many places.
    """
    setup = wing()
    rig, axis = Rig(setup), np.linspace(-100.0, 100.0, steps)
    places = np.meshgrid(axis, axis, axis)

    def grid() -> None:
        frame = rig.at(dict(zip(("roll", "lever", "camber"), places, strict=True)))
        [(throw.min(), throw.max()) for throw in frame.throw_mm.values()]

    return Line(
        "envelope, exact", *_swap(best_of_both(lambda: envelope(setup), grid, rounds), f"three controls, {steps}³")
    )


def audit_against_one_frame(setup: Setup, rounds: int) -> Line:
    """The whole audit against a single evaluation of 100,000 positions."""
    rig, at = Rig(setup), positions(100_000)
    return Line(
        "audit", *_swap(best_of_both(lambda: audit(setup), lambda: rig.at(at), rounds), "Rig.at, 100,000 positions")
    )


def four_bar_against_library(library: str, count: int, rounds: int) -> Line:
    """The four-bar over an array against a general linkage library, both for a thousand angles of the arm."""
    few = max(2, count // 100)
    ours, theirs = best_of_both(linkages.ours(count), linkages.theirs(library, few), rounds)
    return Line(
        f"four-bar, {count:,} angles, for a thousand",
        1000 * ours / count,
        f"{library}, {few:,} angles",
        1000 * theirs / few,
    )


def missing() -> list[str]:
    """What is left out of the table, and why."""
    there = linkages.available()
    return [
        f"four-bar against {name}: left out, since it is not installed here (PyPI; no part of this project)"
        for name in linkages.LIBRARIES
        if name not in there
    ]


def _swap(times: tuple[float, float], against: str) -> tuple[float, str, float]:
    return times[0], against, times[1]


def lines(*, count: int = 100_000, steps: int = 101, rounds: int = 15) -> Iterator[Line]:
    """Every line of the table."""
    yield rig_against_plain(count, rounds)
    yield rig_against_a_tenth(10 * count, max(3, rounds // 3))
    yield envelope_against_grid(steps, max(3, rounds // 3))
    yield audit_against_one_frame(wing(), rounds)
    for library in linkages.available():
        yield four_bar_against_library(library, count, max(3, rounds // 3))


if __name__ == "__main__":
    for line in lines():
        print(line)
    for left_out in missing():
        print(left_out)
