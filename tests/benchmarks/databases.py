"""What the site asks of its database most, on SQLite and PostgreSQL: `python -m tests.benchmarks.databases [count]`.

Where DATABASE_URL says one, on that server alone, in a database of its own; else on both, one after the other, with a
PostgreSQL made for it, and the ratio of the two. Times are those of the processors: of this process, of those that it
starts, and of a server on this machine. A busy machine does not spoil them, and waiting for a disk is not in them.
"""

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from io import StringIO
from pathlib import Path
from typing import Any, NamedTuple

SETUP = Path(__file__).parents[1] / "mixing" / "data" / "electric_glider.json"
PAGES = {
    "the line-up": "/", "the line-up, searched": "/?search=seeded+4", "the line-up, sorted": "/?sort=-last_flown",
    "an airframe's page": "/airframes/big-glider/", "the history, page 2": "/airframes/seeded-1/history/?page=2",
    "an answer of the bench": "/airframes/big-glider/bench/?at_roll=40&at_lever=-40",
}  # fmt: skip


class Timed(NamedTuple):
    """What took how long, each time [s of processors]."""

    what: str
    seconds: float

    def __str__(self) -> str:
        return f"{self.what:<44}{1000 * self.seconds:>10.1f} ms"


def clock() -> Callable[[], float]:
    """Seconds of processors so far: ours, of processes of ours that ended, and of the server's where it is here."""
    from django.db import connection

    if connection.vendor != "postgresql":
        return lambda: sum(os.times()[:4])
    with connection.cursor() as cursor:
        cursor.execute("SELECT pg_backend_pid()")
        backend = Path(f"/proc/{cursor.fetchone()[0]}/stat")
    server = _stat(backend)[1] if backend.exists() else ""
    return lambda: sum(os.times()[:4]) + (_served(server) if server else 0.0)


def _stat(path: Path) -> list[str]:
    """proc(5): the state, the parent, …; utime and stime, those of ended children behind them, from the 12th on."""
    return path.read_text().rpartition(")")[2].split()


def _served(server: str) -> float:
    """What the server and all its processes have used, also those that ended."""
    ticks = sum(map(int, _stat(Path(f"/proc/{server}/stat"))[11:15]))
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            fields = _stat(stat)
        except OSError:
            continue
        ticks += sum(map(int, fields[11:13])) if fields[1] == server else 0
    return ticks / os.sysconf("SC_CLK_TCK")


def timed(airframes: int, *, revisions: int = 300, rounds: int = 25) -> Iterator[Timed]:
    """Everything, in a database that is there already and empty."""
    now = clock()

    def mean(what: str, work: Callable[[], object], times: int = 1) -> Timed:
        begun = now()
        for _ in range(times):
            work()
        return Timed(what, (now() - begun) / times)

    yield mean(f"making {airframes:,} airframes and their rows", lambda: _hangar(airframes))
    yield Timed("recording a revision", mean("", lambda: _record(revisions)).seconds / revisions)
    browser = _browser()
    for what, address in PAGES.items():
        assert browser(address).status_code == 200
        yield mean(what, lambda address=address: browser(address), rounds)  # type: ignore[misc]
    yield from _moved(mean)


def _hangar(airframes: int) -> None:
    from mixing import Setup
    from tests.factories import AirframeFactory, record_first
    from tests.seeding import many_airframes

    many_airframes(airframes)
    record_first(AirframeFactory.create(slug="big-glider"), Setup.from_text(SETUP.read_bytes()))


def _record(revisions: int) -> None:
    from hangar.fleet.models import Airframe
    from hangar.setups.operations import record
    from tests.factories import make_setup

    airframe = Airframe.objects.get(slug="seeded-1")
    head = airframe.revisions.order_by("-number")[0]
    for number in range(revisions):
        setup = make_setup(remarks=f"change {number}")
        head = record(user=airframe.owner, airframe=airframe, setup=setup, base=head, reason=f"{number}").revision


def _browser() -> Callable[[str], Any]:
    from django.test import Client

    from hangar.members.models import Member

    browser = Client(headers={"host": "localhost", "hx-request": "true"})
    browser.force_login(Member.objects.order_by("pk")[0])
    return browser.get


def _moved(mean: Callable[[str, Callable[[], object]], Timed]) -> Iterator[Timed]:
    """Out of the database and into another one of its kind."""
    from django.core.management import call_command

    from hangar.setups.models import Revision
    from tests.hangar.places import place_of_this_kind

    count = Revision.objects.count()
    yield mean(f"verify_history, {count:,} revisions", lambda: call_command("verify_history", stdout=StringIO()))
    with tempfile.TemporaryDirectory() as folder:
        backup, club = str(Path(folder) / "backup.zip"), str(Path(folder) / "club.zip")
        yield mean("backup", lambda: call_command("backup", backup, stdout=StringIO()))
        yield mean("export_club", lambda: call_command("export_club", club, stdout=StringIO()))
        for what, name in (("restore", backup), ("import_club", club)):
            with place_of_this_kind(Path(folder) / what, what) as place:
                if what == "import_club":
                    place.run("migrate")
                yield mean(what, lambda: place.run(what, name))  # noqa: B023


def on_this_database(airframes: int) -> list[Timed]:
    os.environ["DJANGO_SETTINGS_MODULE"] = "hangar.settings"
    with tempfile.TemporaryDirectory() as folder:
        os.environ["HANGAR_DATA"] = folder
        import django

        django.setup()
        from django.db import connection
        from django.test.utils import setup_test_environment

        if connection.vendor == "sqlite":
            connection.settings_dict["TEST"]["NAME"] = os.path.join(folder, "test.sqlite3")
        setup_test_environment()
        connection.creation.create_test_db(verbosity=0)
        try:
            return list(timed(airframes))
        finally:
            connection.creation.destroy_test_db("", verbosity=0)


def in_a_process(airframes: int, **environment: str) -> list[Timed]:
    kept = {key: value for key, value in os.environ.items() if not key.startswith(("HANGAR", "DATABASE"))}
    done = subprocess.run(
        [sys.executable, "-m", "tests.benchmarks.databases", str(airframes), "json"],
        env={**kept, "HANGAR_BOOTSTRAP": "0", **environment}, stdout=subprocess.PIPE, check=True,
    )  # fmt: skip
    return [Timed(*one) for one in json.loads(done.stdout)]


def on_both(airframes: int) -> None:
    from hangar.bootstrap import postgres

    programs = postgres.programs()
    if programs is None:
        sys.exit("PostgreSQL is not installed here; DATABASE_URL names a server elsewhere.")
    with tempfile.TemporaryDirectory() as folder:
        sqlite = in_a_process(airframes, HANGAR_DATA=folder, DATABASE_URL="")
        with postgres.server(programs) as address:
            other = in_a_process(airframes, HANGAR_DATA=folder, DATABASE_URL=address)
    print(f"{'ms of processors':<44}{'SQLite':>10}{'PostgreSQL':>12}{'ratio':>8}")
    for one, two in zip(sqlite, other, strict=True):
        ratio = two.seconds / one.seconds
        print(f"{one.what:<44}{1000 * one.seconds:>10.1f}{1000 * two.seconds:>12.1f}{ratio:>8.2f}")


if __name__ == "__main__":
    size = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    if "json" in sys.argv:
        print(json.dumps(on_this_database(size)))
    elif os.environ.get("DATABASE_URL"):
        print(*on_this_database(size), sep="\n")
    else:
        on_both(size)
