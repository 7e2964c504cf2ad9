from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from hangar.fleet.models import Airframe
from hangar.flights import glances

AT_ONCE = 100
NAMED = 10


class Command(BaseCommand):
    help = (
        "Work out the rows of the line-up that are stale, and the summaries of setups that they need: after an update "
        "of the code all of them. With --check every row is held against everything anew."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--check", action="store_true", help="compare only; exit status 1 where a row is wrong")

    def handle(self, *args: Any, **options: Any) -> None:
        if options["check"]:
            self._check()
            return
        glances.refresh_all()
        self.stdout.write(f"The line-up is worked out: {Airframe.objects.count()} airframes.")

    def _check(self) -> None:
        keys = list(Airframe.objects.order_by("pk").values_list("pk", flat=True))
        wrong = [
            told for start in range(0, len(keys), AT_ONCE) for told in glances.differing(keys[start : start + AT_ONCE])
        ]
        for slug, what in wrong[:NAMED]:
            self.stderr.write(f"{slug}: {what}")
        if wrong:
            raise CommandError(
                f"{len(wrong)} of {len(keys)} rows differ from what is so. `manage.py line_up` works out stale ones."
            )
        self.stdout.write(f"Every row says what is so: {len(keys)} airframes.")
