"""Every page of a small federation against the same page of a large one: `python -m tests.benchmarks.pages FOLDER`.

FOLDER is where `python -m tests.benchmarks.federation FOLDER` made the two. Pages are taken from the table of all
addresses, lists also searched, sorted, filtered and turned to their last page. In turns, the shortest of some rounds;
times are those of the processor, the database's with them, so that a busy machine does not spoil them.
"""

import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

from .federation.stores import LARGE, SMALL, bring_up_to_date, start, use

LISTS = {
    "/": (
        "search=kestrel", "search=lark+süd", "search=MF-00007", "search=zzz", "search=a", "sort=-name", "sort=state",
        "sort=-owner", "sort=-revision", "sort=verdict", "sort=sheet", "sort=receiver", "sort=-failsafe",
        "sort=range_check", "sort=-warnings", "sort=-last_flown", "state=grounded", "status=resting", "page=last",
        "sort=-owner&page=last",
    ),
    "/members/": ("search=tesi", "search=FED-00", "sort=login", "sort=number", "sort=-here", "role=instructor",
                  "here=no", "page=last"),
    "/receivers/": ("sort=-label", "sort=channels", "sort=status", "page=last"),
    "/transmitters/": ("sort=-owner", "sort=channels", "page=last"),
    "/airframes/{long}/history/": ("", "page=last", "on=2026-05-01"),
    "/airframes/{long}/log/": ("", "page=last"),
    "/airframes/{long}/paper/": ("", "page=last"),
    "/airframes/{long}/": ("",),
    "/airframes/{long}/compare/": ("", "from=1"),
    "/airframes/{long}/roll-back/": ("",),
    "/airframes/{long}/flights/new/": ("",),
    "/airframes/{long}/entered/": ("",),
    "/airframes/{slug}/history/": ("on=2026-05-01", "page=last"),
    "/airframes/{slug}/revisions/{number}/": ("on=2026-05-01",),
    "/sheets/": ("page=last", "search=kestrel"),
}  # fmt: skip
# Fails where it does not end: a page that nobody should wait for is timed once.
SLOW = 1.0


class Line(NamedTuple):
    """One page at both sizes [s]."""

    page: str
    queries: tuple[int, int]
    seconds: tuple[float, float]

    @property
    def ratio(self) -> float:
        return self.seconds[1] / self.seconds[0]

    def __str__(self) -> str:
        few, many = self.seconds
        more = "" if self.queries[0] == self.queries[1] else "  MORE QUERIES"
        slow = "  TOO SLOW" if self.ratio > 3 else ""
        return (
            f"{self.page:<76}{self.queries[0]:>4}{self.queries[1]:>4}{1000 * few:>9.1f}{1000 * many:>9.1f}"
            f"{self.ratio:>7.2f}{more}{slow}"
        )


def addresses() -> Iterator[str]:
    """A pattern for each page, with words of the cast in braces."""
    from tests.hangar.access.table import ROWS

    for row in ROWS:
        if "get" not in row.takes or "version" in row.given or "mass_band" in row.given:
            continue
        kwargs = {}
        for part in row.given.partition("?")[0].split(","):
            name, _, value = part.partition("=")
            if name != "-":
                kwargs[name] = value or name
        yield row.name + " " + _pattern(row.name, kwargs) + (f"?{row.query}" if row.query else "")
    for page, queries in LISTS.items():
        for query in queries:
            yield f"list {page}" + (f"?{query}" if query else "")


def _pattern(name: str, kwargs: dict[str, str]) -> str:
    """The address with its words left open: a number is put in where one is wanted, and taken out again."""
    from django.urls import reverse

    numbers = {word: 900000 + n for n, word in enumerate(kwargs) if word in ("pk", "number", "index")}
    stands = {str(numbers.get(word, value)): value for word, value in kwargs.items()}
    parts = reverse(name, kwargs={**kwargs, **numbers}).split("/")
    return "/".join("{" + stands[part] + "}" if part in stands else part for part in parts)


