"""Timings of printing as ratios within one run: `python -m tests.benchmarks.paper`.

What is printed is a sheet that fits its page at the first try; one that does not is laid out again, closer, which the
first line does not show. Nothing here needs a database.
"""

import os
import resource
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from multiprocessing import get_context
from tempfile import TemporaryDirectory

from .table import Line, best_of_both


def _ready() -> None:
    """Make Django ready, in this process and in those that it starts."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "hangar.settings")
    import django

    django.setup()


def _sheet(number: int) -> bytes:
    """One finished sheet; the number makes every one another."""
    from tests.hangar.sheets import layouts
    from tests.hangar.sheets.rendering import render

    return render(layouts.two_servos(), number=number, newest=number).content


def sheet_against_renderer(rounds: int) -> Line:
    """A whole sheet, from its setup, against the renderer alone on the same finished page."""
    from hangar.sheets import pdf
    from hangar.sheets.spacings import SPACINGS
    from tests.hangar.sheets import layouts
    from tests.hangar.sheets.rendering import html_of, render

    setup = layouts.two_servos()
    page = html_of(setup, SPACINGS[render(setup).setting])
    times = best_of_both(
        lambda: render(setup), lambda: pdf.render([lambda: page], sheet="sheet", paper="a4"), rounds
    )  # fmt: skip
    return Line("a setup sheet", times[0], "the renderer alone, same page", times[1])


def stored_against_made(rounds: int) -> Line:
    """A sheet that was made before, with the working out of its key, against making it."""
    from dataclasses import asdict

    from django.conf import settings

    from hangar.sheets.stored import key_of, stored
    from tests.hangar.sheets import layouts
    from tests.hangar.sheets.rendering import heading, render

    setup, kept = layouts.two_servos(), settings.HANGAR_DATA
    with TemporaryDirectory() as folder:
        settings.HANGAR_DATA = type(kept)(folder)
        try:

            def from_storage() -> bytes:
                return stored(key_of(setup.digest(), asdict(heading())), lambda: render(setup).content)

            from_storage()
            times = best_of_both(from_storage, lambda: render(setup), rounds)
        finally:
            settings.HANGAR_DATA = kept
    return Line("a sheet from storage", times[0], "made", times[1])


def two_processes_against_one(sheets: int) -> Line:
    """Two processes that were warmed up against one, on the same number of sheets."""
    seconds = []
    for processes in (2, 1):
        with ProcessPoolExecutor(processes, mp_context=get_context("spawn"), initializer=_ready) as pool:
            list(pool.map(_sheet, range(1, 2 * processes + 1)))
            start = time.perf_counter()
            list(pool.map(_sheet, range(1, sheets + 1)))
            seconds.append(time.perf_counter() - start)
    return Line(f"{sheets} sheets, two processes", seconds[0], "one process", seconds[1])


def _copies() -> Iterator[None]:
    """Numbered copies of one layout after the other, each with a QR code of its own, on both papers by turns."""
    from itertools import count

    from hangar.sheets.models import new_token
    from tests.hangar.sheets import layouts
    from tests.hangar.sheets.rendering import render

    setups = [make() for make in layouts.ONE_PAGE.values()]
    for number in count():
        asks = f"https://hangar.example/s/{new_token()}"
        paper = ("a4", "letter")[number // len(setups) % 2]
        render(setups[number % len(setups)], paper, copy=f"copy {number}", copy_number=number, asks=asks)
        yield


def memory_after(sheets: int) -> Iterator[tuple[int, float]]:
    """(sheets made, the most memory that the process had [MiB]), each time that a fifth of them is made."""
    for number, _ in zip(range(1, sheets + 1), _copies(), strict=False):
        if number % max(sheets // 5, 1) == 0:
            yield number, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _begin() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "hangar.settings")
    from hangar.sheets.printer import begin

    begin()


def _whole(number: int, *, differs: bool) -> float:
    """A sheet of one of ten layouts, a copy with a QR code, audited; the processor's time that it took [s]."""
    from hangar.languages.speaking import speaking
    from mixing import audit
    from tests.hangar.sheets import layouts
    from tests.hangar.sheets.rendering import render

    setup = list(layouts.ONE_PAGE.values())[number % 10]()
    if differs:
        setup = layouts.varied(setup, number)
    start = time.process_time()
    asks = f"https://hangar.example/s/0123456789abcdef{number:06}"
    head = {"number": number, "newest": number, "mark": f"HG-{number:03}", "airframe": f"Wren {number}"}
    # A copy is printed in the language of whom it is for.
    with speaking("en"):
        render(setup, "a4", audit(setup), asks=asks, copy=f"copy {number}", copy_number=number, **head)
    return time.process_time() - start


def batch(sheets: int, *, differs: bool, before: int = 20) -> str:
    """Many sheets by two processes, which have made others `before`: each with figures of its own, or of ten models."""
    with ProcessPoolExecutor(2, mp_context=get_context("spawn"), initializer=_begin) as pool:
        make = partial(_whole, differs=differs)
        list(pool.map(make, range(1000, 1000 + before)))
        start = time.perf_counter()
        busy = sum(pool.map(make, range(sheets)))
        clock = time.perf_counter() - start
    of = "whose figures all differ" if differs else "of ten models"
    return f"{sheets} sheets {of}: {clock:.1f} s on the clock, {1000 * busy / sheets:.0f} ms of a processor each"


def lines(*, rounds: int = 7, sheets: int = 40) -> Iterator[Line]:
    """Every line of the table."""
    _ready()
    yield sheet_against_renderer(rounds)
    yield stored_against_made(rounds)
    yield two_processes_against_one(sheets)


if __name__ == "__main__":
    for line in lines():
        print(line, flush=True)
    for differs in (False, True):
        print(batch(100, differs=differs), flush=True)
    for made, mib in memory_after(500):
        print(f"{made:>5} sheets: {mib:.0f} MiB at most", flush=True)
