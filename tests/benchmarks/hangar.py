"""The pages and commands that must not slow down as a hangar grows: `python -m tests.benchmarks.hangar [airframes]`.

In a database of its own, made for it and thrown away: the line-up at 100 airframes and at many, the history at 20
revisions and at 1,000, the walk over every chain.
Times are those of the processor, the database's (SQLite) with them: a busy machine does not spoil them.
"""

import os
import sys
import tempfile
import time
from collections.abc import Iterator
from io import StringIO
from typing import NamedTuple

LINE_UPS = ("/", "/?sort=-state", "/?sort=-last_flown", "/?search=seeded+4", "/?state=grounded", "/?page=4")


class Timed(NamedTuple):
    """What took how long [s of the processor]."""

    what: str
    seconds: float

    def __str__(self) -> str:
        return f"{self.what:<62}{1000 * self.seconds:>10.1f} ms"


def page(address: str, rounds: int) -> Timed:
    """The shortest of some visits by a signed-in member."""
    from django.test import Client

    from hangar.members.models import Member

    browser = Client()
    browser.force_login(Member.objects.order_by("pk")[0])
    assert browser.get(address).status_code == 200
    times = []
    for _ in range(rounds):
        start = time.process_time()
        browser.get(address)
        times.append(time.process_time() - start)
    return Timed(address, min(times))


def at_size(airframes: int, rounds: int) -> Iterator[Timed]:
    """The line-up in the ways that it is asked for."""
    for address in LINE_UPS:
        found = page(address, rounds)
        yield found._replace(what=f"line-up {address} at {airframes:,} airframes")


def long_history(revisions: int, slug: str, rounds: int) -> Timed:
    """The history page of an airframe with so many revisions."""
    from hangar.fleet.models import Airframe
    from hangar.setups.operations import record
    from tests.factories import make_setup

    airframe = Airframe.objects.get(slug=slug)
    head = airframe.revisions.order_by("-number")[0]
    for number in range(head.number, revisions):
        setup = make_setup(remarks=f"change {number}")
        head = record(user=airframe.owner, airframe=airframe, setup=setup, base=head, reason=f"{number}").revision
    found = page(f"/airframes/{slug}/history/?page=2", rounds)
    return found._replace(what=f"history of {revisions:,} revisions, page 2")


def timed(airframes: int, *, few: int = 100, revisions: int = 1000, rounds: int = 7) -> Iterator[Timed]:
    """Everything, in a database that is there already."""
    from django.core.management import call_command

    from hangar.setups.models import Revision
    from tests.seeding import many_airframes

    many_airframes(few)
    yield from at_size(few, rounds)
    yield long_history(min(25, revisions), "seeded-0", rounds)
    start = time.process_time()
    many_airframes(airframes - few, first=few)
    yield Timed(f"making {airframes - few:,} airframes, and their rows of the line-up", time.process_time() - start)
    yield from at_size(airframes, rounds)
    yield long_history(revisions, "seeded-1", rounds)
    start = time.process_time()
    call_command("verify_history", stdout=StringIO())
    yield Timed(f"verify_history over {Revision.objects.count():,} revisions", time.process_time() - start)


def main(airframes: int) -> None:
    os.environ["DJANGO_SETTINGS_MODULE"] = "hangar.settings"
    with tempfile.TemporaryDirectory() as folder:
        os.environ["HANGAR_DATA"] = folder
        import django

        django.setup()
        from django.db import connection
        from django.test.utils import setup_test_environment, teardown_test_environment

        connection.settings_dict["TEST"]["NAME"] = os.path.join(folder, "test.sqlite3")
        setup_test_environment()
        connection.creation.create_test_db(verbosity=0)
        try:
            for line in timed(airframes):
                print(line, flush=True)
        finally:
            connection.creation.destroy_test_db("", verbosity=0)
            teardown_test_environment()


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