def clock() -> Callable[[], float]:
    """The processor's time of this process and of the one that serves its database [s]."""
    from django.db import connection

    if connection.vendor != "postgresql":
        return time.process_time
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_backend_pid()")
        served = Path(f"/proc/{cursor.fetchone()[0]}/schedstat")
    return lambda: time.process_time() + int(served.read_text().split()[0]) / 1e9


class Federation:
    """One of the two, with a browser in which its secretary is signed in."""

    def __init__(self, airframes: int, folder: Path) -> None:
        from django.test import Client

        from .federation import cast

        self.airframes, self.folder = airframes, folder
        use(airframes, folder)
        self.browser = Client(headers={"host": "localhost"})
        self.browser.force_login(cast.secretary())
        self.clock = clock()
        self.cast: dict[str, str | int] = {}

    def address(self, pattern: str) -> str:
        path, _, query = pattern.partition("?")
        words = {str(n): n for n in range(10)} | self.cast
        found = "".join(
            part if n % 2 == 0 else str(words.get(part, part))
            for n, part in enumerate(path.replace("}", "{").split("{"))
        )
        return f"{found}?{query}" if query else found

    def asked(self, pattern: str) -> tuple[str, int]:
        """The address, and how many queries its answer takes once everything is warm."""
        from django.db import connection
        from django.test.utils import CaptureQueriesContext

        use(self.airframes, self.folder)
        address = self.address(pattern)
        if "page=last" in address:
            address = address.replace("page=last", f"page={self._last(address)}")
        assert self.browser.get(address).status_code in (200, 302, 404), address
        with CaptureQueriesContext(connection) as queries:
            self.browser.get(address)
        return address, len(queries)

    def _last(self, address: str) -> int:
        answer = self.browser.get(address.replace("page=last", "page=1"))
        found: Any = answer.context.get("table") or answer.context.get("page")
        pages: int = found.paginator.num_pages
        return pages

    def seconds(self, address: str) -> float:
        use(self.airframes, self.folder)
        begun = self.clock()
        self.browser.get(address)
        return self.clock() - begun


def line(pattern: str, small: Federation, large: Federation, rounds: int) -> Line:
    name, _, page = pattern.partition(" ")
    (near, few), (far, many) = small.asked(page), large.asked(page)
    times: tuple[list[float], list[float]] = ([], [])
    for _ in range(rounds):
        times[0].append(small.seconds(near))
        times[1].append(large.seconds(far))
        if times[0][0] + times[1][0] > SLOW:
            break
    return Line(
        page if name == "list" else f"{name} {page.partition('?')[2]}", (few, many), (min(times[0]), min(times[1]))
    )


def main(folder: Path, wanted: str, rounds: int) -> None:
    start(folder)
    from django.test.utils import setup_test_environment

    from .federation import cast

    setup_test_environment()
    for airframes in (SMALL, LARGE):
        bring_up_to_date(airframes, folder)
    small, large = Federation(SMALL, folder), Federation(LARGE, folder)
    use(SMALL, folder)
    usual, longest = cast.usual_and_longest()
    small.cast = {**cast.cast_of(usual), "long": longest.slug}
    use(LARGE, folder)
    usual_too, longest_too = cast.most_like(usual), cast.most_like(longest)
    large.cast = {**cast.cast_of(usual_too), "long": longest_too.slug}
    for one in (usual, usual_too, longest, longest_too):
        print(one)
    lines = []
    for pattern in addresses():
        if wanted in pattern:
            lines.append(line(pattern, small, large, rounds))
            print(lines[-1], flush=True)
    worst = max(lines, key=lambda one: one.ratio)
    print(f"{len(lines)} pages; the worst ratio is {worst.ratio:.2f}, of {worst.page}")


if __name__ == "__main__":
    main(Path(sys.argv[1]), sys.argv[2] if len(sys.argv) > 2 else "", int(sys.argv[3]) if len(sys.argv) > 3 else 9)
